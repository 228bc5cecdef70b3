"""A gap told twice: against the drawing, and against what the mark had shown without that visit. No numpy."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from model.knowledge.result import Expected
from model.prediction.result import Gap, Why

WORDS = "all that was found but at this visit, at this reading's own temperatures"


def gaps_with(gaps: Iterable[Gap], expected: Iterable[Expected]) -> tuple[Gap, ...]:
    """Return gaps with what was to be expected by all else that was found, where that is known."""
    by_reading = {(item.entry, item.reading): item for item in expected}
    return tuple(gap_with(gap, by_reading.get((gap.entry, gap.reading))) for gap in gaps)


def gap_with(gap: Gap, expected: Expected | None) -> Gap:
    """Return a gap with what was to be expected."""
    value = gap.measured.value
    if expected is None or value is None or gap.quantity not in ("speed", "shaft_power"):
        return gap
    why = Why(formula=WORDS, source="derived here")
    shown = replace(gap.measured, value=expected.value, low=expected.low, high=expected.high, why=why)
    half = value - (value if gap.measured.low is None else gap.measured.low)
    apart = value - expected.value
    return replace(
        gap,
        shown=shown,
        shown_gap=replace(
            gap.gap,
            value=apart,
            low=apart - math.hypot(half, expected.high - expected.value),
            high=apart + math.hypot(half, expected.value - expected.low),
            why=Why(formula="measured less expected; halves of both intervals added in squares", source="JCGM100"),
        ),
    )


__all__ = ["gap_with", "gaps_with"]
