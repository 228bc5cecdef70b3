"""Every pair of closing keys at every place, together and one by one, without a terminal.

The same on a terminal with pauses and a slowed program is `slowed`.
"""

from __future__ import annotations

import os
import signal
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.shell.terminal import KEYS
from tests.tui.line import Line
from tests.tui.test_bursts import PAIRS, PLACES, differences, notebook_of

PAUSES = (0.0, 0.05, 0.15, 0.3, 0.5)
"""Between the two keys of a pair on a terminal, [s]."""
NAMED = {"escape": "esc", "delete": "del", " ": "space"}


def all_pairs() -> Iterator[str]:
    """Press all pairs everywhere; yield what is not the same."""
    for place in PLACES:
        for pair in PAIRS:
            with tempfile.TemporaryDirectory() as folder:
                yield from (f"{place} {told}" for told in differences(Path(folder), place, (pair,)))


@contextmanager
def a_tenth(pid: int) -> Iterator[None]:
    """Let a program run 10 of 100 ms."""
    done = threading.Event()

    def turns() -> None:
        while not done.is_set():
            os.kill(pid, signal.SIGSTOP)
            time.sleep(0.09)
            os.kill(pid, signal.SIGCONT)
            time.sleep(0.01)

    thread = threading.Thread(target=turns, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


def slowed(place: str, pair: tuple[str, str], pause: float, *, slow: bool) -> list[str]:
    """Press a pair on a terminal; return what went wrong: an end that was not asked for, a fault written down."""
    with tempfile.TemporaryDirectory() as folder:
        notebook = notebook_of(Path(folder) / "notebook")
        line = Line(notebook)
        line.wait_for("Tin +gamma")
        for key in PLACES[place]:
            line.press(NAMED.get(key, key))
            line.quiet(0.1)
        first, second = (KEYS.get(NAMED.get(key, key), key) for key in pair)
        if slow:
            with a_tenth(line.pid):
                _press(line, first, second, pause)
        else:
            _press(line, first, second, pause)
        code = line.wait_for_end() if not line.running else None
        wrong = [f"it ended with {code}"] if code else []
        wrong += [path.read_text()[-600:] for path in Path(folder).rglob("faults.log")]
        if code is None:
            line.press("ctrl+q")
            wrong += [f"it quits with {code}"] if (code := line.wait_for_end()) else []
        return [f"{place} {pair} {pause} {'slow' if slow else ''}: {told}" for told in wrong]


def _press(line: Line, first: str, second: str, pause: float) -> None:
    if pause:
        line.press(first)
        line.quiet(pause)
        line.press(second)
    else:
        line.press(first + second)
    line.quiet(1.0)
