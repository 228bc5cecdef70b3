"""Reads the projects that are in sight, one after the other, on a thread of its own. Knows no screen."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from model.errors import StoreError
from model.store import Item
from tui.host.logfile import write_fault
from tui.storage.persistence import Persistence


class Reader:
    """Reads what is wanted; what came of it goes to `post`, which is safe to call from any thread."""

    def __init__(self, persistence: Persistence, post: Callable[[Item], None]) -> None:
        self._persistence = persistence
        self._post = post
        self._bell = threading.Condition()
        self._wanted: list[Path] = []
        self._at: Path | None = None
        self._started = False

    def want(self, paths: Sequence[Path]) -> None:
        """Read these next, in their order, and nothing else that was wanted before."""
        with self._bell:
            self._wanted = [path for path in paths if path != self._at]
            if self._wanted and not self._started:
                self._started = True
                threading.Thread(target=self._work, name="reader", daemon=True).start()
            self._bell.notify_all()

    def _work(self) -> None:
        while True:
            with self._bell:
                self._at = None
                self._bell.wait_for(lambda: self._wanted)
                self._at = self._wanted.pop(0)
            try:
                item = Item(path=self._at, stored=self._persistence.read(self._at))
            except StoreError as error:
                item = Item(path=self._at, error=error)
            except Exception as error:
                item = Item(path=self._at, error=StoreError(write_fault(error)))
            self._post(item)
