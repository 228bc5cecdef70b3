"""An error in the program: one line on the shell that names the log, no trace with the builder's text, texts saved."""

from __future__ import annotations

import sys
from pathlib import Path

from model.store import read_project
from tests.tui.line import Line
from tui.exits import Exit

FAULTY = """
import sys
from pathlib import Path
from tui.host.terminal import prepare
prepare()
from tui.app import run
from tui.screens.project import ProjectScreen

def broken(self, what):
    raise ZeroDivisionError("in the marks")

ProjectScreen.action_ask = broken
sys.exit(run(Path(sys.argv[1])))
"""


def test_an_error_in_the_program_ends_in_one_line_and_keeps_what_was_typed(notebook: Path) -> None:
    script = notebook.parent / "faulty.py"
    script.write_text(FAULTY, encoding="utf-8")
    line = Line(notebook, command=[sys.executable, str(script), str(notebook)])
    line.wait_for("Paint tin")
    line.press("down", "enter")
    line.wait_for(r"\[Dimensions")
    line.press("down", "down", "7 mm", "esc")
    line.wait_for("7 mm")
    line.press("m")
    assert line.wait_for_end() == Exit.INTERNAL
    said = line.wrote.rpartition(b"\x1b[?1049l")[2].decode()
    assert "Error in the program (ZeroDivisionError: in the marks)" in said
    assert "faults.log" in said
    assert "Traceback" not in said
    assert "in the marks" in (notebook.parent / "state" / "quarterturn" / "faults.log").read_text()
    assert read_project(notebook / "paint-tin.toml").project.latest.build["piston_bore"] == "7 mm"
