"""A part to cut on its sheets: full size, tiled where it is larger than the paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from model.checks.cautions import DEFER, Caution
from model.drawing.furniture import LINE, Heading, bar, bar_of_inches, note_lines, put, title, write
from model.drawing.lettering import width
from model.drawing.paper import MARGIN, OVERLAP, Paper, Tile, Tiling, tiling
from model.drawing.shapes import Point, Shape
from model.drawing.svg import Fill, Page, Pen, Sheet
from model.drawing.templates import Template

MM = 1e3
"""Millimetres in a metre: a part is drawn at full size."""
PAD = 2.0
"""Room round a part, [mm]."""
LARGEST_FOOT = 0.4
"""Most of the height of a sheet that notes may take."""
GUESSED = "Dashed: assumed, no field tells it. Long dashes and dots: middles and circles of pins, not cut."


class _Box:
    """A part's place on paper: its box, [mm], y down."""

    def __init__(self, template: Template) -> None:
        xs: list[float] = []
        ys: list[float] = []
        for shape in template.shapes:
            for x, y in shape.points:
                xs += (x - shape.radius, x + shape.radius)
                ys += (y - shape.radius, y + shape.radius)
        for text in template.texts:
            if not text.turned and not text.middle:
                xs.append(text.at.x + width(text.text, text.size))
                ys += (text.at.y, text.at.y + text.size)
        self.left, self.top = min(xs) * MM - PAD, -max(ys) * MM - PAD
        self.wide, self.high = (max(xs) - min(xs)) * MM + 2 * PAD, (max(ys) - min(ys)) * MM + 2 * PAD

    def place(self, point: Point) -> tuple[float, float]:
        """Return a place of the part from the box's upper left corner."""
        return point.x * MM - self.left, -point.y * MM - self.top


def template_sheets(
    template: Template, heading: Heading, cautions: Sequence[Caution], paper: Paper, *, inches: bool = False
) -> tuple[Sheet, ...]:
    """Return the sheets of a template.

    Parameters
    ----------
    template : Template
        A part that can be drawn.
    heading : Heading
        Whose engine it is of.
    cautions : sequence of Caution
        On cutting it.
    paper : Paper
        What it is printed on, upright.
    inches : bool, optional
        Whether a bar of inches stands below that of millimetres.
    """
    box, head = _Box(template), 34 if inches else 24
    said = [*(f"{each.title}. {each.body}" for each in cautions), DEFER, *template.notes, GUESSED]
    room = paper.wide - 2 * MARGIN
    lines = note_lines(said, room, most=int((paper.high * LARGEST_FOOT - head) / LINE))
    foot = head + len(lines) * LINE
    spread = tiling(box.wide, box.high, room, paper.high - 2 * MARGIN - foot)
    wide, high = paper.wide, paper.high
    if len(spread.tiles) == 1:
        wide, high = max(wide, box.wide + 2 * MARGIN), max(high, box.high + 2 * MARGIN + foot)
    sheets = []
    for number, tile in enumerate(spread.tiles):
        page = Page(wide, high, title=f"{template.label}, {heading.text}", about=" ".join(said))
        left = (wide - tile.wide) / 2
        page.window("tile", left, MARGIN, tile.wide, tile.high)
        _part(page, template, box, left - tile.left, MARGIN - tile.top)
        page.end()
        if len(spread.tiles) > 1:
            _seams(page, left, tile, spread)
        top = high - MARGIN - foot
        of = f", sheet {number + 1} of {len(spread.tiles)}" if len(spread.tiles) > 1 else ""
        title(page, MARGIN, top + 1, room, f"{template.label}{of}", heading.text)
        bar(page, MARGIN, top + 14)
        if inches:
            bar_of_inches(page, MARGIN, top + 24)
        if len(spread.tiles) > 1:
            _map(page, tile, spread, MARGIN + room, top + 12)
        write(page, MARGIN, top + head, lines)
        sheets.append(Sheet(page.done(), wide, high))
    return tuple(sheets)


def _part(page: Page, template: Template, box: _Box, dx: float, dy: float) -> None:
    for shape in template.shapes:
        places = [(x + dx, y + dy) for x, y in map(box.place, shape.points)]
        put(page, shape, places, _pen(shape), Fill.NONE, MM)
    for text in template.texts:
        x, y = box.place(text.at)
        anchor = "middle" if text.middle else "start"
        page.text((x + dx, y + dy), text.text, text.size * MM, anchor=anchor, turned=-math.degrees(text.turned))


def _pen(shape: Shape) -> Pen:
    if shape.part == "axis":
        return Pen.AXIS
    if shape.assumed:
        return Pen.ASSUMED
    return Pen.CUT if shape.part == "cut" else Pen.THIN


def _seams(page: Page, left: float, tile: Tile, spread: Tiling) -> None:
    """Mark where a sheet is trimmed, and how far the next lies over it: corners, and crosses in the overlap."""
    top, right, low = MARGIN, left + tile.wide, MARGIN + tile.high
    for x, away in ((left, -1), (right, 1)):
        for y, down in ((top, -1), (low, 1)):
            page.line([(x + away, y), (x + 6 * away, y)], Pen.THIN)
            page.line([(x, y + down), (x, y + 6 * down)], Pen.THIN)
    seams: list[tuple[bool, float]] = []
    seams += [(True, left + OVERLAP / 2)] if tile.column else []
    seams += [(True, right - OVERLAP / 2)] if tile.column < spread.columns - 1 else []
    seams += [(False, top + OVERLAP / 2)] if tile.row else []
    seams += [(False, low - OVERLAP / 2)] if tile.row < spread.rows - 1 else []
    for upright, at in seams:
        for share in (0.1, 0.5, 0.9):
            x, y = (at, top + share * tile.high) if upright else (left + share * tile.wide, at)
            page.line([(x - 2, y), (x + 2, y)], Pen.THIN)
            page.line([(x, y - 2), (x, y + 2)], Pen.THIN)
            page.circle((x, y), 1.2, Pen.THIN)


def _map(page: Page, tile: Tile, spread: Tiling, right: float, top: float) -> None:
    """Show which of the sheets this is, and say how they go together."""
    cell = min(5.0, 40.0 / spread.columns, 9.0 / spread.rows)
    left = right - cell * spread.columns
    for row in range(spread.rows):
        for column in range(spread.columns):
            here = (column, row) == (tile.column, tile.row)
            page.box(left + column * cell, top + row * cell, cell, cell, Pen.THIN, Fill.INK if here else Fill.NONE)
    words = ("Trim to the corner marks; lay the sheets", f"{OVERLAP:g} mm over each other, cross on cross.")
    for number, text in enumerate(words):
        page.text((left - 2, top + 3 + number * LINE), text, 2.4, anchor="end")


__all__ = ["template_sheets"]
