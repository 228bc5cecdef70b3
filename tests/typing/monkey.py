"""Random keys, pauses and sizes in two windows of one notebook: nothing ends, nothing fails, every file can be read.

All follows from the seed but what the machine's speed decides: which window another's save reaches first.
"""

from __future__ import annotations

import random
from pathlib import Path

from model.errors import ModelError
from model.store import read_project
from tests.shell.terminal import KEYS
from tests.tui.line import Line
from tests.tui.test_bursts import notebook_of
from tui.view.help import help_lines
from tui.view.lines import text_of

NAMES = {
    "Up": "up", "Down": "down", "Left": "left", "Right": "right", "Home": "home", "End": "end", "Enter": "enter",
    "Esc": "esc", "Space": "space", "Tab": "tab", "Del": "del", "PageDown": "pgdn", "ctrl+z": "ctrl+z",
    "ctrl+y": "\x19", "ctrl+s": "ctrl+s", "ctrl+l": "\x0c",
}  # fmt: skip
"""Keys as the help names them, and as the tests do."""
BESIDES = (
    "[",
    "]",
    "backspace",
    "\x1b[5~",
    "\x1b[Z",
    "7",
    "12.5",
    "3/8 in",
    "?",
    "word ",
    "\x1b[200~a\nb\x1b dd\x1b[201~",
)
SIZES = ((80, 24), (80, 24), (120, 40), (60, 20), (200, 60), (40, 10), (80, 19))
MOST_MEMORY = 250.0
"""Most that a window may hold at the end, [MB]; it holds about 60."""


def named_keys() -> tuple[str, ...]:
    """Return every key that the help names, but those that quit, as the tests name them."""
    found: dict[str, None] = {}
    for line in help_lines(120, project=False):
        if line and line[0][1] == "key":
            for name in text_of(line[:1]).replace(" and ", ",").split(","):
                found[name.strip()] = None
    known = [NAMES.get(name, name if len(name) == 1 else "") for name in found]
    return tuple(key for key in known if key)


def run(folder: Path, *, seed: int, count: int, longest: float) -> list[str]:
    """Press random keys; return what went wrong.

    Parameters
    ----------
    folder : Path
        Where the notebook is made.
    seed : int
        Of the keys.
    count : int
        How many keys.
    longest : float
        Longest pause between two, [s].
    """
    chance = random.Random(seed)
    notebook = notebook_of(folder / "notebook")
    keys = named_keys() + BESIDES
    windows = [Line(notebook), Line(notebook)]
    wrong: list[str] = []
    for number in range(count):
        at = chance.randrange(2)
        line = windows[at]
        if chance.random() < 0.02:
            line.resize(*chance.choice(SIZES))
        line.press(*chance.choices(keys, k=chance.choice((1, 1, 1, 2, 5))))
        for each in windows:
            each.quiet(chance.uniform(0, longest) / 2)
        if not line.running:  # q on the list
            code = line.wait_for_end()
            wrong += [] if _may_end(code, line) else [f"key {number}: it ended with {code}: {line.wrote[-300:]!r}"]
            windows[at] = Line(notebook)
    for line in windows:
        wrong += _seen_at_the_end(line)
    wrong += [f"{path}: written down: {path.read_text()[-2000:]}" for path in folder.rglob("faults.log")]
    for path in notebook.glob("*.toml"):
        try:
            read_project(path)
        except ModelError as error:
            wrong.append(f"{path.name}: {error}")
    return wrong


def _seen_at_the_end(line: Line) -> list[str]:
    """Leave a window; return what went wrong in it."""
    line.resize(80, 24)
    line.rest()
    memory = line.memory
    line.press(KEYS["ctrl+q"])
    code = line.wait_for_end()
    wrong = [f"it holds {memory:.0f} MB"] if memory > MOST_MEMORY else []
    ended = [] if _may_end(code, line) else [f"it ended with {code}"]
    return [*wrong, *ended, *(["a trace"] if b"Traceback" in line.wrote else [])]


def _may_end(code: int | None, line: Line) -> bool:
    """Whether a code tells the truth: 4 where a clash with the other window stands unanswered, and its text is kept."""
    kept = b"Not saved: " in line.wrote[-600:] and b"kept as a draft" in line.wrote[-600:]
    return not code or (code == 4 and kept)
