"""The air over a turn: what is told at an angle is what the prediction is made of."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.curves.over_turn import arcs_of
from model.drawing.engine import engine_stepwise
from model.drawing.result import EngineView, Moment, SolvedTurn
from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.prediction.predict import predict
from model.record import Mark, Project
from tests.drawing.engines import ALPHA, GAMMA

MUG = dict(next(start.texts for start in STARTS if "water" in start.texts.values()))


def views(texts: dict[str, str], speed: float | None) -> list[EngineView]:
    project = Project(name="X", marks={1: Mark(number=1, build=texts)})
    return list(engine_stepwise(project, 1, build=parse_build(texts).build, speed=speed))


def turn_of(texts: dict[str, str], speed: float) -> SolvedTurn:
    turn = views(texts, speed)[-1].turn
    assert turn is not None
    return turn


@pytest.mark.parametrize("texts", [MUG, GAMMA, ALPHA], ids=["mug", "gamma", "alpha"])
def test_the_torque_of_the_air_over_the_turn_is_the_indicated_work(texts: dict[str, str]) -> None:
    """By definition, W = 2 pi times the mean torque. The prediction's power has its flow losses taken off, and is
    refined to 1e-3, which this turn is not: 72 angles leave up to a hundredth."""
    prediction = predict(complete_inputs(parse_build(texts).build), samples=0)
    assert prediction.at_speed is not None
    turn = turn_of(texts, prediction.at_speed)
    power, lost = (prediction.figures[key].value for key in ("indicated_power", "flow_loss"))
    assert power is not None
    assert lost is not None
    mean = math.fsum(moment.torque for moment in turn.moments) / 360
    assert mean * prediction.at_speed == pytest.approx(power + lost, rel=0.015)
    assert turn.settled


@pytest.mark.parametrize("texts", [MUG, ALPHA], ids=["mug", "alpha"])
def test_the_arcs_are_those_of_the_curve_of_the_torque(texts: dict[str, str]) -> None:
    """One engine, two pictures: the arcs begin at the same angles, to a step of the coarser of the two turns."""
    turn = turn_of(texts, 10.0)
    closed = np.array([moment.torque for moment in (*turn.moments, turn.moments[0])])
    arcs = arcs_of(np.linspace(0, 2 * math.pi, 361), closed)
    begun = [math.degrees(arc.begin) for arc in arcs if arc.begin > 0]
    assert begun == pytest.approx(sorted(start for start, _, _ in turn.arcs()), abs=5.0)


def test_pressure_is_above_the_rooms_while_the_piston_goes_out_of_an_engine_that_runs() -> None:
    """By the sign of the work: at a quarter-turn phase the piston goes out from 90 to 270 degrees."""
    turn = turn_of(MUG, 10.0)
    out = math.fsum(moment.pressure for moment in turn.moments[90:270])
    back = math.fsum(moment.pressure for moment in (*turn.moments[270:], *turn.moments[:90]))
    assert out > 0 > back


@pytest.mark.parametrize("texts", [MUG, ALPHA], ids=["mug", "alpha"])
def test_the_pressure_is_counted_from_the_rooms(texts: dict[str, str]) -> None:
    """By the leak, laminar both ways, the room's pressure is the rms of the turn's: 2 p g + g^2 is nil in the mean."""
    room = complete_inputs(parse_build(texts).build).values["room_pressure"].value
    gauge = [moment.pressure for moment in turn_of(texts, 10.0).moments]
    mean, square = math.fsum(gauge) / 360, math.fsum(g * g for g in gauge) / 360
    assert mean + square / (2 * room) == pytest.approx(0.0, abs=1e-3 * (max(gauge) - min(gauge)))


def test_the_hot_air_is_hotter_than_the_cold_at_every_angle() -> None:
    assert all(moment.hot > moment.cold > 273 for moment in turn_of(MUG, 10.0).moments)


def test_a_quarter_turn_phase_has_two_driven_and_two_carried_arcs() -> None:
    """Common practice, no source: the air drives on the way out and on the way in, the wheel between."""
    arcs = turn_of(MUG, 10.0).arcs()
    assert [driven for _, _, driven in arcs].count(True) == 2
    assert [driven for _, _, driven in arcs].count(False) == 2
    assert math.fsum(end - start for start, end, _ in arcs) == 360


def test_a_turn_that_is_all_alike_is_one_arc() -> None:
    dragged = (Moment(pressure=0.0, hot=300.0, cold=300.0, torque=-1.0, driven=False),) * 360
    assert SolvedTurn(speed=1.0, moments=dragged, settled=True).arcs() == ((0, 360, False),)


def test_geometry_comes_first_and_stands_where_no_turn_can_be_solved() -> None:
    assert [view.turn is None for view in views(GAMMA, 20.0)] == [True, False]
    assert len(views(GAMMA, None)) == 1
    for changes, why in (({"piston_throw": ""}, "Without a prediction"), ({"piston_rod": "4 mm"}, "No engine")):
        texts = {name: text for name, text in {**GAMMA, **changes}.items() if text}
        last = views(texts, 20.0)[-1]
        assert last.turn is None
        assert last.unsolved.startswith(why)
        assert last.plan.first
        assert views(texts, None)[-1].unsolved == last.unsolved
