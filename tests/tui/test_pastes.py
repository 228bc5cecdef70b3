"""Pastes: one line into fields and lines to write, lines into the diary; nothing in them is a key."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from model.record import Project
from model.store import read_project
from tests.tui.line import Line
from tests.tui.stage import Play, play
from tests.tui.test_bursts import DIARY, OPEN, RESULTS, notebook_of

HOSTILE = "17\x1b.5\x9b mm\u202e\n\tmeasured\r\n"
CLEAN = "17.5 mm measured"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return notebook_of(tmp_path / "notebook")


def pasted(folder: Path, place: tuple[str, ...], text: str, *after: str, name: str = "tin") -> Project:
    """Paste at a place and press keys; return what is in the file then."""

    async def scene(acts: Play) -> None:
        await acts.press(*place)
        acts.app.post_message(events.Paste(text))
        await acts.quiet()
        await acts.press(*after, "ctrl+q")

    play(folder, scene)
    return read_project(folder / f"{name}.toml").project


BORE = ("enter", "down", "down")
"""A field of the one without a reading: nothing is asked."""


@pytest.mark.parametrize("place", [BORE, (*BORE, "enter", *["backspace"] * 20)], ids=["closed", "open"])
def test_a_paste_into_a_field_is_one_line_of_text(folder: Path, place: tuple[str, ...]) -> None:
    """It opens a field that is closed, as a digit does."""
    assert pasted(folder, place, HOSTILE, "enter", name="rocker").latest.build["piston_bore"] == CLEAN


def test_a_paste_onto_a_field_of_words_is_the_word(folder: Path) -> None:
    assert pasted(folder, BORE[:2], "diaphragm\n", "enter", name="rocker").latest.build["piston_kind"] == "diaphragm"


def test_a_paste_into_a_note_keeps_all_its_lines(folder: Path) -> None:
    told = pasted(folder, (*OPEN, "n", "a", " "), "ran\n\n  hot\x1b[2J\u202e side\r\nleft\n", "enter")
    assert [entry.text for entry in told.entries.values()][-1] == "a ran hot[2J side left"


def test_what_of_a_paste_does_not_fit_into_a_line_is_told(folder: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN, "n")
        acts.app.post_message(events.Paste("x" * 2500))
        await acts.quiet()
        assert "the end of what was pasted is left out" in " ".join(acts.screen().split())
        await acts.press("enter", "ctrl+q")

    play(folder, scene)
    entries = read_project(folder / "tin.toml").project.entries
    assert list(entries.values())[-1].text == "x" * 2000


def test_a_paste_into_the_diary_keeps_its_lines(folder: Path) -> None:
    told = pasted(folder, (*DIARY, "enter"), " then\nsto\x1bpped\x9b\u202e\r\n", "escape")
    assert told.entries["k7f3m2"].text == "Turned free. then\nstopped\n"


@pytest.mark.parametrize("place", [("down",), (*RESULTS,), (*RESULTS, "d"), (*DIARY, "enter", "tab"), (*OPEN, "w")])
def test_a_paste_where_nothing_is_written_does_nothing(folder: Path, place: tuple[str, ...]) -> None:
    before = read_project(folder / "tin.toml").project
    assert pasted(folder, place, "dd\nkq", "escape") == before


def test_the_rest_of_a_paste_with_an_escape_in_it_is_no_key(folder: Path) -> None:
    """On the line: it would open the question whether to delete."""
    line = Line(folder)
    line.wait_for("Tin +gamma")
    line.send_bytes(b"\x1b[200~hello \x1b dd \x1b[201~")
    line.press("n")
    line.wait_for("^Note for Rocker")
    line.send_bytes(b"\x1b[200~hello \x1b dd\nand more\x1b[201~!\r")
    line.wait_for("Rocker +rocking")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0
    entries = read_project(folder / "rocker.toml").project.entries
    assert [entry.text for entry in entries.values()] == ["hello  dd and more!"]


def test_a_paste_without_an_end_is_ended_and_keys_go_on(folder: Path) -> None:
    line = Line(folder)
    line.wait_for("Tin +gamma")
    line.press("n")
    line.wait_for("^Note for Rocker")
    line.send_bytes(b"\x1b[200~half of it")
    line.wait_for("half of it")
    line.press("!", "enter")
    line.wait_for("Rocker +rocking")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0
    entries = read_project(folder / "rocker.toml").project.entries
    assert [entry.text for entry in entries.values()] == ["half of it!"]
