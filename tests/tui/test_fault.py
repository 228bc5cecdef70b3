"""An error in the program: told, written down and gone on from, or the end in one line; no trace, all texts saved."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from textual import events

from model.store import read_project
from tests.examples import few_or
from tests.tui.line import Line
from tests.tui.stage import Play, play
from tui.exits import Exit

FAULTY = """
import sys
from pathlib import Path
from tui.host.terminal import prepare
prepare()
from tui.app import run
from tui.screens import project
from tui.screens.project import ProjectScreen

def broken(self, *rest):
    raise ZeroDivisionError("in the marks")

async def broken_at_work(self, *rest):
    broken(self)

how = sys.argv[2]
if how == "action":
    ProjectScreen.action_ask = broken
elif how == "worker":
    project.ask_mark = broken_at_work
elif how == "key":
    from tui.dialogs.base import ChoiceDialog
    ChoiceDialog.on_key = lambda self, event: broken(self) if event.key == "x" else None
elif how == "drawing":
    project.title_line = broken
sys.exit(run(Path(sys.argv[1])))
"""


def faulty(notebook: Path, how: str) -> Line:
    """Return a program with an error in it, on the list."""
    script = notebook.parent / "faulty.py"
    script.write_text(FAULTY, encoding="utf-8")
    line = Line(notebook, command=[sys.executable, str(script), str(notebook), how])
    line.wait_for("Paint tin")
    return line


def told_by(line: Line) -> str:
    """Return what was written on the shell."""
    return line.wrote.rpartition(b"\x1b[?1049l")[2].decode()


HOWS = [("key", ("m", "x", "esc")), ("worker", ("m",)), ("action", ("m",))]


@pytest.mark.parametrize(("how", "keys"), few_or(HOWS[:1], HOWS))
def test_an_error_in_the_work_of_a_key_is_told_and_the_program_goes_on(
    notebook: Path, how: str, keys: tuple[str, ...]
) -> None:
    line = faulty(notebook, how)
    line.press("down", "enter")
    line.wait_for(r"\[Dimensions")
    line.press("down", "down", "7 mm", "esc")
    line.wait_for("7 mm")
    for key in keys[:2]:
        line.press(key)
    line.wait_for("The program made an error; it is written down")
    line.press(*keys[2:], "8 mm", "enter")
    line.wait_for(r"[Bb]ore +8 mm")
    line.watch(lambda: "made an error" not in line.screen())
    line.press("ctrl+q")
    assert line.wait_for_end() == Exit.OK
    assert "Error in the program (ZeroDivisionError: in the marks)" in told_by(line)
    assert "faults.log" in told_by(line)
    assert "in the marks" in (notebook.parent / "state" / "quarterturn" / "faults.log").read_text()
    assert read_project(notebook / "paint-tin.toml").project.latest.build["piston_bore"] == "8 mm"


def test_errors_one_after_the_other_end_in_one_line_and_keep_what_was_typed(notebook: Path) -> None:
    line = faulty(notebook, "action")
    line.press("down", "enter")
    line.wait_for(r"\[Dimensions")
    line.press("down", "down", "7 mm", "esc")
    line.wait_for("7 mm")
    line.press("mmmm")
    assert line.wait_for_end() == Exit.INTERNAL
    assert "Error in the program (ZeroDivisionError: in the marks)" in told_by(line)
    assert "faults.log" in told_by(line)
    assert "Traceback" not in told_by(line)
    assert read_project(notebook / "paint-tin.toml").project.latest.build["piston_bore"] == "7 mm"


def test_an_error_in_drawing_ends_in_one_line(notebook: Path) -> None:
    """It comes at every drawing: there is nothing to go on with."""
    line = faulty(notebook, "drawing")
    line.press("down", "enter")
    assert line.wait_for_end() == Exit.INTERNAL
    assert "Error in the program (ZeroDivisionError: in the marks)" in told_by(line)


def test_a_key_behind_the_end_is_no_fault(notebook: Path) -> None:
    """It may be handed on when the last screen is gone; the program has ended with what it was told to."""

    async def scene(acts: Play) -> None:
        app = acts.app
        screens = list(app._screen_stack)
        app._screen_stack.clear()
        try:
            await app._hand_on(events.Key("a", "a"))
        finally:
            app._screen_stack.extend(screens)
        assert app.fault_words == ""

    play(notebook, scene)
