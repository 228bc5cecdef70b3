"""The speed below which the wheel does not carry the engine round is the engine's, not the grid's."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from model.bench.evidence import evidence_of
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.running.operate import operate
from model.running.points import STALL_SHARE, inertia, least_speed
from model.running.samples import SampledInputs, central
from model.store import demo_folder, read_project


def tin(wheel: str) -> SampledInputs:
    project = read_project(Path(demo_folder()) / "cocoa-tin.toml").project
    build = parse_build({**project.latest.build, "wheel_mass": wheel}).build
    model_inputs = complete_inputs(build, evidence_of(project, project.latest.number))
    return central(model_inputs.words, model_inputs.values)


@pytest.mark.parametrize("ends", [(3.0, 40.0), (8.0, 30.0), (1.0, 100.0)])
def test_the_least_speed_does_not_hang_on_the_speeds_tried(ends: tuple[float, float]) -> None:
    inputs = tin("20 g")
    one = least_speed(operate(inputs, np.linspace(5.0, 60.0, 25)[None]))
    other = least_speed(operate(inputs, np.linspace(*ends, 25)[None]))
    assert other == pytest.approx(one, rel=5e-3)


def test_at_the_least_speed_the_wheel_holds_just_what_the_turn_takes_up_and_gives_back() -> None:
    """I w^2/2 = share x energy, the condition itself, with the energy of a turn solved at that speed."""
    inputs = tin("20 g")
    least = least_speed(operate(inputs, np.linspace(5.0, 60.0, 25)[None]))
    there = operate(inputs, least[:, None])
    held = inertia(inputs) * least**2 / 2
    assert held == pytest.approx(STALL_SHARE * there.fluctuation[:, 0], rel=1e-2)
