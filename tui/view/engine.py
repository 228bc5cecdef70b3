"""The engine to scale as lines of characters: the shapes of `model.drawing` on a canvas. Pure; no textual, no numpy.

What was measured is drawn whole, what is assumed in dashes. The hot space is hatched and the cold one dotted, so that
they are told apart without colour; both are named. ``!`` stands where parts touch or have less than a millimetre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

from model.drawing.contacts import CLOSE, Contact, gap_at, place_of
from model.drawing.draw import draw
from model.drawing.plan import Plan
from model.drawing.shapes import Drawing, Form, Point, Shape, Side, extent
from model.fields import Build, fields_of
from model.quantities.units import Kind, digits, from_si
from tui.view.canvas import ASPECT, Canvas, Mode, Pattern, half, hatched, light, solid
from tui.view.lines import Line

LEFT, UNDER = 5, 1
"""Columns and rows for the names of the ends."""
DASH = (1.0, 1.0)
"""Cells across of an assumed line that are drawn, and left out."""
LEAST = (16, 6)
"""Columns and rows below which nothing is drawn."""
OFF = ("wheel", "_hand", "_pin")
"""Ends of the names of parts that a close view leaves out."""
AWAY = (*OFF, "shaft", "_crank", "_rod", "_stem")
"""The same of those that it may lose out of sight."""
FILLS: dict[str, tuple[Pattern, str]] = {
    "piston": (solid, "#"), "hot_piston": (solid, "#"), "matrix": (half, "%"), "hot_end": (solid, "="),
    "cold_end": (solid, "="), "wall": (solid, "|"),
}  # fmt: skip
AIR: dict[Side, tuple[Pattern, str]] = {Side.HOT: (hatched, ":"), Side.COLD: (light, ".")}
LETTERS = {"displacer": "D", "piston": "P", "hot_piston": "H"}
"""Name of a part within it and at its crank on the wheel; the cold piston of an alpha is ``C``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How metres become cells."""

    corner: Point
    """What lies at the upper left of the picture, [m]."""
    cells: float
    """Cells across for each metre."""
    left: float
    top: float

    def at(self, point: Point) -> tuple[float, float]:
        """Return column and row of a place."""
        return self.left + (point.x - self.corner.x) * self.cells, self.top + (
            self.corner.y - point.y
        ) * self.cells / ASPECT


@lru_cache(maxsize=8)
def _corners(plan: Plan, close: bool) -> tuple[Point, Point]:
    """Return lower left and upper right of all that is seen in a turn: the picture does not jump."""
    drawings = []
    for degree in (0, 90, 180, 270):
        drawing = draw(plan, degree)
        seen = tuple(shape for shape in drawing.shapes if not (close and shape.part.endswith(AWAY)))
        drawings.append(Drawing(degree=degree, shapes=seen or drawing.shapes, spaces=(), dimensions=()))
    return extent(tuple(drawings))


def scale_of(plan: Plan, width: int, height: int, *, close: bool = False) -> Scale:
    """Return the scale at which an engine fills a picture."""
    low, high = _corners(plan, close)
    across, up = max(high.x - low.x, 1e-6), max(high.y - low.y, 1e-6)
    free = width - LEFT - 1, height - UNDER - 0.5
    cells = min(free[0] / across, free[1] * ASPECT / up)
    left = LEFT + max(0.0, (free[0] - across * cells) / 2)
    top = max(0.0, (free[1] - up * cells / ASPECT) / 2) + 0.25
    return Scale(corner=Point(low.x, high.y), cells=cells, left=left, top=top)


def width_of_picture(plan: Plan, width: int, height: int, *, close: bool = False) -> int:
    """Return the columns that a picture takes of so many at this height: the rest stands beside it."""
    low, high = _corners(plan, close)
    cells = scale_of(plan, width, height, close=close).cells
    return min(width, max(LEAST[0], LEFT + ceil((high.x - low.x) * cells) + 3))


def picture(
    plan: Plan,
    contacts: tuple[Contact, ...],
    degree: int,
    *,
    width: int,
    height: int,
    plain: bool,
    focus: str = "",
    close: bool = False,
) -> list[Line]:
    """Draw an engine at a crank angle.

    Parameters
    ----------
    plan, contacts
        The engine, and what touches.
    degree : int
        Crank angle.
    width, height : int
        Cells to fill; fewer than `LEAST` give nothing.
    plain : bool
        Whether only ASCII may be used.
    focus : str
        Name of a field whose part and length are shown.
    close : bool
        Cylinders and pistons alone, larger.
    """
    if width < LEAST[0] or height < LEAST[1]:
        return []
    scale, drawing = scale_of(plan, width, height, close=close), draw(plan, degree)
    canvas = Canvas(width, height, mode=Mode.of(plain))
    for space in drawing.spaces:
        if space.side in AIR:
            pattern, char = AIR[space.side]
            canvas.fill([[scale.at(p) for p in space.outline]], pattern=pattern, role=space.side.value, char=char)
    if close:
        drawing = replace(drawing, shapes=tuple(s for s in drawing.shapes if not s.part.endswith(OFF)))
    for shape in drawing.shapes:
        _shape(canvas, scale, shape, role=shape.side.value)
    _names(canvas, scale, plan, drawing)
    if focus:
        _focus(canvas, scale, drawing, focus)
    for contact in contacts:
        place = place_of(contact, drawing)
        if place is not None and (contact.always or gap_at(plan, contact, degree) < CLOSE):
            column, row = scale.at(place)
            canvas.text(int(column), int(row), "!", role="flag")
    return canvas.lines()


def _shape(canvas: Canvas, scale: Scale, shape: Shape, *, role: str) -> None:
    places = [scale.at(point) for point in shape.points]
    dash = DASH if shape.assumed else None
    if shape.form is Form.CIRCLE:
        radius = shape.radius * scale.cells
        if radius < 0.5:
            canvas.dot(*places[0], role=role, char="o")
        else:
            canvas.arc(places[0], radius, role=role, char="o", dash=dash)
        return
    if shape.part in FILLS and shape.form is Form.AREA and not shape.assumed:
        pattern, char = FILLS[shape.part]
        canvas.fill([places], pattern=pattern, role=role, char=char)
    canvas.path(places, closed=shape.form is Form.AREA, role=role, dash=dash)


def _names(canvas: Canvas, scale: Scale, plan: Plan, drawing: Drawing) -> None:
    """Write the letters of the parts and the names of the ends."""
    letters = {**LETTERS, "piston": "C"} if plan.layout == "alpha" else LETTERS
    for part, letter in letters.items():
        for shape in drawing.of_part(part)[:1]:
            column, row = scale.at(_middle(shape))
            canvas.text(int(column), int(row), letter, role="strong")
        for hand in drawing.of_part(f"{part.removesuffix('_piston')}_hand"):
            centre, rim = hand.points
            column, row = scale.at(Point(centre.x + 1.12 * (rim.x - centre.x), centre.y + 1.12 * (rim.y - centre.y)))
            canvas.text(round(column), int(row), letter, role="strong")
    for shape in drawing.of_part("hot_end"):
        column, row = scale.at(min(shape.points, key=lambda point: point.y))
        column = scale.at(_middle(shape))[0]
        canvas.text(max(0, round(column - 1.5)), min(canvas.height - 1, int(row + 0.9)), "hot", role="hot")
    for shape in drawing.of_part("cold_end")[:1]:
        column, row = scale.at(min(shape.points, key=lambda point: point.x))
        canvas.text(max(0, int(column) - 5), int(row), "cold", role="cold")
    if plan.layout == "alpha":
        for shape in drawing.of_part("piston_cylinder")[-1:]:  # its head
            column, row = scale.at(_middle(shape))
            canvas.text(max(0, round(column - 2)), min(canvas.height - 1, int(row) + 1), "cold", role="cold")


def _middle(shape: Shape) -> Point:
    """Return the middle of a shape's corners."""
    many = len(shape.points)
    return Point(sum(point.x for point in shape.points) / many, sum(point.y for point in shape.points) / many)


def _focus(canvas: Canvas, scale: Scale, drawing: Drawing, focus: str) -> None:
    """Show what a field is on the engine: its length between two ends, or its parts."""
    dimension = drawing.dimension(focus)
    if dimension is None:
        for shape in drawing.showing(focus):
            _shape(canvas, scale, shape, role="on")
        return
    start, end = scale.at(dimension.start), scale.at(dimension.end)
    steps = 1 + 2 * int(max(abs(end[0] - start[0]), abs(end[1] - start[1])))
    for step in range(steps + 1):  # rub out what is below: the line is as long as it looks
        share = step / steps
        column, row = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
        canvas.text(int(column), int(row), " ")
    canvas.line(start, end, role="on", char="#")
    text = length_text(dimension.length, focus)
    left, row = int(max(start[0], end[0])) + 1, int((start[1] + end[1]) / 2)
    if left + len(text) > canvas.width:
        left = max(0, int(min(start[0], end[0])) - len(text) - 1)
    canvas.text(left, max(0, min(canvas.height - 1, row)), text, role="strong")


def length_text(length: float, field: str = "") -> str:
    """Write a length in the unit of a field, else in millimetres.

    Examples
    --------
    >>> length_text(0.0015), length_text(0.0123, "displacer_length")
    ('1.5 mm', '12.3 mm')
    """
    declared = fields_of(Build).get(field)
    unit = declared.unit if declared is not None and declared.kind is Kind.LENGTH else "mm"
    return f"{digits(from_si(length, Kind.LENGTH, unit), 3)} {unit}"
