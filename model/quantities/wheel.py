"""A wheel that coasts to rest: moment of inertia, how fast it slows down, and how often it turns.

For single numbers and for arrays alike; imports no numpy, so that readings are read without it.
"""

from __future__ import annotations

import math
from typing import Any

WHEEL_SHAPE = 0.6
"""Moment of inertia of a wheel over mass times radius squared: 0.5 for a disc, 1 for a ring; most lie between."""
LEVELS_OUT = 0.15
"""Relative standard uncertainty of a loss from turns and time, beyond the watch's: the loss is not the same at all
speeds; common practice, no source."""


def moment_of_inertia(*, mass: Any, diameter: Any) -> Any:
    """Return the moment of inertia of a wheel, [kg m^2], of its mass [kg] and diameter [m]."""
    return WHEEL_SHAPE * mass * (diameter / 2) ** 2


def slowing_of_coast(*, turns: Any, time: Any) -> Any:
    """Return loss torque over moment of inertia of a coast to rest, 4 pi N/t^2, [rad/s^2]: any flick will do.

    Source: [KhurmiGupta2005], uniform retardation. `time` in [s].
    """
    return 4 * math.pi * turns / time**2


def turns_of_coast(*, speed: Any, slowing: Any) -> Any:
    """Return the turns to rest from a speed [rad/s], w^2/(4 pi a), at a uniform retardation [rad/s^2].

    Source: [KhurmiGupta2005].
    """
    return speed**2 / (4 * math.pi * slowing)


def slowing_of_turns(*, speed: Any, turns: Any) -> Any:
    """Return the retardation [rad/s^2] of so many turns to rest from a speed [rad/s], w^2/(4 pi N)."""
    return speed**2 / (4 * math.pi * turns)
