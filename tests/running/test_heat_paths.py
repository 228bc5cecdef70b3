"""A loss of heat is one row: the balance, the watts, the heat over time and the figures all read it."""

from __future__ import annotations

import numpy as np
import pytest

from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.prediction.figure_table import FIGURES
from model.prediction.predict import predict
from model.quantities.figure_spec import FigureSpec
from model.quantities.units import Kind
from model.running import balance
from model.running.balance import HEAT_PATHS, Conductance, HeatPath, HotEnd
from model.running.operate import Operation, operate
from model.running.overtime import over_time
from model.running.samples import SampledInputs
from model.running.watts import watts
from tests.running.drawn_engines import inputs_of
from tests.running.test_overtime import CAN, left_over

STRUT = 0.02
"""Conductance of a made-up strut, [W/K]."""
SPEED = 6.0


def path(key: str, *, to_cold: bool) -> HeatPath:
    def strut(end: HotEnd) -> Conductance:
        conductance = np.full((end.inputs.size, 1), STRUT)
        return Conductance(mean=conductance, slope=conductance)

    spec = FigureSpec(label="A made-up strut", kind=Kind.POWER, unit="W", formula="G x difference", source="here")
    return HeatPath(key=key, to_cold=to_cold, parts=(strut,), figure=spec)


def add(monkeypatch: pytest.MonkeyPatch, row: HeatPath) -> None:
    monkeypatch.setattr(balance, "HEAT_PATHS", (*HEAT_PATHS, row))
    monkeypatch.setitem(FIGURES, row.key, row.figure)


def run(inputs: SampledInputs) -> Operation:
    return operate(inputs, np.array([[SPEED]]), passes=4)


def test_a_row_to_the_cold_metal_does_what_posts_of_its_conductance_do(monkeypatch: pytest.MonkeyPatch) -> None:
    inputs = inputs_of(CAN)
    posts = inputs.changed(posts=inputs["posts"] + STRUT)
    by_posts, later = run(posts), over_time(posts, speed=SPEED, minutes=60)
    along = watts(by_posts)["heat_along"]
    add(monkeypatch, path("strut", to_cold=True))
    by_row, same = run(inputs), over_time(inputs, speed=SPEED, minutes=60)
    np.testing.assert_allclose(by_row.hot_metal, by_posts.hot_metal, rtol=1e-9)
    np.testing.assert_allclose(by_row.torque, by_posts.torque, rtol=1e-7)
    np.testing.assert_allclose(same.hot_metal, later.hot_metal, rtol=1e-7)
    strut = watts(by_row)["strut"]
    np.testing.assert_allclose(strut, STRUT * (by_row.hot_metal - by_row.cold_metal), rtol=1e-12)
    np.testing.assert_allclose(watts(by_row)["heat_along"] + strut, along, rtol=1e-7)


@pytest.mark.parametrize("to_cold", [True, False])
def test_a_made_up_loss_is_in_every_sum_and_has_its_figure(monkeypatch: pytest.MonkeyPatch, to_cold: bool) -> None:
    before = run(inputs_of(CAN))
    add(monkeypatch, path("strut", to_cold=to_cold))
    now = run(inputs_of(CAN))
    flows = watts(now)
    assert float(now.hot_metal[0, 0]) < float(before.hot_metal[0, 0]) - 1
    parts = flows["heat_missed"] + flows["heat_to_air"] + sum(flows[row.key] for row in balance.HEAT_PATHS)
    np.testing.assert_allclose(flows["heat_released"], parts, rtol=1e-12)
    assert left_over(over_time(inputs_of(CAN), speed=SPEED, minutes=60)) < 1e-9
    figure = predict(complete_inputs(parse_build(CAN).build), samples=2).figures["strut"]
    assert figure.label == "A made-up strut"
    assert figure.value is not None
    assert figure.low is not None
