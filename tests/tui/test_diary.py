"""The pane of the diary, driven by keys alone: text, ticks, stage, day, mark; what is kept, what is taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from model.checks.stage import TICKS, steps_of
from model.record import Entry, Mark, Project
from model.store import read_project, save_project
from tests.tui.stage import CAN, SHAPES, Play, can, play
from tui.dialogs.base import ChoiceDialog, TextPage
from tui.host.terminal import Terminal
from tui.panes.diary import DiaryPane
from tui.panes.entrysheet import LONGEST
from tui.screens.project import ProjectScreen
from tui.view.entries import NEXT, stage_lines
from tui.view.lines import text_of


def saved(notebook: Path) -> Project:
    return read_project(notebook / "paint-tin.toml").project


def last(notebook: Path) -> Entry:
    return list(saved(notebook).entries.values())[-1]


def pane(acts: Play) -> DiaryPane:
    screen = acts.app.screen
    assert isinstance(screen, ProjectScreen)
    assert isinstance(screen.pane, DiaryPane)
    return screen.pane


async def open_diary(acts: Play) -> None:
    await acts.press("down", "enter", "left", "left")


def test_the_list_shows_day_mark_stage_and_first_line_and_the_stage_of_the_engine(
    write: Callable[[Project], Path],
) -> None:
    project = can().with_entry(Entry(key="e2", day="2026-11-26", mark=2, text="\n\nStuck.\nOil?", ticks=("binds",)))

    async def scene(acts: Play) -> None:
        await acts.press("enter", "left")
        lines = [line[:47].rstrip() for line in acts.screen().splitlines()]
        assert "Stage Mk 2: binds; best Mk 1: runs ten seconds" in lines
        assert "  over the diary: step 6 1 of 9" in lines
        assert "> 2026-11-26 Mk 2  binds" in lines
        assert "    Stuck." in lines

    play(write(project), scene)


def test_the_stage_over_the_diary_is_its_end_where_there_are_many_and_says_once_what_did_not_change() -> None:
    keys = [choice.key for choice in TICKS]
    ticked = [keys[0], keys[0], "unknown", *(keys[n % 9] for n in range(1, 40))]
    project = can()
    for n, tick in enumerate(ticked):
        project = project.with_entry(Entry(key=f"s{n}", day=f"2026-12-{n % 28 + 1:02d}", mark=2, ticks=(tick,)))
    assert [step.seen.key for step in steps_of(project)][1:4] == keys[:3]
    text = text_of(stage_lines(project, 46)[-1])
    assert len(text) <= 46
    assert text.startswith("  over the diary: step .. ")
    assert text.endswith(" 3 4 of 9")
    assert len(stage_lines(can(), 46)) == 1


def test_an_evening_on_which_nothing_ran_is_written_down_with_its_ticks(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("a")
        await acts.write("It did not run.")
        await acts.press("enter")
        await acts.write("Sticks once a turn.")
        await acts.press("tab", "space", "down", "down", "space")
        entry = last(notebook)
        assert (entry.day, entry.mark) == ("2026-11-26", 2)
        assert entry.text == "It did not run.\nSticks once a turn."
        assert entry.ticks == ("binds", "bounces")
        await acts.press("space")
        assert last(notebook).ticks == ("binds",)
        for _ in range(7):
            await acts.press("down")
        await acts.press("enter")
        await acts.write("New gland")
        await acts.press("enter", "enter")
        await acts.write("Lighter displacer")
        await acts.press("escape", "escape")
        assert (last(notebook).changed, last(notebook).next_idea) == ("New gland", "Lighter displacer")
        assert "saved" in acts.screen().splitlines()[0]

    play(notebook, scene)


def test_letters_typed_in_one_burst_after_a_are_all_in_the_text_and_in_order(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        for key in ("a", *"dnmwq"):
            acts.send(key)
        await acts.quiet()
        assert isinstance(acts.app.screen, ProjectScreen)
        assert pane(acts).sheet.words.text == "dnmwq"

    play(notebook, scene)


def test_letters_and_keys_that_edit_keep_their_order_in_one_burst(notebook: Path) -> None:
    """Up from the new line's first column is the first column again."""
    keys = "a h t e backspace backspace e left left t end enter up s home +"

    async def scene(acts: Play) -> None:
        await open_diary(acts)
        for key in keys.split():
            acts.send(key)
        await acts.quiet()
        assert pane(acts).sheet.words.text == "+sthe\n"

    play(notebook, scene)


def test_typed_text_is_in_a_draft_before_the_text_is_left(notebook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "end")
        await acts.write(" And back.")
        assert pane(acts).editing
        assert last(notebook).text == "Turned free at last."
        drafts = [path.read_text() for path in (notebook / ".drafts").glob("paint-tin*.draft*")]
        assert any("Turned free at last. And back." in text for text in drafts)
        await acts.press("ctrl+q")

    play(notebook, scene)
    assert last(notebook).text == "Turned free at last. And back."


def test_an_entry_that_was_begun_and_left_empty_is_not_stored(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("a", "escape", "escape", "right", "left")
        assert saved(notebook) == can()
        assert acts.app.session.prototype.undo == []

    play(notebook, scene)


def test_undo_takes_back_the_whole_visit_to_a_text(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter")
        await acts.write(" More.")
        await acts.press("escape")
        assert last(notebook).text == "Turned free at last. More."
        await acts.press("ctrl+z")
        assert last(notebook).text == "Turned free at last."
        assert pane(acts).sheet.words.text == "Turned free at last."
        await acts.press("ctrl+y")
        assert last(notebook).text == "Turned free at last. More."

    play(notebook, scene)


def test_saving_in_the_middle_of_a_text_keeps_the_keys_there(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter")
        await acts.write(" One.")
        await acts.press("ctrl+s")
        assert last(notebook).text == "Turned free at last. One."
        await acts.write(" Two.")
        assert acts.app.session.prototype.project.entries["k7f3m2"].text == "Turned free at last. One. Two."
        await acts.press("escape")
        assert last(notebook).text == "Turned free at last. One. Two."
        await acts.press("ctrl+z")
        assert last(notebook).text == "Turned free at last. One."

    play(notebook, scene)


def test_a_file_that_another_window_wrote_meanwhile_is_joined_and_no_letter_is_lost(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter")
        await acts.write(" Mine.")
        path = notebook / "paint-tin.toml"
        theirs = replace(saved(notebook), about="From elsewhere.")
        save_project(path, theirs, revision=read_project(path).revision)
        await acts.press("escape")
        assert saved(notebook).about == "From elsewhere."
        assert last(notebook).text == "Turned free at last. Mine."

    play(notebook, scene)


def test_looking_at_an_entry_changes_nothing(write: Callable[[Project], Path]) -> None:
    entry = Entry(key="e", day="some day", mark=1, text="a\x1b[2J\n\tb\n\n", ticks=("unheard_of", "binds"))
    project = Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry})
    folder = write(project)

    async def scene(acts: Play) -> None:
        await acts.press("enter", "left", "enter", "down", "escape", "tab", "down", "escape", "escape", "escape")
        assert read_project(folder / "one.toml").project == project

    play(folder, scene)


def test_ticks_that_this_version_does_not_know_stay(write: Callable[[Project], Path]) -> None:
    entry = Entry(key="e", day="2026-11-25", mark=1, ticks=("unheard_of",))
    folder = write(Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry}))

    async def scene(acts: Play) -> None:
        await acts.press("enter", "left", "left", "enter", "escape", "space")
        assert read_project(folder / "one.toml").project.entries["e"].ticks == ("binds", "unheard_of")

    play(folder, scene)


def test_an_entry_of_another_mark_leaves_its_readings_on_theirs(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "escape", "end", "space", "escape")
        assert last(notebook).mark == 2
        assert len(saved(notebook).readings_of(1)) == 1
        assert saved(notebook).readings_of(2) == ()

    play(notebook, scene)


def test_a_day_that_is_none_stays_as_typed_and_flagged(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "escape", "end", "up", "enter")
        await acts.write("x")
        await acts.press("enter")
        assert "The day is not a date" in acts.screen()
        await acts.press("escape")
        assert last(notebook).day == "2026-11-25x"
        assert ">!2026-11-25x" in acts.screen()

    play(notebook, scene)


def test_deleting_an_entry_says_what_goes_with_it_and_undo_brings_it_back(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("d")
        assert isinstance(acts.app.screen, ChoiceDialog)
        assert "Its 1 reading would go with it" in acts.screen()
        await acts.press("d")
        assert saved(notebook).entries == {}
        await acts.press("ctrl+z")
        assert saved(notebook) == can()

    play(notebook, scene)


def test_another_pane_and_back_finds_the_entry_open_and_its_text_saved(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter")
        await acts.write("!")
        await acts.press("escape", "left", "right")
        assert last(notebook).text == "Turned free at last.!"
        assert "Seen (Space ticks)" in acts.screen()

    play(notebook, scene)


def test_writing_asks_for_no_new_prediction(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter")
        before = acts.app.controller.requests.number
        await acts.write("abc")
        assert acts.app.controller.requests.number == before

    play(notebook, scene)


def test_an_endless_entry_is_shown_and_left_alone(write: Callable[[Project], Path]) -> None:
    entry = Entry(key="e", day="2026-11-25", mark=1, text="x" * (LONGEST + 1))
    folder = write(Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry}))

    async def scene(acts: Play) -> None:
        await acts.press("enter", "left", "left", "enter")
        await acts.write("y")
        await acts.press("escape")
        assert "too long for the screen" in acts.screen()
        assert read_project(folder / "one.toml").project.entries["e"] == entry

    play(folder, scene)


@pytest.mark.parametrize(("size", "terminal"), SHAPES)
def test_list_and_entry_fit_every_size(notebook: Path, size: tuple[int, int], terminal: Terminal) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        assert "runs ten seconds" in acts.screen()
        await acts.press("enter")
        screen = acts.screen()
        assert "Turned free at last." in screen
        assert "Seen (Space ticks)" in screen
        assert not terminal.plain or screen.isascii()

    play(notebook, scene, size=size, terminal=terminal)


def test_letters_on_a_closed_line_of_the_diary_are_written_there_and_are_no_keys(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "tab")
        form = pane(acts).sheet.form
        while form.name_at != NEXT:
            await acts.press("down")
        for key in ("w", "n", "m", "q", "a"):
            assert f" {key} " not in acts.screen().splitlines()[-1]
        assert "F1 keys" in acts.screen().splitlines()[-1]
        await acts.write("now wash?")
        assert last_shown(acts).next_idea == "now wash?"
        await acts.press("enter")
        assert last(notebook).next_idea == "now wash?"

    play(notebook, scene)


def test_letters_in_one_burst_on_a_closed_line_keep_their_order(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "tab")
        while pane(acts).sheet.form.name_at != NEXT:
            await acts.press("down")
        await acts.write("nn sand the piston")
        assert last_shown(acts).next_idea == "nn sand the piston"

    play(notebook, scene)


def test_function_and_control_keys_command_on_a_closed_line(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_diary(acts)
        await acts.press("enter", "tab")
        while pane(acts).sheet.form.name_at != NEXT:
            await acts.press("down")
        await acts.write("x")
        await acts.press("escape", "f1")
        assert isinstance(acts.app.screen, TextPage)
        await acts.press("escape", "ctrl+z")
        assert last(notebook).next_idea == ""

    play(notebook, scene)


def last_shown(acts: Play) -> Entry:
    return list(acts.app.session.prototype.project.entries.values())[-1]
