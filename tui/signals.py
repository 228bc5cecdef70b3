"""The line drops or the system ends the program: save at once, then leave. Set while the screens run.

Plain signal handlers, since the event loop stands still on a stalled line. The save runs on a thread of its own: the
handler may have interrupted anything, a save and its locks included. A watchdog ends the process where the save or the
loop never comes back.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
from collections.abc import Callable

LAST_MOMENT = 2.0
"""How long the screens get to close by themselves, [s]."""
LONGEST_SAVE = 20.0
"""How long a disk gets for the last save, [s]; what it has not taken by then is in the draft of the moment before."""


def save_on_signals(save: Callable[[], None], leave: Callable[[int], None]) -> None:
    """Call `save`, then `leave` with the exit code, when the line drops (SIGHUP) or the system ends us (SIGTERM).

    Both are called on a thread of their own.
    """
    begun = threading.Event()

    def end(number: int) -> None:
        watchdog = _exit_after(LONGEST_SAVE, number)
        try:
            save()
        finally:
            watchdog.cancel()
            _exit_after(LAST_MOMENT, number)
            # A loop that is closed already is leaving by itself.
            with contextlib.suppress(RuntimeError):
                leave(128 + number)

    def taken(number: int, frame: object) -> None:
        if not begun.is_set():
            begun.set()
            threading.Thread(target=end, args=(number,), name="ending", daemon=True).start()

    for number in (signal.SIGHUP, signal.SIGTERM, signal.SIGQUIT, signal.SIGINT):
        signal.signal(number, taken)


def _exit_after(seconds: float, number: int) -> threading.Timer:
    timer = threading.Timer(seconds, os._exit, [128 + number])
    timer.daemon = True
    timer.start()
    return timer
