"""The axes round what is shown of a chart: round ticks with their texts, and the frame round them. Pure."""

from __future__ import annotations

import math

from model.curves.chart import Axis, Chart
from model.curves.ranges import Shown
from model.curves.ticks import tick_texts, ticks
from model.quantities.units import Kind, from_si

Labels = list[tuple[float, str]]
"""Ticks: SI value and text."""
PARTS = 5
"""Of a step between ticks: an axis ends at one of them, so that little room is lost."""
TURN = (15.0, 30.0, 45.0, 90.0, 180.0)
"""Steps of an angle, [deg]."""
MOST = 12


def round_frame(chart: Chart, inside: Shown, *, across: int, up: int) -> tuple[Labels, Labels, Shown]:
    """Return the ticks of both axes, and what is shown once it ends at a fifth of their steps."""
    xs, left, right = axis_ticks(chart.x, inside.left, inside.right, across)
    ys, low, high = axis_ticks(chart.y, inside.low, inside.high, up)
    return xs, ys, Shown(left=left, right=right, low=low, high=high)


def axis_ticks(axis: Axis, low: float, high: float, about: int) -> tuple[Labels, float, float]:
    """Return about so many round ticks of an axis within a range, two at least, and both ends of the axis; SI.

    Heckbert's tight labels: the ticks are those of `model.curves.ticks`, the axis ends near the data.
    """
    zero, one = from_si(0.0, axis.kind, axis.unit), from_si(1.0, axis.kind, axis.unit)
    begin, end = (from_si(value, axis.kind, axis.unit) for value in (low, high))
    numbers, step = _numbers(axis, begin, end, about)
    begin = math.floor(begin / step * PARTS + 1e-6) * step / PARTS
    end = math.ceil(end / step * PARTS - 1e-6) * step / PARTS
    inside = tuple(n for n in numbers if begin - 1e-9 * step <= n <= end + 1e-9 * step)
    labels = [((n - zero) / (one - zero), text) for n, text in zip(inside, tick_texts(inside), strict=True)]
    return labels, (begin - zero) / (one - zero), (end - zero) / (one - zero)


def _numbers(axis: Axis, begin: float, end: float, about: int) -> tuple[tuple[float, ...], float]:
    """Return ticks in the unit of the axis that hold a range, and the step between them."""
    if axis.whole:
        step = float(max(1, math.ceil((end - begin) / max(1, about))))
        first, last = math.floor(begin), max(math.ceil(end), math.floor(begin) + 1)
        return tuple(float(n) for n in range(first, last + 1, int(step))), step
    if axis.kind is Kind.ANGLE and axis.unit == "deg":
        step = next((step for step in TURN if (end - begin) / step <= about), TURN[-1])
        return tuple(n * step for n in range(math.floor(begin / step), math.ceil(end / step) + 1)), step
    for many in range(max(2, about), max(2, about) + MOST):
        numbers = ticks(begin, end, about=many)
        if sum(begin <= n <= end for n in numbers) > 1 or len(numbers) < 2:
            break
    return numbers, numbers[1] - numbers[0] if len(numbers) > 1 else 1.0
