"""Keys go first: while the screen's thread has something to do, the threads that compute wait between their steps.

One thread of a Python program runs at a time. Left to itself the interpreter gives each its turn, and a key that is
taken and drawn in many small steps waits for a turn at every one of them. `UiIdle.loop` makes the screen's event
loop, which knows when it has nothing to do; `UiIdle.wait` is called by a computing thread between its steps.
"""

from __future__ import annotations

import asyncio
import selectors
import sys
import threading
from typing import Any

SWITCH = 0.0005
"""How long a running step keeps a key waiting for the interpreter, [s] (stock: 0.005)."""
LONGEST = 0.1
"""How long a step waits at most, [s], however much there is to draw."""


class UiIdle:
    """Whether the screen's thread has something to do."""

    def __init__(self) -> None:
        self._quiet = threading.Event()
        self._quiet.set()

    @property
    def quiet(self) -> bool:
        """Whether it has nothing to do."""
        return self._quiet.is_set()

    def wait(self) -> None:
        """Wait until the screen has nothing to do, but not for ever."""
        if not self.quiet:
            self._quiet.wait(LONGEST)

    def loop(self) -> asyncio.AbstractEventLoop:
        """Make the event loop of the screen's thread; the interpreter changes threads as often as that needs."""
        quiet = self._quiet

        class Selector(selectors.DefaultSelector):
            """Waits for keys and news, and tells that it does."""

            def select(self, timeout: float | None = None) -> Any:
                if timeout is not None and timeout <= 0:  # there is more to do
                    return super().select(timeout)
                quiet.set()
                try:
                    return super().select(timeout)
                finally:
                    quiet.clear()

        quiet.clear()  # until it sleeps for the first time
        sys.setswitchinterval(SWITCH)
        return asyncio.SelectorEventLoop(Selector())
