"""Where shapes, spaces and lengths of one angle are gathered; what rests on a missing field is left out."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

from model.drawing.plan import DEGREES, Plan
from model.drawing.shapes import Axis, Dimension, Drawing, Form, Point, Shape, Side, Space


class Rod(NamedTuple):
    """One crank with its connecting rod, as fields name them."""

    part: str
    """``displacer``, ``piston`` or ``hot``."""
    label: str
    throw: float
    length: float
    offset: float

    @property
    def reach(self) -> float:
        """From shaft to crosshead at inner dead centre, [m]."""
        return math.sqrt((self.length + self.throw) ** 2 - self.offset**2)


def rod_of(plan: Plan, part: str, label: str) -> Rod:
    """Return a crank as the solver holds it: the rod a little longer than the throw, the offset within its reach."""
    throw = plan[f"{part}_throw"]
    length = max(plan[f"{part}_rod"], throw / 0.95)
    offset = 0.0
    if part == "piston":
        reach = 0.95 * (length - throw)
        offset = min(max(plan["piston_offset"], -reach), reach)
    return Rod(part, label, throw, length, offset)


@dataclass(slots=True, kw_only=True)
class Sheet:
    """A drawing in the making."""

    plan: Plan
    degree: int
    shapes: list[Shape] = field(default_factory=list)
    spaces: list[Space] = field(default_factory=list)
    dimensions: list[Dimension] = field(default_factory=list)

    @property
    def angle(self) -> float:
        """Crank angle of displacer or hot piston, [rad]."""
        return 2 * math.pi * self.degree / DEGREES

    @property
    def first(self) -> float:
        """Travel of displacer or hot piston, [m]."""
        return self.plan.first[self.degree]

    @property
    def second(self) -> float:
        """Travel of the power piston, [m]."""
        return self.plan.second[self.degree]

    def done(self) -> Drawing:
        """Return the drawing."""
        return Drawing(
            degree=self.degree,
            shapes=tuple(self.shapes),
            spaces=tuple(self.spaces),
            dimensions=tuple(self.dimensions),
        )

    def lacks(self, *names: str) -> bool:
        """Whether a field is missing on which something rests."""
        return any(name in self.plan.hidden for name in names)

    def shape(
        self,
        part: str,
        label: str,
        form: Form,
        *points: Point,
        fields: tuple[str, ...] = (),
        needs: tuple[str, ...] = (),
        fits: bool = False,
        **rest: object,
    ) -> None:
        """Draw a part, unless a field lacks that it shows or needs; `fits`: its length is told by no field."""
        if not self.lacks(*fields, *needs):
            assumed = fits or self.plan.assumes(*fields)
            made = Shape(part=part, label=label, form=form, points=points, fields=fields, assumed=assumed, **rest)  # type: ignore[arg-type]
            self.shapes.append(made)

    def space(self, name: str, side: Side, outline: tuple[Point, ...], *needs: str, **rest: object) -> None:
        """Take a room of the air."""
        if not self.lacks(*needs):
            self.spaces.append(Space(name=name, side=side, outline=outline, **rest))  # type: ignore[arg-type]

    def length(self, name: str, start: Point, end: Point, *needs: str) -> None:
        """Take the length of a field, where the engine has it."""
        if self.plan.has(name) and not self.lacks(*needs):
            self.dimensions.append(Dimension(field=name, start=start, end=end, assumed=self.plan.assumes(name)))

    def crank(self, axis: Axis, rod: Rod, angle: float, *, at: float) -> None:
        """Draw a crank with its connecting rod; `at` is how far the crosshead is from the shaft, [m]."""
        throw, long = f"{rod.part}_throw", f"{rod.part}_rod"
        pin, head = (
            axis.at(rod.throw * math.cos(angle), rod.throw * math.sin(angle)),
            axis.at(at, rod.offset),
        )
        name = f"{rod.part}_crank"
        self.shape(name, f"{rod.label}'s crank", Form.CIRCLE, axis.shaft, radius=rod.throw, fields=(throw,))
        self.shape(name, f"{rod.label}'s crank", Form.LINE, axis.shaft, pin, fields=(throw,), moves=True)
        self.shape(
            f"{rod.part}_rod", f"{rod.label}'s connecting rod", Form.LINE, head, pin,
            fields=(long,), needs=(throw,), moves=True,
        )  # fmt: skip
        self.length(throw, axis.shaft, pin)
        self.length(long, head, pin, throw)

    def stem(self, axis: Axis, rod: Rod, start: float, end: float, *needs: str) -> None:
        """Draw what joins a part to its crosshead: how long it is no field tells."""
        if abs(start - end) > 1e-9:
            places = axis.at(start, rod.offset), axis.at(end, rod.offset)
            self.shape(f"{rod.part}_stem", f"{rod.label}'s rod", Form.LINE, *places, needs=needs, fits=True, moves=True)

    def wheel(self, shafts: list[Point], hands: list[tuple[str, float, float]]) -> None:
        """Draw the wheel beside all else, seen along the shaft: a hand to the rim and a pin for each crank.

        `hands` are the part, the direction of its crank and its throw.
        """
        radius = self.plan["wheel_diameter"] / 2
        right = max((point.x + shape.radius for shape in self.shapes for point in shape.points), default=0.0)
        centre = Point(right + radius * 1.15 + 2e-3, shafts[0].y)
        self.shape("shaft", "Shaft", Form.LINE, *shafts, centre)
        self.shape("wheel", "Wheel", Form.CIRCLE, centre, radius=radius, fields=("wheel_diameter", "wheel_mass"))
        for part, direction, throw in hands:
            rim, pin = centre.towards(direction, radius), centre.towards(direction, throw)
            label = "Displacer" if part == "displacer" else "Hot piston" if part == "hot" else "Piston"
            self.shape(
                f"{part}_hand", f"{label}'s crank on the wheel", Form.LINE, centre, rim,
                fields=("phase",), needs=(f"{part}_throw",), moves=True,
            )  # fmt: skip
            self.shape(
                f"{part}_pin", f"{label}'s crank pin", Form.CIRCLE, pin,
                radius=min(0.04 * radius, 0.5 * throw), fields=(f"{part}_throw",), moves=True,
            )  # fmt: skip
        self.length("wheel_diameter", centre.moved(-radius, 0.0), centre.moved(radius, 0.0))
