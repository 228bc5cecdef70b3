"""The speed below which the wheel does not carry the engine round is the engine's, not the grid's."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from model.bench.evidence import evidence_of
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.running.operate import operate
from model.running.points import inertia, least_speed
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


def test_at_the_least_speed_the_wheel_would_stand_still_at_its_slowest_moment() -> None:
    """Energy of wheel, rubber and lifted displacer round the turn, from pressures and motions alone.

    The load takes the mean; the wheel, I w^2/2 on the average, has nothing left where the energy is least. A tenth: the
    model takes that moment to lie half of the energy's span below the mean.
    """
    inputs = tin("20 g")
    least = least_speed(operate(inputs, np.linspace(5.0, 60.0, 25)[None]))
    there = operate(inputs, least[:, None])
    form, pressure = there.geometry, there.pressure[0, 0]
    gauge = (pressure + np.roll(pressure, -1)) / 2 - inputs["room_pressure"][0]
    steps = sum(gauge * (np.roll(swept[0], -1) - swept[0]) for swept in form.pistons)
    stretched = form.pistons[0][0] / form.piston_area[0]
    rubber = inputs["diaphragm_stiffness"][0] * (stretched - np.ptp(stretched) / 2) ** 2 / 2
    weight = 9.81 * inputs["displacer_mass"][0] * inputs["displacer_unbalanced"][0]
    lifted = weight * form.moved[0] / form.area_hot[0]
    given = np.cumsum(steps) - steps
    energy = given - steps.sum() * np.arange(steps.size) / steps.size - rubber - lifted
    held = float((inertia(inputs) * least**2 / 2)[0])
    assert held == pytest.approx(energy.mean() - energy.min(), rel=0.1)
