"""Speed, shaft power, friction and leak from what was read, with spreads after JCGM 100 (law of propagation, 5.1.2)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from model.fields.build import Build
from model.fields.reading import ReadingFields
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How, Uncertain
from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredQuantity:
    """A quantity that is measured and predicted."""

    label: str
    kind: Kind
    unit: str
    """Unit in which it is shown."""


QUANTITIES: Mapping[str, MeasuredQuantity] = {
    "speed": MeasuredQuantity(label="Free-running speed", kind=Kind.ROTATION, unit="rpm"),
    "shaft_power": MeasuredQuantity(label="Shaft power", kind=Kind.POWER, unit="mW"),
}
"""Quantities that a prediction can be held against, by the key under which a reading measures them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A measured quantity that a prediction can be held against; SI."""

    quantity: str
    """Key of `QUANTITIES`: ``speed`` (running free) or ``shaft_power``."""
    value: float
    spread: float
    """Standard uncertainty."""
    speed: float
    """Speed at which it was taken, [rad/s]."""
    formula: str


def speed_of(values: ReadingFields) -> Uncertain | None:
    """Return the speed of a reading, [rad/s]: the tachometer's, else turns over time; None when neither was read."""
    if values.tachometer is not None:
        return values.tachometer
    turns, time = values.turns, values.time
    if turns is None or time is None or turns.value <= 0 or time.value <= 0:
        return None
    speed = 2 * math.pi * turns.value / time.value
    relative = math.hypot(turns.spread / turns.value, time.spread / time.value)
    return Uncertain(value=speed, spread=speed * relative, how=time.how)


def brake_torque(values: ReadingFields) -> Uncertain | None:
    """Return the torque of a brake reading, (larger less smaller force) times radius, [N m]; None when not complete.

    Source: [Rajput2005], rope brake. A smaller force that was not written down is taken as nil (an arm on a scale).
    """
    tight, radius = values.force_tight, values.radius
    if tight is None or radius is None:
        return None
    slack = values.force_slack or Uncertain(value=0.0)
    force = tight.value - slack.value
    torque = force * radius.value
    spread = math.hypot(radius.value * math.hypot(tight.spread, slack.spread), force * radius.spread)
    return Uncertain(value=torque, spread=spread, how=tight.how)


def free_speed(values: ReadingFields) -> Measured | None:
    """Return the speed of an engine that runs free; None where it was not read."""
    speed = speed_of(values)
    if speed is None or speed.value <= 0:
        return None
    return Measured(
        quantity="speed", value=speed.value, spread=speed.spread, speed=speed.value, formula="turns over time"
    )


def brake_power(values: ReadingFields) -> Measured | None:
    """Return the shaft power of a brake reading, torque times speed; None when not complete."""
    speed, torque = speed_of(values), brake_torque(values)
    if speed is None or speed.value <= 0 or torque is None:
        return None
    return Measured(
        quantity="shaft_power",
        value=torque.value * speed.value,
        spread=math.hypot(torque.spread * speed.value, torque.value * speed.spread),
        speed=speed.value,
        formula="(larger less smaller force) x radius x speed",
    )


def rim_torque(values: ReadingFields, build: Build) -> Uncertain | None:
    """Return the friction torque by a weight at the rim that just turns the wheel, m g r, [N m]."""
    weight, radius = values.weight, values.radius
    if weight is None or radius is None:
        return None
    return _product(weight.value * GRAVITY * radius.value, weight, radius)


def half_time(values: ReadingFields, build: Build) -> Uncertain | None:
    """Return the time in which the level of a U-tube halves, [s]."""
    return values.time


def drop_leak(values: ReadingFields, build: Build) -> Uncertain | None:
    """Return the leak past a piston that falls by its own weight, fall/(time m g), [m/(s N)].

    Pressure under the piston is m g/A and the flow A fall/time; A drops out but for A^2, put in by the model.
    """
    weight, time, fall = values.weight, values.time, values.fall
    if weight is None or time is None or fall is None:
        return None
    return _product(fall.value / time.value / (weight.value * GRAVITY), fall, time, weight)


def _product(value: float, *parts: Uncertain) -> Uncertain:
    relative = math.sqrt(sum((p.spread / p.value) ** 2 for p in parts if p.value))
    return Uncertain(value=value, spread=abs(value) * relative, how=How.MEASURED)
