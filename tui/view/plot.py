"""A curve of power over speed as lines of text: braille where the terminal has it, plain characters elsewhere. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from model.prediction.result import CurvePoint
from model.quantities.units import Kind, digits, from_si
from tui.text.figures import unit_for
from tui.view.lines import Line

MARGIN = 8
"""Cells for the labels at the left."""
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell: row of dots, then column."""


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
    across, down = (1, 1) if plain else (2, 4)
    speeds = [p.speed for p in curve]
    top = max(0.0, *(p.shaft for p in curve), *(p.indicated for p in curve), *(power for _, power in dots))
    bottom = max(min(0.0, *(p.shaft for p in curve)), -top if top > 0 else min(p.shaft for p in curve))
    unit = unit_for(Kind.POWER, "W", bottom, top)
    bottom, top = _round_ends(bottom, top, from_si(1.0, Kind.POWER, unit))
    ends = [*speeds, *(speed for speed, _ in dots)]
    left, right = _round_ends(min(ends), max(ends), from_si(1.0, Kind.ROTATION, "rpm"))
    span = (top - bottom) or 1.0
    fine = columns * across
    grid: dict[tuple[int, int], str] = {}
    for name, broken in (("indicated", True), ("shaft", False)):
        heights = [getattr(p, name) for p in curve]
        for x in range(fine):
            if broken and x % (3 * across) >= across:
                continue
            speed = left + (right - left) * x / max(1, fine - 1)
            value = _between(speeds, heights, speed) if speeds[0] <= speed <= speeds[-1] else math.nan
            if bottom <= value <= top:
                y = round((top - value) / span * (rows * down - 1))
                grid[x, y] = "." if broken else "*"
    lines = _drawn(grid, columns, rows, plain)
    for speed, power in dots:
        column = round((speed - left) / (right - left) * (columns - 1))
        row = min(rows - 1, round((top - power) / span * (rows - 1)))
        lines[row] = lines[row][:column] + "x" + lines[row][column + 1 :]
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
    across, down = (1, 1) if plain else (2, 4)
    values, heights = [x for x, _ in points], [y for _, y in points]
    span, fine = (values[-1] - values[0]) or 1.0, columns * across
    grid: dict[tuple[int, int], str] = {}
    for x in range(fine):
        value = _between(values, heights, values[0] + span * x / max(1, fine - 1))
        grid[x, round((top - max(0.0, value)) / (top or 1.0) * (rows * down - 1))] = "*"
    lines = _drawn(grid, columns, rows, plain)
    for value, power in dots:
        column, row = (
            round((value - values[0]) / span * (columns - 1)),
            round((top - power) / (top or 1.0) * (rows - 1)),
        )
        row, column = max(0, min(rows - 1, row)), max(0, min(columns - 1, column))
        lines[row] = lines[row][:column] + "x" + lines[row][column + 1 :]
    return lines


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


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    for i in range(1, len(xs)):
        if x <= xs[i]:
            part = (x - xs[i - 1]) / ((xs[i] - xs[i - 1]) or 1.0)
            return ys[i - 1] + part * (ys[i] - ys[i - 1])
    return ys[-1]


def _drawn(grid: dict[tuple[int, int], str], columns: int, rows: int, plain: bool) -> list[str]:
    if plain:
        return ["".join(grid.get((x, y), " ") for x in range(columns)) for y in range(rows)]
    cells = [[0] * columns for _ in range(rows)]
    for x, y in grid:
        cells[y // 4][x // 2] |= _DOTS[y % 4][x % 2]
    return ["".join(chr(0x2800 + bits) if bits else " " for bits in row) for row in cells]


def _labelled(
    lines: list[str], powers: tuple[float, float], speeds: tuple[float, float], columns: int, *, measured: bool
) -> list[Line]:
    bottom, top = powers
    unit = unit_for(Kind.POWER, "W", bottom, top)
    zero = round(top / ((top - bottom) or 1.0) * (len(lines) - 1))
    labels = {0: digits(from_si(top, Kind.POWER, unit), 2) + " " + unit, zero: "0"}
    if bottom < 0 and zero < len(lines) - 1:
        labels[len(lines) - 1] = digits(from_si(bottom, Kind.POWER, unit), 2)
    drawn: list[Line] = [
        ((labels.get(y, "").rjust(MARGIN - 1) + " ", "aside"), (line, "")) for y, line in enumerate(lines)
    ]
    first, last = (digits(from_si(s, Kind.ROTATION, "rpm"), 3) for s in speeds)
    last += " rpm"
    drawn.append(((" " * MARGIN + first + last.rjust(max(1, columns - len(first))), "aside"),))
    key = "whole: shaft power, broken: indicated" + (", x: measured" if measured else "")
    drawn.append(((" " * MARGIN + key, "aside"),))
    return drawn
