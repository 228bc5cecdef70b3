"""The engines of ``engines.toml`` as builds, and what the model says of each measured point.

Strokes of the sources become throws, several equal pistons in phase become one of their summed area, a diameter of the
displacer becomes a side clearance. Nothing is tuned to an engine.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from model.fields import Build, fields_of, read_field
from model.fields.field import quantity
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind
from model.running.operate import Operation, operate
from model.running.points import find_points
from model.running.samples import central, drawn
from model.running.spread import interval
from model.running.watts import watts

TABLE = Path(__file__).with_name("engines.toml")
STROKES = {"piston_stroke": "piston_throw", "displacer_stroke": "displacer_throw", "hot_stroke": "hot_throw"}
QUANTITIES = {
    "shaft_power": (Kind.POWER, "W"),
    "indicated_power": (Kind.POWER, "W"),
    "heat_in": (Kind.POWER, "W"),
    "speed_at_best_power": (Kind.ROTATION, "rpm"),
    "free_running_speed": (Kind.ROTATION, "rpm"),
    "torque": (Kind.TORQUE, "N m"),
    "pressure_swing": (Kind.PRESSURE, "Pa"),
    "smallest_difference": (Kind.DIFFERENCE, "K"),
}
AT_A_SPEED = ("pressure_swing", "indicated_power", "heat_in")
SPEEDS = np.geomspace(0.25, 4.5, 8)
DIFFERENCES = np.geomspace(1.5, 150.0, 16)
"""Differences of the metals that are tried for the smallest one, [K]."""
SAMPLES = 200
ANGLES = 32
"""Angles of a turn for samples: work within 0.002 of the closed form's, far less than an interval."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One measured value against the model."""

    engine: str
    trust: str
    known: str
    quantity: str
    measured: Uncertain | None
    """None for runs or does not run."""
    ran: bool
    """Whether the engine ran at this point."""
    value: float | None
    """Predicted best value, SI."""
    low: float | None
    high: float | None
    runs: float
    """Predicted probability that it runs."""
    difference: float | None
    """Temperature difference of the metals, [K]."""
    ceiling: float | None = None
    """Power of the closed form at the metal temperatures and this speed, [W]; for powers."""

    @property
    def ratio(self) -> float | None:
        """Predicted over measured."""
        if self.measured is None or self.value is None or self.measured.value == 0:
            return None
        return self.value / self.measured.value

    @property
    def inside(self) -> bool | None:
        """Whether the measured value, with its own 90 % spread, meets the predicted 90 % interval."""
        if self.measured is None or self.low is None or self.high is None:
            return None
        low, high = self.measured.interval()
        return bool(high >= self.low and low <= self.high)


def read(kind: Kind, unit: str, text: str) -> Uncertain:
    """Read a text of the table in the grammar of the fields."""
    declared = quantity("value", kind, unit).metadata["field"]
    found = read_field(declared, text)
    if not isinstance(found, Uncertain):
        raise ValueError(f"{text!r} is not a {kind}")
    return found


@cache
def engines() -> dict[str, Any]:
    """Return the table."""
    with TABLE.open("rb") as file:
        found: dict[str, Any] = tomllib.load(file)["engine"]
        return found


def build_of(engine: dict[str, Any], point: dict[str, Any]) -> Build:
    """Return the build of an engine at a point."""
    texts: dict[str, str] = {**engine.get("assumed", {}), **engine.get("stated", {})}
    texts |= {k: v for k, v in point.items() if isinstance(v, str)}
    declared = fields_of(Build)
    values: dict[str, Any] = {"layout": engine["layout"]}
    for name, text in texts.items():
        if name in STROKES:
            stroke = read_field(declared[STROKES[name]], text)
            values[STROKES[name]] = stroke.scaled(0.5) if isinstance(stroke, Uncertain) else None
        elif name in declared and name not in ("heat_caught",):
            values[name] = read_field(declared[name], text)
    if "displacer_diameter" in texts and "displacer_bore" in values:
        wide = read(Kind.LENGTH, "mm", texts["displacer_diameter"])
        bore = values["displacer_bore"]
        gap = (bore.value - wide.value) / 2
        values["side_clearance"] = Uncertain(value=gap, spread=math.hypot(bore.spread, wide.spread) / 2)
    known = {k: v for k, v in values.items() if k in declared}
    return replace(Build(), **known)


def _ranges(engine: dict[str, Any], point: dict[str, Any]) -> ModelInputs:
    return complete_inputs(build_of(engine, point))


def judge(*, samples: int = SAMPLES, roles: tuple[str, ...] = ("judge",), points: int | None = None) -> list[Judged]:
    """Hold the model against every measured point, or the first `points` of each engine."""
    found = []
    for name, engine in engines().items():
        if engine.get("role") not in roles:
            continue
        for point in engine["point"][:points]:
            found += _judge_point(name, engine, point, samples)
    return found


def _judge_point(name: str, engine: dict[str, Any], point: dict[str, Any], samples: int) -> list[Judged]:
    wanted = [(point["measured"]["quantity"], point["measured"]["value"]), *point.get("also", {}).items()]
    if "heat_in" in point and point["measured"]["quantity"] == "shaft_power":
        wanted.append(("heat_in", point["heat_in"]))
    model_inputs = _ranges(engine, point)
    if model_inputs.missing:
        return []
    speed = _speed(point)
    common = {"engine": name, "trust": engine.get("trust", "low"), "known": point.get("known", "")}
    rows = []
    for what, text in wanted:
        if what == "runs":
            share = _curve(model_inputs, samples, None)[1]
            rows.append(
                Judged(**common, quantity=what, measured=None, ran=text == "yes", value=None, low=None, high=None,
                       runs=share, difference=None)
            )  # fmt: skip
            continue
        if what not in QUANTITIES or (what in AT_A_SPEED and speed is None):
            continue
        measured = read(*QUANTITIES[what], text)
        if what == "smallest_difference":
            best, share, spread = _smallest(model_inputs, samples)
        else:
            best, share, spread = _value(model_inputs, what, speed, measured, samples)
        low, high = interval(spread)
        rows.append(
            Judged(**common, quantity=what, measured=measured, ran=True, value=best, low=min(low, best),
                   high=max(high, best), runs=share, difference=_difference(model_inputs),
                   ceiling=_ceiling(model_inputs, speed) if what.endswith("power") else None)
        )  # fmt: skip
    return rows


def _ceiling(model_inputs: ModelInputs, speed: float | None) -> float | None:
    if speed is None:
        return None
    one = operate(central(model_inputs.words, model_inputs.values), np.array([[speed]]))
    return float(one.isothermal[0, 0] * speed / (2 * np.pi))


def _difference(model_inputs: ModelInputs) -> float | None:
    values = model_inputs.values
    return (
        values["hot_metal"].value - values["cold_metal"].value
        if "cold_metal" in values and "hot_metal" in values
        else None
    )


def _speed(point: dict[str, Any]) -> float | None:
    if "speed" in point:
        return read(Kind.ROTATION, "rpm", point["speed"]).value
    if point["measured"]["quantity"] in ("free_running_speed", "speed_at_best_power"):
        return read(Kind.ROTATION, "rpm", point["measured"]["value"]).value
    return None


def _curve(model_inputs: ModelInputs, samples: int, near: float | None) -> tuple[Operation, float, Operation, float]:
    """Return the best engine and the samples over a range of speeds, with the share that runs and the reference."""
    middle = near or 12.0
    one = central(model_inputs.words, model_inputs.values)
    best = operate(one, (SPEEDS * middle)[None])
    inputs = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=1)
    many = operate(inputs, np.repeat((SPEEDS * middle)[None], samples, axis=0), passes=2, angles=ANGLES)
    return best, float(find_points(many, reference=middle).runs.mean()), many, middle


def _value(
    model_inputs: ModelInputs, what: str, speed: float | None, measured: Uncertain, samples: int
) -> tuple[float, float, Any]:
    best, share, many, middle = _curve(model_inputs, samples, speed)
    if what in ("free_running_speed", "speed_at_best_power") or speed is None:
        key = {"free_running_speed": "free_speed", "speed_at_best_power": "best_speed"}.get(what, "best_power")
        one, all_ = (getattr(find_points(o, reference=middle), key) for o in (best, many))
        return float(np.nan_to_num(one)[0]), share, np.nan_to_num(all_)
    one_at = operate(best.inputs, np.array([[speed]]))
    all_at = operate(many.inputs, np.full((samples, 1), speed), passes=2, angles=ANGLES)
    one, all_ = (_at(o, what) for o in (one_at, all_at))
    return float(one[0]), share, all_


def _smallest(model_inputs: ModelInputs, samples: int) -> tuple[float, float, Any]:
    """Return the least difference of the metals at which it runs; the largest one tried where it never does."""
    results = []
    for inputs in (
        central(model_inputs.words, model_inputs.values),
        drawn(model_inputs.words, model_inputs.values, samples=samples // 2, seed=1),
    ):
        cold = inputs.values.get("cold_metal", inputs["room_temperature"])
        many = inputs.repeated(len(DIFFERENCES)).changed(
            hot_metal=(cold[:, None] + DIFFERENCES).ravel(), cold_metal=np.repeat(cold, len(DIFFERENCES))
        )
        speeds = np.repeat((SPEEDS[::2] * 12.0)[None], many.size, axis=0)
        spare = find_points(operate(many, speeds, passes=2, angles=ANGLES), reference=12.0).spare_torque
        spare = spare.reshape(-1, len(DIFFERENCES))
        first = (spare > 0).argmax(axis=1)
        results.append(np.where((spare > 0).any(axis=1), DIFFERENCES[first], DIFFERENCES[-1]))
    return float(results[0][0]), 1.0, results[1]


def _at(operation: Operation, what: str) -> Any:
    speed, turns = operation.speed[:, 0], operation.speed[:, 0] / (2 * np.pi)
    flows = watts(operation)
    return {
        "shaft_power": operation.torque[:, 0] * speed,
        "torque": operation.torque[:, 0],
        "indicated_power": operation.indicated[:, 0] * turns,
        "heat_in": flows["heat_released"][:, 0] - flows["heat_missed"][:, 0],
        "pressure_swing": np.ptp(operation.pressure[:, 0], axis=-1),
    }[what]
