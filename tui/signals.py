"""The line drops or the system ends the program: save at once, then leave. Set while the screens run.

Plain signal handlers, since the event loop stands still on a stalled line; a watchdog ends the process where the loop
never comes back.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable

LAST_MOMENT = 2.0
"""How long the screens get to close by themselves, [s]."""


def save_on_signals(save: Callable[[], None], leave: Callable[[int], None]) -> None:
    """Call `save`, then `leave` with the exit code, when the line drops (SIGHUP) or the system ends us (SIGTERM)."""

    def taken(number: int, frame: object) -> None:
        watchdog = threading.Timer(LAST_MOMENT, os._exit, [128 + number])
        watchdog.daemon = True
        watchdog.start()
        save()
        leave(128 + number)

    for number in (signal.SIGHUP, signal.SIGTERM, signal.SIGQUIT):
        signal.signal(number, taken)
