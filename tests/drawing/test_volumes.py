"""What is drawn is what the solver computes with: the rooms on the page hold its volumes at every angle."""

from __future__ import annotations

import math

import pytest

from model.drawing.draw import draw
from model.drawing.plan import Plan
from model.drawing.shapes import Side
from tests.drawing.engines import ALPHA, BETA, GAMMA, RUBBER, drawn_volume, plan, random_plans, ring, volume

ANGLES = range(0, 360, 15)
ENGINES = {
    "gamma": plan(GAMMA),
    "gamma with a wide plate": plan(GAMMA, displacer_bore="140 mm", displacer_length="10 mm", displacer_throw="3 mm"),
    "gamma at 90 degrees": plan(GAMMA, cylinder_angle="90 deg", phase="0 deg"),
    "offset crank": plan(GAMMA, piston_offset="4 mm"),
    "beams": plan(GAMMA, piston_beam="1.5", displacer_beam="0.7"),
    "two pistons": plan(GAMMA, piston_count="2"),
    "diaphragm": plan(RUBBER),
    "beta": plan(BETA),
    "beta with a wider piston": plan(BETA, displacer_bore="38.5 mm"),
    "alpha": plan(ALPHA),
    "alpha in a V": plan(ALPHA, cylinder_angle="90 deg", phase="0 deg"),
    **{f"{kind} {n}": one for kind in ("gamma", "beta", "alpha") for n, one in enumerate(random_plans(4, kind))},
}


def rod_in_clearance(engine: Plan) -> float:
    """The rod between lid and displacer at the end of its stroke, which the solver leaves out, [m^3]."""
    return math.pi / 4 * engine["gland_rod"] ** 2 * engine["end_clearance_cold"] if engine.layout == "gamma" else 0.0


@pytest.mark.parametrize("engine", ENGINES.values(), ids=ENGINES.keys())
def test_the_drawn_rooms_hold_the_solvers_volumes(engine: Plan) -> None:
    """Exact, but for what has no place on the page: dead volume that was typed, a passage that runs unknown ways."""
    passage = 0.0
    if engine.layout == "gamma":
        passage = math.pi / 4 * engine["tube_bore"] ** 2 * engine["tube_length"] * engine["piston_count"]
    for degree in ANGLES:
        drawing = draw(engine, degree)
        hot = drawn_volume(drawing, Side.HOT) + engine["dead_volume_hot"]
        cold = drawn_volume(drawing, Side.COLD) + engine["dead_volume_cold"] + passage + rod_in_clearance(engine)
        assert hot == pytest.approx(engine.volume_hot[degree], rel=1e-9), degree
        assert cold == pytest.approx(engine.volume_cold[degree], rel=1e-9), degree


@pytest.mark.parametrize("engine", ENGINES.values(), ids=ENGINES.keys())
def test_the_ring_round_the_displacer_is_the_solvers(engine: Plan) -> None:
    if engine.words["regenerator"] != "none" or engine.layout == "alpha":
        return
    assert ring(draw(engine, 40)) == pytest.approx(engine.volume_gap, rel=1e-9)


@pytest.mark.parametrize("kind", ["gamma", "gamma with a wide plate", "alpha"])
def test_a_straight_passage_is_drawn_as_long_and_as_wide_as_it_is(kind: str) -> None:
    """Bore squared by length by pi/4, by hand: 6 mm by 12 mm is 0.339 ml; 5 by 60 mm 1.178 ml."""
    tube = next(space for space in draw(ENGINES[kind], 0).spaces if space.name == "passage")
    assert 1e6 * volume(tube) == pytest.approx(1.178 if kind == "alpha" else 0.339, rel=1e-3)
