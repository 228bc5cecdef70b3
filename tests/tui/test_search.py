"""The slash: words are looked for as they are typed, and Enter goes where they stand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from model.record import Project
from model.store import save_project
from tests.tui.stage import Play, can, play
from tui.dialogs.search import NotebookSearch
from tui.screens.project import ProjectScreen
from tui.screens.project_list import ProjectsScreen


def two(folder: Path) -> Path:
    """A notebook of two prototypes: one that nothing was written of, one with an entry and a brake reading."""
    save_project(folder / "a.toml", Project(name="Bean can"), revision=None)
    save_project(folder / "b.toml", can(), revision=None)
    return folder


def test_from_the_list_every_diary_is_searched_and_enter_opens_the_entry(tmp_path: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("slash")
        await acts.write("turned fr")
        assert isinstance(acts.app.screen, NotebookSearch)
        assert "Paint tin 2026-11-25 Mk 1: Turned free at last." in acts.screen()
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectScreen)
        assert acts.app.screen.pane.id == "diary"
        assert "Paint tin" in acts.screen()
        assert "[Diary]" in acts.screen()

    play(two(tmp_path), scene)


def test_in_a_prototype_a_reading_of_another_mark_is_found_and_turned_to(tmp_path: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter")
        await acts.press("slash")
        await acts.write("brake 300")
        await acts.press("enter")
        screen = acts.app.screen
        assert isinstance(screen, ProjectScreen)
        assert (screen.pane.id, acts.app.session.number) == ("results", 1)
        assert "Brake, 2026-11-25, Mk 1" in acts.screen()

    play(two(tmp_path), scene)


def test_a_mark_is_found_by_its_reason_and_nothing_by_what_nobody_wrote(tmp_path: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("slash")
        await acts.write("xyzzy")
        assert "Nothing is written of that." in acts.screen()
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectsScreen)
        await acts.press("slash")
        await acts.write("shorter")
        await acts.press("enter")
        assert acts.app.session.number == 2
        assert "[Dimensions]" in acts.screen()

    play(two(tmp_path), scene)


def test_the_row_under_the_cursor_stays_in_sight_among_many_and_escape_goes_back(tmp_path: Path) -> None:
    project = can()
    entry = project.entries["k7f3m2"]
    many = {f"k{i}": replace(entry, key=f"k{i}", day=f"2026-10-{i:02d}", readings={}) for i in range(1, 31)}
    save_project(tmp_path / "b.toml", replace(project, entries=many), revision=None)

    async def scene(acts: Play) -> None:
        await acts.press("slash")
        await acts.write("free")
        assert "30 places" in acts.screen()
        await acts.press(*["down"] * 29)
        assert "> Paint tin 2026-10-01" in acts.screen()
        await acts.press("escape")
        assert isinstance(acts.app.screen, ProjectsScreen)

    play(tmp_path, scene)
