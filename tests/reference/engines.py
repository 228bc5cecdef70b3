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
    "indicated_work": (Kind.ENERGY, "J"),
    "smallest_difference": (Kind.DIFFERENCE, "K"),
}
AT_A_SPEED = ("pressure_swing", "indicated_power", "indicated_work", "heat_in")
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
    _complete(values, texts, point)
    known = {k: v for k, v in values.items() if k in declared}
    return replace(Build(), **known)


def _complete(values: dict[str, Any], texts: dict[str, str], point: dict[str, Any]) -> None:
    """Fill in what follows from what the source does say: throw from swept volume, hot metal from a difference."""
    if "piston_swept" in texts and "piston_throw" not in values and "piston_bore" in values:
        swept, bore = read(Kind.VOLUME, "ml", texts["piston_swept"]), values["piston_bore"]
        throw = swept.value / (2 * math.pi / 4 * bore.value**2)
        share = math.hypot(swept.spread / swept.value, 2 * bore.spread / bore.value)
        values["piston_throw"] = Uncertain(value=throw, spread=throw * share)
    if "hot_metal" in values or "heat_source" in values or "cold_metal" not in values:
        return
    cold = values["cold_metal"]
    if "difference" in point:
        apart = read(Kind.DIFFERENCE, "K", point["difference"])
        values["hot_metal"] = Uncertain(value=cold.value + apart.value, spread=math.hypot(cold.spread, apart.spread))
    elif point["measured"]["quantity"] == "smallest_difference":
        # any will do: each difference is tried
        values["hot_metal"] = Uncertain(value=cold.value + DIFFERENCES[-1], spread=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJudged:
    """A measured value that the model says nothing of."""

    engine: str
    quantity: str
    reason: str
    """Why, as the end of "no prediction, because ..."."""


ROLES = {
    "behaviour": "too many of its sizes are assumed, so that it would judge our assumptions",
    "scale": "it is charged or filled with another gas, and the model is for air at the pressure of the room",
}
"""Why engines of a role do not judge the model."""


def not_judged(*, roles: tuple[str, ...] = ("judge",)) -> list[NotJudged]:
    """Return every measured value of the table that `judge` leaves out, with its reason."""
    found = []
    for name, engine in engines().items():
        for point in engine["point"]:
            model_inputs = _ranges(engine, point)
            for what, _ in _wanted(point):
                reason = _reason(engine, point, model_inputs, what, roles)
                if reason:
                    found.append(NotJudged(engine=name, quantity=what, reason=reason))
    return found


def _reason(
    engine: dict[str, Any], point: dict[str, Any], model_inputs: ModelInputs, what: str, roles: tuple[str, ...]
) -> str:
    """Return why a value is not held against the model; empty where it is."""
    if engine["role"] not in roles:
        return ROLES[engine["role"]]
    if model_inputs.missing:
        labels = (model_inputs.labels.get(name, name) for name in model_inputs.missing)
        return f"its source does not say: {', '.join(labels)}"
    if what != "runs" and what not in QUANTITIES:
        return f"{what} is no figure of the model"
    if what in AT_A_SPEED and _speed(point) is None:
        return "its speed is not given"
    return ""


def _wanted(point: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the measured values of a point: quantity and text."""
    wanted = [(point["measured"]["quantity"], point["measured"]["value"]), *point.get("also", {}).items()]
    if "heat_in" in point and point["measured"]["quantity"] == "shaft_power":
        wanted.append(("heat_in", point["heat_in"]))
    return wanted


def _ranges(engine: dict[str, Any], point: dict[str, Any]) -> ModelInputs:
    return complete_inputs(build_of(engine, point))


def judge(*, samples: int = SAMPLES, roles: tuple[str, ...] = ("judge",), points: int | None = None) -> list[Judged]:
    """Hold the model against every measured point, or the first `points` of each engine."""
    found = []
    for name, engine in engines().items():
        if engine.get("role") not in roles:
            continue
        for point in engine["point"][:points]:
            found += _judge_point(name, engine, point, samples, roles)
    return found


def _judge_point(
    name: str, engine: dict[str, Any], point: dict[str, Any], samples: int, roles: tuple[str, ...]
) -> list[Judged]:
    model_inputs = _ranges(engine, point)
    speed = _speed(point)
    common = {"engine": name, "trust": engine.get("trust", "low"), "known": point.get("known", "")}
    rows = []
    for what, text in _wanted(point):
        if _reason(engine, point, model_inputs, what, roles):
            continue
        if what == "runs":
            share = _curve(model_inputs, samples, None)[1]
            rows.append(
                Judged(**common, quantity=what, measured=None, ran=text == "yes", value=None, low=None, high=None,
                       runs=share, difference=None)
            )  # fmt: skip
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
        "indicated_work": operation.indicated[:, 0],
        "heat_in": flows["heat_released"][:, 0] - flows["heat_missed"][:, 0],
        "pressure_swing": np.ptp(operation.pressure[:, 0], axis=-1),
    }[what]
