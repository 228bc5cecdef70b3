"""The screens, driven by keys alone: what is asked, what is kept, what is shown."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Coroutine, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.fields import Build
from model.prediction.result import Prediction
from model.record import Mark, Project
from model.store import read_project, save_project
from tests.examples import few_or
from tests.tui.stage import Play, can, play, stand_in, stand_in_gaps
from tui.dialogs.base import ChoiceDialog, LineDialog, TextPage
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.screens.project_list import ProjectsScreen


def saved(notebook: Path, name: str = "paint-tin.toml") -> Project:
    return read_project(notebook / name).project


async def open_can(acts: Play) -> None:
    """Open the second prototype, the can, and go to the throw of its piston."""
    await acts.press("down", "enter")
    while acts.app.screen.panes.build.form.name_at != "piston_throw":
        await acts.press("down")


def test_a_file_in_trouble_is_listed_with_its_message_and_stops_no_other(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        assert "! broken" in acts.screen()
        assert "broken.toml, line 2" in "".join(line.strip() for line in acts.screen().splitlines()[-5:-1])
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectsScreen)
        await acts.press("down", "enter")
        assert isinstance(acts.app.screen, ProjectScreen)

    play(notebook, scene)


def test_a_typed_value_changes_the_prediction_and_is_saved_when_the_field_is_left(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        assert "4.0 mW" in acts.screen()
        await acts.write("8.0 mm")
        assert "8.0 mW" in acts.screen()
        assert saved(notebook).latest.build["piston_throw"] == "4 mm"
        await acts.press("enter")
        assert "saved" in acts.screen().splitlines()[0]
        assert saved(notebook).latest.build["piston_throw"] == "8.0 mm"

    play(notebook, scene)


def test_keys_that_come_in_one_burst_keep_their_order(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        for key in ("6", "full_stop", "2", "5", "space", "m", "m", "enter"):
            acts.send(key)
        await acts.quiet()
        assert saved(notebook).latest.build["piston_throw"] == "6.25 mm"

    play(notebook, scene)


def test_escape_keeps_what_was_typed_and_undo_takes_it_back(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("7")
        await acts.press("escape")
        assert saved(notebook).latest.build["piston_throw"] == "7"
        await acts.press("ctrl+z")
        assert saved(notebook).latest.build["piston_throw"] == "4 mm"
        await acts.press("ctrl+y")
        assert saved(notebook).latest.build["piston_throw"] == "7"

    play(notebook, scene)


def test_undo_in_an_open_field_brings_back_its_text(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("99 kg")
        await acts.press("ctrl+z")
        assert not acts.app.screen.pane.editing
        assert acts.app.session.texts["piston_throw"] == "4 mm"

    play(notebook, scene)


NINE = ("9", "full_stop", "9")


BURSTS = [
    (*NINE, "enter", "up", "enter", "5", "enter"),
    (*NINE, "enter", "up", "5", "escape"),
    (*NINE, "ctrl+z", "enter", "escape"),
    (*NINE, "ctrl+z", "backspace", "6", "enter"),
    (*NINE, "escape", "ctrl+z", "enter", "x", "tab"),
    (*NINE, "escape", "ctrl+z", "ctrl+y", "enter", "9", "up", "7", "down"),
    (*NINE, "enter", "enter", "6", "ctrl+z", "up", "enter", "1", "enter", "ctrl+z"),
    (*NINE, "down", "6", "6", "up", "ctrl+z", "ctrl+z"),
    (*NINE, "down", "6", "6", "up", "ctrl+z", "7", "ctrl+z", "ctrl+s"),
    (*NINE, "enter", "right", "left", "up", "8", "enter"),
    (*NINE, "backspace", "backspace", "left", "1", "end", "5", "home", "delete", "enter"),
    (*NINE, "enter", "right", "right", "right", "left", "left", "left", "up", "8", "escape", "ctrl+z"),
    (*NINE, "left", "8", "escape", "right_square_bracket", "left_square_bracket", "enter", "7", "enter"),
]


@pytest.mark.parametrize("keys", few_or(BURSTS[::2], BURSTS), ids=" ".join)
def test_keys_in_one_burst_do_what_they_do_one_by_one(notebook: Path, tmp_path: Path, keys: tuple[str, ...]) -> None:
    """Each key finds what the key before it did: texts, open field, steps of undo."""
    found = []

    async def slowly(acts: Play) -> None:
        await open_can(acts)
        await acts.press(*keys)

    async def fast(acts: Play) -> None:
        await open_can(acts)
        for key in keys:
            acts.send(key)
        await acts.quiet()

    def seen(scene: Callable[[Play], Coroutine[Any, Any, None]]) -> Callable[[Play], Coroutine[Any, Any, None]]:
        async def whole(acts: Play) -> None:
            await scene(acts)
            form = acts.app.screen.pane.form
            prototype = acts.app.session.prototype
            undo = [step.project.latest.build for step in (*prototype.undo, *prototype.redo)]
            found.append((dict(acts.app.session.texts), form.open_name, form.name_at, form.entry.value, undo))
            await acts.press("ctrl+q")

        return whole

    other = Path(shutil.copytree(notebook, tmp_path / "other"))
    play(notebook, seen(slowly))
    play(other, seen(fast))
    assert found[0] == found[1]
    assert saved(notebook) == saved(other)


@pytest.mark.parametrize("between", [(), ("up", "down"), ("down", "up")])
def test_keys_right_behind_an_undo_are_typed_into_the_field_that_they_open(
    notebook: Path, between: tuple[str, ...]
) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        for key in (*NINE, "ctrl+z", *between, "8", "full_stop", "5"):
            acts.send(key)
        await acts.quiet()
        assert acts.app.screen.pane.editing
        assert acts.app.session.texts["piston_throw"] == "8.5"
        await acts.press("ctrl+z")
        assert acts.app.session.texts["piston_throw"] == "4 mm"
        await acts.press("ctrl+q")
        assert saved(notebook).latest.build["piston_throw"] == "4 mm"

    play(notebook, scene)


def test_flagged_text_stays_with_its_reason_and_the_old_prediction_is_called_old(notebook: Path) -> None:
    async def first(acts: Play) -> None:
        await open_can(acts)
        await acts.press("enter")
        await acts.write("x")
        await acts.press("escape")
        screen = acts.screen()
        assert "! old, because Piston throw" in screen
        assert "4.0 mW" in screen
        assert "4 mmx" in screen

    async def second(acts: Play) -> None:
        assert "! Paint tin" in acts.screen()
        await open_can(acts)
        screen = acts.screen()
        assert "4 mmx" in screen
        assert "[Dimensions!]" in screen
        assert "'mmx' is not a unit known here" in screen

    play(notebook, first)
    assert saved(notebook).latest.build["piston_throw"] == "4 mmx"
    play(notebook, second)


def with_ranges(post: Callable[..., None]) -> Runner:
    """Return a runner whose model takes a rod for an empty one that is told by the throw."""

    def predict(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
        throw = build.piston_throw.value if build.piston_throw else 0.0
        for stage in stand_in(project, mark=mark, build=build):
            yield replace(stage, assumed={"piston_rod": f"between {4000 * throw:.0f} and {15000 * throw:.0f} mm"})

    return Runner(post, predict=predict, gaps=stand_in_gaps)


def fields(screen: str) -> list[str]:
    """Return the rows of the form."""
    return [line[:48].rstrip() for line in screen.splitlines()[3:18]]


@pytest.mark.parametrize("text", ["1000", "12 C", "3 furlongs"])
def test_a_flagged_text_changes_nothing_anywhere_else(notebook: Path, text: str) -> None:
    """Typed letter by letter, each answered: 100 and 12 and 3 on the way are engines that nobody has."""

    async def scene(acts: Play) -> None:
        await open_can(acts)
        before = acts.screen()
        assert "4.0 mW" in before and "? 16 to 60 mm" in before
        await acts.press("enter", "end", *["backspace"] * 4)
        for letter in text:
            await acts.write(letter)
            assert "? 16 to 60 mm" in acts.screen()
        await acts.press("escape")
        after = acts.screen()
        assert "! old, because" in after
        assert "4.0 mW" in after and "90 in 100" in after and "? 16 to 60 mm" in after
        changed = [new for old, new in zip(fields(before), fields(after), strict=True) if old != new]
        assert [text in line for line in changed] == [True]

    play(notebook, scene, runner=with_ranges)


def test_letters_are_text_while_a_field_is_open_and_keys_while_it_is_not(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("enter")
        await acts.write("qwmn?")
        assert isinstance(acts.app.screen, ProjectScreen)
        assert acts.app.session.texts["piston_throw"] == "4 mmqwmn?"
        await acts.press("escape", "w")
        assert isinstance(acts.app.screen, TextPage)
        await acts.press("escape", "m")
        assert isinstance(acts.app.screen, ChoiceDialog)

    play(notebook, scene)


def test_a_word_is_chosen_by_its_beginning_or_by_space(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "enter")
        await acts.write("bet")
        await acts.press("enter")
        assert saved(notebook).latest.build["layout"] == "beta"
        await acts.press("up", "space")
        assert saved(notebook).latest.build["layout"] == "alpha"
        assert "Hot bore" in acts.screen()

    play(notebook, scene)


def test_a_mark_with_readings_asks_once_and_a_change_begins_the_next(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("m", "down", "enter")
        assert acts.app.session.number == 1
        await acts.write("6")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("n")
        assert acts.app.session.number == 3
        assert saved(notebook).marks[1].build["piston_throw"] == "5 mm"
        assert saved(notebook).marks[3].build["piston_throw"] == "6"
        assert len(saved(notebook).readings_of(1)) == 1

    play(notebook, scene)


def test_a_correction_stays_on_the_mark_and_is_asked_once(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("m", "down", "enter")
        await acts.write("6")
        await acts.press("enter", "c")
        assert saved(notebook).marks[1].build["piston_throw"] == "6"
        await acts.write("7")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectScreen)

    play(notebook, scene)


def test_a_rebuilt_engine_is_the_next_mark(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("m", "r")
        assert saved(notebook).marks[3].reason == "Rebuilt, same dimensions"

    play(notebook, scene)


def test_a_new_prototype_needs_a_start_and_a_name(tmp_path: Path) -> None:
    async def scene(acts: Play) -> None:
        assert "Press a to add" in acts.screen()
        await acts.press("a", "1")
        await acts.write("Soup tin")
        await acts.press("enter")
        assert "Soup tin" in acts.screen()
        project = saved(tmp_path, "soup-tin.toml")
        assert project.name == "Soup tin"
        assert project.latest.build["layout"] == "gamma"

    play(tmp_path, scene)


def test_a_name_that_was_begun_is_offered_again_after_escape(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "r")
        await acts.write("!")
        await acts.press("escape", "r")
        assert isinstance(acts.app.screen, LineDialog)
        assert acts.app.screen.input.value == "Paint tin!"
        await acts.press("enter")
        assert saved(notebook).name == "Paint tin!"

    play(notebook, scene)


def test_a_note_from_a_prototype_goes_into_the_diary_with_day_and_mark(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("n")
        await acts.write("Gland squeaks")
        await acts.press("enter")
        entry = list(saved(notebook).entries.values())[-1]
        assert (entry.text, entry.day, entry.mark) == ("Gland squeaks", "2026-11-26", 2)

    play(notebook, scene)


def test_every_pane_can_be_turned_to(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        for title in ("[Materials]", "[Heat source]", "[Results]", "[Diary]", "[What next]", "[Dimensions]"):
            await acts.press("right")
            assert title in acts.screen()
        await acts.press("left", "left")
        assert "[Diary]" in acts.screen()

    play(notebook, scene)


def test_a_layout_without_a_crank_says_why_there_is_no_prediction(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "down", "enter")
        assert "No prediction" in acts.screen()
        assert "No crank moves the displacer." in acts.screen()

    play(notebook, scene)


def test_an_engine_that_does_not_run_says_first_what_it_would_need(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("25")
        await acts.press("enter")
        panel = [line[48:].strip() for line in acts.screen().splitlines()[3:]]
        assert panel[0].startswith("Model")
        assert panel[1] == "To run it would need"
        assert "at least 45" in " ".join(panel[2:4])

    play(notebook, scene)


def test_why_shows_formula_inputs_source_and_note_of_every_figure_and_the_cautions(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("w")
        everything = "\n".join("".join(t for t, _ in line) for line in acts.app.screen.lines_for(80))
        for figure in acts.app.session.prototype.outlook.prediction.figures.values():
            assert figure.why.formula in everything
        for text in (
            "Bore 9.5 mm",
            "A stand-in for the tests",
            "Holds in the tests.",
            "Never pressurise",
            "Open flame",
        ):
            assert text in everything

    play(notebook, scene)


def test_a_file_changed_by_another_window_is_joined(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        theirs = replace(saved(notebook), about="From elsewhere.")
        save_project(notebook / "paint-tin.toml", theirs, revision=read_project(notebook / "paint-tin.toml").revision)
        await acts.write("6")
        await acts.press("enter")
        assert "both are joined" in acts.screen()
        assert saved(notebook).about == "From elsewhere."
        assert saved(notebook).latest.build["piston_throw"] == "6"

    play(notebook, scene)


@pytest.mark.parametrize(("answer", "expected"), [("m", "6"), ("t", "9 mm")])
def test_where_both_windows_changed_the_same_field_the_builder_chooses(
    notebook: Path, answer: str, expected: str
) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        project = saved(notebook)
        build = {**project.latest.build, "piston_throw": "9 mm"}
        theirs = project.with_mark(Mark(number=2, reason=project.latest.reason, build=build))
        save_project(notebook / "paint-tin.toml", theirs, revision=read_project(notebook / "paint-tin.toml").revision)
        await acts.write("6")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        assert "mark.2.build.piston_throw" in acts.screen()
        await acts.press(answer)
        assert saved(notebook).latest.build["piston_throw"] == expected

    play(notebook, scene)


def test_a_failed_save_is_shown_and_the_text_stays(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        (notebook / "paint-tin.toml").chmod(0o444)
        await acts.write("6")
        await acts.press("enter")
        assert "NOT SAVED" in acts.screen().splitlines()[0]
        assert "write-protected" in acts.screen()
        assert acts.app.session.texts["piston_throw"] == "6"
        (notebook / "paint-tin.toml").chmod(0o644)
        await acts.press("ctrl+s")
        assert "NOT SAVED" not in acts.screen()
        assert saved(notebook).latest.build["piston_throw"] == "6"

    play(notebook, scene)


def test_quitting_in_an_open_field_keeps_the_text(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("6 m")
        await acts.press("ctrl+q")

    play(notebook, scene)
    assert saved(notebook).latest.build["piston_throw"] == "6 m"


@pytest.mark.parametrize("size", [(59, 24), (80, 19), (20, 5), (1, 1)])
def test_a_screen_that_is_too_small_says_so_and_loses_nothing(notebook: Path, size: tuple[int, int]) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("6")
        await acts.pilot.resize_terminal(*size)
        await acts.quiet()
        if size[0] >= 20:
            assert f"This screen is {size[0]} by" in " ".join(acts.screen().split())
        await acts.pilot.resize_terminal(80, 24)
        await acts.quiet()
        assert "Piston throw" in acts.screen()
        assert acts.app.session.texts["piston_throw"] == "6"

    play(notebook, scene)


@pytest.mark.parametrize("size", [(59, 24), (80, 19)])
def test_no_key_but_quit_acts_where_the_screen_is_too_small(notebook: Path, size: tuple[int, int]) -> None:
    """Typed blind, it would delete."""

    async def scene(acts: Play) -> None:
        await acts.press("down", "d")
        await acts.pilot.resize_terminal(*size)
        await acts.press("d", "enter", "d", "d", "escape")
        assert "ctrl+q quits" in acts.screen()
        await acts.pilot.resize_terminal(80, 24)
        await acts.quiet()
        assert "Delete Paint tin?" in acts.screen()
        assert "Enter take" in acts.screen()
        await acts.pilot.resize_terminal(*size)
        await acts.press("ctrl+q")
        assert not acts.app.is_running

    play(notebook, scene)
    assert saved(notebook) == can()


def test_a_changed_focus_or_value_makes_no_new_widgets(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        before = len(list(acts.app.screen.walk_children()))
        for _ in range(30):
            await acts.press("down")
        await acts.press("home", "down", "down")
        assert len(list(acts.app.screen.walk_children())) == before

    play(notebook, scene)


def test_the_can_of_the_tests_is_the_one_in_the_file(notebook: Path) -> None:
    assert saved(notebook) == can()


async def go_to(acts: Play, name: str) -> None:
    """Put the cursor on a field of the pane."""
    await acts.press("home")
    while acts.app.screen.panes.build.form.name_at != name:
        await acts.press("down")


def test_a_word_with_a_space_can_be_typed_into_a_field_of_words(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("right")
        await go_to(acts, "displacer_material")
        await acts.press("enter")
        await acts.write("steel wool")
        await acts.press("enter")
        assert saved(notebook).latest.build["displacer_material"] == "steel_wool"
        await acts.press("up", "enter", "space")
        assert acts.app.session.texts["displacer_material"] == "card"

    play(notebook, scene)


def test_enter_stays_with_a_flagged_text_and_goes_on_from_any_other(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("5 furlongs")
        await acts.press("enter")
        form = acts.app.screen.panes.build.form
        assert (form.name_at, form.editing) == ("piston_throw", False)
        assert "not a unit known here" in acts.screen()
        await acts.write("5")
        await acts.press("enter")
        assert form.name_at == "piston_rod"
        await acts.write("5 furlongs")
        await acts.press("down")
        assert form.name_at == "piston_length"

    play(notebook, scene)


def test_taking_back_says_which_field_and_both_texts_until_the_cursor_moves(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.write("6 mm")
        await acts.press("enter", "right", "ctrl+z")
        assert "Taken back: Mk 2, Piston throw 6 mm; it is 4 mm again." in acts.screen()
        await acts.press("ctrl+y")
        assert "Done again: Mk 2, Piston throw 4 mm; it is 6 mm." in acts.screen()
        await acts.press("down")
        assert "Done again" not in acts.screen()

    play(notebook, scene)


def test_a_note_is_said_to_be_noted_in_a_project_and_in_the_list(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("n")
        await acts.write("Turned once.")
        await acts.press("enter")
        assert "Noted in the diary: 2026-11-26, Mk 2." in acts.screen()
        await acts.press("ctrl+z")
        assert "Taken back: Diary of 2026-11-26 is gone again." in acts.screen()
        await acts.press("escape", "n")
        await acts.write("Turned twice.")
        await acts.press("enter")
        assert "Noted in the diary: 2026-11-26, Mk 2." in acts.screen()

    play(notebook, scene)


def test_a_new_prototype_opens_when_it_has_a_name(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("a", "enter")
        await acts.write("Saucer")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectScreen)
        assert acts.screen().startswith("Saucer")

    play(notebook, scene)


def test_a_half_typed_text_flags_no_other_field(notebook: Path) -> None:
    """1 on the way to 18 C would be colder than the room; once the field is left with it, both are told."""

    async def scene(acts: Play) -> None:
        await open_can(acts)
        await acts.press("right", "right")
        await go_to(acts, "room_temperature")
        await acts.write("20 C")
        await acts.press("escape")
        await go_to(acts, "cold_metal")
        before = fields(acts.screen())
        await acts.write("1")
        changed = [new for old, new in zip(before, fields(acts.screen()), strict=True) if old != new]
        assert ["Cold metal, measured" in line for line in changed] == [True]
        await acts.press("escape")
        left = fields(acts.screen())
        assert next(line for line in left if line[4:].startswith("Room  ")) != next(
            line for line in before if line[4:].startswith("Room  ")
        )

    play(notebook, scene)
