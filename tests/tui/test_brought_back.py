"""A reading, a diary text and a mark that were being typed at a kill: offered, never entered unasked."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import replace
from pathlib import Path

import pytest

from model.record import Entry, Mark, Project
from model.store import left_drafts, read_project, save_project
from tests.tui.stage import Play, can, play
from tui.state.pending import Offered
from tui.view.recovered import offered_text

READING = "speed reading of 2026-11-26 (1 turns)"
TEXT = "diary text of 2026-11-26 'Gland squeaks'"


def texts(acts: Play) -> str:
    """Return the screen in one line."""
    return " ".join(acts.screen().split())


def saved(notebook: Path) -> Project:
    return read_project(notebook / "paint-tin.toml").project


async def turn_to(acts: Play, pane: str) -> None:
    while f"[{pane}" not in acts.screen():
        await acts.press("right")


async def type_reading(acts: Play) -> None:
    """Open the can and type the first digit of the turns counted."""
    await acts.press("home", "down", "enter")
    await turn_to(acts, "Results")
    await acts.press("a", "1", "1")


async def type_text(acts: Play) -> None:
    """Open the can and type a diary text."""
    await acts.press("home", "down", "enter")
    await turn_to(acts, "Diary")
    await acts.press("a")
    await acts.write("Gland squeaks")


def killed(notebook: Path, typed: Callable[[Play], Awaitable[None]]) -> None:
    """Play a scene, and end it as a kill would: nothing is saved, the window's lock is let go."""

    async def scene(acts: Play) -> None:
        await typed(acts)
        acts.app.persistence.close()

    play(notebook, scene)
    assert left_drafts(notebook / "paint-tin.toml")


@pytest.mark.parametrize(("typed", "told"), [(type_reading, READING), (type_text, TEXT)])
def test_what_was_half_typed_is_offered_on_every_pane_and_entered_by_enter_alone(
    notebook: Path, typed: Callable[[Play], Awaitable[None]], told: str
) -> None:
    killed(notebook, typed)
    assert saved(notebook) == can()

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        for _ in range(6):
            assert f"Brought back: {told}, not saved. Enter keeps it, ctrl+z drops it." in texts(acts)
            assert acts.screen().splitlines()[-1].startswith(" Enter keep")
            assert acts.app.session.prototype.project == can()
            await acts.press("right")
        assert saved(notebook) == can()
        await acts.press("enter")
        assert "Brought back" not in acts.screen()
        project = saved(notebook)
        assert [entry.day for entry in project.entries.values()] == ["2026-11-25", "2026-11-26"]
        assert acts.screen().splitlines()[0].endswith(" saved")
        await acts.press("ctrl+z")
        assert saved(notebook) == can()

    play(notebook, scene)
    assert not left_drafts(notebook / "paint-tin.toml")


def test_what_is_dropped_comes_back_by_redo_and_is_gone_when_it_is_not(notebook: Path) -> None:
    killed(notebook, type_text)

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "enter", "ctrl+z")
        assert "Brought back" not in acts.screen()
        await acts.press("ctrl+y")
        assert TEXT in texts(acts)
        await acts.press("ctrl+z")
        acts.app.persistence.close()

    async def later(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert "Brought back" not in acts.screen()

    play(notebook, scene)
    assert not left_drafts(notebook / "paint-tin.toml")
    play(notebook, later)
    assert saved(notebook) == can()


def test_it_waits_through_other_saves_a_quit_and_another_kill(notebook: Path) -> None:
    """Nothing is decided: other work goes on, is saved, and what was brought back is still offered."""
    killed(notebook, type_text)
    killed(notebook, type_reading)

    async def working(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert "Gland squeaks" in texts(acts)
        await acts.press("n")
        await acts.write("Warm shed")
        await acts.press("enter")
        assert "Gland squeaks" in texts(acts)
        await acts.press("ctrl+q")
        assert acts.app.last_words.startswith("Begun and not entered yet: paint-tin.toml.")
        acts.app.persistence.close()

    async def again(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert "Gland squeaks" in texts(acts)
        assert "Gland squeaks" not in str(saved(notebook).entries)
        await acts.press("enter")

    play(notebook, working)
    assert [entry.text for entry in saved(notebook).entries.values()] == ["Turned free at last.", "Warm shed"]
    play(notebook, again)
    project = saved(notebook)
    assert {entry.text for entry in project.entries.values()} >= {"Turned free at last.", "Warm shed", "Gland squeaks"}
    assert [(reading.kind, reading.texts["turns"]) for _, reading in project.readings_of(2)] == [("speed", "1")]
    assert not left_drafts(notebook / "paint-tin.toml")


def test_it_is_joined_with_what_another_window_wrote_meanwhile(notebook: Path) -> None:
    killed(notebook, type_text)
    path = notebook / "paint-tin.toml"
    theirs = replace(can().with_entry(Entry(key="zzzzzz", text="From elsewhere.")), about="Changed elsewhere.")
    save_project(path, theirs, revision=read_project(path).revision)

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert TEXT in texts(acts) and "From elsewhere" not in texts(acts)
        assert acts.app.session.prototype.project == theirs
        await acts.press("enter")

    play(notebook, scene)
    project = saved(notebook)
    assert project.about == "Changed elsewhere."
    assert {each.text for each in project.entries.values()} == {
        "Turned free at last.", "From elsewhere.", "Gland squeaks"
    }  # fmt: skip


def test_taking_back_in_an_open_field_leaves_what_was_brought_back(notebook: Path) -> None:
    killed(notebook, type_text)

    async def scene(acts: Play) -> None:
        await type_reading(acts)
        await acts.press("ctrl+z")
        assert TEXT in texts(acts)
        assert saved(notebook) == can()

    play(notebook, scene)


def test_nothing_is_offered_where_everything_was_saved(notebook: Path) -> None:
    async def typing(acts: Play) -> None:
        await type_text(acts)
        await acts.press("escape", "ctrl+q")
        assert not acts.app.last_words
        acts.app.persistence.close()

    async def later(acts: Play) -> None:
        await acts.press("home", "down", "enter")
        assert "Brought back" not in acts.screen()

    play(notebook, typing)
    assert not left_drafts(notebook / "paint-tin.toml")
    play(notebook, later)
    assert "Gland squeaks" in str(saved(notebook).entries)


@pytest.mark.parametrize(
    ("keys", "question", "answers"),
    [(("enter", "m", "end", "down", "down", "down", "enter"), "What changes in Mk 3?", lambda p: p.latest.reason),
     (("r",), "Rename", lambda p: p.name)],
)  # fmt: skip
def test_a_line_that_is_begun_is_offered_again_after_escape_and_after_a_kill(
    notebook: Path, keys: tuple[str, ...], question: str, answers: Callable[[Project], str]
) -> None:
    """What changes in the next mark, and another name."""

    async def begin(acts: Play) -> None:
        await acts.press("home", "down", *keys)
        assert question in acts.screen()
        await acts.write(" Brass")

    async def escaped(acts: Play) -> None:
        await begin(acts)
        await acts.press("escape")
        assert saved(notebook) == can()
        await acts.press(*(keys[1:] or keys))
        assert " Brass" in acts.screen()
        await acts.write(" pin")
        acts.app.persistence.close()

    async def later(acts: Play) -> None:
        await acts.press("home", "down", *keys)
        assert " Brass pin" in acts.screen()
        await acts.press("enter")

    play(notebook, escaped)
    assert saved(notebook) == can()
    play(notebook, later)
    assert answers(saved(notebook)).endswith("Brass pin")
    assert not left_drafts(notebook / "paint-tin.toml")


def test_all_kinds_of_change_have_their_words() -> None:
    base = can()
    entry = base.entries["k7f3m2"]
    reading = entry.readings["a"]
    cases = {
        "brake reading of 2026-11-25 (": base.with_entry(
            replace(entry, readings={"a": replace(reading, texts={**reading.texts, "radius": "30 mm"})})
        ),
        "brake reading of 2026-11-25 deleted": base.with_entry(replace(entry, readings={})),
        "the entry of 2026-11-25 deleted": replace(base, entries={}),
        "Mk 3 begun": base.with_mark(Mark(number=3, reason="x")),
        "Mk 2 taken back": replace(base, marks={1: base.marks[1]}),
        "the name Other tin": replace(base, name="Other tin"),
        "what was seen on 2026-11-25": base.with_entry(replace(entry, ticks=())),
        "the day of 2026-11-24": base.with_entry(replace(entry, day="2026-11-24")),
    }
    for words, project in cases.items():
        assert words in offered_text(Offered(base=base, project=project))
    assert offered_text(None) == ""
