"""The program on a real pseudo-terminal: kills, dropped lines, stray bytes, and cells that must be the same."""

from __future__ import annotations

import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from model.record import Project
from model.store import left_drafts, read_project
from tests.shell.terminal import KEYS
from tests.tui.line import Line
from tests.tui.test_hostile import OSC, nasty

PATIENCE = 240.0


@pytest.fixture
def line(notebook: Path) -> Iterator[Line]:
    """The notebook with the can open at the throw of its piston."""
    found = opened(notebook)
    yield found
    found.close()


def opened(notebook: Path, environ: dict[str, str] | None = None) -> Line:
    found = Line(notebook, environ=environ)
    found.wait_for("Paint tin")
    found.press("down", "enter")
    found.wait_for(r"\[Dimensions")
    for _ in range(60):
        if re.search(r"^> .. ?Piston throw", found.screen(), re.MULTILINE):
            return found
        found.press("down")
        found.settle()
    raise AssertionError(f"no throw to go to:\n{found.screen()}")


def throw(notebook: Path) -> str:
    return read_project(notebook / "paint-tin.toml").project.latest.build["piston_throw"]


def until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def test_a_kill_keeps_what_was_saved_and_brings_back_what_was_being_typed(notebook: Path, line: Line) -> None:
    line.press("6 mm", "enter")
    until(lambda: throw(notebook) == "6 mm")
    line.press("up", "7.5 m")
    until(
        lambda: any(
            draft.project.latest.build["piston_throw"] == "7.5 m"
            for draft in left_drafts(notebook / "paint-tin.toml", open_too=True)
        )
    )
    line.kill()
    line.wait_for_end()
    assert throw(notebook) == "6 mm"
    again = opened(notebook)
    assert re.search(r"Piston throw +7\.5 m", again.screen())
    assert "Brought back" in again.screen()
    again.press("ctrl+q")
    again.wait_for_end()
    assert throw(notebook) == "6 mm"
    once_more = opened(notebook)
    once_more.press("enter")
    until(lambda: throw(notebook) == "7.5 m")


def test_a_signal_saves_at_once_and_ends(notebook: Path, line: Line) -> None:
    """Other signals, and a line that drops: ``tests/slow/test_ends.py``."""
    line.press("7.5")
    line.wait_for(r"Read as 7\.5 mm")
    line.kill(signal.SIGTERM)
    assert line.wait_for_end() == 128 + signal.SIGTERM
    assert throw(notebook) == "7.5"


def test_a_line_that_takes_no_bytes_saves_at_once(notebook: Path, line: Line) -> None:
    """Nothing is read from the terminal while keys go on and the program is ended."""
    line.press("7.5")
    line.wait_for(r"Read as 7\.5 mm")
    line.send_bytes(b"\x1b" + b"\x1b[B\x1b[A" * 400)
    line.kill(signal.SIGTERM)
    until(lambda: throw(notebook) == "7.5")


def test_nothing_in_a_file_steers_the_terminal(write: Callable[[Project], Path]) -> None:
    line = Line(write(nasty()))
    line.wait_for("1 prototype")
    for key, shown in (("enter", r"\[Dim"), ("right", r"\[Mat"), ("right", r"\[Heat"), ("right", r"\[Res"),
                       ("right", r"\[Diary"), ("w", "^Why"), ("esc", r"\[Diary"), ("m", "^Marks of")):  # fmt: skip
        line.press(key)
        line.wait_for(shown)
    line.press("ctrl+q")
    line.wait_for_end()
    assert b"]52;c" in line.wrote, "the text itself must have been on the screen"
    assert OSC.encode() not in line.wrote
    assert b"\x1b]52" not in line.wrote
    assert "\x9b".encode() not in line.wrote


WALK = ("6 mm", "enter", "1,500", "esc", "up", "ctrl+z", "right", "down", "space", "right", "left", "left", "w",
        "down", "esc", "m", "esc", "?", "esc", "left", "left", "right", "right", "home", "down", "enter", "esc",
        "end")  # fmt: skip


def shows_the_same(notebook: Path, environ: dict[str, str]) -> None:
    """Walk with only changed cells sent and with all, and look that each screen is the same (``tests/slow``)."""
    twin = notebook.parent / "twin" / "notebook"
    shutil.copytree(notebook, twin)
    whole = opened(notebook, {**environ, "QUARTERTURN_DIFF": "0"})
    changed = opened(twin, environ)
    for key in WALK:
        for line in (whole, changed):
            line.press(key)
        for line in (whole, changed):
            line.settle()
        assert whole.cells() == changed.cells(), key
    assert len(changed.wrote) < len(whole.wrote) / 2
    whole.close()
    changed.close()


def test_no_colour_is_sent_where_none_is_wanted(notebook: Path) -> None:
    line = opened(notebook, {"NO_COLOR": ""})
    line.press("right", "m")
    line.wait_for("^Marks of")
    line.close()
    codes = {code for found in re.findall(rb"\x1b\[([0-9;]*)m", line.wrote) for code in found.split(b";")}
    assert codes <= {b"", b"0", b"1", b"2", b"4", b"7", b"39", b"49"}
    assert b"7" in codes


def test_a_locale_without_utf8_gets_ascii_alone(notebook: Path) -> None:
    """For terminals without braille see ``test_terminals.py``."""
    line = opened(notebook, {"LC_ALL": "C"})
    line.press("w")
    line.wait_for("^Why")
    line.close()
    assert line.wrote.isascii()


def test_escape_and_a_letter_right_after_it_are_two_keys(notebook: Path, line: Line) -> None:
    """On the line the two look like Alt and the letter."""
    line.press("7 m")
    line.wait_for(r"Read as 7 m|not possible")
    line.send_bytes(b"\x1bm")
    line.wait_for("^Marks of")
    until(lambda: throw(notebook) == "7 m")


def test_keys_pressed_while_only_names_are_shown_are_not_lost(notebook: Path) -> None:
    """The cursor moves at once; opening waits until what stands behind the names is there, and its figures come."""
    line = Line(notebook)
    line.wait_for("Rocker")
    line.press("down", "enter", "right", "right", "left")
    line.wait_for(r"\[Materials\]")
    line.wait_for(r"Best shaft power +4\.0 mW")
    assert line.screen().startswith("Paint tin")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0


def test_keys_pressed_behind_the_one_that_opens_a_prototype_are_for_its_screen(notebook: Path) -> None:
    """All in one burst: open, two panes on, back, a field down, a text."""
    line = Line(notebook)
    line.wait_for("Paint tin +gamma")
    line.press(KEYS["down"] + "\r" + KEYS["right"] * 2 + KEYS["left"] * 2 + KEYS["down"] * 2 + "11 mm\r")
    until(lambda: "11 mm" in read_project(notebook / "paint-tin.toml").project.latest.build.values())
    line.press("ctrl+q")
    assert line.wait_for_end() == 0


def test_what_is_not_in_sight_is_read_when_it_comes_into_sight(notebook: Path) -> None:
    for number in range(20):
        shutil.copy(notebook / "paint-tin.toml", notebook / f"tin-{number:02}.toml")
    (notebook / "zz.toml").write_text('format = 1\nname = "Zz last"\n[mark.1]\n', encoding="utf-8")
    line = Line(notebook)
    line.wait_for("Paint tin +gamma")
    line.press("end")
    line.wait_for(r"> +Zz last +\?")
    line.press("home")
    line.wait_for("cannot be read")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0
