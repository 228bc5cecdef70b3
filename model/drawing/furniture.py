"""What every sheet has: the bar that checks the printer, whose engine it is, and what is to be said. Millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from model.drawing.lettering import broken, shorten
from model.drawing.shapes import Form, Shape
from model.drawing.svg import Fill, Page, Pen, Place

BAR = 100.0
"""Length of the bar that checks a printer, [mm]."""
CHECK = "100 mm. Print at 100 % (actual size), then measure this bar."
INCH, INCHES = 25.4, 4
"""Of the bar for who measures in inches: one of them, [mm], and how many."""
CHECK_INCHES = "4 in. Either bar will do."
SMALL, LINE = 2.6, 3.7
"""Height of the type of a note, and from line to line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Whose engine a sheet shows."""

    name: str
    mark: int
    reason: str = ""
    layout: str = ""
    """In the words of the form."""

    @property
    def text(self) -> str:
        """In one line."""
        return f"{self.name}, Mk {self.mark}"


def bar(page: Page, left: float, top: float) -> None:
    """Draw the bar of 100 mm, a tick at every 10 mm, and what to do with it; it takes 9 mm in height."""
    _ruled(page, "bar", left, top, BAR, 10, 5)
    page.text((left, top + 7.0), CHECK, SMALL)


def bar_of_inches(page: Page, left: float, top: float) -> None:
    """Draw the bar of 4 in, a tick at every quarter; it takes 9 mm in height."""
    _ruled(page, "bar-inches", left, top, INCHES * INCH, 4 * INCHES, 4)
    page.text((left, top + 7.0), CHECK_INCHES, SMALL)


def _ruled(page: Page, part: str, left: float, top: float, length: float, steps: int, each: int) -> None:
    """Draw a bar in so many steps, a long tick at `each` so many of them."""
    page.begin(part=part)
    page.line([(left, top), (left + length, top)], Pen.OUTLINE)
    for step in range(steps + 1):
        x = left + step * length / steps
        long = 3.0 if step % each == 0 else 1.5
        page.line([(x, top), (x, top + long)], Pen.THIN)
    page.end()


def title(page: Page, left: float, top: float, room: float, what: str, of: str) -> None:
    """Write what the sheet shows, and of which engine, in one line each; 10 mm in height."""
    page.text((left, top + 3.6), shorten(what, room, 4.4), 4.4, bold=True)
    page.text((left, top + 8.6), shorten(of, room, 3.2), 3.2)


def note_lines(notes: list[str], room: float, *, most: int = 99) -> list[str]:
    """Return notes as lines of at most `room`; of those that are too many the last says so."""
    lines = [line for note in notes for line in broken(note, room, SMALL)]
    return lines if len(lines) <= most else [*lines[: most - 1], f"... and {len(lines) - most + 1} more lines."]


def write(page: Page, left: float, top: float, lines: list[str]) -> float:
    """Write lines one below the other and return where the next would stand."""
    for number, line in enumerate(lines):
        page.text((left, top + SMALL + number * LINE), line, SMALL)
    return top + len(lines) * LINE


def put(page: Page, shape: Shape, places: list[Place], pen: Pen, fill: Fill = Fill.NONE, scale: float = 1e3) -> None:
    """Draw a shape at places of the paper; `scale` is millimetres of paper to a metre."""
    if shape.form is Form.AREA:
        page.area(places, pen, fill)
    elif shape.form is Form.CIRCLE:
        page.circle(places[0], shape.radius * scale, pen, fill)
    else:
        page.line(places, pen)
