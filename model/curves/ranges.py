"""Which part of a chart is shown: all that belongs together, however far a single reading lies. Pure.

A measured value that lies beyond the range of all the rest by more than twice that range, and by more than twice the
largest value in it, is *wild*: it is shown at the edge with its value, and does not set the scale. Values are taken in
from the curves outwards, so that one wild reading does not make the next one tame.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from model.curves.chart import Chart, Series

FAR = 2.0
"""Times the range, or the largest value, beyond which a value is wild. Twice: what it left of the scale would be less
than a third. Chosen here."""
DEEP = 0.6
"""Where a curve goes below nil and above, so much is shown below of what is shown above: how deep it would fall where
it never runs tells nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What is shown, SI."""

    left: float
    right: float
    low: float
    high: float

    def holds(self, x: float, y: float) -> bool:
        """Whether a place lies within."""
        slack_x, slack_y = 1e-9 * (self.right - self.left), 1e-9 * (self.high - self.low)
        return self.left - slack_x <= x <= self.right + slack_x and self.low - slack_y <= y <= self.high + slack_y


def shown(chart: Chart, *, left: float | None = None, right: float | None = None) -> Shown:
    """Return what of a chart is shown; `left` and `right` are set where it is zoomed in.

    Along x everything but wild points; along y the same of what lies between the two sides.
    """
    xs = [x for line in chart.series for x in line.x]
    marks = [mark.x for mark in chart.marks]
    clouds = [(x, y) for cloud in chart.points for x, y in zip(cloud.x, cloud.y, strict=True)]
    begin, end = span(xs or marks, [x for x, _ in clouds], nil=chart.x.nil)
    for mark in _finite(marks):
        if mark <= end + (end - begin) and mark >= begin - (end - begin):
            begin, end = min(begin, mark), max(end, mark)
    left, right = begin if left is None else left, end if right is None else right
    inside = [y for line in chart.series for y in _between(line, left, right)]
    seen = [y for x, y in clouds if left <= x <= right]
    low, high = span(inside, seen, nil=chart.y.nil)
    if chart.y.nil and high > 0 > low:
        low = max(low, -DEEP * high)
    return Shown(left=left, right=right, low=low, high=high)


def span(curves: Iterable[float], points: Iterable[float], *, nil: bool = False) -> tuple[float, float]:
    """Return the range of curves, and of the points that are not wild.

    Examples
    --------
    >>> span([0.0, 10.0], [12.0, 29.0, 900.0])
    (0.0, 29.0)
    >>> span([], [5.0, 6.0, 4.0, 80.0])
    (4.0, 6.0)
    """
    values, rest = _finite(curves), sorted(_finite(points))
    if not values and rest:
        values = rest if len(rest) < 3 else [rest[len(rest) // 2]]
    if nil:
        values = [*values, 0.0]
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    for value in sorted(rest, key=lambda each: max(low - each, each - high)):
        beyond = max(low - value, value - high)
        if beyond > FAR * max(high - low, abs(low), abs(high)) > 0:
            break
        low, high = min(low, value), max(high, value)
    if high == low == 0:
        return 0.0, 1.0
    if high == low:
        room = abs(low) * 0.1 or 1.0
        return low - room, high + room
    return low, high


def _finite(values: Iterable[float]) -> list[float]:
    return [value for value in values if math.isfinite(value)]


def _between(line: Series, left: float, right: float) -> list[float]:
    """Return what a line and its interval do from one side to the other, ends of its pieces that cross them too."""
    found: list[float] = []
    for values in (line.y, line.low, line.high):
        if values:
            found += [y for x, y in zip(line.x, values, strict=True) if left <= x <= right]
            found += [y for y in (at(line.x, values, left), at(line.x, values, right)) if y is not None]
    return found


def at(xs: Sequence[float], ys: Sequence[float], x: float) -> float | None:
    """Return what a line through ascending places is at one; None beyond its ends, or where it has a gap.

    Examples
    --------
    >>> at((0.0, 2.0), (1.0, 5.0), 0.5), at((0.0, 2.0), (1.0, 5.0), 3.0)
    (2.0, None)
    """
    for i in range(1, len(xs)):
        if xs[i - 1] <= x <= xs[i]:
            share = (x - xs[i - 1]) / ((xs[i] - xs[i - 1]) or 1.0)
            value = ys[i - 1] + share * (ys[i] - ys[i - 1])
            return value if math.isfinite(value) else None
    return None
