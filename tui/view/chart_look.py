"""How a chart is looked at: where its cursor stands, what it reads there, and how far it is zoomed in. Pure."""

from __future__ import annotations

import math

from model.curves.chart import Axis, Chart
from model.curves.ranges import at, shown
from model.prediction.result import Figure
from tui.text.figures import figure_text
from tui.text.sanitise import one_line
from tui.view.chart import Look, value_words

STEPS = 60
"""Steps of the cursor from side to side."""
CLOSEST = 64.0
"""Times that it can be zoomed in."""
NEAR = 1.5
"""Steps of the cursor within which a measured point is read."""
STALLS = "stalls"
"""The mark at which the cursor stands first."""


def first_look(chart: Chart) -> Look:
    """Return how a chart is looked at first: all of it, the cursor where there is most to read."""
    if chart.bars:
        return Look(cursor=0.0)
    if not chart.series:
        return Look()
    line = chart.series[0]
    places = chart.places if chart.along else line.x
    numbered = [(y, x) for x, y in zip(places, line.y, strict=False) if math.isfinite(y)]
    stalls = next((mark.x for mark in chart.marks if mark.label == STALLS), None)
    best = max(numbered, default=(0.0, 0.0))[1]
    return Look(cursor=best if stalls is None else stalls)


def moved(chart: Chart, look: Look, steps: int) -> Look:
    """Return the look with the cursor so many steps on; it stays within what is shown."""
    if chart.bars:
        at_bar = int(look.cursor or 0)
        return Look(cursor=float(max(0, min(len(chart.bars) - 1, at_bar + steps))))
    if look.cursor is None:
        return look
    if chart.along is not None:
        here = min(range(len(chart.places)), key=lambda n: abs(chart.places[n] - (look.cursor or 0.0)))
        there = max(0, min(len(chart.places) - 1, here + steps))
        return Look(cursor=chart.places[there], left=look.left, right=look.right)
    if chart.x.whole:
        steps = max(-1, min(1, steps)) * (1 if abs(steps) < 100 else 9999)
    left, right = sides(chart, look)
    step = 1.0 if chart.x.whole else (right - left) / STEPS
    there_x = max(left, min(right, look.cursor + steps * step))
    return Look(cursor=there_x, left=look.left, right=look.right)


def zoomed(chart: Chart, look: Look, times: float) -> Look:
    """Return the look so many times closer, the cursor as far from both sides as it was; 0: all of it."""
    whole = shown(chart)
    width = whole.right - whole.left
    left, right = sides(chart, look)
    if chart.bars or times <= 0 or width <= 0:
        return Look(cursor=look.cursor)
    new = min(width, max(width / CLOSEST, (right - left) / times))
    if new >= width * (1 - 1e-9):
        return Look(cursor=look.cursor)
    cursor_x = cursor_place(chart, look)
    share = (cursor_x - left) / (right - left) if left <= cursor_x <= right else 0.5
    middle = cursor_x if left <= cursor_x <= right else (left + right) / 2
    left = max(whole.left, min(whole.right - new, middle - share * new))
    return Look(cursor=look.cursor, left=left, right=left + new)


def sides(chart: Chart, look: Look) -> tuple[float, float]:
    """Return both sides of what is shown, SI."""
    if look.left is not None and look.right is not None:
        return look.left, look.right
    whole = shown(chart)
    return whole.left, whole.right


def cursor_place(chart: Chart, look: Look) -> float:
    """Return where the cursor stands along x, SI."""
    cursor = look.cursor or 0.0
    if chart.along is None or not chart.series:
        return cursor
    return at(chart.places, chart.series[0].x, cursor) or 0.0


def readings(chart: Chart, look: Look) -> tuple[str, tuple[str, ...]]:
    """Return where the cursor stands, and what is read there: every line with its interval, what was measured near.

    Examples
    --------
    >>> from model.quantities.units import Kind
    >>> number = Axis(label="", kind=Kind.NUMBER, unit="")
    >>> readings(Chart(key="", title="", short="", x=number, y=number), Look())
    ('', ())
    """
    cursor = look.cursor
    if cursor is None:
        return "", ()
    if chart.bars:
        bar = chart.bars[max(0, min(len(chart.bars) - 1, int(cursor)))]
        share = f", {100 * bar.value / chart.bars[0].value:.2g} % of the first" if chart.bars[0].value > 0 else ""
        return bar.label, (_said(chart.x, bar.value, bar.low, bar.high) + share,)
    places = chart.places if chart.along else ()
    axis = chart.along or chart.x
    said = []
    for line in chart.series:
        xs = places or line.x
        value = at(xs, line.y, cursor)
        low = at(xs, line.low, cursor) if line.low else None
        high = at(xs, line.high, cursor) if line.high else None
        if value is not None:
            said.append(f"{line.label} {_said(chart.y, value, low, high)}".strip())
    if chart.along is not None:
        said.insert(0, value_words(cursor_place(chart, look), chart.x))
    return f"At {_place_words(cursor, axis)}", (*said, *_measured(chart, look))


def _place_words(value: float, axis: Axis) -> str:
    if axis.whole:
        return f"Mk {round(value)}"
    return value_words(value, axis)


def _measured(chart: Chart, look: Look) -> list[str]:
    """Return what was measured within a step or so of the cursor, by what it is called."""
    if chart.along is not None:
        return []
    left, right = sides(chart, look)
    reach = 0.5 if chart.x.whole else NEAR * (right - left) / STEPS
    found = []
    for cloud in chart.points:
        for i, (x, y) in enumerate(zip(cloud.x, cloud.y, strict=True)):
            if abs(x - (look.cursor or 0.0)) <= reach:
                ends = (cloud.low[i], cloud.high[i]) if cloud.low and cloud.high else (None, None)
                name = one_line(cloud.names[i])[:40] if cloud.names else ""
                found.append(f"x {_said(chart.y, y, *ends)}{f' ({name})' if name else ''}")
    return found


def _said(axis: Axis, value: float, low: float | None, high: float | None) -> str:
    """Say a value of an axis with its interval."""
    figure = Figure(key="", label="", kind=axis.kind, unit=axis.unit, value=value, low=low, high=high)
    return figure_text(figure)
