"""A canvas of cells, drawn on by fine dots: braille, half blocks or plain characters, a role for each cell. Pure.

Places are in cells from the top left corner, as numbers with a fraction: ``(0.5, 0.5)`` is the middle of the first
cell, so that a drawing says where things are and not how fine the terminal is. A cell is taken as twice as high as wide
(`ASPECT`). What is drawn later lies over what was drawn before; what lies outside is not drawn, however far.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from enum import Enum
from itertools import pairwise

from rich.cells import cell_len

from tui.text.sanitise import sanitise
from tui.view.lines import Line, Span

Point = tuple[float, float]
"""Column and row, in cells."""
ASPECT = 2.0
"""Height of a cell over its width; the usual fonts' 1.9 to 2.2, common practice."""
BRAILLE_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell: row of dots, then column. Source: Unicode 15, Braille Patterns (block from U+2800)."""
HALVES = " \u2580\u2584\u2588"
"""Of a cell of half blocks: neither, upper, lower, both."""
FAR = 1e6
"""Cells beyond which a place is held."""


class Mode(Enum):
    """How dots become characters: dots across and down a cell."""

    BRAILLE = (2, 4)
    BLOCKS = (1, 2)
    PLAIN = (1, 1)

    @classmethod
    def of(cls, plain: bool) -> Mode:
        """Return braille, or plain characters where a terminal has no other."""
        return cls.PLAIN if plain else cls.BRAILLE


Pattern = Callable[[int, int], bool]
"""Of a fill: whether a dot is set, by its column and row; what is there already stays."""


def solid(x: int, y: int) -> bool:
    """Every dot."""
    return True


def half(x: int, y: int) -> bool:
    """Every second dot, as on a chess board."""
    return (x + y) % 2 == 0


def light(x: int, y: int) -> bool:
    """One dot in eight."""
    return (x % 4 == 0 and y % 4 == 0) or (x % 4 == 2 and y % 4 == 2)


def hatched(x: int, y: int) -> bool:
    """Slanting lines, rising to the right."""
    return (x + y) % 4 == 0


class Canvas:
    """Cells to draw on. `role` is that of `tui.view.lines`; `char` stands for a dot where there are no finer ones."""

    def __init__(self, width: int, height: int, *, mode: Mode = Mode.BRAILLE) -> None:
        self.width, self.height, self.mode = max(0, width), max(0, height), mode
        self.across, self.down = mode.value
        """Dots across and down a cell."""
        self._bits = [[0] * self.width for _ in range(self.height)]
        self._chars = [[" "] * self.width for _ in range(self.height)]
        self._roles = [[""] * self.width for _ in range(self.height)]
        self._clip = (0, 0, self.width * self.across, self.height * self.down)

    def _dot_at(self, x: float, y: float) -> Point:
        return _held(x) * self.across, _held(y) * self.down

    # -- drawing ------------------------------------------------------------------------------------------------

    def dot(self, x: float, y: float, *, role: str = "", char: str = "*") -> None:
        """Set the dot at a place."""
        if math.isfinite(x) and math.isfinite(y):
            fx, fy = self._dot_at(x, y)
            self._set(math.floor(fx), math.floor(fy), role, char)

    def line(
        self, start: Point, end: Point, *, role: str = "", char: str = "", dash: tuple[float, float] | None = None,
        done: float = 0.0,
    ) -> float:  # fmt: skip
        """Draw a straight line; return how long it is, in cells across.

        Parameters
        ----------
        start, end : tuple of float
            Places.
        char : str
            What stands for it in plain characters; empty: ``-``, ``|``, ``/`` or ``\\`` as it slopes.
        dash : tuple of float, optional
            Cells across that are drawn, and that are left out, in turn; None: whole.
        done : float
            Cells across of a longer line that were drawn before: its dashes go on.
        """
        if not all(map(math.isfinite, (*start, *end))):
            return 0.0
        (x0, y0), (x1, y1) = self._dot_at(*start), self._dot_at(*end)
        length = max(abs(x1 - x0), abs(y1 - y0))
        part = self._within(x0, y0, x1, y1)
        if part is not None:
            char = char or _slope(start, end)
            first, last = part
            steps = max(1, math.ceil((last - first) * length * 1.2))
            for step in range(steps + 1):
                share = first + (last - first) * step / steps
                at = done + share * length / self.across
                if dash is None or at % (dash[0] + dash[1]) < dash[0]:
                    self._set(math.floor(x0 + (x1 - x0) * share), math.floor(y0 + (y1 - y0) * share), role, char)
        return length / self.across

    def path(
        self, points: Sequence[Point], *, closed: bool = False, role: str = "", char: str = "",
        dash: tuple[float, float] | None = None,
    ) -> None:  # fmt: skip
        """Draw a line through places; one that is no number leaves a gap."""
        done = 0.0
        places = [*points, points[0]] if closed and points else points
        for start, end in pairwise(places):
            done += self.line(start, end, role=role, char=char, dash=dash, done=done)

    def arc(
        self, centre: Point, radius: float, *, start: float = 0.0, sweep: float = 2 * math.pi, role: str = "",
        char: str = "", dash: tuple[float, float] | None = None,
    ) -> None:  # fmt: skip
        """Draw an arc of a circle that looks round.

        Parameters
        ----------
        centre : tuple of float
            Place.
        radius : float
            In cells across.
        start, sweep : float
            From the right, turning upwards (against the clock), [rad].
        """
        self.path(arc_points(centre, radius, start=start, sweep=sweep), role=role, char=char, dash=dash)

    def fill(
        self, rings: Sequence[Sequence[Point]], *, pattern: Pattern = solid, role: str = "", char: str = "#"
    ) -> None:
        """Fill what lies within an odd number of rings: one ring is its inside, a second one within it a hole."""
        edges = [
            (*self._dot_at(*a), *self._dot_at(*b))
            for ring in rings
            for a, b in zip(ring, [*ring[1:], *ring[:1]], strict=True)
            if all(map(math.isfinite, (*a, *b)))
        ]
        left, top, right, bottom = self._clip
        if not edges:
            return
        top = max(top, math.floor(min(min(y0, y1) for _, y0, _, y1 in edges)))
        bottom = min(bottom, math.ceil(max(max(y0, y1) for _, y0, _, y1 in edges)))
        for y in range(top, bottom):
            middle = y + 0.5
            crossings = sorted(
                x0 + (middle - y0) / (y1 - y0) * (x1 - x0)
                for x0, y0, x1, y1 in edges
                if min(y0, y1) <= middle < max(y0, y1)
            )
            for begin, stop in zip(crossings[::2], crossings[1::2], strict=False):
                for x in range(max(left, math.ceil(begin - 0.5)), min(right, math.ceil(stop - 0.5))):
                    if pattern(x, y):
                        self._set(x, y, role, char)

    def box(
        self, left: float, top: float, right: float, bottom: float, *, pattern: Pattern = solid, role: str = "",
        char: str = "#",
    ) -> None:  # fmt: skip
        """Fill a rectangle."""
        ring = [(left, top), (right, top), (right, bottom), (left, bottom)]
        self.fill([ring], pattern=pattern, role=role, char=char)

    def text(self, column: int, row: int, text: str, *, role: str = "") -> None:
        """Write a text over the cells from one on; what does not lie within the canvas is left out."""
        x0, y0, x1, y1 = self._clip
        if not y0 <= row * self.down < y1:
            return
        for char in sanitise(text):
            wide = cell_len(char)
            if wide == 0:
                continue
            if x0 <= column * self.across and (column + wide) * self.across <= x1:
                self._write(column, row, char, wide, role)
            column += wide

    # -- what it became -----------------------------------------------------------------------------------------

    def lines(self) -> list[Line]:
        """Return the lines, each as wide as the canvas."""
        return [self._spans(row) for row in range(self.height)]

    def _spans(self, row: int) -> Line:
        spans: list[Span] = []
        for bits, char, role in zip(self._bits[row], self._chars[row], self._roles[row], strict=True):
            shown = char
            if bits:
                shown = chr(0x2800 + bits) if self.mode is Mode.BRAILLE else HALVES[bits]
            if shown == " " and role != "on":  # an ink with paper of its own is seen on a blank too
                role = ""
            if spans and (spans[-1][1] == role or not shown):
                spans[-1] = (spans[-1][0] + shown, spans[-1][1])
            else:
                spans.append((shown, role))
        return tuple(spans)

    def _bit(self, x: int, y: int) -> int:
        if self.mode is Mode.BRAILLE:
            return BRAILLE_BITS[y % 4][x % 2]
        return 1 << (y % 2)

    def _set(self, x: int, y: int, role: str, char: str) -> None:
        x0, y0, x1, y1 = self._clip
        if not (x0 <= x < x1 and y0 <= y < y1):
            return
        row, column = y // self.down, x // self.across
        if self.mode is Mode.PLAIN:
            self._write(column, row, char, 1, role)
            return
        if self._chars[row][column] != " ":
            self._write(column, row, " ", 1, role)
        self._bits[row][column] |= self._bit(x, y)
        self._roles[row][column] = role

    def _write(self, column: int, row: int, char: str, wide: int, role: str) -> None:
        """Put a character into a cell, or into two; a wide one that it cuts into becomes a space."""
        chars, first, after = self._chars[row], column, column + wide
        if chars[first] == "":
            chars[first - 1] = " "
        if after < self.width and chars[after] == "":
            chars[after] = " "
        for cell in range(first, after):
            chars[cell], self._bits[row][cell], self._roles[row][cell] = "", 0, role
        chars[first] = char

    def _within(self, x0: float, y0: float, x1: float, y1: float) -> tuple[float, float] | None:
        """Return the share of a line, from and to, that lies within the canvas; None: nothing.

        Each of the four sides cuts off what lies beyond it. Source: Liang and Barsky, ACM Trans. Graphics 3 (1984).
        """
        left, top, right, bottom = self._clip
        first, last = 0.0, 1.0
        sides = ((x0 - x1, x0 - left), (x1 - x0, right - x0), (y0 - y1, y0 - top), (y1 - y0, bottom - y0))
        for towards, room in sides:
            if towards == 0:
                if room < 0:
                    return None
            elif towards < 0:
                first = max(first, room / towards)
            else:
                last = min(last, room / towards)
        return (first, last) if first <= last else None


def arc_points(centre: Point, radius: float, *, start: float = 0.0, sweep: float = 2 * math.pi) -> list[Point]:
    """Return places along an arc of a circle that looks round, less than a cell apart; as for `Canvas.arc`."""
    if not (math.isfinite(radius) and math.isfinite(sweep)):
        return []
    many = 4 * max(4, min(180, math.ceil(abs(sweep) * min(abs(radius), 1e4) * 0.4)))
    angles = [start + sweep * step / many for step in range(many + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] - radius * math.sin(a) / ASPECT) for a in angles]


def _held(x: float) -> float:
    return max(-FAR, min(FAR, x))


def _slope(start: Point, end: Point) -> str:
    """Return the plain character that slopes as a line does; a cell is twice as high as wide."""
    across, down = end[0] - start[0], (end[1] - start[1]) * ASPECT
    if abs(down) < 0.6 * abs(across):
        return "-"
    if abs(across) < 0.35 * abs(down):
        return "|"
    return "\\" if (across > 0) == (down > 0) else "/"
