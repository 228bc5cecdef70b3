"""A middle with the ends of its 90 % interval. Pure; stdlib only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Middle and ends of a 90 % interval, SI: over engines, or as promised."""

    middle: float
    low: float
    high: float


__all__ = ["Range"]
