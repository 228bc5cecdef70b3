"""An engine to look at, as soon as there is more of it: its geometry first, then the air over a turn at one speed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from model.drawing.contacts import contacts
from model.drawing.plan import DEGREES
from model.drawing.planning import plan_of
from model.drawing.result import EngineView, Moment, SolvedTurn
from model.explain.as_drawn import AsDrawn
from model.fields import Build
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.record import Project
from model.running.operate import operate
from model.running.samples import central
from model.running.watts import torque_over_turn

ANGLES = 72
"""Angles of the turn: five degrees, the step by which it is turned by hand."""


def engine_stepwise(project: Project, mark: int, *, build: Build, speed: float | None) -> Iterator[EngineView]:
    """Yield what a mark looks like, then the same with the air over a turn.

    Parameters
    ----------
    project, mark, build
        The prototype, the number of the mark, and what is known of it.
    speed : float, optional
        At which the turn is solved, [rad/s]; without one there is no turn.
    """
    drawn = AsDrawn(project, mark, build=build)
    plan, model_inputs = plan_of(build, drawn.evidence), drawn.inputs()
    view = EngineView(
        plan=plan, contacts=contacts(plan), unsolved=_unsolved(model_inputs), problems=model_inputs.problems
    )
    yield view
    if speed is not None and speed > 0 and not view.unsolved:
        yield replace(view, turn=solved_turn(model_inputs, speed))


def _unsolved(model_inputs: ModelInputs) -> str:
    """Return why no turn can be solved, in words; empty where one can."""
    if model_inputs.missing or not model_inputs.values:
        return "Without a prediction there is no pressure and no temperature."
    return "No engine can be built so: there is no pressure and no temperature." if model_inputs.problems else ""


def solved_turn(model_inputs: ModelInputs, speed: float) -> SolvedTurn:
    """Solve a turn at the middle values of everything, at a speed [rad/s]."""
    inputs = central(model_inputs.words, model_inputs.values)
    now = operate(inputs, np.array([[speed]]), angles=ANGLES, refined=False)
    torque = torque_over_turn(now)[0, 0]
    rows = (
        _at_degrees(now.pressure[0, 0] - inputs["room_pressure"][0]),
        _at_degrees(now.state.temperature_hot[0]),
        _at_degrees(now.state.temperature_cold[0]),
        _at_degrees(torque, shift=0.5),  # of a step, not of its beginning
    )
    moments = tuple(
        Moment(pressure=pressure, hot=hot, cold=cold, torque=of_air, driven=bool(of_air > torque.mean()))
        for pressure, hot, cold, of_air in zip(*(row.tolist() for row in rows), strict=True)
    )
    return SolvedTurn(speed=speed, moments=moments, settled=bool(now.converged.all()))


def _at_degrees(values: FloatArray, *, shift: float = 0.0) -> FloatArray:
    """Return what is known at so many angles, `shift` steps behind them, at every degree."""
    angles = (np.arange(values.size) + shift) * DEGREES / values.size
    return np.interp(np.arange(DEGREES), angles, values, period=DEGREES)
