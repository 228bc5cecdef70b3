"""What a command is doing, on a terminal's standard error, once it lasts half a second; gone when output comes.

Plain characters alone, so that every terminal shows it; nothing where standard error is a file or a pipe.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

PATIENCE = 0.5
"""How long a command may take before it says what it does, [s]."""


@contextmanager
def doing(what: str) -> Iterator[None]:
    """Say on the terminal what is being computed, should it take long; the line is taken away at the end."""
    stream = sys.stderr
    if stream is None or not stream.isatty():
        yield
        return
    line = f"{what} ..."
    lock = threading.Lock()
    state = {"over": False, "written": False}

    def write() -> None:
        with lock, suppress(OSError, ValueError):
            if not state["over"]:
                state["written"] = True
                stream.write(line)
                stream.flush()

    timer = threading.Timer(PATIENCE, write)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        with lock, suppress(OSError, ValueError):
            state["over"] = True
            if state["written"]:
                stream.write(f"\r{' ' * len(line)}\r")
                stream.flush()
