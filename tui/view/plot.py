"""A curve of power over speed as lines of text: braille where the terminal has it, plain characters elsewhere. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from model.prediction.result import CurvePoint
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, digits, from_si
from tui.view.canvas import Canvas, Mode
from tui.view.lines import Line, text_of

MARGIN = 8
"""Cells for the labels at the left."""


def power_plot(
    curve: Sequence[CurvePoint],
    *,
    width: int,
    height: int,
    plain: bool,
    dots: Sequence[tuple[float, float]] = (),
) -> list[Line]:
    """Draw shaft power (whole line) and indicated power (broken line) over speed, readings as ``x``.

    Parameters
    ----------
    curve : sequence of CurvePoint
        Points by ascending speed.
    width, height : int
        Cells to fill; fewer than 24 by 5 give nothing.
    plain : bool
        Whether only ASCII may be used: ``*`` is shaft power, ``.`` indicated power.
    dots : sequence of tuple of float
        Speed and power of each reading, [rad/s, W].
    """
    if len(curve) < 2 or width < 24 or height < 5:
        return []
    columns, rows = width - MARGIN, height - 2
    speeds = [p.speed for p in curve]
    top = max(0.0, *(p.shaft for p in curve), *(p.indicated for p in curve), *(power for _, power in dots))
    bottom = max(min(0.0, *(p.shaft for p in curve)), -top if top > 0 else min(p.shaft for p in curve))
    unit = unit_for(Kind.POWER, "W", bottom, top)
    bottom, top = _round_ends(bottom, top, from_si(1.0, Kind.POWER, unit))
    ends = [*speeds, *(speed for speed, _ in dots)]
    left, right = _round_ends(min(ends), max(ends), from_si(1.0, Kind.ROTATION, "rpm"))
    canvas = Canvas(columns, rows, mode=Mode.of(plain))

    def place(speed: float, power: float) -> tuple[float, float]:
        across, up = (speed - left) / ((right - left) or 1.0), (power - bottom) / ((top - bottom) or 1.0)
        return across * (columns - 0.5) + 0.25, (1 - up) * (rows - 0.25) + 0.125

    canvas.path([place(p.speed, p.indicated) for p in curve], char=".", dash=(1.0, 2.0))
    canvas.path([place(p.speed, p.shaft) for p in curve], char="*")
    _cross(canvas, [place(*dot) for dot in dots])
    lines = [text_of(line) for line in canvas.lines()]
    return _labelled(lines, (bottom, top), (left, right), columns, measured=bool(dots))


def curve_lines(
    points: Sequence[tuple[float, float]],
    *,
    dots: Sequence[tuple[float, float]],
    top: float,
    width: int,
    height: int,
    plain: bool,
) -> list[str]:
    """Return a curve from nil to `top` through points by ascending value, ``x`` at the dots; without labels."""
    columns, rows = width - MARGIN, height - 1
    first, span = points[0][0], (points[-1][0] - points[0][0]) or 1.0
    canvas = Canvas(columns, rows, mode=Mode.of(plain))

    def place(value: float, power: float) -> tuple[float, float]:
        across, up = (value - first) / span, max(0.0, power) / (top or 1.0)
        return across * (columns - 0.5) + 0.25, (1 - up) * (rows - 0.25) + 0.125

    canvas.path([place(*point) for point in points], char="*")
    _cross(canvas, [place(*dot) for dot in dots])
    return [text_of(line) for line in canvas.lines()]


def _cross(canvas: Canvas, places: Sequence[tuple[float, float]]) -> None:
    """Write an ``x`` at each place, at the edge where it lies beyond."""
    for x, y in places:
        canvas.text(max(0, min(canvas.width - 1, int(x))), max(0, min(canvas.height - 1, int(y))), "x")


def _round_ends(low: float, high: float, scale: float) -> tuple[float, float]:
    """Return the ends of an axis moved outwards to numbers of few digits.

    Examples
    --------
    >>> _round_ends(47.7, 621.0, 1.0), _round_ends(0.0, 0.0083, 1000.0)
    ((0.0, 700.0), (0.0, 0.009))
    """
    size = (high - low) * scale
    if not math.isfinite(size) or size <= 0:
        return low, high
    step = 10.0 ** math.floor(math.log10(size))
    if size / step < 2:
        step /= 2
    ends = math.floor(low * scale / step + 1e-9) * step, math.ceil(high * scale / step - 1e-9) * step
    return ends[0] / scale, ends[1] / scale


def _labelled(
    lines: list[str], powers: tuple[float, float], speeds: tuple[float, float], columns: int, *, measured: bool
) -> list[Line]:
    bottom, top = powers
    unit = unit_for(Kind.POWER, "W", bottom, top)
    zero = round(top / ((top - bottom) or 1.0) * (len(lines) - 1))
    labels = {0: digits(from_si(top, Kind.POWER, unit), 2) + " " + unit, zero: "0"}
    if bottom < 0 and zero < len(lines) - 1:
        labels[len(lines) - 1] = digits(from_si(bottom, Kind.POWER, unit), 2)
    drawn: list[Line] = [((labels.get(y, "").rjust(MARGIN - 1) + " ", ""), (line, "")) for y, line in enumerate(lines)]
    first, last = (digits(from_si(s, Kind.ROTATION, "rpm"), 3) for s in speeds)
    last += " rpm"
    drawn.append(((" " * MARGIN + first + last.rjust(max(1, columns - len(first))), ""),))
    key = "whole: shaft power, broken: indicated" + (", x: measured" if measured else "")
    drawn.append(((" " * MARGIN + key, ""),))
    return drawn
