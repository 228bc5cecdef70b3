"""How gas power grows with the difference of the metals, measured, by the model and by the closed form."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from model.running.samples import SampledInputs
from tests.reference.judged import Judged
from tests.reference.refit import swept
from tests.reference.scores import of_quantity

FEWEST = 3
"""Points through which an exponent is drawn."""
APART = 2.5
"""What a thermocouple of type K or J may read wrong at room temperature, class 2 of IEC 60584-1, [K]; from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exponent:
    """Slopes of straight lines through ln(power) over ln(difference)."""

    engine: str
    points: int
    measured: float
    least: float
    """Of the ends of the measured powers, which share one angle of the engine's gate and move together."""
    most: float
    model: float
    closed: float
    apart: float | None
    """Of the model, the hot metal cooler than was read by `APART`."""


def exponents(rows: Sequence[Judged], apart: Sequence[Judged] = ()) -> list[Exponent]:
    """Return one of each engine with three points or more at its metals' own; `apart`: rows of :func:`read_wrong`."""
    found = []
    for name in dict.fromkeys(row.engine for row in rows):
        own, wrong = _own(rows, name), _own(apart, name)
        if len(own) < FEWEST:
            continue
        ends = [_slope(own, [getattr(x.measured, end) or x.measured.value for x in own if x.measured])
                for end in ("low", "high")]  # fmt: skip
        found.append(
            Exponent(
                engine=name,
                points=len(own),
                measured=_slope(own, [x.measured.value for x in own if x.measured]),
                least=min(ends),
                most=max(ends),
                model=_slope(own, [x.value or 0.0 for x in own]),
                closed=_slope(own, [x.ceiling or 0.0 for x in own]),
                apart=_slope(wrong, [x.value or 0.0 for x in wrong]) if wrong else None,
            )
        )
    return found


def _own(rows: Sequence[Judged], name: str) -> list[Judged]:
    powers = of_quantity(rows, "indicated_power")
    return [x for x in powers if x.engine == name and x.given.startswith("hot measured")]


def _slope(rows: Sequence[Judged], power: Sequence[float]) -> float:
    apart = [math.log(x.difference or 1.0) for x in rows]
    return statistics.linear_regression(apart, [math.log(max(y, 1e-9)) for y in power]).slope


def read_wrong(full: Sequence[Judged]) -> list[Judged]:
    """Return the rows as they are with a hot metal cooler by `APART` than was read; the differences as read."""

    def cooler(one: SampledInputs) -> SampledInputs:
        return one.changed(hot_metal=one["hot_metal"] - APART) if "hot_metal" in one else one

    return [values[0] for _, values in swept(full, 1, cooler, lambda row: row.quantity == "indicated_power")]
