"""Speed and shaft power from what was read, with spreads after JCGM 100 (law of propagation, 5.1.2)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from model.fields.reading import ReadingValues
from model.quantities.uncertain import Uncertain


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A measured quantity that a prediction can be held against; SI."""

    quantity: str
    """``speed`` (running free) or ``shaft_power``."""
    value: float
    spread: float
    """Standard uncertainty."""
    speed: float
    """Speed at which it was taken, [rad/s]."""
    formula: str


def speed_of(values: ReadingValues) -> Uncertain | None:
    """Return the speed of a reading, [rad/s]: the tachometer's, else turns over time; None when neither was read."""
    if values.tachometer is not None:
        return values.tachometer
    turns, time = values.turns, values.time
    if turns is None or time is None or turns.value <= 0 or time.value <= 0:
        return None
    speed = 2 * math.pi * turns.value / time.value
    relative = math.hypot(turns.spread / turns.value, time.spread / time.value)
    return Uncertain(value=speed, spread=speed * relative, how=time.how)


def brake_torque(values: ReadingValues) -> Uncertain | None:
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


def measured_of(values: ReadingValues) -> Measured | None:
    """Return what a reading measured that a prediction can be held against; None for other kinds or when incomplete."""
    speed = speed_of(values)
    if speed is None or speed.value <= 0:
        return None
    if values.kind == "speed":
        return Measured(
            quantity="speed", value=speed.value, spread=speed.spread, speed=speed.value, formula="turns over time"
        )
    torque = brake_torque(values) if values.kind == "brake" else None
    if torque is None:
        return None
    power = torque.value * speed.value
    spread = math.hypot(torque.spread * speed.value, torque.value * speed.spread)
    return Measured(
        quantity="shaft_power",
        value=power,
        spread=spread,
        speed=speed.value,
        formula="(larger less smaller force) x radius x speed",
    )
