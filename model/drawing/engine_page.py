"""The engine at one angle on a sheet: to a scale of ISO 5455, with dimensions, names, and what is assumed or lacks."""

from __future__ import annotations

import math
from itertools import pairwise

from model.drawing.contacts import contacts
from model.drawing.dimensions import Box, Length, Name, Taken, dimension_lines, names
from model.drawing.draw import draw
from model.drawing.furniture import LINE, SMALL, Heading, bar, note_lines, put, title, write
from model.drawing.lettering import broken, length_text, shorten
from model.drawing.paper import MARGIN, Paper
from model.drawing.plan import Plan
from model.drawing.shapes import Dimension, Drawing, Form, Point, Shape, Side, extent
from model.drawing.svg import Fill, Page, Pen, Place, Sheet
from model.fields import Build, fields_of

COLUMN, GAP = 80.0, 3.0
"""Width of the column of texts, and of the room beside it, [mm]."""
BESIDE, OVER = 17.0, 14.0
"""Room for dimension lines at the sides of the engine, and above and below, [mm]."""
FOOT = 11.0
"""Height of the bar below, [mm]."""
FRAME = 7.0
"""Of the frame from the edge of the paper, [mm]."""
STEPS = (1, 2, 5)
"""Scales go 1:1, 1:2, 1:5, 1:10 ... and 2:1, 5:1 ... [ISO 5455]."""
METAL = ("chamber", "hot_end", "cold_end", "gland")
PARTS = ("displacer", "piston", "hot_piston", "matrix", "displacer_stem")
CIRCLES = 24
"""Corners of a circle, where it is looked at whether a text lies over it."""


def engine_sheet(plan: Plan, degree: int, heading: Heading, paper: Paper, *, inches: bool = False) -> Sheet:
    """Return the engine at a degree of its crank as a sheet, lying on its side."""
    return _EngineSheet(plan, draw(plan, degree), heading, paper, inches).made()


def scale_for(wide: float, high: float, room_wide: float, room_high: float) -> float:
    """Return the largest scale at which something has room: millimetres of paper to a millimetre.

    Examples
    --------
    >>> scale_for(230, 150, 160, 150), scale_for(20, 20, 160, 150), scale_for(4e4, 10, 160, 150)
    (0.5, 5.0, 0.002)
    """
    least = min(room_wide / max(wide, 1e-6), room_high / max(high, 1e-6))
    power = math.floor(math.log10(least)) if least >= 1 else -math.floor(math.log10(least)) - 1
    if least >= 1:
        return max(step * 10.0**power for step in STEPS if step * 10.0**power <= least)
    scales = (1 / (step * 10.0**exponent) for exponent in (power, power + 1) for step in STEPS)
    return max(scale for scale in scales if scale <= least)


def scale_text(scale: float) -> str:
    """Return a scale as drawings have it: ``1:2``, ``5:1``."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:.0f}"


class _EngineSheet:
    def __init__(self, plan: Plan, drawing: Drawing, heading: Heading, paper: Paper, inches: bool) -> None:
        self.plan, self.drawing, self.heading, self.inches = plan, drawing, heading, inches
        wide, high = paper.high, paper.wide
        self.window = Box(MARGIN, MARGIN, wide - MARGIN - COLUMN - 2 * GAP, high - MARGIN - FOOT)
        low, up = extent((drawing,))
        size = 1e3 * (up.x - low.x), 1e3 * (up.y - low.y)
        room = self.window.right - self.window.left - 2 * BESIDE, self.window.low - self.window.top - 2 * OVER
        self.scale = scale_for(*size, *room)
        self.middle = Point((low.x + up.x) / 2, (low.y + up.y) / 2)
        self.labels = {name: declared.label for name, declared in fields_of(Build).items()}
        about = f"{heading.text}. Scale {scale_text(self.scale)}. Crank at {drawing.degree} degrees."
        self.page = Page(wide, high, title=f"The engine of {heading.text}", about=about)
        self.told = {dimension.field: dimension for dimension in _told(drawing)}

    def made(self) -> Sheet:
        """Draw all of it."""
        for space in self.drawing.spaces:
            fill = {Side.HOT: Fill.HOT, Side.COLD: Fill.COLD}.get(space.side, Fill.NONE)
            self.page.area(map(self.place, space.outline), None, fill)
        for shape in self.drawing.shapes:
            self.page.begin(part=shape.part)
            put(self.page, shape, list(map(self.place, shape.points)), _pen(shape), _fill(shape), 1e3 * self.scale)
            self.page.end()
        taken = Taken(self.window, parts=list(self.outlines()))
        lengths = [
            Length(field=each.field, text=f"{letter} {self.size(each.field, unit=False)}", assumed=each.assumed,
                   start=self.place(each.start), end=self.place(each.end))
            for letter, each in zip(_letters(), self.told.values(), strict=False)
        ]  # fmt: skip
        self.crank_angle(taken)
        dimension_lines(self.page, lengths, taken)
        names(self.page, list(self.named()), taken)
        bar(self.page, MARGIN, self.page.high - MARGIN - FOOT + 2)
        self.column()
        return Sheet(self.page.done(), self.page.wide, self.page.high)

    def place(self, point: Point) -> Place:
        """Return a place of the paper; the engine stands in the middle of its window."""
        window, by = self.window, 1e3 * self.scale
        x = (window.left + window.right) / 2 + (point.x - self.middle.x) * by
        return x, (window.top + window.low) / 2 - (point.y - self.middle.y) * by

    def size(self, name: str, *, unit: bool = True) -> str:
        """Return the length of a field as text."""
        text = length_text(self.plan.values.get(name, self.told[name].length), inches=self.inches)
        return text if unit else text.rsplit(" ", 1)[0]

    def outlines(self) -> list[tuple[Place, Place]]:
        """Return the lines of all parts."""
        lines: list[tuple[Place, Place]] = []
        for shape in self.drawing.shapes:
            points = [self.place(point) for point in shape.points]
            if shape.form is Form.CIRCLE:
                x, y = points[0]
                turn = [2 * math.pi * step / CIRCLES for step in range(CIRCLES + 1)]
                by = shape.radius * 1e3 * self.scale
                points = [(x + by * math.cos(angle), y + by * math.sin(angle)) for angle in turn]
            elif shape.form is Form.AREA:
                points.append(points[0])
            lines += pairwise(points)
        return lines

    def named(self) -> list[Name]:
        """Return the parts that are named, each once."""
        found: dict[str, Name] = {}
        for shape in self.drawing.shapes:
            if shape.form is Form.LINE and not shape.part.endswith("_rod") and shape.part not in ("disc", "passage"):
                continue
            if shape.part.endswith(("_crank", "_pin", "_stem")) or shape.label in found:
                continue
            places = [self.place(point) for point in shape.points]
            at = sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places)
            if shape.form is Form.AREA and shape.part in (*METAL, "displacer"):
                # beside the rod, which goes through the middle
                at = 0.75 * min(x for x, _ in places) + 0.25 * max(x for x, _ in places), at[1]
            if shape.part == "wheel":
                at = at[0] + shape.radius * 1e3 * self.scale * 0.7071, at[1] + shape.radius * 1e3 * self.scale * 0.7071
            found[shape.label] = Name(shape.label, at)
        return list(found.values())

    def crank_angle(self, taken: Taken) -> None:
        """Draw the angle between the cranks on the wheel, and the way it turns."""
        wheel = self.drawing.of_part("wheel")
        if not wheel or "phase" in self.plan.hidden:
            return
        centre, radius = wheel[0].points[0], wheel[0].radius
        hands = [shape for shape in self.drawing.shapes if shape.part.endswith("_hand")]
        angle = 2 * math.pi * self.drawing.degree / 360
        if len(hands) == 2:
            steps = max(2, math.ceil(abs(math.degrees(self.plan.crank_angle)) / 5))
            turns = [angle - self.plan.crank_angle * step / steps for step in range(steps + 1)]
            arc = [self.place(centre.towards(turn, 0.45 * radius)) for turn in turns]
            assumed = self.plan.assumes("phase")
            self.page.begin(field="phase")
            self.page.line(arc, Pen.ASSUMED_THIN if assumed else Pen.THIN)
            x, y = self.place(centre.towards(turns[len(turns) // 2], 0.45 * radius))
            text = f"{math.degrees(self.plan.crank_angle):.4g} deg"
            self.page.text((x, y + 1), text, SMALL, anchor="middle", halo=True)
            self.page.end()
            taken.texts.append(Box(x - 8, y - 3, x + 8, y + 1))
        way = [self.place(centre.towards(math.pi * (1.08 + 0.02 * step), 1.06 * radius)) for step in range(8)]
        self.page.line(way, Pen.THIN)
        (x0, y0), (x1, y1) = way[-2:]
        size = math.dist(way[-1], way[-2]) or 1.0
        dx, dy = (x1 - x0) / size, (y1 - y0) / size
        head = [(x1 + 2 * dx, y1 + 2 * dy), (x1 - 0.6 * dy, y1 + 0.6 * dx), (x1 + 0.6 * dy, y1 - 0.6 * dx)]
        self.page.area(head, None, Fill.INK)

    def column(self) -> None:
        """Write whose engine it is, the table of dimensions, the legend and what is to be said."""
        page, left, room = self.page, self.page.wide - MARGIN - COLUMN, COLUMN
        page.box(FRAME, FRAME, page.wide - 2 * FRAME, page.high - 2 * FRAME, Pen.OUTLINE)
        page.line([(left - GAP, FRAME), (left - GAP, page.high - FRAME)], Pen.THIN)
        title(page, left, MARGIN, room, self.heading.name, f"Mk {self.heading.mark}")
        y = MARGIN + 6
        layout = f"{self.heading.layout}, " if self.heading.layout else ""
        said = [line for line in broken(self.heading.reason, room, SMALL, most=2) if line]
        said.append(f"{layout}crank at {self.drawing.degree} deg, scale {scale_text(self.scale)}")
        y = write(page, left, y + LINE, said) + 2
        page.text((left, y + SMALL), f"Dimensions in {'inches' if self.inches else 'millimetres'}", SMALL, bold=True)
        y = self.table(left, y + 1.5 * LINE, room) + 1.5
        y = self.legend(left, y)
        lines = note_lines(self.notes(), room, most=max(1, int((page.high - MARGIN - y - 2) / LINE)))
        write(page, left, y + 1, lines)

    def table(self, left: float, top: float, room: float) -> float:
        """Write a row for each dimension; return where the next would stand."""
        y = top
        for letter, (name, each) in zip(_letters(), self.told.items(), strict=False):
            self.page.text((left, y + SMALL), letter, SMALL, bold=True)
            label = self.labels.get(name, name).partition(" (")[0]
            self.page.text((left + 7, y + SMALL), shorten(label, 41.0, SMALL), SMALL)
            self.page.text((left + 63, y + SMALL), self.size(name, unit=False), SMALL, anchor="end")
            if each.assumed:
                self.page.text((left + room, y + SMALL), "assumed", SMALL, anchor="end")
            y += LINE
        return y

    def legend(self, left: float, top: float) -> float:
        """Show what lines and fillings mean; return where the next would stand."""
        lines = ((Pen.OUTLINE, "typed or measured"), (Pen.ASSUMED, "assumed: no field tells it"))
        for number, (pen, text) in enumerate(lines):
            y = top + number * LINE + SMALL
            self.page.line([(left, y - 0.9), (left + 9, y - 0.9)], pen)
            self.page.text((left + 11, y), text, SMALL)
        y = top + 2 * LINE + SMALL
        for number, (fill, text) in enumerate(((Fill.HOT, "hot air"), (Fill.COLD, "cold air"))):
            self.page.box(left + number * 32, y - 2.4, 9, 3, Pen.THIN, fill)
            self.page.text((left + 11 + number * 32, y), text, SMALL)
        return top + 3 * LINE + 2

    def notes(self) -> list[str]:
        """Return what lacks, what is not drawn, and what comes close."""
        said = lacking(self.plan)
        for contact in contacts(self.plan):
            at = "" if contact.always else f" at {contact.degree} deg"
            gap = "touches" if contact.bad else length_text(contact.gap, inches=self.inches)
            said.append(f"{contact.label}: {gap}{at}.")
        return [*said, "The wheel is seen along the shaft; cranks are turned into the page."]


def _letters() -> list[str]:
    one = [chr(ord("A") + number) for number in range(26)]
    return [*one, *(f"{first}{second}" for first in one for second in one)]


def _pen(shape: Shape) -> Pen:
    if shape.part.endswith("_crank") and shape.form is Form.CIRCLE:
        return Pen.AXIS
    if shape.assumed:
        return Pen.ASSUMED
    return Pen.THIN if shape.part == "shaft" else Pen.OUTLINE


def _fill(shape: Shape) -> Fill:
    if shape.form is not Form.AREA:
        return Fill.NONE
    return Fill.METAL if shape.part in METAL else Fill.PART if shape.part in PARTS else Fill.PAPER


def lacking(plan: Plan) -> list[str]:
    """Return what is not drawn and why, in sentences."""
    labels = fields_of(Build)
    names = ", ".join(labels[name].label.partition(" (")[0] for name in plan.missing)
    told = [f"Not known, so what rests on it is not drawn: {names}."] if names else []
    return [*told, *plan.left_out]


def told_lengths(plan: Plan, degree: int) -> list[tuple[str, float, bool]]:
    """Return what is told of an engine: field, length, [m], and whether it is assumed."""
    return [(each.field, plan.values.get(each.field, each.length), each.assumed) for each in _told(draw(plan, degree))]


def _told(drawing: Drawing) -> list[Dimension]:
    """Return the lengths of a drawing; where a field tells two, as that of two equal bores, the first."""
    first = {each.field: each for each in reversed(drawing.dimensions)}
    return list({each.field: first[each.field] for each in drawing.dimensions}.values())
