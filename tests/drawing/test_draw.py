"""The parts on the page: as long as they are, where they touch, told when assumed, whatever is missing or absurd."""

from __future__ import annotations

import math

import pytest

from model.drawing.contacts import contacts, gap_at
from model.drawing.draw import draw
from model.drawing.plan import Plan
from model.drawing.planning import plan_of
from model.drawing.shapes import Side, extent
from model.fields import Build, parse_build
from model.fields.starts import STARTS
from tests.drawing.engines import ALPHA, BETA, GAMMA, RUBBER, plan, random_plans

MM = 1e-3


def length(engine: Plan, degree: int, field: str) -> float:
    found = draw(engine, degree).dimension(field)
    assert found is not None, field
    return found.length / MM


@pytest.mark.parametrize("texts", [GAMMA, BETA, ALPHA, RUBBER], ids=["gamma", "beta", "alpha", "diaphragm"])
@pytest.mark.parametrize("degree", [0, 37, 90, 145, 180, 270, 333])
def test_every_length_on_the_page_is_the_one_that_was_typed(texts: dict[str, str], degree: int) -> None:
    """Rods keep their length whatever the angle: the solver's travel and the drawn crank are of one mechanism."""
    engine = plan(texts)
    typed = {name: float(text.removesuffix(" mm")) for name, text in texts.items() if text.endswith(" mm")}
    drawing = draw(engine, degree)
    for dimension in drawing.dimensions:
        if dimension.field in typed:
            assert dimension.length / MM == pytest.approx(typed[dimension.field], rel=1e-9), dimension.field
    drawn = {dimension.field for dimension in drawing.dimensions}
    assert typed.keys() - drawn <= {"displacer_diameter", "end_clearance_cold"}


@pytest.mark.parametrize("degree", range(0, 360, 30))
def test_an_offset_crank_keeps_its_rod(degree: int) -> None:
    assert length(plan(GAMMA, piston_offset="4 mm"), degree, "piston_rod") == pytest.approx(40.0, rel=1e-9)
    beta = plan(BETA, piston_offset="4 mm")
    assert length(beta, degree, "piston_rod") == pytest.approx(50.0, rel=1e-9)
    assert length(beta, degree, "piston_bore") == pytest.approx(40.0, rel=1e-9)


def test_the_displacer_stands_at_the_hot_end_at_nil_and_a_stroke_away_at_half_a_turn() -> None:
    """By hand: throw 10 mm, end clearance 1.5 mm; half a turn is two throws whatever the rod."""
    engine = plan(GAMMA)
    low = [min(point.y for point in draw(engine, degree).of_part("displacer")[0].points) / MM for degree in (0, 180)]
    assert low == pytest.approx([1.5, 21.5])


def test_the_piston_is_fully_out_half_a_turn_after_its_crank_was_in() -> None:
    """A crank angle of 90 degrees: in at 90, out at 270, by two throws of 5 mm."""
    engine = plan(GAMMA)
    heights = [min(point.y for point in draw(engine, degree).of_part("piston")[0].points) / MM for degree in range(360)]
    assert heights.index(min(heights)) == 90
    assert heights.index(max(heights)) == 270
    assert max(heights) - min(heights) == pytest.approx(10.0, rel=1e-6)


def test_the_cranks_stand_at_the_crank_angle_and_go_round_together() -> None:
    engine = plan(GAMMA, phase="100 deg")
    for degree in (0, 45, 200):
        drawing = draw(engine, degree)
        directions = []
        for part in ("displacer_hand", "piston_hand"):
            centre, rim = drawing.of_part(part)[0].points
            directions.append(math.degrees(math.atan2(rim.x - centre.x, centre.y - rim.y)))
        ahead, behind = directions
        assert (ahead - degree) % 360 == pytest.approx(0.0, abs=1e-9) or (ahead - degree) % 360 > 359.999
        assert (ahead - behind) % 360 == pytest.approx(100.0)


def test_both_rods_of_a_v_twin_hang_on_one_crank_pin() -> None:
    """Cylinders at 90 degrees, one pin (crank angle 0): the two pins are in one place at every angle."""
    engine = plan(ALPHA, cylinder_angle="90 deg", phase="0 deg", hot_throw="8 mm")
    for degree in (0, 77, 210):
        ends = [draw(engine, degree).of_part(part)[0].points[1] for part in ("hot_rod", "piston_rod")]
        assert ends[0] == pytest.approx(ends[1], abs=1e-12)


def test_a_displacer_two_millimetres_too_long_touches_where_it_must() -> None:
    """By hand: 73.5 mm inside less 55.5 mm and a stroke of 20 leaves -2; 1.5 typed at the hot end leaves -3.5 at the
    cold one, met at a travel of 16.5 mm: 53.5 = 10 c + sqrt(60^2 - 10^2 (1 - c^2)), c = -637.75/1070: 126.58 deg."""
    engine = plan(GAMMA, chamber_height="73.5 mm", displacer_length="55.5 mm", end_clearance_cold="")
    worst = contacts(engine)[0]
    assert (worst.where, worst.degree) == ("cold", 180)
    assert worst.gap / MM == pytest.approx(-3.5)
    assert worst.touches == pytest.approx((126.58, 360 - 126.58), abs=0.02)
    assert gap_at(engine, worst, 0) / MM == pytest.approx(16.5)


def test_clearances_under_a_millimetre_are_told_with_place_and_angle() -> None:
    """The beta: 0.6 mm at the side always; 1 mm at the hot end is no less than one; displacer to piston 1.2 mm."""
    close = contacts(plan(BETA, end_clearance_hot="0.7 mm"))
    assert [(one.where, one.always) for one in close] == [("side", True), ("hot", False)]
    assert [one.gap / MM for one in close] == pytest.approx([0.6, 0.7])
    assert close[1].degree == 0
    assert contacts(plan(GAMMA)) == ()


def test_the_displacer_meets_the_piston_of_a_beta_where_the_room_between_is_least() -> None:
    engine = plan(BETA, end_clearance_cold="0.4 mm")
    met = next(one for one in contacts(engine) if one.where == "piston")
    assert met.gap / MM == pytest.approx(0.4, rel=1e-3)
    upper = min(point.y for point in draw(engine, met.degree).of_part("piston")[0].points)
    lower = max(point.y for point in draw(engine, met.degree).of_part("displacer")[0].points)
    assert (upper - lower) / MM == pytest.approx(0.4, rel=1e-3)


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"piston_rod": "5 mm"}, "piston_rod"), ({"piston_offset": "36 mm"}, "piston_offset")],
)
def test_a_crank_that_cannot_turn_is_told_and_drawn(changes: dict[str, str], field: str) -> None:
    engine = plan(GAMMA, **changes)
    assert contacts(engine)[0].field == field
    assert contacts(engine)[0].bad
    assert draw(engine, 90).of_part("piston_rod")


def test_a_displacer_wider_than_its_cylinder_touches_all_round() -> None:
    wide = contacts(plan(GAMMA, displacer_diameter="71 mm", side_clearance=""))[0]
    assert (wide.where, wide.always) == ("side", True)
    assert wide.gap / MM == pytest.approx(-0.5)


def test_what_nobody_measured_is_told_as_assumed() -> None:
    engine = plan(GAMMA, displacer_length="", piston_length="")
    drawing = draw(engine, 30)
    assert {part: drawing.of_part(part)[0].assumed for part in ("displacer", "piston", "wheel", "passage")} == {
        "displacer": True, "piston": True, "wheel": False, "passage": False,
    }  # fmt: skip
    assert drawing.of_part("chamber")[0].assumed  # its height rests on the displacer's
    assert drawing.of_part("wall")[0].assumed
    assert not draw(plan(GAMMA), 30).of_part("chamber")[0].assumed
    assert drawing.of_part("displacer_stem")[0].assumed is False  # as thick as was typed
    assert drawing.of_part("piston_stem")[0].assumed  # as long as it fits
    by_diameter = draw(plan(GAMMA, displacer_diameter="66 mm", side_clearance=""), 0).dimension("side_clearance")
    assert by_diameter is not None
    assert not by_diameter.assumed  # it follows from two that were measured


def test_of_several_pistons_one_is_drawn_and_said_so() -> None:
    engine = plan(GAMMA, piston_count="3")
    assert draw(engine, 0).of_part("piston")[0].count == 3
    assert engine.left_out == ("One of 3 equal pistons is drawn.",)


def test_hot_and_cold_are_told() -> None:
    for texts in (GAMMA, BETA, ALPHA):
        sides = {space.name: space.side for space in draw(plan(texts), 0).spaces}
        assert sides["hot"] is Side.HOT
        assert Side.COLD in sides.values()


@pytest.mark.parametrize("layout", ["gamma", "beta", "alpha", "rocking", "ringbom", ""])
def test_an_empty_build_draws_what_it_can_and_names_what_lacks(layout: str) -> None:
    engine = plan_of(parse_build({"layout": layout} if layout else {}).build)
    drawing = draw(engine, 20)
    assert drawing.of_part("wheel")
    assert not any(name in engine.hidden for shape in drawing.shapes for name in shape.fields)
    assert {"piston_bore", "piston_throw"} <= set(engine.missing)
    assert set(engine.missing) <= set(Build.__dataclass_fields__)


@pytest.mark.parametrize("layout", ["rocking", "ringbom"])
def test_a_displacer_without_a_crank_is_not_drawn_and_said_so(layout: str) -> None:
    engine = plan(GAMMA, layout=layout)
    drawing = draw(engine, 0)
    assert not drawing.of_part("displacer")
    assert not drawing.of_part("displacer_hand")
    assert drawing.of_part("piston")
    assert engine.missing == ()
    assert "no field tells" in engine.left_out[0]


def test_a_part_that_lacks_one_length_is_still_drawn_and_stands_still() -> None:
    engine = plan(GAMMA, displacer_throw="")
    assert engine.missing == ("displacer_throw",)
    first, second = (draw(engine, degree) for degree in (0, 120))
    assert first.of_part("displacer") == second.of_part("displacer")
    assert not first.of_part("displacer_crank")
    assert first.of_part("piston") != second.of_part("piston")
    assert contacts(engine) == ()


@pytest.mark.parametrize(
    "changes",
    [
        {"displacer_bore": "3000 mm", "piston_bore": "0.5 mm"},
        {"displacer_bore": "2 mm", "side_clearance": "100 mm"},
        {"tube_length": "3000 mm", "tube_bore": "300 mm"},
        {"displacer_throw": "1000 mm", "displacer_rod": "1 mm"},
        {"piston_offset": "-500 mm"},
        {"displacer_beam": "20", "piston_beam": "0.05"},
        {"wheel_diameter": "5000 mm", "piston_count": "12"},
        {"chamber_height": "1 mm"},
        {"cylinder_angle": "-180 deg", "phase": "-360 deg"},
        {"layout": "beta", "piston_bore": "0.5 mm"},
        {"layout": "alpha", "hot_bore": "1000 mm", "tube_length": "0 mm"},
    ],
    ids=lambda changes: ", ".join(changes),
)
def test_absurd_proportions_still_draw(changes: dict[str, str]) -> None:
    engine = plan(GAMMA, **changes)
    drawing = draw(engine, 125)
    assert drawing.of_part("piston")
    corners = extent((drawing,))
    assert all(math.isfinite(x) for corner in corners for x in corner)
    assert corners[1].x > corners[0].x


def test_the_starts_and_engines_drawn_at_random_draw_whole() -> None:
    builds = [plan(dict(start.texts)) for start in STARTS]
    for engine in (*builds, *random_plans(3, "gamma"), *random_plans(2, "beta"), *random_plans(2, "alpha")):
        drawing = draw(engine, 250)
        assert engine.missing == ()
        assert {"wheel", "hot_end"} <= {shape.part for shape in drawing.shapes}
