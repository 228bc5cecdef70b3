"""Engines for the tests of the drawing, and volumes read back from what is drawn; owns no expected number."""

from __future__ import annotations

import math
import random

from model.drawing.plan import Plan
from model.drawing.planning import plan_of
from model.drawing.shapes import Drawing, Point, Side, Space
from model.fields import Build, fields_of, parse_build
from tests.predict.drawing import usual

GAMMA = {
    "layout": "gamma", "piston_kind": "piston", "piston_bore": "20 mm", "piston_throw": "5 mm", "piston_rod": "40 mm",
    "piston_length": "18 mm", "displacer_bore": "70 mm", "side_clearance": "2 mm", "displacer_length": "50 mm",
    "displacer_throw": "10 mm", "displacer_rod": "60 mm", "end_clearance_hot": "1.5 mm", "end_clearance_cold": "2 mm",
    "gland_rod": "2 mm", "gland_length": "10 mm", "phase": "90 deg", "tube_bore": "6 mm", "tube_length": "12 mm",
    "wheel_diameter": "120 mm", "wheel_mass": "60 g", "heat_source": "candle",
}  # fmt: skip
"""A can with a solid piston; every length round, so that a drawing can be worked out by hand."""
BETA = {
    "layout": "beta", "piston_bore": "40 mm", "piston_throw": "8 mm", "piston_rod": "50 mm", "piston_length": "30 mm",
    "side_clearance": "0.6 mm", "displacer_length": "60 mm", "displacer_throw": "9 mm", "displacer_rod": "70 mm",
    "end_clearance_hot": "1 mm", "end_clearance_cold": "1.2 mm", "phase": "90 deg", "heat_source": "gas",
}  # fmt: skip
ALPHA = {
    "layout": "alpha", "piston_bore": "20 mm", "piston_throw": "8 mm", "piston_rod": "50 mm", "piston_length": "25 mm",
    "hot_bore": "22 mm", "hot_throw": "9 mm", "hot_rod": "55 mm", "end_clearance_hot": "1 mm", "heat_source": "spirit",
    "end_clearance_cold": "0.8 mm", "tube_bore": "5 mm", "tube_length": "60 mm", "phase": "90 deg",
}  # fmt: skip
RUBBER = {
    **{name: text for name, text in GAMMA.items() if not name.startswith("piston_")},
    "piston_kind": "diaphragm", "diaphragm_rim": "38 mm", "diaphragm_disc": "25 mm", "piston_throw": "4 mm",
    "piston_rod": "55 mm",
}  # fmt: skip


def plan(texts: dict[str, str], **changes: str) -> Plan:
    """The plan of a build's texts; an empty text takes a field away."""
    both = {name: text for name, text in {**texts, **changes}.items() if text}
    return plan_of(parse_build(both).build)


def random_plans(count: int, layout: str) -> list[Plan]:
    """So many engines, always the same."""
    return [plan(usual(random.Random(f"{layout}{number}"), layout)) for number in range(count)]


def any_texts(seed: int) -> dict[str, str]:
    """Half of the fields, each at an end of what can be typed or anywhere between."""
    chance = random.Random(seed)
    texts = {}
    for name, field in fields_of(Build).items():
        if chance.random() < 0.5:
            continue
        if field.choices:
            texts[name] = chance.choice(field.choices).key
        elif field.kind is not None and all(map(math.isfinite, field.limits)):
            low, high = field.limits
            texts[name] = f"{chance.choice([low, high, chance.uniform(low, high)]):.6g} {field.unit}"
    return texts


def volume(space: Space) -> float:
    """What a room holds, [m^3]: cones between its right and left side, level by level; two strips make a ring."""
    half = len(space.outline) // 2
    right, left = space.outline[1 : half + 1], (space.outline[0], *space.outline[:half:-1])
    up = _along(space.outline)
    total = 0.0
    for (r0, l0), (r1, l1) in zip(zip(right, left, strict=True), list(zip(right, left, strict=True))[1:], strict=False):
        low, high = math.dist(r0, l0), math.dist(r1, l1)
        height = (_middle(r1, l1).x - _middle(r0, l0).x) * up.x + (_middle(r1, l1).y - _middle(r0, l0).y) * up.y
        total += math.pi / 12 * height * (low * low + low * high + high * high)
    return space.count * (total - math.pi / 4 * space.rod**2 * space.rod_length)


def _middle(one: Point, other: Point) -> Point:
    return Point((one.x + other.x) / 2, (one.y + other.y) / 2)


def _along(outline: tuple[Point, ...]) -> Point:
    """The direction up from the floor, which runs from the first point to the second."""
    (x0, y0), (x1, y1) = outline[:2]
    wide = math.dist(outline[0], outline[1])
    return Point(-(y1 - y0) / wide, (x1 - x0) / wide)


def drawn_volume(drawing: Drawing, side: Side) -> float:
    """What is drawn of the hot or the cold space, [m^3]."""
    return sum(volume(space) for space in drawing.spaces if space.side is side)


def ring(drawing: Drawing) -> float:
    """What is drawn round the displacer, [m^3]: its strips turned about the axis, by Pappus."""
    total = 0.0
    for space in drawing.spaces:
        if space.name == "gap":
            (x0, y0), (x1, _), (_, y2), _ = space.outline
            total += math.pi * abs((x0 + x1) / 2) * abs(x1 - x0) * (y2 - y0)
    return total
