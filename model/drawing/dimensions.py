"""Dimension lines and names on a sheet, each put where it covers least. Paper in millimetres, y down.

A dimension has a line with arrows beside the length that it tells, thin lines back to it, and its text above the line
(ISO 129-1, method 1: read from below or from the right). Each is tried at several distances on both sides; what its
text, line or leader would cover of parts and of what stands already is counted, and the least is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from model.drawing.lettering import width
from model.drawing.svg import Fill, Page, Pen, Place

TYPE = 2.6
"""Height of the type."""
ARROW, TAIL = 1.8, 4.5
"""Length of an arrow, and of a line whose arrows point inwards from outside."""
OFFSETS = (4.5, 8.5, 12.5, 17.0, 22.0, 28.0, 35.0, 43.0)
"""Distances of a dimension line from what it tells."""
RINGS = (7.0, 11.0, 16.0, 22.0, 29.0, 37.0)
"""Distances of a name from its part."""


class Box(NamedTuple):
    """A rectangle."""

    left: float
    top: float
    right: float
    low: float

    def meets(self, other: Box) -> bool:
        """Whether they share a place."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.low and other.top < self.low
        )  # fmt: skip

    def within(self, other: Box) -> bool:
        """Whether it lies in another."""
        return self.left >= other.left and self.right <= other.right and self.top >= other.top and self.low <= other.low

    def crossed(self, one: Place, other: Place) -> bool:
        """Whether a line from one place to another goes through it."""
        (x0, y0), (x1, y1) = one, other
        begin, end = 0.0, 1.0
        for start, step, low, high in ((x0, x1 - x0, self.left, self.right), (y0, y1 - y0, self.top, self.low)):
            if abs(step) < 1e-9:
                if not low <= start <= high:
                    return False
                continue
            near, far = sorted(((low - start) / step, (high - start) / step))
            begin, end = max(begin, near), min(end, far)
        return begin <= end


Line = tuple[Place, Place]


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """What a dimension line tells: from a place of the paper to another."""

    field: str
    text: str
    start: Place
    end: Place
    assumed: bool = False

    @property
    def size(self) -> float:
        """On the paper, [mm]."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Try:
    """One way to put a text with its lines."""

    at: Place
    turned: float
    anchor: str
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]
    arrows: tuple[tuple[Place, Place], ...] = ()
    """Tip, and where it comes from."""
    cost: float = 0.0
    leads: bool = False
    """Whether its line is a leader, which should cross few parts."""


@dataclass(slots=True)
class Taken:
    """What stands on the sheet already."""

    window: Box
    parts: list[Line] = field(default_factory=list)
    texts: list[Box] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)

    def best(self, tries: Iterable[_Try]) -> _Try | None:
        """Return the way that covers least; None where none stays on the sheet."""
        best, least = None, math.inf
        for each in sorted(tries, key=lambda one: one.cost):
            if each.cost >= least:
                break
            if all(box.within(self.window) for box in each.boxes) and (cost := self._cost(each, least)) < least:
                best, least = each, cost
        if best is not None:
            self.texts += best.boxes
            self.lines += best.lines
        return best

    def _cost(self, each: _Try, most: float) -> float:
        """Return what a way costs; once that is more than `most`, how much more does not matter."""
        cost = each.cost
        for box in each.boxes:
            cost += 100 * sum(box.meets(text) for text in self.texts)
            if cost > most:
                return cost
            cost += 5 * _through(box, self.parts) + 8 * _through(box, self.lines)
        for text in self.texts:
            cost += 30 * _through(text, each.lines)
        if each.leads and cost <= most:
            cost += 1.5 * sum(_cross(each.lines[0], part) for part in self.parts)
        if cost > most:
            return cost
        return cost + 40 * sum(_side_by_side(mine, line) for mine in each.lines for line in self.lines)


def _through(box: Box, lines: Sequence[Line]) -> int:
    """Return how many lines go through a box."""
    left, top, right, low = box
    return sum(
        box.crossed(one, other)
        for one, other in lines
        if (one[0] >= left or other[0] >= left)
        and (one[0] <= right or other[0] <= right)
        and (one[1] >= top or other[1] >= top)
        and (one[1] <= low or other[1] <= low)
    )


def _cross(one: Line, other: Line) -> bool:
    """Whether two lines cross."""
    if max(one[0][0], one[1][0]) < min(other[0][0], other[1][0]) or min(one[0][0], one[1][0]) > max(
        other[0][0], other[1][0]
    ):
        return False

    def side(a: Place, b: Place, c: Place) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    apart = side(*one, other[0]) * side(*one, other[1]), side(*other, one[0]) * side(*other, one[1])
    return max(apart) < 0


def _side_by_side(one: Line, other: Line) -> bool:
    """Whether two level or upright lines run so close together that they look like one."""
    for across, along in ((0, 1), (1, 0)):
        if abs(one[0][across] - one[1][across]) > 0.01 or abs(other[0][across] - other[1][across]) > 0.01:
            continue
        if abs(one[0][across] - other[0][across]) > 2.5:
            return False
        mine, theirs = sorted(place[along] for place in one), sorted(place[along] for place in other)
        return mine[0] < theirs[1] and theirs[0] < mine[1]
    return False


def dimension_lines(page: Page, lengths: Sequence[Length], taken: Taken) -> tuple[str, ...]:
    """Draw a dimension line for each length, the short ones first; return the fields of those that found no place."""
    lost = []
    for length in sorted(lengths, key=lambda each: each.size):
        best = taken.best(_tries(length))
        if best is None:
            lost.append(length.field)
            continue
        page.begin(field=length.field)
        for line in best.lines[:1]:
            page.line(line, Pen.ASSUMED_THIN if length.assumed else Pen.THIN)
        for line in best.lines[1:]:
            page.line(line, Pen.THIN)
        for tip, tail in best.arrows:
            _arrow(page, tip, tail)
        page.text(best.at, length.text, TYPE, anchor=best.anchor, turned=best.turned, halo=True)
        page.end()
    return tuple(lost)


def _tries(length: Length) -> Iterator[_Try]:
    """Yield the ways to draw a dimension: on both sides, at several distances, its text within or at either end."""
    a, b = length.start, length.end
    size = length.size
    along = ((b[0] - a[0]) / size, (b[1] - a[1]) / size) if size > 1e-6 else (1.0, 0.0)
    if along[0] < -1e-6 or (abs(along[0]) <= 1e-6 and along[1] > 0):
        a, b, along = b, a, (-along[0], -along[1])
    up = (along[1], -along[0])
    room = width(length.text, TYPE)
    turned = math.degrees(math.atan2(along[1], along[0]))
    within = size >= room + 1
    for offset in OFFSETS:
        for side in (1, -1):
            foot = _far(a, up, side * offset), _far(b, up, side * offset)
            stems = tuple((_far(place, up, side * 0.8), _far(place, up, side * (offset + 1.0))) for place in (a, b))
            if within:
                middle = _far(foot[0], along, size / 2)
                yield _try(middle, along, up, turned, room, "middle", (foot, *stems), _inwards(foot), offset)
                continue
            outside = size < 3 * ARROW
            for forward in (True, False):
                tip = foot[1] if forward else foot[0]
                away = along if forward else (-along[0], -along[1])
                reach = TAIL if outside else 0.0
                begin = _far(tip, away, reach + 0.8)
                far = _far(tip, away, reach + 0.8 + room)
                line = (_far(foot[0], along, -TAIL), _far(foot[1], along, TAIL)) if outside else foot
                arrows = _outside(foot, along) if outside else _inwards(foot)
                at = begin if forward else far
                drop = (at[0] - up[0] * 0.35 * TYPE - up[0] * 0.8, at[1] - up[1] * 0.35 * TYPE - up[1] * 0.8)
                yield _try(drop, along, up, turned, room, "start", (line, *stems), arrows, offset + 2)


def _far(place: Place, direction: Place, distance: float) -> Place:
    return place[0] + direction[0] * distance, place[1] + direction[1] * distance


def _inwards(foot: Line) -> tuple[tuple[Place, Place], ...]:
    return (foot[0], foot[1]), (foot[1], foot[0])


def _outside(foot: Line, along: Place) -> tuple[tuple[Place, Place], ...]:
    return (foot[0], _far(foot[0], along, -TAIL)), (foot[1], _far(foot[1], along, TAIL))


def _try(
    base: Place, along: Place, up: Place, turned: float, room: float, anchor: str,
    lines: tuple[Line, ...], arrows: tuple[tuple[Place, Place], ...], cost: float,
) -> _Try:  # fmt: skip
    """Return a way whose text stands over a place of its line."""
    at = _far(base, up, 0.8)
    begin = _far(at, along, -room / 2) if anchor == "middle" else at
    return _Try(at=at, turned=turned, anchor=anchor, boxes=_boxes(begin, along, up, room), lines=lines, arrows=arrows,
                cost=0.5 * cost)  # fmt: skip


def _boxes(begin: Place, along: Place, up: Place, room: float) -> tuple[Box, ...]:
    """Return boxes that cover a text: one, or where it is oblique several along it."""
    level = min(abs(along[0]), abs(along[1])) < 1e-6
    pieces = 1 if level else max(1, math.ceil(room / TYPE))
    boxes = []
    for piece in range(pieces):
        ends = [_far(begin, along, room * (piece + share) / pieces) for share in (0, 1)]
        corners = [_far(end, up, lift) for end in ends for lift in (-0.2 * TYPE, 0.85 * TYPE)]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        boxes.append(Box(min(xs) - 0.3, min(ys) - 0.3, max(xs) + 0.3, max(ys) + 0.3))
    return tuple(boxes)


def _arrow(page: Page, tip: Place, tail: Place) -> None:
    size = math.dist(tip, tail)
    if size < 1e-9:
        return
    back = ((tail[0] - tip[0]) / size, (tail[1] - tip[1]) / size)
    foot, across = _far(tip, back, ARROW), (-back[1], back[0])
    page.area([tip, _far(foot, across, 0.35), _far(foot, across, -0.35)], None, Fill.INK)


@dataclass(frozen=True, slots=True)
class Name:
    """A part's name, and a place on the part that its leader points to."""

    text: str
    at: Place


def names(page: Page, named: Sequence[Name], taken: Taken) -> None:
    """Write the name of each part beside it, with a leader that ends in a dot on it."""
    for name in named:
        best = taken.best(_round(name))
        if best is None:
            continue
        page.line(best.lines[0], Pen.THIN)
        page.circle(name.at, 0.45, None, Fill.INK)
        page.text(best.at, name.text, TYPE, halo=True)


def _round(name: Name) -> Iterator[_Try]:
    room = width(name.text, TYPE)
    for ring in RINGS:
        for step in range(16):
            angle = 2 * math.pi * (step + 0.5) / 16
            end = name.at[0] + ring * math.cos(angle), name.at[1] + ring * math.sin(angle)
            left = end[0] + 0.8 if math.cos(angle) > 0 else end[0] - 0.8 - room
            at = left, end[1] + 0.35 * TYPE
            box = _boxes(at, (1.0, 0.0), (0.0, -1.0), room)
            yield _Try(at=at, turned=0.0, anchor="start", boxes=box, lines=((name.at, end),), cost=0.5 * ring,
                       leads=True)  # fmt: skip


__all__ = ["Box", "Length", "Name", "Taken", "dimension_lines", "names"]
