"""No text of a file reaches the terminal as a control sequence or as markup, whatever screen shows it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.segment import Segment
from textual.color import Color

from model.record import Entry, Mark, Project, Reading
from model.store import Drafts, read_project
from tests.examples import few_or
from tests.tui.stage import Play, play
from tui.host.terminal import Terminal
from tui.text.sanitise import without_control
from tui.textual_patches.output_filter import ControlFilter, as_ascii

OSC = "\x1b]52;c;aGVsbG8=\x07"
NASTY = f"A{OSC}B\x1b[2JC\x9b31mD\x00\x08\x7f[red]E[/red][@click=app.quit]F[/][/nope]\u202eG\u2066"
"""Clipboard write, clear screen, C1 colour, NUL, backspace, markup that would act or raise, turned direction."""
CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def nasty() -> Project:
    build = {"layout": NASTY, "piston_bore": NASTY, "heat_source": "candle", NASTY: NASTY}
    reading = Reading(key="a", kind=NASTY, texts={"turns": NASTY, "note": NASTY})
    entry = Entry(key="k7f3m2", day=NASTY, mark=1, text=NASTY, ticks=(NASTY,), changed=NASTY, next_idea=NASTY,
                  readings={"a": reading})  # fmt: skip
    mark = Mark(number=1, reason=NASTY, build=build)
    return Project(name=NASTY, about=NASTY, marks={1: mark}, entries={"k7f3m2": entry})


KEYS: dict[str, tuple[str, ...]] = {
    "list": (),
    "rename": ("r",),
    "copy": ("c",),
    "delete": ("d",),
    "deleted": ("d", "d"),
    "bin": ("d", "d", "b"),
    "back from the bin": ("d", "d", "ctrl+z"),
    "project": ("enter",),
    "open field": ("enter", "down", "enter"),
    "results": ("enter", "right", "right", "right"),
    "diary": ("enter", "left", "left"),
    "not running": ("enter", "left"),
    "everything of not running": ("enter", "left", "w"),
    "marks": ("enter", "m"),
    "why": ("enter", "w"),
    "help": ("question_mark",),
}


@pytest.mark.parametrize("plain", few_or([False], [False, True]))
def test_what_a_killed_window_left_is_offered_harmless(write: Callable[[Project], Path], plain: bool) -> None:
    folder = write(Project(name="Plain", marks={1: Mark(number=1, build={"layout": "beta"})}))
    path = folder / "one.toml"
    stored = read_project(path)
    window = Drafts()
    held = {"mark.1.build.piston_bore": NASTY, NASTY: NASTY}
    window.write(path, nasty(), held, revision=stored.revision, base=stored.project)
    window.close()

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        screen = acts.screen()
        assert "Brought back" in screen and "[re" in screen
        assert not CONTROL.search(screen)
        assert not plain or screen.isascii()
        await acts.press("enter")
        assert not CONTROL.search(acts.screen())

    play(folder, scene, terminal=Terminal(plain=plain))


PLACES = [(False, place) for place in few_or(tuple(KEYS)[::2], tuple(KEYS))]
PLAIN = [(True, place) for place in few_or(("list", "project", "why"), tuple(KEYS))]


@pytest.mark.parametrize(("plain", "place"), PLACES + PLAIN)
def test_no_control_character_and_no_markup_is_drawn(write: Callable[[Project], Path], place: str, plain: bool) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*KEYS[place])
        screen = acts.screen()
        assert not CONTROL.search(screen)
        assert screen.strip()
        if place != "help":
            assert "[re" in screen, "markup must stand as it was written"
        if plain:
            assert screen.isascii()

    play(write(nasty()), scene, terminal=Terminal(plain=plain))


def test_the_filter_drops_control_characters_and_keeps_styles() -> None:
    segments = [Segment(NASTY)]
    (drawn,) = ControlFilter(plain=False).apply(segments, Color(0, 0, 0))
    assert drawn.text == "A]52;c;aGVsbG8=B[2JC31mD[red]E[/red][@click=app.quit]F[/][/nope]G"
    assert without_control("a\tb\nc\u2028d") == "abcd"


@pytest.mark.parametrize("text", ["Größe", "─│┌", "日本", "12 °C ±1", "e\u0301", "🙂"])
def test_plain_characters_take_the_same_number_of_cells(text: str) -> None:
    from rich.cells import cell_len

    assert as_ascii(text).isascii()
    assert len(as_ascii(text)) == cell_len(text)
