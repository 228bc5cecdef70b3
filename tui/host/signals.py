"""The line drops or the system ends the program: save at once, then leave. Set while the screens run.

A thread of its own waits for the signals, at the end of a pipe that the interpreter writes to
(`signal.set_wakeup_fd`). It depends on nothing else: the event loop stands still on a stalled line, and a signal that
comes while the loop goes to sleep would be taken at its next event only. So the thread wakes the loop for all others:
a resized window is drawn anew at once. A watchdog ends the process where the save or the loop never comes back.
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

ENDS = (signal.SIGHUP, signal.SIGTERM, signal.SIGQUIT, signal.SIGINT)
"""Signals that end the program."""


def save_on_signals(save: Callable[[], None], leave: Callable[[int], None], wake: Callable[[], object]) -> None:
    """Call `save`, then `leave` with the exit code, when the line drops (SIGHUP) or the system ends us (SIGTERM).

    At any other signal that has a handler call `wake`, which lets the main thread take it now. All are called on a
    thread of their own. Call it on the main thread.
    """
    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    signal.set_wakeup_fd(writing, warn_on_full_buffer=False)

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

    def wait() -> None:
        while True:
            for number in os.read(reading, 64):
                if number in ENDS:
                    end(number)
                    return
                # A loop that is closed already takes nothing any more.
                with contextlib.suppress(RuntimeError):
                    wake()

    threading.Thread(target=wait, name="ending", daemon=True).start()
    for each in ENDS:
        signal.signal(each, lambda *_: None)


def _exit_after(seconds: float, number: int) -> threading.Timer:
    timer = threading.Timer(seconds, os._exit, [128 + number])
    timer.daemon = True
    timer.start()
    return timer
