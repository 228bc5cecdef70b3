"""The model held against every measured value of the table."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any, NamedTuple

import numpy as np

from model.fields import Build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.quantities.uncertain import Uncertain
from model.running.operate import Operation, operate
from model.running.points import find_points
from model.running.samples import SampledInputs, central, drawn
from model.running.shaft import friction
from model.running.spread import interval
from model.running.watts import watts
from tests.reference.engines import (
    LARGEST_DIFFERENCE,
    QUANTITIES,
    build_of,
    engines,
    gas_work,
    given,
    read,
    reason_against,
    speed_of,
    wanted,
)
from tests.reference.rules import yardsticks

PIN_SPEEDS = np.geomspace(0.012, 1.5, 12)
"""Speeds of the crank pin that are tried, [m/s]: wide, so that the measured speed does not say where to look."""
DIFFERENCES = np.geomspace(1.5, LARGEST_DIFFERENCE, 16)
"""Differences of the metals that are tried for the smallest one, [K]."""
SAMPLES = 200
ANGLES = 32
"""Angles of a turn for samples: work within 0.002 of the closed form's, far less than an interval."""


AT_THE_SHAFT = ("shaft_power", "torque", "free_running_speed")
"""Values that tell the work of a turn at the shaft; at the free-running speed it is nil."""


class Taken(NamedTuple):
    """What the mechanism takes of a turn at the measured speed, as mean pressures on the swept volume, [Pa]."""

    gas: float
    """Indicated work less flow losses, by the model."""
    measured_gas: float | None
    shaft: float
    """Measured work at the shaft."""
    middle: float
    """What the model's mechanism takes, friction and all that crank and piston keep; with its 90 % range."""
    low: float
    high: float
    friction: float
    """Part of the middle that is guessed friction and drag."""
    forced: float
    """Forced work, by the model."""
    swept: float
    """[m^3]."""
    speed: float
    """[rad/s]."""

    @property
    def lost(self) -> float:
        """What the mechanism took: the work of the air, measured where it was, less that at the shaft."""
        return (self.gas if self.measured_gas is None else self.measured_gas) - self.shaft

    @property
    def rubbed(self) -> float:
        """Part of it that friction and drag took, if crank and piston kept what the model says."""
        return self.lost - (self.middle - self.friction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One measured value against the model."""

    engine: str
    design: str
    trust: str
    known: str
    given: str
    """What the prediction was given besides the sizes."""
    quantity: str
    ran: bool
    """Whether the engine ran at this point."""
    runs: float | None = None
    """Predicted probability that it runs; None where the differences are what is tried."""
    measured: Uncertain | None = None
    """None for runs or does not run."""
    value: float | None = None
    """Predicted best value, SI."""
    low: float | None = None
    high: float | None = None
    rank: float | None = None
    """Share of the samples below the measured value."""
    yardsticks: dict[str, float] | None = None
    """What the rules multiply by their constant."""
    ceiling: float | None = None
    """Power of the closed form at the metal temperatures and this speed, [W]; for powers."""
    difference: float | None = None
    """Between the metals as given, [K]; None where they are worked out."""
    taken: Taken | None = None
    """Of values at the shaft, unless typed."""

    @property
    def ratio(self) -> float | None:
        """Predicted over measured."""
        if self.measured is None or self.value is None or self.measured.value == 0:
            return None
        return self.value / self.measured.value

    @property
    def inside(self) -> bool | None:
        """Whether the measured value lies inside the predicted 90 % interval."""
        if self.measured is None or self.low is None or self.high is None:
            return None
        return bool(self.low <= self.measured.value <= self.high)


def judge(
    *, samples: int = SAMPLES, points: int | None = None, typed: bool = False, only: Collection[str] = ()
) -> list[Judged]:
    """Hold the model against every measured value, or those of the first `points` of each engine.

    `typed`: given only what a builder types before the engine has run, sizes and words. `only`: these quantities, and
    not whether it runs.
    """
    found = []
    for name, engine in engines().items():
        for point in engine["point"][:points]:
            asked = [x for x in wanted(point) if not only or x[0] in only]
            values = [x for x in asked if not reason_against(engine, point, x[0], typed=typed)]
            if values:
                found += _judge_point(name, point, values, samples, typed, not only)
    return found


def _judge_point(
    name: str, point: dict[str, Any], values: list[tuple[str, str]], samples: int, typed: bool, whether: bool
) -> list[Judged]:
    engine = engines()[name]
    build = build_of(engine, point, typed=typed)
    rows = []
    for what, text in values:
        row = Judged(
            engine=name,
            design=engine.get("design", name),
            trust=engine.get("trust", "low"),
            known=point.get("known", ""),
            given="sizes and words" if typed else given(engine, point, what),
            quantity=what,
            ran=what != "runs" or text == "yes",
            difference=build.hot_metal.value - build.cold_metal.value if build.hot_metal and build.cold_metal else None,
        )
        if what == "runs":
            rows.append(replace(row, runs=_curve(build, samples)[2]))
            continue
        speed = None if typed else speed_of(point)
        row = _with_value(row, build, speed, read(*QUANTITIES[what], text), samples, typed)
        if whether and what != "smallest_difference":
            row = replace(row, runs=_curve(build, samples)[2])
        if what in AT_THE_SHAFT and speed is not None:
            row = replace(row, taken=_taken(row, build, speed, samples, gas_work(point, speed)))
        rows.append(row)
    return rows


def _taken(row: Judged, build: Build, speed: float, samples: int, measured_gas: float | None) -> Taken:
    best, all_ = _at_speed(build, speed, samples)
    swept, turns = float(best.geometry.swept_piston[0]), speed / (2 * np.pi)
    assert row.measured is not None
    shaft = {"shaft_power": row.measured.value / turns, "torque": 2 * np.pi * row.measured.value}
    middle, lost = (o.indicated - 2 * np.pi * o.torque for o in (best, all_))
    low, high = interval(lost[:, 0] / all_.geometry.swept_piston)
    return Taken(
        gas=float(best.indicated[0, 0]) / swept,
        measured_gas=None if measured_gas is None else measured_gas / swept,
        shaft=shaft.get(row.quantity, 0.0) / swept,
        middle=float(middle[0, 0]) / swept,
        low=low,
        high=high,
        friction=2 * np.pi * float(friction(best.inputs, best.speed)[0, 0]) / swept,
        forced=float(best.forced[0, 0]) / swept,
        swept=swept,
        speed=speed,
    )


def _with_value(
    row: Judged, build: Build, speed: float | None, measured: Uncertain, samples: int, typed: bool
) -> Judged:
    if row.quantity == "smallest_difference":
        best, all_ = _smallest(inputs_of(build), samples)
    else:
        best, all_ = _value(build, row.quantity, speed, samples)
    low, high = interval(all_)
    rank = float(np.mean(all_ < measured.value) + 0.5 * np.mean(all_ == measured.value))
    sticks = {} if row.quantity == "smallest_difference" else yardsticks(inputs_of(build), row.quantity, speed, typed)
    powers = row.quantity in ("shaft_power", "indicated_power") and speed is not None
    return replace(row, measured=measured, value=best, low=min(low, best), high=max(high, best), rank=rank,
                   yardsticks=sticks, ceiling=sticks["closed form"] if powers else None)  # fmt: skip


@cache
def inputs_of(build: Build) -> ModelInputs:
    """Return the completed inputs of a build."""
    return complete_inputs(build)


@lru_cache(maxsize=2)
def _drawn(build: Build, samples: int) -> tuple[SampledInputs, SampledInputs]:
    """Return the best values and the samples."""
    found = inputs_of(build)
    return central(found.words, found.values), drawn(found.words, found.values, samples=samples, seed=1)


@lru_cache(maxsize=2)
def _curve(build: Build, samples: int) -> tuple[Operation, Operation, float]:
    """Return the engine of the best values and the samples over a range of speeds, and the share that runs."""
    one, many = _drawn(build, samples)
    best = operate(one, PIN_SPEEDS[None] / one.column("piston_throw"))
    all_ = operate(many, np.repeat(best.speed, samples, axis=0), passes=2, angles=ANGLES)
    return best, all_, float(find_points(all_, reference=float(best.speed[0, 5])).runs.mean())


@lru_cache(maxsize=4)
def _at_speed(build: Build, speed: float, samples: int) -> tuple[Operation, Operation]:
    one, many = _drawn(build, samples)
    return (
        operate(one, np.array([[speed]])),
        operate(many, np.full((samples, 1), speed), passes=2, angles=ANGLES),
    )


def _value(build: Build, what: str, speed: float | None, samples: int) -> tuple[float, Any]:
    if what in ("free_running_speed", "speed_at_best_power") or speed is None:
        best, all_, _ = _curve(build, samples)
        key = {"free_running_speed": "free_speed", "speed_at_best_power": "best_speed"}.get(what, "best_power")
        reference = float(best.speed[0, 5])
        one, many = (getattr(find_points(o, reference=reference), key) for o in (best, all_))
        return float(np.nan_to_num(one)[0]), np.nan_to_num(many)
    one, many = (value_at(o, what) for o in _at_speed(build, speed, samples))
    return float(one[0]), many


def _smallest(model_inputs: ModelInputs, samples: int) -> tuple[float, Any]:
    """Return the least difference of the metals at which it runs; the largest one tried where it never does."""
    results = []
    for inputs in (
        central(model_inputs.words, model_inputs.values),
        drawn(model_inputs.words, model_inputs.values, samples=max(samples // 4, 1), seed=1),
    ):
        cold = inputs["cold_metal"]
        many = inputs.repeated(len(DIFFERENCES)).changed(
            hot_metal=(cold[:, None] + DIFFERENCES).ravel(), cold_metal=np.repeat(cold, len(DIFFERENCES))
        )
        throw = model_inputs.values["piston_throw"].value
        speeds = np.repeat((PIN_SPEEDS[::2] / throw)[None], many.size, axis=0)
        points = find_points(operate(many, speeds, passes=2, angles=ANGLES), reference=float(speeds[0, 2]))
        spare = points.spare_torque.reshape(-1, len(DIFFERENCES))
        first = (spare > 0).argmax(axis=1)
        results.append(np.where((spare > 0).any(axis=1), DIFFERENCES[first], DIFFERENCES[-1]))
    return float(results[0][0]), results[1]


def value_at(operation: Operation, what: str) -> Any:
    """Return a quantity at the first speed of each sample, (samples,) SI."""
    speed, turns = operation.speed[:, 0], operation.speed[:, 0] / (2 * np.pi)
    flows = watts(operation)
    return {
        "shaft_power": operation.torque[:, 0] * speed,
        "torque": operation.torque[:, 0],
        "indicated_power": operation.indicated[:, 0] * turns,
        "indicated_work": operation.indicated[:, 0],
        "heat_in": flows["heat_released"][:, 0] - flows["heat_missed"][:, 0],
        "pressure_swing": np.ptp(operation.pressure[:, 0], axis=-1),
    }[what]
