"""Hostile texts in readings, entries, notes and side by side: nothing steers the terminal or is taken as markup."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from model.record import Project, Reading
from model.store import save_project
from tests.examples import few_or
from tests.tui.stage import Play, can, play
from tests.tui.test_hostile import CONTROL, NASTY, nasty
from tui.host.terminal import Terminal


def worse() -> Project:
    """Hostile texts in a kind of reading that has a form, too."""
    project = nasty()
    entry = project.entries["k7f3m2"]
    texts = {"turns": NASTY, "hot_metal": NASTY, "direction": NASTY, "mark": NASTY, "note": NASTY}
    known = Reading(key="b", kind="speed", texts=texts)
    return project.with_entry(replace(entry, readings={**entry.readings, "b": known}))


KEYS: dict[str, tuple[str, ...]] = {
    "all readings": ("enter", "right", "right", "right", "o"),
    "unknown kind": ("enter", "right", "right", "right", "o", "up", "enter"),
    "reading": ("enter", "right", "right", "right", "o", "enter", "down"),
    "delete a reading": ("enter", "right", "right", "right", "o", "d"),
    "new reading": ("enter", "right", "right", "right", "a", "1", "down", "down", "down", "down", "down"),
    "entry": ("enter", "left", "left", "enter"),
    "entry's form": ("enter", "left", "left", "enter", "tab", "end", "up", "up"),
    "open line": ("enter", "left", "left", "enter", "tab", "end", "up", "up", "enter"),
    "delete an entry": ("enter", "left", "left", "d"),
    "note": ("n",),
    "note's draft": ("n", "x", "escape", "n"),
    "side by side": ("space", "down", "space", "s"),
    "side by side, below": ("space", "down", "space", "s", "pagedown"),
}


PLACES = [(False, place) for place in few_or(tuple(KEYS)[::2], tuple(KEYS))]
PLAIN = [(True, place) for place in few_or(("reading", "side by side"), tuple(KEYS))]


@pytest.mark.parametrize(("plain", "place"), PLACES + PLAIN)
def test_no_control_character_and_no_markup_is_drawn(write: Callable[[Project], Path], place: str, plain: bool) -> None:
    folder = write(worse())
    save_project(folder / "two.toml", worse(), revision=None)

    async def scene(acts: Play) -> None:
        await acts.press(*KEYS[place])
        screen = acts.screen()
        assert not CONTROL.search(screen)
        assert "52;c;a" in screen
        if plain:
            assert screen.isascii()

    play(folder, scene, terminal=Terminal(plain=plain))


def test_a_mark_of_five_thousand_digits_ends_no_screen(write: Callable[[Project], Path]) -> None:
    digits = Reading(key="b", kind="speed", texts={"turns": "100", "time": "30 s", "mark": "1" * 5000})
    project = can()
    entry = project.entries["k7f3m2"]
    folder = write(project.with_entry(replace(entry, readings={**entry.readings, "b": digits})))

    async def scene(acts: Play) -> None:
        assert "There is no such mark" in " ".join(acts.screen().split())
        await acts.press("enter", "down", "down", "5", "enter", "right", "right", "right", "o")
        assert "no mark" in acts.screen()

    play(folder, scene)
