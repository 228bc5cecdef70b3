"""A row of values: a table and a curve, the present value marked, one taken as if typed, ended by Escape."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.changes.result import Outcome, Row, Step
from model.errors import ModelError
from model.quantities.ranges import Range
from model.quantities.units import Kind
from model.record import Project
from model.store import read_project
from tests.tui.stage import Play, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tests.tui.test_pending import go_to_throw
from tui.dialogs.row import RowDialog
from tui.runs.model_api import Question, RowQuestion
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.state.prototype import Asked
from tui.view.lines import text_of
from tui.view.row import row_lines


def step(number: float, *, present: bool = False, way: str = "") -> Step:
    power = Range(middle=number * 1e-3, low=number * 0.5e-3, high=number * 2e-3)
    speed = Range(middle=6.0, low=5.0, high=7.0)
    outcome = Outcome(solved=True, runs=0.9, power=power, best_speed=speed, free_speed=speed)
    blocked = Outcome(solved=False, in_the_way=(way,))
    return Step(value=number * 1e-3, text=f"{number:g} mm", present=present, outcome=blocked if way else outcome,
                effect=None)  # fmt: skip


ROW = Row(
    mark=2, field="piston_throw", label="Piston throw", kind=Kind.LENGTH, unit="mm", now=None, guessed=False,
    steps=(step(2), step(3), step(4, present=True), step(5), step(6), step(8), step(10, way="The rod is too short.")),
    best=5, sentence="Most power at 8 mm: 8 mW.", engines=24,
)  # fmt: skip


def answers(project: Project, *, mark: int, question: Question, progress: Callable[[float], None]) -> Iterator[Row]:
    progress(0.5)
    yield replace(ROW, mark=mark, field=question.field)


def runner(changes: Any = answers) -> Callable[[Callable[..., None]], Runner]:
    return lambda post: Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=changes,
    )  # fmt: skip


def lines_of(row: Row | None, *, width: int = 80, height: int = 23, plain: bool = False, **state: Any) -> list[str]:
    asked: Asked[Row] = Asked(wanted="it", of="it", answer=row, **state)
    lines = row_lines(asked, learning="", title="T", at=3, width=width, height=height, plain=plain)
    return [text_of(line) for line in lines]


@pytest.mark.parametrize(("width", "height"), [(80, 23), (60, 19), (120, 39)])
@pytest.mark.parametrize("plain", [True, False])
def test_table_and_curve_fit_and_mark_the_present_value(width: int, height: int, plain: bool) -> None:
    lines = lines_of(ROW, width=width, height=height, plain=plain)
    assert len(lines) <= height
    assert all(len(line) <= width for line in lines)
    assert [line[:3].strip() for line in lines[3:10]] == ["", "", "", ">", "", "*", ""]
    assert "4 mm  now" in lines[5]
    assert "The rod" in lines[9]
    assert "90 in 100" in lines[3]
    assert any("x" in line[9:] for line in lines[11:])
    assert plain is all(line.isascii() for line in lines)


def test_what_is_not_there_yet_and_what_cannot_be_is_said() -> None:
    assert "asked at seven to nine values" in lines_of(None, pending=True)[1]
    assert lines_of(None, pending=True, share=0.4)[0].endswith("computing 40 %")
    assert lines_of(replace(ROW, steps=(), reason="Nothing usual to try."))[1] == "Nothing usual to try."
    assert lines_of(None, failure="No.")[1] == "! No."


def test_a_value_is_taken_in_one_step_of_undo_and_saved(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 2)
        await acts.press("v")
        assert isinstance(acts.app.screen, RowDialog)
        await acts.press("down", "enter")
        assert isinstance(acts.app.screen, ProjectScreen)
        assert read_project(notebook / "paint-tin.toml").project.marks[2].build["piston_throw"] == "5 mm"
        await acts.press("ctrl+z")
        assert acts.app.session.texts["piston_throw"] == "4 mm"

    play(notebook, scene, runner=runner())


def test_escape_and_the_present_value_change_nothing(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 2)
        for key in ("escape", "enter"):
            await acts.press("v", key)
            assert isinstance(acts.app.screen, ProjectScreen)
            assert acts.app.session.texts["piston_throw"] == "4 mm"
            assert not acts.app.session.prototype.undo

    play(notebook, scene, runner=runner())


def test_on_a_mark_with_readings_a_value_asks_first(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 1)
        await acts.press("v", "home", "enter")
        assert "a correction, or a change?" in acts.screen()

    play(notebook, scene, runner=runner())


def test_a_row_that_takes_long_is_ended_by_escape(notebook: Path) -> None:
    go_on = threading.Event()

    def thinks(project: Project, *, mark: int, question: Question, progress: Callable[[float], None]) -> Iterator[Row]:
        if not isinstance(question, RowQuestion):
            return
        while not go_on.wait(0.01):
            progress(0.3)
        yield ROW

    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 2)
        acts.send("v")
        await acts.until(lambda: "computing 30 %" in acts.screen())
        await acts.press("escape")  # comes to rest: the work has ended
        assert acts.app.session.prototype.row.answer is None
        go_on.set()

    play(notebook, scene, runner=runner(thinks))


def test_an_error_is_told_and_words_have_no_row(notebook: Path) -> None:
    def refuses(project: Project, *, mark: int, question: Question, progress: Any) -> Iterator[Row]:
        raise ModelError("Piston throw: has no meaning for this build.")
        yield ROW

    async def scene(acts: Play) -> None:
        await go_to_throw(acts, 2)
        await acts.press("v")
        assert "! Piston throw: has no meaning" in acts.screen()
        await acts.press("enter")
        assert isinstance(acts.app.screen, RowDialog)
        await acts.press("escape", "home", "v")
        assert isinstance(acts.app.screen, ProjectScreen)

    play(notebook, scene, runner=runner(refuses))
