"""Work done in the background: some threads, each with its own line of jobs, and one bell for all. Knows no files."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Collection

from tui.host.logfile import write_fault

Next = Callable[[], None] | float | None
"""A job; or how long to wait for one, [s]; or None: until the bell rings."""


class Jobs:
    """Threads that take jobs. What they share is touched under `bell` alone; they start at the first ring."""

    def __init__(self) -> None:
        self.bell = threading.Condition()
        self._lines: dict[str, Callable[[], Next]] = {}
        self._working = 0
        self._begun = False
        self._ending = False

    def add(self, name: str, take: Callable[[], Next]) -> None:
        """Add a thread before the first ring; `take` gives its next job and is called with the bell held."""
        self._lines[name] = take

    def ring(self) -> None:
        """Say that there may be something to do; the bell must be held."""
        if not self._begun:
            self._begun = True
            for name, take in self._lines.items():
                threading.Thread(target=self._work, args=(take,), name=name, daemon=True).start()
        self.bell.notify_all()

    def end(self) -> None:
        """Let each thread end when it has no job at once; there are none after."""
        with self.bell:
            self._ending = True
            self.bell.notify_all()

    def _work(self, take: Callable[[], Next]) -> None:
        while True:
            with self.bell:
                while not callable(job := take()):
                    if self._ending:
                        return
                    self.bell.wait(job)
                self._working += 1
            try:
                job()
            except Exception as error:  # the thread goes on: what it does next may save what was typed
                write_fault(error)
            finally:
                with self.bell:
                    self._working -= 1
                    self.bell.notify_all()


def until(times: Collection[float]) -> float | None:
    """Return how long it is until the first of the times, [s]; None where there is none."""
    return max(0.0, min(times) - time.monotonic()) if times else None
