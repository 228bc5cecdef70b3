"""The unit in which values of a size read best. Pure."""

from __future__ import annotations

import math

from model.quantities.units import Kind, from_si

_LADDERS: dict[Kind, tuple[str, ...]] = {
    Kind.POWER: ("mW", "W", "kW"),
    Kind.TORQUE: ("uN m", "mN m", "N m"),
    Kind.PRESSURE: ("Pa", "kPa"),
    Kind.TIME: ("s", "min", "h"),
    Kind.ENERGY: ("mJ", "J", "kJ"),
}
"""Units from small to large, for kinds whose size differs a thousandfold between engines."""


def unit_for(kind: Kind, unit: str, *values: float | None) -> str:
    """Return the unit in which these SI values read best: the largest in which the largest of them is at least 1.

    Examples
    --------
    >>> unit_for(Kind.POWER, "W", 0.003, 0.009), unit_for(Kind.POWER, "W", -0.02, 1.29)
    ('mW', 'W')
    """
    sizes = [abs(v) for v in values if v is not None and math.isfinite(v)]
    ladder = _LADDERS.get(kind)
    if not ladder or not sizes or max(sizes) == 0:
        return unit
    fitting = [symbol for symbol in ladder if from_si(max(sizes), kind, symbol) >= 1]
    return fitting[-1] if fitting else ladder[0]
