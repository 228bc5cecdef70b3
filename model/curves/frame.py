"""The axes round what is shown of a chart: round ticks with their texts, and the frame that ends at them. Pure."""

from __future__ import annotations

import math

from model.curves.chart import Axis, Chart
from model.curves.ranges import Shown
from model.curves.ticks import tick_texts, ticks
from model.quantities.units import from_si

Labels = list[tuple[float, str]]


def round_frame(chart: Chart, inside: Shown, *, across: int, up: int) -> tuple[Labels, Labels, Shown]:
    """Return the ticks of both axes, SI with their texts, and what is shown once it ends at them."""
    xs, ys = axis_ticks(chart.x, inside.left, inside.right, across), axis_ticks(chart.y, inside.low, inside.high, up)
    frame = Shown(
        left=min(inside.left, xs[0][0]), right=max(inside.right, xs[-1][0]),
        low=min(inside.low, ys[0][0]), high=max(inside.high, ys[-1][0]),
    )  # fmt: skip
    return xs, ys, frame


def axis_ticks(axis: Axis, low: float, high: float, about: int) -> Labels:
    """Return round ticks of an axis that hold a range of SI values, as SI value and text."""
    zero, one = from_si(0.0, axis.kind, axis.unit), from_si(1.0, axis.kind, axis.unit)
    begin, end = (from_si(value, axis.kind, axis.unit) for value in (low, high))
    if axis.whole:
        begin, end = math.floor(begin), max(math.ceil(end), math.floor(begin) + 1)
        about = min(about, int(end - begin) + 1)
    numbers = ticks(begin, end, about=max(2, about))
    return [((n - zero) / (one - zero), text) for n, text in zip(numbers, tick_texts(numbers), strict=True)]
