"""A note from anywhere: where it goes, and that a text that was begun is never lost."""

from __future__ import annotations

from pathlib import Path

from model.record import Project
from model.store import read_project
from tests.tui.stage import Play, can, play
from tui.dialogs.base import LineDialog
from tui.screens.project_list import ProjectsScreen


def saved(notebook: Path) -> Project:
    return read_project(notebook / "paint-tin.toml").project


def begun(acts: Play) -> str:
    assert isinstance(acts.app.screen, LineDialog)
    return acts.app.screen.input.value


def test_a_note_from_the_list_goes_into_the_diary_of_the_chosen_prototype_at_its_latest_mark(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "n")
        await acts.write("Gland squeaks [red]")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectsScreen)
        entry = list(saved(notebook).entries.values())[-1]
        assert (entry.text, entry.day, entry.mark) == ("Gland squeaks [red]", "2026-11-26", 2)
        await acts.press("n")
        assert begun(acts) == ""

    play(notebook, scene)


def test_a_note_typed_in_one_burst_is_whole(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down")
        for key in ("n", *"quyk", "backspace", "left", "delete", "i", *"c", "end", "k", "space", *"words", "enter"):
            acts.send(key)
        await acts.quiet()
        assert list(saved(notebook).entries.values())[-1].text == "quick words"

    play(notebook, scene)


def test_escape_keeps_the_text_for_the_next_time_and_stores_nothing(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "n")
        await acts.write("Half a ")
        await acts.press("escape")
        assert saved(notebook) == can()
        await acts.press("enter", "n")
        assert begun(acts) == "Half a "
        assert "Begun before" in acts.screen()
        await acts.write("thought")
        await acts.press("enter")
        assert list(saved(notebook).entries.values())[-1].text == "Half a thought"

    play(notebook, scene)


def test_a_text_that_was_begun_is_offered_again_after_quitting(notebook: Path) -> None:
    async def first(acts: Play) -> None:
        await acts.press("down", "n")
        await acts.write("Half")
        await acts.press("escape", "q")
        acts.app.persistence.close()

    async def second(acts: Play) -> None:
        await acts.press("down", "n")
        assert begun(acts) == "Half"
        for _ in range(4):
            await acts.press("backspace")
        await acts.press("escape", "n")
        assert begun(acts) == ""

    play(notebook, first)
    assert saved(notebook) == can()
    play(notebook, second)
    assert saved(notebook) == can()


def test_a_text_is_in_the_draft_while_it_is_typed(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "n")
        await acts.write("In case of a kill")
        drafts = [path.read_text() for path in (notebook / ".drafts").glob("paint-tin*.draft*")]
        assert any("In case of a kill" in text for text in drafts)

    play(notebook, scene)


def test_a_note_when_the_clock_runs_behind_asks_for_the_day_and_escape_keeps_the_text(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        acts.app.controller.today = lambda: "1970-01-01"
        await acts.press("down", "n")
        await acts.write("x")
        await acts.press("enter")
        assert "The clock says 1970-01-01" in acts.screen()
        await acts.press("escape", "n")
        assert begun(acts) == "x"
        await acts.press("enter", "l")
        assert list(saved(notebook).entries.values())[-1].day == "2026-11-25"

    play(notebook, scene)


def test_control_characters_that_were_pasted_are_not_stored(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "n")
        assert isinstance(acts.app.screen, LineDialog)
        acts.app.screen.input.value = "a\x1b[2Jb"
        await acts.press("enter")
        assert list(saved(notebook).entries.values())[-1].text == "a[2Jb"

    play(notebook, scene)
