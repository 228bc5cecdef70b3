"""The engines of ``engines.toml`` as builds, and which measured values the model is held against.

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

from model.fields import Build, fields_of, read_field
from model.fields.field import quantity
from model.fields.vocabulary import CRANKED
from model.inputs.complete import complete_inputs
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

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
AT_A_SPEED = ("pressure_swing", "indicated_power", "indicated_work", "heat_in", "torque")
ROLES = ("judge", "behaviour")
"""Engines that the model is held against: air at the pressure of the room."""
MAIN_SIZES = ("piston_bore", "piston_stroke", "piston_swept", "displacer_bore", "displacer_stroke", "hot_bore",
              "hot_stroke")  # fmt: skip
"""Sizes that a builder knows of his engine; where the source does not state one, its assumed range stands for it."""
MEASURED_LATER = ("hot_metal", "cold_metal", "heat_in", "heat_released", "room_pressure", "room_temperature")
"""What a builder does not type before the engine has run."""
LARGEST_DIFFERENCE = 150.0
"""The largest difference of the metals that is tried for the smallest one, [K]."""


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


def build_of(engine: dict[str, Any], point: dict[str, Any], *, typed: bool = False) -> Build:
    """Return the build of an engine at a point; `typed`: only what a builder types, his sizes and words."""
    texts = _texts(engine, point, typed=typed)
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
    _throw_of_swept(values, texts)
    if not typed:
        _hot_of_difference(values, point)
    known = {k: v for k, v in values.items() if k in declared}
    return replace(Build(), **known)


def _texts(engine: dict[str, Any], point: dict[str, Any], *, typed: bool) -> dict[str, str]:
    """Return names and texts; of a builder's the temperatures, pressures and hand-picked ranges are left out."""
    own = {k: v for k, v in point.items() if isinstance(v, str)}
    assumed, stated = engine.get("assumed", {}), engine.get("stated", {})
    if not typed:
        return {**assumed, **stated, **own}
    sizes = {name: assumed[name] for name in MAIN_SIZES if name in assumed}
    texts = {**sizes, **stated, **engine.get("typed", {}), **own}
    return {name: text for name, text in texts.items() if name not in MEASURED_LATER}


def _throw_of_swept(values: dict[str, Any], texts: dict[str, str]) -> None:
    if "piston_swept" in texts and "piston_throw" not in values and "piston_bore" in values:
        swept, bore = read(Kind.VOLUME, "ml", texts["piston_swept"]), values["piston_bore"]
        throw = swept.value / (2 * math.pi / 4 * bore.value**2)
        share = math.hypot(swept.spread / swept.value, 2 * bore.spread / bore.value)
        values["piston_throw"] = Uncertain(value=throw, spread=throw * share)


def _hot_of_difference(values: dict[str, Any], point: dict[str, Any]) -> None:
    if "hot_metal" in values or "cold_metal" not in values:
        return
    cold = values["cold_metal"]
    if "difference" in point:
        apart = read(Kind.DIFFERENCE, "K", point["difference"])
        values["hot_metal"] = Uncertain(value=cold.value + apart.value, spread=math.hypot(cold.spread, apart.spread))
    elif point["measured"]["quantity"] == "smallest_difference":
        # any will do: each difference is tried
        values["hot_metal"] = Uncertain(value=cold.value + LARGEST_DIFFERENCE, spread=0.0)


def given(engine: dict[str, Any], point: dict[str, Any], what: str) -> str:
    """Say what the prediction of a value was given besides the sizes, "measured" or "guessed"."""
    texts = _texts(engine, point, typed=False)
    assumed = engine.get("assumed", {})
    said = []
    for name, label in (("hot_metal", "hot"), ("cold_metal", "cold")):
        if name in point or name in engine.get("stated", {}):
            said.append(f"{label} measured")
        elif name in assumed:
            said.append(f"{label} guessed")
        elif "difference" in point and name == "hot_metal":
            said.append("difference measured")
        elif what != "smallest_difference":
            said.append(f"{label} from {'its source' if label == 'hot' else 'its cooling'}")
    if speed_of(point) is not None and (what in AT_A_SPEED or what == "shaft_power"):
        said.append("speed measured")
    if what not in ("pressure_swing", "indicated_power", "indicated_work", "heat_in"):
        said.append(f"friction {'measured' if 'friction_torque' in texts else 'guessed'}")
    return ", ".join(said)


def speed_of(point: dict[str, Any]) -> float | None:
    """Return the measured speed of a point, [rad/s]; None where there is none."""
    if "speed" in point:
        return read(Kind.ROTATION, "rpm", point["speed"]).value
    if point["measured"]["quantity"] in ("free_running_speed", "speed_at_best_power"):
        return read(Kind.ROTATION, "rpm", point["measured"]["value"]).value
    return None


def gas_work(point: dict[str, Any], speed: float) -> float | None:
    """Return the measured work of the air in a turn, [J]; None where nobody measured it."""
    also = point.get("also", {})
    if "indicated_work" in also:
        return read(*QUANTITIES["indicated_work"], also["indicated_work"]).value
    if "indicated_power" in also:
        return read(*QUANTITIES["indicated_power"], also["indicated_power"]).value * 2 * math.pi / speed
    return None


def wanted(point: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the measured values of a point: quantity and text."""
    values = [(point["measured"]["quantity"], point["measured"]["value"]), *point.get("also", {}).items()]
    if "heat_in" in point and point["measured"]["quantity"] == "shaft_power":
        values.append(("heat_in", point["heat_in"]))
    return values


def reason_against(engine: dict[str, Any], point: dict[str, Any], what: str, *, typed: bool = False) -> str:
    """Return why a value is not held against the model, as the end of "because ..."; empty where it is."""
    if engine["role"] not in ROLES:
        return "it is charged or filled with another gas, and the model is for air at the pressure of the room"
    if engine["layout"] not in CRANKED:
        return f"the model has no engine of the layout {engine['layout']}"
    model_inputs = complete_inputs(build_of(engine, point, typed=typed))
    if model_inputs.missing:
        labels = (model_inputs.labels.get(name, name) for name in model_inputs.missing)
        return f"its source does not say: {', '.join(labels)}"
    if model_inputs.problems:
        return "; ".join(str(problem) for problem in model_inputs.problems)
    if what != "runs" and what not in QUANTITIES:
        return f"{what} is no figure of the model"
    if typed:
        return _reason_against_typed(engine, point, what)
    if what in AT_A_SPEED and speed_of(point) is None:
        return "its speed is not given"
    return ""


def _reason_against_typed(engine: dict[str, Any], point: dict[str, Any], what: str) -> str:
    if what in ("runs", "free_running_speed", "speed_at_best_power"):
        return ""
    if what != "shaft_power":
        return "it belongs to a speed or to temperatures that a builder does not type"
    best = max(read(*QUANTITIES[what], text).value for other in engine["point"] for name, text in wanted(other)
               if name == what)  # fmt: skip
    own = read(*QUANTITIES[what], point["measured"]["value"]).value
    return "" if own == best else "it is not the engine's best power, and a builder does not type the load"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJudged:
    """A measured value that the model says nothing of."""

    engine: str
    quantity: str
    reason: str
    """Why, as the end of "no prediction, because ..."."""


@cache
def not_judged(*, typed: bool = False) -> tuple[NotJudged, ...]:
    """Return every measured value of the table that the model is not held against, with its reason."""
    return tuple(
        NotJudged(engine=name, quantity=what, reason=reason)
        for name, engine in engines().items()
        for point in engine["point"]
        for what, _ in wanted(point)
        if (reason := reason_against(engine, point, what, typed=typed))
    )
