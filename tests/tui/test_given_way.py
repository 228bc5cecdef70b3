"""What a start brought gives way to what a builder measured, is told in one line, and comes back with one undo."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from model.changes.result import Advice, Outcome
from model.fields.starts import STARTS
from model.record import Mark, Project
from model.store import read_project
from tests.tui.stage import Play, can, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tui.runs.model_api import Answer, Question
from tui.runs.runner import Runner

MUG = Project(name="Mug", marks={1: Mark(number=1, build=STARTS[1].texts)})


def field_at(acts: Play) -> str:
    return next(line for line in acts.screen().splitlines() if line.startswith(">"))


@pytest.mark.parametrize("own", [False, True])
def test_a_typed_diameter_takes_the_place_of_the_starts_clearance_alone(
    write: Callable[[Project], Path], own: bool
) -> None:
    mark = Mark(number=1, build={**MUG.marks[1].build, **({"side_clearance": "4.9 mm"} if own else {})})
    folder = write(replace(MUG, marks={1: mark}))

    def texts() -> dict[str, str]:
        return dict(read_project(folder / "one.toml").project.marks[1].build)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        while "Displacer diameter" not in field_at(acts):
            await acts.press("down")
        await acts.write("100")
        await acts.press("enter")
        assert texts().get("side_clearance") == ("4.9 mm" if own else None)
        told = "Displacer side clearance 2 mm, of the start, gives way to Displacer diameter; ctrl+z brings it back."
        assert (told in " ".join(acts.screen().split())) is not own
        await acts.press("ctrl+z")
        assert texts() == dict(mark.build)

    play(folder, scene)


def test_without_a_prediction_its_reason_stands_once(write: Callable[[Project], Path]) -> None:
    rocking = replace(can(), entries={}, marks={1: Mark(number=1, build={"layout": "rocking"})})

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        while "[What next]" not in acts.screen():
            await acts.press("left")
        assert " ".join(acts.screen().split()).count("no model for a layout") == 1

    reason = "There is no model for a layout without a crank on the displacer."

    def changes(project: Project, *, mark: int, question: Question, progress: object) -> Iterator[Answer]:
        yield Advice(mark=mark, now=Outcome(solved=False), reason=reason)

    play(write(rocking), scene, runner=lambda post: Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=changes,
    ))  # fmt: skip
