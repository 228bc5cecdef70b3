"""The pane of the curves: turned to by its key, read, zoomed, written to a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from model.curves.chart import Curves
from model.record import Project
from tests.tui.stage import Play, can, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tests.tui.test_chart import EVERYTHING, circle
from tui.dialogs.base import LineDialog
from tui.host.terminal import Terminal
from tui.panes.curves import CurvesPane
from tui.runs.model_api import Answer, CurvesQuestion, Question
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen

CURVES = Curves(charts=(EVERYTHING, circle()))
asked: list[Question] = []


def answers(project: Project, *, mark: int, question: Question, progress: Callable[[float], None]) -> Iterator[Answer]:
    asked.append(question)
    if isinstance(question, CurvesQuestion):
        progress(0.5)
        yield Curves(charts=CURVES.charts[:1])
        yield CURVES


def runner(post: Callable[..., None]) -> Runner:
    return Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=answers,
    )  # fmt: skip


async def turn_to_curves(acts: Play) -> CurvesPane:
    await acts.press("enter", "p")
    assert isinstance(acts.app.screen, ProjectScreen)
    pane = acts.app.screen.pane
    assert isinstance(pane, CurvesPane)
    return pane


@pytest.mark.parametrize(
    ("size", "terminal"), [((80, 24), Terminal(colour=False, plain=True)), ((200, 60), Terminal())]
)
def test_a_curve_is_read_turned_zoomed_and_left_by_its_key(
    write: Callable[[Project], Path], size: tuple[int, int], terminal: Terminal
) -> None:
    async def scene(acts: Play) -> None:
        pane = await turn_to_curves(acts)
        assert "[Curves]" in acts.screen()
        assert "Best 10 mW." in acts.screen()
        assert "At 150 rpm: shaft power 10 mW (between 5 and 15 mW)" in acts.screen()
        legend = "*: shaft power, +: indicated" if terminal.plain else "whole: shaft power, broken: indicated"
        assert legend in " ".join(acts.screen().split())
        await acts.press(".", ">", "<")
        assert "At 155 rpm" in acts.screen()
        await acts.press("plus")
        assert pane.look.left is not None
        await acts.press("0", "down")
        assert pane.look.left is None
        assert "ml, predicted" in acts.screen().replace(";", ",")
        await acts.press("down")
        assert "At 155 rpm" in acts.screen()  # each curve keeps its cursor
        assert all(len(line) <= size[0] for line in acts.screen().splitlines())
        await acts.press("p")
        assert "[Curves]" not in acts.screen()

    play(write(can()), scene, size=size, terminal=terminal, runner=runner)


def test_curves_are_worked_out_while_they_are_looked_at_and_old_ones_say_so(write: Callable[[Project], Path]) -> None:
    asked.clear()

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert not any(isinstance(question, CurvesQuestion) for question in asked)
        await acts.press("p", "p", "p")
        assert sum(isinstance(question, CurvesQuestion) for question in asked) == 1
        assert "up to date" in acts.screen()

    play(write(can()), scene, runner=runner)


def test_a_curve_is_written_as_picture_or_table_and_never_over_another_file(write: Callable[[Project], Path]) -> None:
    folder = write(can())

    async def scene(acts: Play) -> None:
        await turn_to_curves(acts)
        await acts.press("f")
        assert isinstance(acts.app.screen, LineDialog)
        await acts.press("enter")
        assert "Written: " in acts.screen()
        picture = folder / "one-mk2-power.svg"
        assert "<svg" in picture.read_text()
        before = picture.read_bytes()
        # the next name that is free is proposed; one that is taken is refused and asked for again
        await acts.press("f")
        assert isinstance(acts.app.screen, LineDialog)
        assert acts.app.screen.input.value == "one-mk2-power-2.svg"
        acts.app.screen.input.value = picture.name
        await acts.press("enter")
        assert "is there already" in acts.screen()
        acts.app.screen.input.value = "one.txt"
        await acts.press("enter")
        assert ".csv (a table)" in acts.screen()
        acts.app.screen.input.value = "one.csv"
        await acts.press("enter")
        assert (folder / "one.csv").read_text().startswith("what,Speed [rpm],Power [mW]")
        assert picture.read_bytes() == before
        # what is typed takes the place of the proposed name
        await acts.press("f")
        await acts.write("mine.csv")
        await acts.press("enter")
        # Escape writes nothing
        await acts.press("f", "escape")

    play(folder, scene, runner=runner)
    assert sorted(path.name for path in folder.iterdir() if path.suffix in (".svg", ".csv")) == [
        "mine.csv", "one-mk2-power.svg", "one.csv"
    ]  # fmt: skip
