"""A few whole screens as plain text, looked at by a person. ``QUARTERTURN_GOLDEN=write`` writes them anew.

A screen that changed is looked at, and the change explained where it is committed. Clock, model and folder are fixed.
"""

from __future__ import annotations

import os
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from tests.tui.stage import Play, play
from tui.host.terminal import Terminal

FOLDER = Path(__file__).parent / "golden"
Scene = Callable[[Play], Awaitable[None]]


async def listed(acts: Play) -> None:
    """The broken file is under the cursor: its message stands below; the others have their predictions."""
    await acts.press("home")


async def opened(acts: Play) -> None:
    """The can: fields with what was typed, guesses with their range, the panel with intervals."""
    await acts.press("down", "enter", "down", "down")


async def typed(acts: Play) -> None:
    """A field is open: the input lies over its row, and below stands how the text is read."""
    await opened(acts)
    await acts.write("9,5 mm +-0.2")


async def flagged(acts: Play) -> None:
    """A wrong text stays with its reason; pane, row and panel carry a sign; the figures are old."""
    await opened(acts)
    await acts.write("1,500")
    await acts.press("escape")


async def stands(acts: Play) -> None:
    """An engine that does not run: first what it would need."""
    await acts.press("down", "enter", "down", "down", "down")
    await acts.write("25")
    await acts.press("escape")


async def crankless(acts: Play) -> None:
    """No crank on the displacer: the panel says that there is no prediction, and why."""
    await acts.press("down", "down", "enter")


async def heated(acts: Play) -> None:
    """The pane of the heat: a caution stands beside its field, in words below."""
    await acts.press("down", "enter", "right", "right")


async def asked(acts: Play) -> None:
    """A mark with readings was changed: correction or change."""
    await acts.press("down", "enter", "m", "down", "enter", "down", "down", "down")
    await acts.write("6")
    await acts.press("enter")


async def told_why(acts: Play) -> None:
    """Every figure with its formula, inputs, source and note."""
    await acts.press("down", "enter", "w")


async def measured(acts: Play) -> None:
    """Readings of all marks; what is to be said of the one under the cursor stands below."""
    await acts.press("down", "enter", "right", "right", "right", "o")


async def read_off(acts: Play) -> None:
    """The form of a new reading: what was measured, conditions offered and not kept, cautions at their fields."""
    await acts.press("down", "enter", "right", "right", "right", "a", "1")
    await acts.write("100")
    await acts.press("down")
    await acts.write("31.2")
    await acts.press("enter", "down", "down", "down")


async def kinds(acts: Play) -> None:
    """What can be measured, with the cautions of each."""
    await acts.press("down", "enter", "right", "right", "right", "a")


async def diary(acts: Play) -> None:
    """The stage, best and latest, and the entries."""
    await acts.press("down", "enter", "left", "left")


async def entry(acts: Play) -> None:
    """An entry: its text, and below it the ticks."""
    await acts.press("down", "enter", "left", "left", "enter", "tab")


async def not_running(acts: Play) -> None:
    """Why it does not run: causes in words and bars, the next test with its caution, and what each outcome means."""
    await acts.press("down", "enter", "left", "tab")


async def timing(acts: Play) -> None:
    """The stopwatch before the first tap: what to do, the spread, keys."""
    await acts.press("down", "enter", "left", "s")


async def drawn(acts: Play) -> None:
    """The engine to scale, from the bore of its piston: the part and its length, what the air does, how to read it."""
    await opened(acts)
    await acts.press("e")


async def compared(acts: Play) -> None:
    """Two prototypes side by side."""
    await acts.press("down", "space", "down", "space", "s")


SCREENS: dict[str, tuple[Scene, tuple[int, int]]] = {
    "list": (listed, (80, 24)),
    "project": (opened, (80, 24)),
    "typed": (typed, (80, 24)),
    "flagged": (flagged, (80, 24)),
    "does-not-run": (stands, (80, 24)),
    "no-prediction": (crankless, (80, 24)),
    "heat": (heated, (80, 24)),
    "question": (asked, (80, 24)),
    "why": (told_why, (80, 24)),
    "results": (measured, (80, 24)),
    "reading": (read_off, (80, 24)),
    "kinds": (kinds, (80, 24)),
    "diary": (diary, (80, 24)),
    "entry": (entry, (80, 24)),
    "not-running": (not_running, (80, 24)),
    "not-running-small": (not_running, (60, 20)),
    "stopwatch": (timing, (80, 24)),
    "engine": (drawn, (80, 24)),
    "engine-wide": (drawn, (120, 40)),
    "side-by-side": (compared, (80, 24)),
    "small": (opened, (60, 20)),
    "wide": (opened, (120, 40)),
}


@pytest.mark.parametrize("name", SCREENS)
def test_the_screen_is_as_it_was_looked_at(notebook: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(notebook.parent)
    for name_of_line in ("SSH_CONNECTION", "SSH_TTY", "SSH_CLIENT", "MOSH_IP"):
        monkeypatch.delenv(name_of_line, raising=False)
    scene, size = SCREENS[name]
    golden = FOLDER / f"{name}.txt"

    async def go(acts: Play) -> None:
        await scene(acts)
        screen = acts.screen() + "\n"
        if os.environ.get("QUARTERTURN_GOLDEN") == "write":
            golden.write_text(screen, encoding="utf-8", newline="\n")
        assert screen == golden.read_text(encoding="utf-8")

    play(Path("notebook"), go, size=size, terminal=Terminal(plain=True))


@pytest.mark.parametrize("name", ["project", "flagged"])
def test_without_colour_the_same_words_stand_on_the_screen(
    notebook: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """No meaning is carried by colour alone."""
    monkeypatch.chdir(notebook.parent)
    monkeypatch.setenv("NO_COLOR", "1")
    scene, size = SCREENS[name]

    async def go(acts: Play) -> None:
        await scene(acts)
        assert acts.screen() + "\n" == (FOLDER / f"{name}.txt").read_text(encoding="utf-8")

    play(Path("notebook"), go, size=size, terminal=Terminal(plain=True, colour=False))
