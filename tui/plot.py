"""A curve of power over speed as lines of text: braille where the terminal has it, plain characters elsewhere. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from model.prediction import CurvePoint
from model.units import Kind, digits, from_si
from tui.figures import unit_for
from tui.lines import Line

MARGIN = 8
"""Cells for the labels at the left."""
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell: row of dots, then column."""


def power_plot(curve: Sequence[CurvePoint], *, width: int, height: int, plain: bool) -> list[Line]:
    """Draw shaft power (whole line) and indicated power (broken line) over speed.

    Parameters
    ----------
    curve : sequence of CurvePoint
        Points by ascending speed.
    width, height : int
        Cells to fill; fewer than 24 by 5 give nothing.
    plain : bool
        Whether only ASCII may be used: ``*`` is shaft power, ``.`` indicated power.
    """
    if len(curve) < 2 or width < 24 or height < 5:
        return []
    columns, rows = width - MARGIN, height - 2
    across, down = (1, 1) if plain else (2, 4)
    speeds = [p.speed for p in curve]
    top = max(0.0, *(p.shaft for p in curve), *(p.indicated for p in curve))
    bottom = max(min(0.0, *(p.shaft for p in curve)), -top if top > 0 else min(p.shaft for p in curve))
    span = (top - bottom) or 1.0
    fine = columns * across
    grid: dict[tuple[int, int], str] = {}
    for name, broken in (("indicated", True), ("shaft", False)):
        heights = [getattr(p, name) for p in curve]
        for x in range(fine):
            if broken and x % (3 * across) >= across:
                continue
            value = _between(speeds, heights, speeds[0] + (speeds[-1] - speeds[0]) * x / max(1, fine - 1))
            if bottom <= value <= top:
                y = round((top - value) / span * (rows * down - 1))
                grid[x, y] = "." if broken else "*"
    lines = _drawn(grid, columns, rows, plain)
    return _labelled(lines, (bottom, top), (speeds[0], speeds[-1]), columns)


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


def _labelled(lines: list[str], powers: tuple[float, float], speeds: tuple[float, float], columns: int) -> list[Line]:
    bottom, top = powers
    unit = unit_for(Kind.POWER, "W", bottom, top)
    zero = round(top / ((top - bottom) or 1.0) * (len(lines) - 1))
    labels = {0: digits(from_si(top, Kind.POWER, unit), 2) + " " + unit, zero: "0"}
    if bottom < 0 and zero < len(lines) - 1:
        labels[len(lines) - 1] = digits(from_si(bottom, Kind.POWER, unit), 2)
    drawn: list[Line] = [
        ((labels.get(y, "").rjust(MARGIN - 1) + " ", "dim"), (line, "")) for y, line in enumerate(lines)
    ]
    first, last = (digits(from_si(s, Kind.ROTATION, "rpm"), 3) for s in speeds)
    last += " rpm"
    drawn.append(((" " * MARGIN + first + last.rjust(max(1, columns - len(first))), "dim"),))
    drawn.append(((" " * MARGIN + "whole line: shaft power, broken: indicated", "dim"),))
    return drawn
