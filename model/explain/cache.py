"""Results that took long, kept by what they depend on; the newest few, safe to ask from any thread."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

from model.inputs.model_inputs import ModelInputs

T = TypeVar("T")


class Cache(Generic[T]):
    """The last few results of one kind of work, by key."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, else make it; two threads may make the same at once, and both are right.

        Examples
        --------
        >>> cache = Cache(2)
        >>> cache.get("a", lambda: 1), cache.get("a", lambda: 2)
        (1, 1)
        """
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
                return self._results[key]
        made = make()
        self.keep(key, made)
        return made

    def find(self, key: Hashable) -> T | None:
        """Return what is kept under a key, if anything is."""
        with self._lock:
            return self._results.get(key)

    def keep(self, key: Hashable, made: T) -> None:
        """Keep a result."""
        with self._lock:
            self._results[key] = made
            self._results.move_to_end(key)
            while len(self._results) > self._most:
                self._results.popitem(last=False)


def key_of(model_inputs: ModelInputs) -> Hashable:
    """Return what every computed outcome of a resolved build depends on: its words and its values with spreads."""
    return model_inputs.layout, frozenset(model_inputs.words.items()), frozenset(model_inputs.values.items())


__all__ = ["Cache", "key_of"]
