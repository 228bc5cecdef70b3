"""Rules of thumb that anybody has: each a yardstick of the engine times a constant.

The yardsticks take the same inputs as the model. West's and Beale's numbers are the field's own; 0.15 is Beale's usual
textbook figure (from memory). 0.15 for West's, a third and a tenth of the closed form, 25 W/(m^2 K) and 0.3 m/s at the
crank pin were chosen with these engines in sight: only a constant fitted without a design is a fair trial on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.cycle.isothermal import isothermal_pressure
from model.inputs.model_inputs import ModelInputs
from model.running.engine import geometry
from model.running.samples import central

ANGLES = 360
PIN_SPEED = 0.3
"""Of the crank pin at best power, [m/s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A constant times a yardstick; without a constant of its own it can only be fitted."""

    label: str
    yardstick: str
    constant: float | None = None


_POWER = (
    Rule(label="closed form", yardstick="closed form"),
    Rule(label="West", yardstick="West"),
    Rule(label="Beale", yardstick="Beale"),
)
_SPEED = (
    Rule(label="speed of the crank pin", yardstick="pin"),
    Rule(label="difference of the metals", yardstick="difference"),
)
RULES: dict[str, tuple[Rule, ...]] = {
    "shaft_power": (
        Rule(label="a tenth of the closed form", yardstick="closed form", constant=0.1),
        Rule(label="a third of the closed form", yardstick="closed form", constant=1 / 3),
        Rule(label="West 0.15", yardstick="West", constant=0.15),
        Rule(label="Beale 0.15", yardstick="Beale", constant=0.15),
        Rule(label="room pressure x swept volume", yardstick="swept"),
        Rule(label="Beale 0.15 at 0.3 m/s of the crank pin", yardstick="Beale at the usual speed", constant=0.15),
    ),
    "indicated_power": (Rule(label="a third of the closed form", yardstick="closed form", constant=1 / 3), *_POWER[1:]),
    "indicated_work": (Rule(label="a third of the closed form", yardstick="closed form", constant=1 / 3), *_POWER[1:]),
    "torque": (
        Rule(label="a tenth of the closed form", yardstick="closed form", constant=0.1),
        Rule(label="West 0.15", yardstick="West", constant=0.15),
        Rule(label="Beale 0.15", yardstick="Beale", constant=0.15),
    ),
    "pressure_swing": (
        Rule(label="closed box, p Vp/V", yardstick="closed box", constant=1.0),
        Rule(label="swing of the closed form", yardstick="closed swing"),
    ),
    "heat_in": (Rule(label="25 W/m2K x plate x difference", yardstick="plate", constant=25.0),),
    "speed_at_best_power": (Rule(label="0.3 m/s at the crank pin", yardstick="pin", constant=PIN_SPEED), _SPEED[1]),
    "free_running_speed": _SPEED,
}


def yardsticks(model_inputs: ModelInputs, quantity: str, speed: float | None, typed: bool) -> dict[str, float]:
    """Return what the rules of a quantity multiply, SI, at the best values of the inputs.

    Without a speed there is none of power; of what a builder types there are no temperatures either.
    """
    inputs = central(model_inputs.words, model_inputs.values)
    form = geometry(inputs, angles=ANGLES)
    pressure, swept = float(inputs["room_pressure"][0]), float(form.swept_piston[0])
    sticks = (
        {"pin": 1 / float(inputs["piston_throw"][0])}
        if quantity in ("free_running_speed", "speed_at_best_power")
        else {}
    )
    if typed or "hot_metal" not in inputs or "cold_metal" not in inputs:
        if quantity != "shaft_power":
            return sticks
        usual = PIN_SPEED / float(inputs["piston_throw"][0]) / (2 * np.pi)
        return {"swept": pressure * swept, "Beale at the usual speed": pressure * swept * usual}
    hot, cold = inputs["hot_metal"], inputs["cold_metal"]
    apart, ratio = float((hot - cold)[0]), float(((hot - cold) / (hot + cold))[0])
    if sticks:
        return {**sticks, "difference": apart}
    swing = isothermal_pressure(
        volume_hot=form.volume_hot, volume_cold=form.volume_cold, volume_gap=form.volume_gap, temperature_hot=hot,
        temperature_cold=cold, temperature_gap=(hot - cold) / np.log(hot / cold), pressure_mean=inputs["room_pressure"],
    )[0]  # fmt: skip
    total = (form.volume_hot + form.volume_cold)[0]
    volume = float((total + form.volume_gap[0]).mean())
    if quantity == "pressure_swing":
        return {"closed box": pressure * swept / volume, "closed swing": float(np.ptp(swing))}
    if quantity == "heat_in":
        return {"plate": float(form.area_hot[0]) * apart}
    work = float((0.5 * (swing + np.roll(swing, -1)) * (np.roll(total, -1) - total)).sum())
    turns = {"indicated_work": 1.0, "torque": 1 / (2 * np.pi)}.get(quantity, (speed or 0.0) / (2 * np.pi))
    of_a_turn = {"closed form": work, "West": pressure * swept * ratio, "Beale": pressure * swept}
    return {name: value * turns for name, value in of_a_turn.items()}
