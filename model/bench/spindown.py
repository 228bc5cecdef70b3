"""What a spin-down (a coast of the wheel to rest) tells: the torque lost, and the friction within it.

Torque lost = I x 4 pi N/t^2, uniform retardation [KhurmiGupta2005, from memory]; I is the wheel's alone.
"""

from __future__ import annotations

import math

from model.fields.build import Build
from model.fields.reading import ReadingFields
from model.quantities.uncertain import How, Uncertain
from model.quantities.wheel import LEVELS_OUT, moment_of_inertia, slowing_of_coast

SHAPE_UNKNOWN = 0.15
"""Relative standard uncertainty of `WHEEL_SHAPE`; common practice, no source."""
AT_REST = (0.5, 1.0)
"""Share of the loss of a flick that is friction at any speed, the rest drag that grows with it: a usual engine's drag
is a twentieth of its friction to as much as that, at a turn or so a second; common practice, no source."""


def moment_of(build: Build) -> Uncertain | None:
    """Return the wheel's moment of inertia, [kg m^2]; None where its mass or diameter is not known."""
    mass, wide = build.wheel_mass, build.wheel_diameter
    if mass is None or wide is None or mass.value <= 0 or wide.value <= 0:
        return None
    relative = math.hypot(mass.spread / mass.value, 2 * wide.spread / wide.value, SHAPE_UNKNOWN)
    value = moment_of_inertia(mass=mass.value, diameter=wide.value)
    return Uncertain(value=value, spread=value * relative, how=How.MEASURED)


def slowing_of(values: ReadingFields) -> Uncertain | None:
    """Return torque over moment of inertia, 4 pi N/t^2, [rad/s^2]; None without turns and time."""
    turns, time = values.turns, values.time
    if values.kind != "free_turns" or turns is None or time is None or turns.value <= 0 or time.value <= 0:
        return None
    relative = math.hypot(turns.spread / turns.value, 2 * time.spread / time.value, LEVELS_OUT)
    value = slowing_of_coast(turns=turns.value, time=time.value)
    return Uncertain(value=value, spread=value * relative, how=How.MEASURED)


def mean_speed(values: ReadingFields) -> float:
    """Return the mean speed of a coast, 2 pi N/t, [rad/s]; 0 without turns and time."""
    if values.turns is None or values.time is None or values.time.value <= 0:
        return 0.0
    return 2 * math.pi * values.turns.value / values.time.value


def friction_of(values: ReadingFields, build: Build) -> Uncertain | None:
    """Return the friction torque of the whole mechanism by a spin-down, [N m]; None where the reading does not tell it.

    Only an opened engine with all linked tells it: closed, the air's loss is in it; unlinked, the displacer's friction
    is not. What grows with speed is taken off: the drag that was typed, else by `AT_REST`.
    """
    slowing, moment = slowing_of(values), moment_of(build)
    if values.stood != "opened" or slowing is None or moment is None:
        return None
    lost = slowing.value * moment.value
    relative = math.hypot(slowing.spread / slowing.value, moment.spread / moment.value)
    if build.speed_drag is not None:
        drag, speed = build.speed_drag, mean_speed(values)
        friction = max(lost - drag.value * speed, 0.1 * lost)
        return Uncertain(value=friction, spread=math.hypot(lost * relative, drag.spread * speed), how=How.MEASURED)
    low, high = AT_REST
    share, spread = (low + high) / 2, (high - low) / math.sqrt(12)
    return Uncertain(value=share * lost, spread=share * lost * math.hypot(relative, spread / share), how=How.MEASURED)


__all__ = ["friction_of", "mean_speed", "moment_of", "slowing_of"]
