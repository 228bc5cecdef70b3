"""A degree wheel for the shaft: a scale of the turn with the crank angle and the dead centres marked; metres."""

from __future__ import annotations

import math
from typing import NamedTuple

from model.drawing.plan import DEGREES, Plan
from model.drawing.shapes import Form, Point, Shape

LEAST, MOST, USUAL = 0.05, 0.18, 0.14
"""Diameters between which the wheel is made to fit the flywheel, and one where that is not known, [m]."""
CENTRE = Point(0.0, 0.0)


class Mark(NamedTuple):
    """A text on the wheel."""

    at: Point
    text: str
    size: float
    turned: float
    """Against the clock, [rad]."""
    middle: bool = True


def degree_wheel(plan: Plan, *, free: bool = False) -> tuple[list[Shape], list[Mark], list[str]]:
    """Return shapes, texts and notes of a degree wheel.

    It is fixed to the shaft and read at a pointer that stands still; its numbers grow against the turn, so that the
    reading grows while the engine turns clockwise. Where the displacer moves `free` of the crank, 0 is where the piston
    is fully in.
    """
    across = min(max(plan["wheel_diameter"], LEAST), MOST) if plan.has("wheel_diameter") else USUAL
    radius = across / 2
    shapes = [
        Shape(part="cut", label="Edge", form=Form.CIRCLE, points=(CENTRE,), radius=radius, assumed=True),
        Shape(part="axis", label="Middle", form=Form.LINE, points=(Point(-5e-3, 0.0), Point(5e-3, 0.0))),
        Shape(part="axis", label="Middle", form=Form.LINE, points=(Point(0.0, -5e-3), Point(0.0, 5e-3))),
    ]
    marks: list[Mark] = []
    fine = radius >= 0.04
    for degree in range(0, DEGREES, 1 if fine else 5):
        long = 0.10 if degree % 30 == 0 else 0.075 if degree % 10 == 0 else 0.055 if degree % 5 == 0 else 0.035
        ends = _at(degree, radius), _at(degree, radius * (1 - long))
        shapes.append(Shape(part="mark", label=f"{degree} deg", form=Form.LINE, points=ends))
        if degree % (10 if fine else 30) == 0:
            size = 2.6e-3 if fine else 2.2e-3
            marks.append(_upright(degree, radius * (1 - long) - 1.3 * size, f"{degree}", size))
    _events(plan, radius, shapes, marks, free=free)
    if not free:
        _crank_angle(plan, radius, shapes, marks)
    zero = "the hot piston is fully in" if plan.layout == "alpha" else "the displacer is nearest to the hot end"
    zero = "the piston is fully in" if free else zero
    notes = [f"Fix it to the shaft so that a pointer that stands still reads 0 when {zero}."]
    if not plan.has("wheel_diameter") or plan["wheel_diameter"] != across:
        notes.append("It is not as large as the flywheel; any size serves.")
    return shapes, marks, notes


def _at(degree: float, radius: float) -> Point:
    """Return the place of a reading: 0 at the top, growing against the clock."""
    return CENTRE.towards(math.pi + math.radians(degree), radius)


def _upright(degree: float, radius: float, text: str, size: float) -> Mark:
    """Return a number whose foot points to the middle."""
    return Mark(_at(degree, radius), text, size, math.radians(degree))


def dead_centre(travel: tuple[float, ...], *, inner: bool) -> float:
    """Return at which reading a part stands at an end of its travel, [deg], to a tenth of a degree."""
    end = (min if inner else max)(travel)
    middle = travel.index(end)
    before, after = travel[middle - 1], travel[(middle + 1) % DEGREES]
    bend = before - 2 * end + after
    return round(middle + ((before - after) / (2 * bend) if bend else 0.0), 1) % DEGREES


def _events(plan: Plan, radius: float, shapes: list[Shape], marks: list[Mark], *, free: bool) -> None:
    """Add a line for each dead centre, from the middle outwards, with its name along it."""
    if plan.layout == "alpha":
        names = ("hot piston in", "hot piston out", "cold piston in", "cold piston out")
    else:
        names = ("displacer at the hot end", "displacer at the cold end", "piston in", "piston out")
    travels = (plan.first, plan.first, plan.second, plan.second)
    first = "hot" if plan.layout == "alpha" else "displacer"
    for number, (name, travel) in enumerate(zip(names, travels, strict=True)):
        if free and number < 2:
            continue
        degree = dead_centre(travel, inner=number % 2 == 0)
        fields = (f"{first}_throw",) if number < 2 else ("piston_throw", "phase")
        if free:
            degree = (degree - dead_centre(plan.second, inner=True)) % DEGREES
            fields = ("piston_throw",)
        shapes.append(Shape(part="mark", label=name, form=Form.LINE, fields=fields,
                            points=(_at(degree, 0.12 * radius), _at(degree, 0.78 * radius)),
                            assumed=plan.assumes(*fields)))  # fmt: skip
        along = math.radians(degree) + math.pi / 2
        at = _at(degree, 0.15 * radius).moved(-1e-3 * math.sin(along), 1e-3 * math.cos(along))
        marks.append(Mark(at, f"{degree:.4g} {name}", 2.4e-3, along, middle=False))


def _crank_angle(plan: Plan, radius: float, shapes: list[Shape], marks: list[Mark]) -> None:
    """Add the arc of the crank angle, from the first crank's dead centre."""
    ahead = math.degrees(plan.crank_angle)
    if ahead == 0.0:
        return
    steps = max(2, math.ceil(abs(ahead) / 3))
    arc = tuple(_at(ahead * step / steps, 0.3 * radius) for step in range(steps + 1))
    shapes.append(Shape(part="mark", label="Crank angle", form=Form.LINE, points=arc, fields=("phase",),
                        assumed=plan.assumes("phase")))  # fmt: skip
    guessed = " (assumed)" if plan.assumes("phase") else ""
    marks.append(_upright(ahead / 2, 0.34 * radius, f"crank angle {ahead:.4g}{guessed}", 2.4e-3))
