"""Keys that come together do what they do one by one: only the screen on top takes a key, and it closes once."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from model.record import Entry, Mark, Project, Reading
from model.store import save_project
from tests.examples import few_or
from tests.tui.stage import CAN, ROCKER, Play, play

OPEN = ("down", "enter")
"""From the list into the can."""
RESULTS = (*OPEN, *["right"] * 3)
DIARY = (*OPEN, *["right"] * 4)
NOT_RUNNING = (*OPEN, "left")
PLACES: dict[str, tuple[str, ...]] = {
    "list": ("down",),
    "note of the list": ("down", "n", "w", "x"),
    "start of a new one": ("a",),
    "name of a new one": ("a", "1", "b"),
    "copy": ("down", "c"),
    "rename": ("down", "r"),
    "delete": ("down", "d"),
    "bin": ("b",),
    "keys": ("?",),
    "side by side": ("s",),
    "dimensions": OPEN,
    "open field": (*OPEN, "down", "down", "7"),
    "marks": (*OPEN, "m"),
    "reason of a mark": (*OPEN, "m", "c", "x"),
    "why": (*OPEN, "w"),
    "keys of a prototype": (*OPEN, "?"),
    "note": (*OPEN, "n", "w", "x"),
    "results": RESULTS,
    "reading": (*RESULTS, "enter"),
    "delete a reading": (*RESULTS, "d"),
    "kind of a reading": (*RESULTS, "a"),
    "stopwatch": (*RESULTS, "enter", "s", " "),
    "diary": DIARY,
    "text of an entry": (*DIARY, "enter", "x"),
    "ticks of an entry": (*DIARY, "enter", "tab"),
    "delete an entry": (*DIARY, "d"),
    "not running": NOT_RUNNING,
    "symptoms": (*NOT_RUNNING, "/", "t", "o", "p"),
    "correction or change": (*OPEN, "down", "down", "7", "enter"),
}
"""Every screen and small screen, and the keys that lead there."""
PAIRS = (
    ("escape", "left"), ("escape", "delete"), ("escape", "escape"), ("escape", "q"), ("enter", "enter"),
    ("q", "left"), ("q", " "), ("enter", "escape"), ("escape", "enter"), ("d", "d"), ("k", "k"), ("w", "w"),
)  # fmt: skip
"""Keys that close something, or answer it, two together."""


def notebook_of(folder: Path) -> Path:
    """Make a notebook in which every place can be gone to: a mark with a reading, an entry, a second prototype."""
    folder.mkdir()
    reading = Reading(key="a", kind="speed", texts={"turns": "20", "time": "10 s", "mark": "1"})
    entry = Entry(key="k7f3m2", day="2026-11-25", mark=1, text="Turned free.", readings={"a": reading})
    tin = Project(name="Tin", marks={1: Mark(number=1, build=CAN)}, entries={"k7f3m2": entry})
    save_project(folder / "tin.toml", tin, revision=None)
    save_project(folder / "rocker.toml", Project(name="Rocker", marks={1: Mark(number=1, build=ROCKER)}), revision=None)
    return folder


def outcome(folder: Path, place: tuple[str, ...], keys: tuple[str, ...], *, together: bool) -> tuple[Any, ...]:
    """Go to a place and press keys, one by one or together; return screens, texts and files afterwards."""
    found: list[Any] = []

    async def scene(acts: Play) -> None:
        await acts.press(*place)
        if together:
            for key in keys:
                acts.send(key)
            await acts.quiet()
        else:
            await acts.press(*keys)
        at = acts.app.session.current
        found.append([type(screen).__name__ for screen in acts.app.screen_stack])
        found.append(acts.screen() if acts.app.is_running else "")
        found.append(at and at.name)

    play(folder, scene)
    files = {path.name: path.read_text() for path in sorted(folder.rglob("*.toml")) if ".drafts" not in path.parts}
    return (*found, {name: re.sub(r"entry\.\w+", "entry.KEY", text) for name, text in files.items()})


def differences(tmp_path: Path, place: str, pairs: tuple[tuple[str, str], ...]) -> list[str]:
    """Return the pairs that do something else together than one by one."""
    told = []
    for number, pair in enumerate(pairs):
        whole = notebook_of(tmp_path / f"{number}-one")
        together = Path(shutil.copytree(whole, tmp_path / f"{number}-two"))
        one = outcome(whole, PLACES[place], pair, together=False)
        two = outcome(together, PLACES[place], pair, together=True)
        if one[0] != two[0] or one[2:] != two[2:] or one[1].replace("-one", "") != two[1].replace("-two", ""):
            told.append(f"{pair}: {one} / {two}")
    return told


PAIRS = [
    ("note of the list", ("enter", "enter")),
    ("name of a new one", ("enter", "enter")),
    ("copy", ("enter", "escape")),
    ("delete", ("k", "k")),
    ("dimensions", ("escape", "left")),
    ("dimensions", ("m", "down")),
    ("dimensions", ("w", "w")),
    ("reason of a mark", ("enter", "enter")),
    ("note", ("enter", "enter")),
    ("kind of a reading", ("enter", "enter")),
    ("stopwatch", ("escape", "escape")),
    ("ticks of an entry", ("escape", "q")),
    ("delete an entry", ("escape", "delete")),
    ("correction or change", ("enter", "down")),
    ("open field", ("enter", "c")),
]


@pytest.mark.parametrize(("place", "pair"), few_or(PAIRS[::2], PAIRS), ids=str)
def test_two_keys_together_do_what_they_do_one_by_one(tmp_path: Path, place: str, pair: tuple[str, str]) -> None:
    """Of every kind one; ``python -m tests.typing bursts`` presses all pairs everywhere."""
    assert differences(tmp_path, place, (pair,)) == []


@pytest.mark.parametrize(
    ("place", "text", "wanted"),
    [
        ("text of an entry", "some words", "xsome words"),
        ("note", "some words\n", "wxsome words"),
        ("note of the list", "some words\n", "wxsome words"),
        ("open field", ".53 mm", "7.53 mm"),
    ],
)
def test_quitting_right_behind_what_was_typed_loses_none_of_it(
    tmp_path: Path, place: str, text: str, wanted: str
) -> None:
    folder = notebook_of(tmp_path / "notebook")

    async def scene(acts: Play) -> None:
        await acts.press(*PLACES[place])
        for character in text:
            acts.send("enter" if character == "\n" else character)
        acts.send("ctrl+q")
        await acts.quiet()

    play(folder, scene)
    drafts = "".join(path.read_text() for path in folder.rglob("*") if path.is_file())
    assert wanted in drafts
