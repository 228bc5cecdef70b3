"""What a drawing is made of: shapes with what they show. Plain data, metres and radians."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


class Point(NamedTuple):
    """A place on the page, [m]: x to the right, y up."""

    x: float
    y: float

    def moved(self, dx: float, dy: float) -> Point:
        """Return the point so far from here."""
        return Point(self.x + dx, self.y + dy)

    def towards(self, angle: float, distance: float) -> Point:
        """Return the point at a distance, its direction counted from down against the clock, [rad]."""
        return Point(self.x + distance * math.sin(angle), self.y - distance * math.cos(angle))


class Form(StrEnum):
    """How the points of a shape are meant."""

    AREA = "area"
    """A closed outline."""
    LINE = "line"
    """An open line."""
    CIRCLE = "circle"
    """The only point is its centre."""


class Side(StrEnum):
    """To which end a part or a space belongs."""

    HOT = "hot"
    COLD = "cold"
    NEITHER = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One part of the engine."""

    part: str
    """Key: ``displacer``, ``piston``, ``wheel`` ..."""
    label: str
    """In the words of the trade."""
    form: Form
    points: tuple[Point, ...]
    radius: float = 0.0
    """Of a circle, [m]."""
    fields: tuple[str, ...] = ()
    """Names of the fields of a build that it shows."""
    side: Side = Side.NEITHER
    moves: bool = False
    assumed: bool = False
    """Whether any length of it was neither measured nor typed."""
    count: int = 1
    """How many of it there are; one is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """A room of the air; several make up the hot and the cold space."""

    name: str
    """``hot``, ``cold``, ``piston`` (over or under the power piston), ``passage``, ``gap`` (round the displacer)."""
    side: Side
    outline: tuple[Point, ...]
    """Of its section, from floor to ceiling up the right side and down the left: it is round, about its middle."""
    rod: float = 0.0
    """Diameter of a rod that goes through it, [m]."""
    rod_length: float = 0.0
    """Length of that rod inside, [m]."""
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A length that a field tells, from one point to another."""

    field: str
    start: Point
    end: Point
    assumed: bool = False

    @property
    def length(self) -> float:
        """As drawn, [m]."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The engine at one angle."""

    degree: int
    """Crank angle, 0 to 359: nil where the displacer (alpha: the hot piston) stands nearest to the hot end."""
    shapes: tuple[Shape, ...]
    """Those that lie behind come first."""
    spaces: tuple[Space, ...]
    dimensions: tuple[Dimension, ...]

    def of_part(self, part: str) -> tuple[Shape, ...]:
        """Return the shapes of a part."""
        return tuple(shape for shape in self.shapes if shape.part == part)

    def showing(self, field: str) -> tuple[Shape, ...]:
        """Return the shapes that show a field."""
        return tuple(shape for shape in self.shapes if field in shape.fields)

    def dimension(self, field: str) -> Dimension | None:
        """Return the length of a field; None where it is none, or not drawn."""
        return next((dimension for dimension in self.dimensions if dimension.field == field), None)


@dataclass(frozen=True, slots=True)
class Axis:
    """The line of a cylinder from the shaft outwards: places on it, and beside it in the direction of turn."""

    shaft: Point
    angle: float = 0.0
    """From down, against the clock, [rad]."""

    def at(self, along: float, aside: float = 0.0) -> Point:
        """Return the place so far from the shaft."""
        return self.shaft.towards(self.angle, along).towards(self.angle + math.pi / 2, aside)

    def box(self, near: float, far: float, width: float, middle: float = 0.0) -> tuple[Point, ...]:
        """Return a rectangle across the axis: the far side first, its right end, as `Space.outline` asks."""
        half = width / 2
        return (
            self.at(far, middle - half),
            self.at(far, middle + half),
            self.at(near, middle + half),
            self.at(near, middle - half),
        )


def extent(drawings: tuple[Drawing, ...]) -> tuple[Point, Point]:
    """Return the lower left and the upper right corner of what is drawn."""
    xs: list[float] = []
    ys: list[float] = []
    for drawing in drawings:
        for shape in drawing.shapes:
            for x, y in shape.points:
                xs += (x - shape.radius, x + shape.radius)
                ys += (y - shape.radius, y + shape.radius)
    if not xs:
        return Point(0.0, 0.0), Point(0.0, 0.0)
    return Point(min(xs), min(ys)), Point(max(xs), max(ys))
