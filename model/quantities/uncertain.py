"""A value with its spread and how it is known. Pure; stdlib only.

A spread is a standard uncertainty [JCGM100]. ``+-`` as builders and instrument makers write it is taken as twice that
(coverage factor 2, about 95 %; JCGM 100:2008, 6.3.3 and annex G.6.6); "between a and b" is rectangular (4.3.7).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum


class How(StrEnum):
    """How a value is known."""

    MEASURED = "measured"
    DRAWN = "drawn"
    GUESSED = "guessed"


class Shape(StrEnum):
    """Form of the distribution of what the true value may be."""

    NORMAL = "normal"
    FLAT = "flat"
    """Rectangular between `low` and `high`."""
    LOG_FLAT = "log-flat"
    """Rectangular in the logarithm between `low` and `high`, both above zero."""
    LOG_NORMAL = "log-normal"
    """Normal in the logarithm; for factors and for wide values that cannot be negative."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """A value that is known so well and no better; SI."""

    value: float
    """Best estimate (median), SI."""
    spread: float = 0.0
    """Standard uncertainty, SI; >= 0."""
    how: How = How.DRAWN
    """How it is known."""
    shape: Shape = Shape.NORMAL
    """Form of the distribution."""
    low: float | None = None
    """Lower end of a flat distribution, SI."""
    high: float | None = None
    """Upper end of a flat distribution, SI."""

    def quantile(self, probability: float) -> float:
        """Return the value below which the true one lies with this probability (0 < probability < 1)."""
        if self.shape is Shape.FLAT and self.low is not None and self.high is not None:
            return self.low + probability * (self.high - self.low)
        if self.shape is Shape.LOG_FLAT and self.low and self.high:
            return math.exp((1 - probability) * math.log(self.low) + probability * math.log(self.high))
        z = normal_quantile(probability)
        if self.shape is Shape.LOG_NORMAL and self.value > 0:
            return self.value * math.exp(z * self.spread / self.value)
        return self.value + z * self.spread

    def interval(self, probability: float = 0.9) -> tuple[float, float]:
        """Return the central interval that holds the true value with this probability."""
        tail = (1 - probability) / 2
        return self.quantile(tail), self.quantile(1 - tail)

    def scaled(self, factor: float) -> Uncertain:
        """Return this value times an exact factor > 0."""
        return replace(
            self,
            value=self.value * factor,
            spread=self.spread * factor,
            low=None if self.low is None else self.low * factor,
            high=None if self.high is None else self.high * factor,
        )


def between(low: float, high: float, *, how: How = How.GUESSED) -> Uncertain:
    """Return a value known only to lie between two bounds; flat in the logarithm when they are far apart.

    Source: [JCGM100] 4.3.7. The logarithm beyond a factor of two is common practice, no source: a guess of "1 to 9" has
    its middle near 3.
    """
    low, high = min(low, high), max(low, high)
    if low > 0 and high > 2 * low:
        width = math.log(high) - math.log(low)
        middle = math.sqrt(low) * math.sqrt(high)
        return Uncertain(
            value=middle,
            spread=middle * width / math.sqrt(12),
            how=how,
            shape=Shape.LOG_FLAT,
            low=low,
            high=high,
        )
    return Uncertain(
        value=(low + high) / 2,
        spread=(high - low) / math.sqrt(12),
        how=how,
        shape=Shape.FLAT,
        low=low,
        high=high,
    )


def normal_quantile(probability: float) -> float:
    """Return the quantile of the standard normal distribution.

    Examples
    --------
    >>> round(normal_quantile(0.95), 4)
    1.6449
    """
    from statistics import NormalDist

    return NormalDist().inv_cdf(probability)
