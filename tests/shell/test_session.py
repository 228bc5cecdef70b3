"""The command on an 80x24 pseudo-terminal, as a builder uses it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from model.store import read_project
from tests.shell.terminal import ROOT, Terminal, installed_command
from tests.tui.line import Line
from tui.exits import Exit


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """A copy of the demo notebook."""
    return Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook"))


@pytest.fixture
def opened(notebook: Path, tmp_path: Path) -> Iterator[Terminal]:
    """The notebook on a terminal; ended afterwards."""
    terminal = Terminal([*installed_command(), str(notebook)], cwd=tmp_path)
    yield terminal
    terminal.close()


def shaft_power(screen: str) -> str:
    """Return the predicted best shaft power as it stands on the screen."""
    found = re.search(r"Best shaft power +(\S+ m?W)", screen)
    assert found, screen
    return found[1]


def test_a_builder_edits_sees_the_prediction_change_enters_a_reading_sees_the_gap_and_finds_all_in_the_file(
    opened: Terminal, notebook: Path
) -> None:
    opened.wait_for("Two syringes")
    opened.press("enter")
    before = shaft_power(opened.wait_for(r"Model +up to date"))
    opened.press(*["down"] * 5)
    opened.wait_for(r"^> +Piston throw +2\.5 mm")
    opened.press("4 mm", "enter")
    opened.wait_for("Mk 3 has readings")
    opened.press("n")
    opened.wait_for("what was touched since")
    opened.press("enter")
    opened.wait_for(r"Mk 4 .*saved")
    opened.wait_for(r"Piston throw +4 mm")
    assert shaft_power(opened.wait_for(r"Model +up to date")) != before
    opened.press("right", "right", "right")
    opened.wait_for(r"\[Results\]")
    opened.press("a")
    opened.wait_for("What was measured\\?")
    opened.press("1")
    opened.wait_for(r"^>.*Turns counted +\?")
    opened.press("120", "enter")
    opened.wait_for(r"Turns counted +120")
    opened.press("33 s", "enter")
    assert re.search(r"Comes to 218", opened.wait_for(r"predicted [\s\S]* gap -?\d+"))
    opened.wait_for(r"Mk 4 .*saved")
    opened.press("ctrl+q")
    assert opened.wait_for_end() == Exit.OK
    project = read_project(notebook / "cocoa-tin.toml").project
    assert project.marks[4].build["piston_throw"] == "4 mm"
    assert project.marks[3].build["piston_throw"] == "2.5 mm +-0.2 measured"
    ((_, reading),) = project.readings_of(4)
    assert (reading.kind, reading.texts["turns"], reading.texts["time"]) == ("speed", "120", "33 s")


def test_without_a_terminal_name_that_serves_it_says_so_and_ends(notebook: Path, tmp_path: Path) -> None:
    terminal = Terminal([*installed_command(), str(notebook)], environ={"TERM": "dumb"}, cwd=tmp_path)
    terminal.wait_for("TERM=dumb")
    assert terminal.wait_for_end() == Exit.NO_TERMINAL
    terminal.close()


def test_an_empty_folder_opens_and_says_what_to_do(tmp_path: Path) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    terminal = Terminal([*installed_command(), str(folder)], cwd=tmp_path)
    terminal.wait_for(r"\ba\b.*(add|new)")
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == Exit.OK
    terminal.close()
    assert [path.name for path in folder.glob("*.toml")] == []


def test_a_broken_file_is_listed_and_the_others_open(notebook: Path, tmp_path: Path) -> None:
    (notebook / "aa-broken.toml").write_text("name = = 3\n")
    terminal = Terminal([*installed_command(), str(notebook)], cwd=tmp_path)
    screen = terminal.wait_for("Two syringes")
    assert "aa-broken" in screen
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == Exit.OK
    terminal.close()
    assert (notebook / "aa-broken.toml").read_text() == "name = = 3\n"


def own(tmp_path: Path) -> Terminal:
    """Open the builder's own notebook, in an XDG data folder of the test."""
    return Terminal(installed_command(), environ={"XDG_DATA_HOME": str(tmp_path / "data")}, cwd=tmp_path)


def test_without_a_folder_the_own_notebook_is_made_and_offers_the_examples_by_a_key(tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: ``$XDG_DATA_HOME``; the copies are byte for byte those of the demo."""
    folder = tmp_path / "data" / "quarterturn"
    terminal = own(tmp_path)
    screen = terminal.wait_for("Press e for copies")
    assert "Press a to add a prototype" in screen and "0 prototypes" in screen
    assert folder.stat().st_mode & 0o777 == 0o700
    terminal.press("e")
    terminal.wait_for("3 prototypes[\\s\\S]*Two syringes")
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == Exit.OK
    terminal.close()
    demo = {path.name: path.read_bytes() for path in (ROOT / "projects").glob("*.toml")}
    assert {path.name: path.read_bytes() for path in folder.glob("*.toml")} == demo
    terminal = own(tmp_path)
    assert "Press e" not in terminal.wait_for("3 prototypes[\\s\\S]*Cocoa tin")
    terminal.press("ctrl+q")
    terminal.wait_for_end()
    terminal.close()


def test_in_the_own_notebook_a_first_prototype_is_begun_by_keys_alone(tmp_path: Path) -> None:
    terminal = own(tmp_path)
    terminal.wait_for("Press a to add")
    terminal.press("a")
    terminal.wait_for("what is it like")
    terminal.press("enter")
    terminal.wait_for("What do you call it")
    terminal.press("Bean can", "enter")
    terminal.wait_for("1 prototype [\\s\\S]*Bean can")
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == Exit.OK
    terminal.close()
    assert read_project(tmp_path / "data" / "quarterturn" / "bean-can.toml").project.name == "Bean can"


def test_what_is_said_at_the_end_has_no_control_characters_of_a_file_name(notebook: Path, tmp_path: Path) -> None:
    """A note is begun for it and not used; the shell is told its name."""
    (notebook / "mug.toml").rename(notebook / "mug\x1b[35m\x9b7m.toml")
    terminal = Line(notebook, command=[*installed_command(), str(notebook)])
    terminal.wait_for("Mug[\\s\\S]*Two syringes")
    terminal.press("down", "n")
    terminal.wait_for("Note for Mug")
    terminal.press("Gland squeaks")
    terminal.wait_for("Gland squeaks")
    terminal.press("esc")
    terminal.wait_for("3 prototypes")
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == Exit.OK
    _, found, last = terminal.wrote.partition(b"Begun and not entered yet: mug")
    assert found and b"offered when you open it again" in last
    assert b"\x1b" not in last and b"\x9b" not in last
