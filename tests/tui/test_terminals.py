"""Terminals of every kind: names, locales, split escape sequences, sizes that change while typing."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from model.store import read_project
from tests.tui.line import Line
from tests.tui.test_line import opened, throw, until

WITHOUT_BRAILLE = ("linux", "vt100")


@pytest.mark.parametrize("term", ["linux"])
def test_a_builder_edits_on_any_terminal(notebook: Path, term: str) -> None:
    """Everywhere else here the terminal is ``xterm-256color``; ``tests/slow`` takes more."""
    edits(notebook, term)


def edits(notebook: Path, term: str) -> None:
    """Type a throw, look at why, go back to the list and end."""
    line = opened(notebook, {"TERM": term})
    line.press("6 mm", "enter")
    until(lambda: throw(notebook) == "6 mm")
    line.press("w")
    line.wait_for("^Why")
    line.press("esc")
    line.wait_for(r"\[Dimensions")
    line.press("esc")
    line.wait_for("2 prototypes|3 prototypes")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0
    if term in WITHOUT_BRAILLE:
        assert line.wrote.isascii()


@pytest.mark.parametrize(
    "environ",
    [{"LC_ALL": "en_US.ISO-8859-1"}, {"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "POSIX", "PYTHONUTF8": "0"}],
    ids=str,
)
def test_a_locale_without_utf8_gets_plain_characters(notebook: Path, environ: dict[str, str]) -> None:
    (notebook / "umlaut.toml").write_text('format = 1\nname = "Größe µ 日本"\n[mark.1]\n', encoding="utf-8")
    line = Line(notebook, environ=environ)
    line.wait_for("Gr..e u")
    line.close()
    assert line.wrote.isascii()
    assert b"\\u" not in line.wrote
    assert b"\\x" not in line.wrote


def test_an_escape_sequence_that_a_slow_line_splits_is_one_key(notebook: Path) -> None:
    """The rest is waited for as long as is said, where textual's own 0.1 s would have made it two keys.

    How long that is on a line: ``test_plain_parts.py``. A minute here, so that no busy machine is slower.
    """
    line = opened(notebook, {"ESCDELAY": "60000"})
    line.send_bytes(b"7")
    line.wait_for(r"Piston throw +7")
    line.send_bytes(b"\x1b")
    time.sleep(0.2)
    line.send_bytes(b"[B")
    line.wait_for(r"^> +Piston connecting rod")
    until(lambda: throw(notebook) == "7")
    line.close()


def test_escape_alone_leaves_the_field_and_keeps_what_was_typed(notebook: Path) -> None:
    line = opened(notebook)
    line.press("7")
    line.wait_for(r"Piston throw +7")
    line.press("esc")
    until(lambda: throw(notebook) == "7")
    line.press("esc")
    line.wait_for("prototypes in")
    line.close()
    assert read_project(notebook / "paint-tin.toml").project.latest.build["piston_throw"] == "7"


def test_a_terminal_that_changes_its_size_while_a_field_is_open_loses_nothing(notebook: Path) -> None:
    line = opened(notebook)
    line.press("7.2")
    line.wait_for(r"Piston throw +7\.2")
    for columns, rows in ((40, 10), (60, 20), (132, 50), (1, 1), (80, 24)):
        line.resize(columns, rows)
        line.settle()
    line.wait_for(r"Piston throw +7\.2")
    line.press("5 mm", "enter")
    until(lambda: throw(notebook) == "7.25 mm")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0


def test_a_terminal_that_is_too_small_is_told_and_nothing_is_lost(notebook: Path) -> None:
    """Also where the shell exports a size of its own."""
    line = opened(notebook, {"COLUMNS": "80", "LINES": "24"})
    for columns, rows in ((59, 24), (80, 19), (30, 8)):
        line.resize(columns, rows)
        line.wait_for(r"The\s+notebook\s+needs\s+60\s+by\s+20")
        line.watch(lambda: "Usual" not in line.screen())
        assert "Nothing is lost" in line.screen()
        line.resize(80, 24)
        line.wait_for(r"^> +Piston throw")
        line.settle()
    line.close()


def test_without_colour_the_cursor_is_seen(notebook: Path) -> None:
    """Where nothing has a colour, the row under the cursor still differs from the same row without it."""
    line = opened(notebook, {"NO_COLOR": "1"})
    here = next(i for i, text in enumerate(line.screen().splitlines()) if re.match(r"^> +Piston throw", text))
    before = line.cells()[here]
    line.press("down")
    line.wait_for(r"^> +Piston connecting rod")
    line.settle()
    after = line.cells()[here]
    assert before[0][0] == ">"
    assert after[0][0] == " "
    assert before[5][3], "bold under the cursor"
    assert not after[5][3]
    assert {cell[1] for row in line.cells() for cell in row} <= {"", "default"}
    line.close()


def place(line: Line) -> tuple[str, int]:
    """Return the row on which the terminal's own cursor rests, and its column."""
    cursor = line._screen.cursor
    return line.screen().splitlines()[cursor.y], cursor.x


def test_the_terminals_own_cursor_rests_on_the_row_under_the_cursor(notebook: Path) -> None:
    """Screen readers and magnifiers follow it (list, form, field, dialog, readings, diary)."""
    line = Line(notebook)
    line.wait_for(r"^> .*broken")
    line.settle()
    line.press("down")
    line.wait_for(r"^> .*Paint tin")
    line.settle()
    assert place(line)[0].startswith(">") and "Paint tin" in place(line)[0]
    line.press("enter")
    line.wait_for(r"^> +Layout")
    for _ in range(3):
        line.press("down")
        line.settle()
    assert place(line)[0].startswith(">   Piston throw")
    line.press("7.5")
    line.settle()
    row, column = place(line)
    assert row[:column].endswith("7.5") and "Piston throw" in row
    line.press("esc")
    line.settle()
    line.press("m")
    line.wait_for("Enter take")
    line.settle()
    assert place(line)[0].startswith(">")
    line.press("esc")
    line.wait_for("Esc list")
    line.press("right", "right", "right", "o")
    line.wait_for("^> .*Brake")
    line.settle()
    assert place(line)[0].startswith(">") and "Brake" in place(line)[0]
    line.close()
