"""A text typed into a mark that has readings: nothing is written before the answer, nothing is lost by an end."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

from model.fields import Build
from model.prediction.result import Prediction
from model.record import Project
from model.store import left_drafts, read_project
from tests.tui.stage import Play, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tui.dialogs.base import ChoiceDialog
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.state.pending import address


def saved(notebook: Path) -> Project:
    return read_project(notebook / "paint-tin.toml").project


def throw(notebook: Path, number: int = 1) -> str:
    return saved(notebook).marks[number].build["piston_throw"]


async def go_to_throw(acts: Play, number: int) -> None:
    """Open the can at a mark, the cursor on the throw of its piston."""
    await acts.press("down", "enter")
    while "[Dimensions" not in acts.screen():
        await acts.press("right")
    if number == 1:
        await acts.press("m", "down", "enter")
    await acts.press("home")
    screen = acts.app.screen
    assert isinstance(screen, ProjectScreen)
    while screen.panes.build.form.name_at != "piston_throw":
        await acts.press("down")


def told(acts: Play) -> bool:
    return "Piston throw: 5 mm -> 6 was typed, not saved. Enter keeps it" in " ".join(acts.screen().split())


def test_nothing_is_written_while_the_question_stands_and_escape_goes_back(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 1)
        await acts.write("6")
        await acts.press("enter")
        request = acts.app.screen
        assert isinstance(request, ChoiceDialog)
        assert request.options[request.at].key == "n"
        assert acts.app.session.prototype.project.marks[1].build["piston_throw"] == "5 mm"
        assert throw(notebook) == "5 mm"
        await acts.press("escape")
        assert isinstance(acts.app.screen, ProjectScreen)
        assert acts.app.session.texts["piston_throw"] == "5 mm"
        assert acts.screen().splitlines()[0].endswith(" saved")
        await acts.press("ctrl+y")
        assert acts.app.session.texts["piston_throw"] == "6"
        assert told(acts)
        await acts.press("ctrl+z")
        assert acts.app.session.texts["piston_throw"] == "5 mm"
        assert not told(acts)
        assert throw(notebook) == "5 mm"
        assert set(saved(notebook).marks) == {1, 2}

    play(notebook, scene)


def test_quitting_at_the_question_asks_when_it_is_opened_again(notebook: Path) -> None:
    async def first(acts: Play) -> None:
        await go_to_throw(acts, 1)
        await acts.write("6")
        await acts.press("enter", "ctrl+q")
        acts.app.persistence.close()

    async def second(acts: Play) -> None:
        await acts.press("down", "enter")
        for _ in range(6):
            assert told(acts)
            await acts.press("right")
        assert throw(notebook) == "5 mm"
        await acts.press("enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("n", "escape")
        assert not told(acts)

    play(notebook, first)
    assert throw(notebook) == "5 mm"
    play(notebook, second)
    assert throw(notebook) == "5 mm"
    assert throw(notebook, 3) == "6"
    assert not left_drafts(notebook / "paint-tin.toml")


def test_an_end_with_the_field_open_keeps_the_text_in_the_draft_alone(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 1)
        await acts.write("6")
        acts.app.save_all()
        drafts = left_drafts(notebook / "paint-tin.toml", open_too=True)
        assert [draft.open_fields for draft in drafts] == [{address(1, "piston_throw"): "6"}]

    play(notebook, scene)
    assert throw(notebook) == "5 mm"


def test_a_text_brought_back_is_written_only_when_it_is_kept(notebook: Path) -> None:
    """The mark has no readings, so that keeping asks nothing more."""

    async def killed(acts: Play) -> None:
        await go_to_throw(acts, 2)
        await acts.write("10")
        acts.app.persistence.close()

    async def moving_on(acts: Play) -> None:
        await go_to_throw(acts, 2)
        assert acts.app.session.texts["piston_throw"] == "10"
        await acts.press("down", "right", "left", "escape")
        acts.app.persistence.close()

    async def keeping(acts: Play) -> None:
        await acts.press("down", "enter", "enter")
        assert "not saved. Enter" not in acts.screen()

    play(notebook, killed)
    assert throw(notebook, 2) == "4 mm"
    play(notebook, moving_on)
    assert throw(notebook, 2) == "4 mm"
    play(notebook, keeping)
    assert throw(notebook, 2) == "10"


def test_the_next_mark_is_begun_with_what_the_mark_holds(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 1)
        await acts.write("6")
        await acts.press("enter", "escape", "ctrl+y", "m", "r")
        assert throw(notebook, 3) == "5 mm"

    play(notebook, scene)


def test_figures_of_before_an_edit_stay_and_are_called_that(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 2)
        assert "up to date" in acts.screen()
        await acts.write("8")
        screen = acts.screen()
        assert "before this edit" in screen
        assert "4.0 mW" in screen
        assert "As typed: 8.0 mW at 300 rpm" in screen
        await acts.write(" furl")
        screen = acts.screen()
        assert "As typed: not a value yet" in screen
        assert "4.0 mW" in screen
        for _ in range(5):
            await acts.press("backspace")
        await acts.press("enter")
        screen = acts.screen()
        assert "up to date" in screen
        assert "before this edit" not in screen
        assert "8.0 mW" in screen

    play(notebook, scene)


def test_figures_of_a_text_that_was_brought_back_are_not_called_up_to_date_before_they_came(notebook: Path) -> None:
    go = threading.Event()

    async def killed(acts: Play) -> None:
        await go_to_throw(acts, 2)
        await acts.write("10")
        acts.app.persistence.close()

    def predict(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
        if build.piston_throw is not None and build.piston_throw.value == 0.01:
            go.wait(240)
        yield from stand_in(project, mark=mark, build=build)

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(
            post, predict=predict, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances
        )

    async def opened(acts: Play) -> None:
        acts.send("down")
        acts.send("enter")
        await acts.until(lambda: "Brought back" in acts.screen())
        for _ in range(5):
            await acts.pilot.pause(0.01)
            assert "up to date" not in acts.screen()
            assert "computing" in acts.screen()
        go.set()
        await acts.quiet()
        assert "up to date" in acts.screen()

    play(notebook, killed)
    play(notebook, opened, runner=runner)
