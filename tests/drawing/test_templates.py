"""Parts to cut, read back out of the SVG by a parser of their own: sizes, papers, sheets, what is said."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from model.checks.cautions import all_cautions
from model.drawing.furniture import Heading
from model.drawing.paper import MARGIN, MOST, OVERLAP, PAPERS, tiling
from model.drawing.planning import plan_of
from model.drawing.template_page import template_sheets
from model.drawing.templates import Template, templates_of
from model.drawing.wheel_marks import dead_centre
from model.fields import parse_build
from model.fields.starts import STARTS

SVG = "{http://www.w3.org/2000/svg}"
NEAR = 0.1
"""To how many millimetres a length of a sheet is that of the build; 0.1 mm is the width of a scribed line."""
BOX = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""A4 by ISO 216; Letter by ANSI/ASME Y14.1, size A (8.5 x 11 in)."""
GAMMA = {
    "layout": "gamma", "piston_kind": "piston", "piston_bore": "14 mm", "piston_throw": "5.5 mm",
    "displacer_bore": "4 in", "side_clearance": "2.5 mm", "displacer_length": "20 mm", "displacer_throw": "8 mm",
    "gland_rod": "2 mm", "gland_clearance": "50 um", "wall_thickness": "0.3 mm", "phase": "95 deg",
    "tube_bore": "6 mm", "tube_length": "10 mm", "hot_end_material": "tinplate", "cold_end_material": "aluminium",
    "displacer_material": "xps", "wheel_diameter": "120 mm", "end_clearance_hot": "1 mm", "end_clearance_cold": "1 mm",
    "post_count": "4",
}  # fmt: skip


def templates(**changed: str) -> dict[str, Template]:
    build = parse_build({**GAMMA, **changed}).build
    return {each.key: each for each in templates_of(plan_of(build), build)}


def sheets(
    template: Template, paper: str = "a4", name: str = "Tin", *, inches: bool = False
) -> list[ElementTree.Element]:
    known = {caution.id: caution for caution in all_cautions()}
    said = [known[key] for key in template.cautions]
    made = template_sheets(template, Heading(name=name, mark=2), said, PAPERS[paper], inches=inches)
    return [ElementTree.fromstring(sheet.svg) for sheet in made]


def circles(root: ElementTree.Element) -> list[tuple[float, float, float, bool]]:
    """Return middle, diameter and whether it is dashed, of every circle; in millimetres, as units and viewBox say."""
    assert root.get("width") == f"{root.get('viewBox', '').split()[2]}mm"
    return [
        (float(c.get("cx", 0)), float(c.get("cy", 0)), 2 * float(c.get("r", 0)), "stroke-dasharray" in c.attrib)
        for c in root.iter(f"{SVG}circle")
    ]


def words(root: ElementTree.Element) -> str:
    return " ".join(text.text or "" for text in root.iter(f"{SVG}text"))


def has(root: ElementTree.Element, diameter: float, *, dashed: bool | None = None) -> bool:
    return any(abs(across - diameter) < NEAR and dashed in (None, broken) for _, _, across, broken in circles(root))


def test_plates_and_displacer_have_the_diameters_that_were_typed() -> None:
    made = templates()
    (hot,), (cold,), (displacer,) = (sheets(made[key]) for key in ("hot-end", "cold-end", "displacer"))
    assert has(hot, 101.6 + 2 * 0.3, dashed=False) and has(hot, 101.6)
    assert has(cold, 2 + 2 * 0.05, dashed=False)
    assert has(displacer, 101.6 - 2 * 2.5, dashed=False) and has(displacer, 2, dashed=False)
    assert "20 mm high" in words(displacer) and "4 posts or screws" in words(hot)


def test_the_passage_is_a_hole_of_its_bore_and_its_place_is_called_assumed() -> None:
    (cold,) = sheets(templates()["cold-end"])
    assert has(cold, 6, dashed=True)
    assert "where it stands is assumed" in words(cold)


def test_a_crank_disc_has_its_pin_at_the_throw_and_points_to_the_other_crank() -> None:
    made = templates()
    for key, throw, ahead in (("displacer-crank", 8, -95), ("piston-crank", 5.5, 95)):
        shapes = {shape.label: shape for shape in made[key].shapes}
        centre, pin = shapes["Throw"].points
        assert math.dist(centre, pin) * 1e3 == pytest.approx(throw, abs=NEAR)
        _, end = shapes["The other crank"].points
        # from the pin at the top clockwise, as one looks at it
        turned = math.degrees(math.atan2(end.x, end.y))
        assert turned == pytest.approx(ahead, abs=0.1)
        (root,) = sheets(made[key])
        assert has(root, 2 * throw) and "no field tells" in words(root)


def test_a_degree_wheel_marks_the_crank_angle_where_the_piston_is_in() -> None:
    """With an infinite rod the piston stands at its inner dead centre by the crank angle after the displacer."""
    build = parse_build(GAMMA).build
    plan = plan_of(build)
    assert dead_centre(plan.first, inner=True) == 0.0
    assert dead_centre(plan.second, inner=True) == pytest.approx(95, abs=0.5)
    wheel = templates()["degree-wheel"]
    arc = next(shape for shape in wheel.shapes if shape.label == "Crank angle").points
    # 0 is at the top and readings grow against the clock
    assert math.degrees(math.atan2(-arc[-1].x, arc[-1].y)) == pytest.approx(95, abs=0.1)
    assert len([shape for shape in wheel.shapes if shape.label.endswith(" deg")]) == 360
    (root,) = sheets(wheel)
    assert has(root, 120) and "crank angle 95" in words(root)


def test_what_was_not_typed_is_dashed_and_said() -> None:
    texts = {key: text for key, text in GAMMA.items() if key not in ("side_clearance", "phase", "wall_thickness")}
    build = parse_build(texts).build
    made = {each.key: each for each in templates_of(plan_of(build), build)}
    (displacer,) = sheets(made["displacer"])
    assert any(broken for _, _, across, broken in circles(displacer) if across > 50)
    assert "assumed" in words(sheets(made["piston-crank"])[0])


@pytest.mark.parametrize("paper", PAPERS)
def test_every_sheet_has_its_paper_s_box_and_a_bar_of_100_mm(paper: str) -> None:
    for template in templates(displacer_bore="500 mm").values():
        for root in sheets(template, paper):
            box = tuple(float(number) for number in root.get("viewBox", "").split()[2:])
            assert box == BOX[paper]
            assert root.get("height") == f"{box[1]:g}mm"
            (bar,) = (group for group in root.iter(f"{SVG}g") if group.get("data-part") == "bar")
            ends = [tuple(map(float, pair.split(","))) for pair in bar[0].get("points", "").split()]
            assert math.dist(*ends) == pytest.approx(100, abs=0.01)
            assert "Print at 100 %" in words(root)
            assert f"size: {box[0]:g}mm {box[1]:g}mm; margin: 0" in (root.find(f"{SVG}style").text or "")  # type: ignore[union-attr]


@pytest.mark.parametrize("paper", PAPERS)
def test_sheets_of_a_large_part_cover_it_and_fit_together(paper: str) -> None:
    """Every point of the outline lies on a sheet, at the same place of the part: sheets moved by their crop agree."""
    roots = sheets(templates(displacer_bore="500 mm")["hot-end"], paper)
    assert len(roots) > 4
    seen: set[int] = set()
    begins: set[tuple[float, float]] = set()
    for root in roots:
        clip = root.find(f"{SVG}clipPath/{SVG}rect")
        assert clip is not None
        left, top, wide, high = (float(clip.get(key, 0)) for key in ("x", "y", "width", "height"))
        assert left >= MARGIN - 1e-6 and top >= MARGIN - 1e-6
        assert left + wide <= BOX[paper][0] - MARGIN + 1e-6 and top + high <= BOX[paper][1] - MARGIN
        x, y, across, _ = max(circles(root), key=lambda circle: circle[2])
        assert across == pytest.approx(500.6, abs=NEAR)
        begins.add((round(left - x, 2), round(top - y, 2)))
        for degree in range(360):
            at = x + across / 2 * math.cos(math.radians(degree)), y + across / 2 * math.sin(math.radians(degree))
            if left <= at[0] <= left + wide and top <= at[1] <= top + high:
                seen.add(degree)
        assert f"of {len(roots)}" in words(root) and f"{OVERLAP:g} mm over each other" in words(root)
    assert seen == set(range(360))
    # what of the part a sheet begins with lies the overlap before the end of the one beside it, or above it
    for places, size in zip(zip(*begins, strict=True), (wide, high), strict=True):
        ordered = sorted(set(places))
        assert [after - before for before, after in pairwise(ordered)] == pytest.approx(
            [size - OVERLAP] * (len(ordered) - 1), abs=0.03
        )


@pytest.mark.parametrize(("wide", "high"), [(50, 50), (190, 240), (191, 241), (900, 300), (1e4, 1e4)])
def test_tiles_overlap_and_none_is_larger_than_its_sheet(wide: float, high: float) -> None:
    spread = tiling(wide, high, 190, 240)
    if spread.columns * spread.rows == 1:
        assert (spread.tiles[0].wide, spread.tiles[0].high) == (wide, high)
        return
    assert len(spread.tiles) == spread.columns * spread.rows <= MOST
    for tile in spread.tiles:
        assert tile.wide <= 190 + 1e-9 and tile.high <= 240 + 1e-9
        for other in spread.tiles:
            if (other.column, other.row) == (tile.column + 1, tile.row):
                assert tile.left + tile.wide - other.left == pytest.approx(OVERLAP)
    last = spread.tiles[-1]
    assert (last.left + last.wide, last.top + last.high) == pytest.approx((wide, high))


def test_cutting_tin_and_foam_carries_its_caution() -> None:
    """Cut tin and hot wire: common practice, no source; each defers to local rules."""
    made = templates()
    assert "Edges and slivers" in words(sheets(made["hot-end"])[0])
    assert "hot wire" in words(sheets(made["displacer"])[0])
    for template in made.values():
        assert "Local rules and the advice of licensed people come first." in words(sheets(template)[0])


@pytest.mark.parametrize(("thickness", "stands"), [("0.3 mm", True), ("2 mm", False)])
def test_a_plate_that_no_shears_cut_has_no_caution_on_tin(thickness: str, stands: bool) -> None:
    """Sheet that shears cut is at most 0.6 mm thick: common practice, no source."""
    (cold,) = sheets(templates(cold_end_thickness=thickness)["cold-end"])
    assert ("Edges and slivers" in words(cold)) is stands
    thick_tin = templates(hot_end_thickness=thickness)["hot-end"]
    assert "Edges and slivers" in words(sheets(thick_tin)[0])
    assert "Edges and slivers" not in words(sheets(templates()["displacer"])[0])


def test_each_part_says_how_large_it_and_its_holes_are() -> None:
    """The numbers that are printed are those of the circles that are drawn; 1 in is 25.4 mm."""
    build = parse_build(GAMMA).build
    for inches, unit in ((False, 1.0), (True, 25.4)):
        made = {each.key: each for each in templates_of(plan_of(build), build, inches=inches)}
        for key, template in made.items():
            (root,) = sheets(template, inches=inches)
            (said,) = re.findall(r"Diameters: (.*?)\. ", words(root))
            told = [float(number) * unit for number in re.findall(r"([\d.]+) (?:in|mm)", said)]
            drawn = [across for *_, across, _ in circles(root)]
            assert told and [size for size in told if not any(abs(size - it) < 0.02 for it in drawn)] == [], key
            assert max(told) == pytest.approx(max(drawn), abs=0.02)
    assert "displacer 3.803 in, rod 0.079 in" in made["displacer"].notes[0]
    assert made["cold-end"].notes[0].endswith("passage 0.236 in.")
    assert re.search(r"edge \S+ in \(assumed\)", made["piston-crank"].notes[0])


@pytest.mark.parametrize("paper", PAPERS)
def test_inches_have_a_bar_of_four_of_them_below_the_one_of_100_mm(paper: str) -> None:
    """4 in are 101.6 mm."""
    (root,) = sheets(templates()["displacer"], paper, inches=True)
    bars = {group.get("data-part"): group for group in root.iter(f"{SVG}g")}
    for part, long in (("bar", 100), ("bar-inches", 101.6)):
        ends = [tuple(map(float, pair.split(","))) for pair in bars[part][0].get("points", "").split()]
        assert math.dist(*ends) == pytest.approx(long, abs=0.01)
    assert "4 in. " in words(root)
    (plain,) = sheets(templates()["displacer"], paper)
    assert all(group.get("data-part") != "bar-inches" for group in plain.iter(f"{SVG}g"))
    heights = sorted(float(text.get("y", 0)) for text in root.iter(f"{SVG}text"))
    assert heights[-1] <= BOX[paper][1] - MARGIN


def test_what_lacks_a_field_names_it_and_the_others_are_drawn() -> None:
    texts = {key: text for key, text in GAMMA.items() if key != "displacer_bore"}
    build = parse_build(texts).build
    made = {each.key: each for each in templates_of(plan_of(build), build)}
    assert made["displacer"].lacks == ("displacer_bore",) and not made["displacer"].shapes
    assert not made["piston-crank"].lacks and made["piston-crank"].shapes


@pytest.mark.parametrize("layout", ["rocking", "ringbom"])
def test_an_engine_whose_displacer_has_no_crank_has_the_parts_at_its_piston(layout: str) -> None:
    texts = {"layout": layout, "piston_bore": "12 mm", "piston_throw": "5 mm", "piston_rod": "50 mm"}
    build = parse_build(texts).build
    made = {each.key: each for each in templates_of(plan_of(build), build)}
    assert set(made) == {"piston-crank", "degree-wheel"}
    said = " ".join(words(root) for each in made.values() for root in sheets(each))
    assert "0 piston in" in said and "180 piston out" in said
    assert "displacer" not in said and "crank angle" not in said


@pytest.mark.parametrize("start", STARTS, ids=lambda start: start.key)
def test_every_layout_that_is_offered_has_templates(start: object) -> None:
    build = parse_build(start.texts).build  # type: ignore[attr-defined]
    made = templates_of(plan_of(build), build)
    assert {"hot-end", "piston-crank", "degree-wheel"} <= {each.key for each in made}
    for template in made:
        assert template.lacks or sheets(template)


NAMES = [
    'a < b & "c" ]]> <script>alert(1)</script>',
    "\x1b[31mred\x00\ud800\u202e",
    "汉字" * 60,
    "W" * 200,
    "e" + "\u0301" * 80,
]


@pytest.mark.parametrize("name", NAMES, ids=["markup", "control", "wide", "long", "stacked"])
def test_a_hostile_name_stays_text_and_in_its_box(name: str) -> None:
    (root,) = sheets(templates()["displacer"], name=name)
    assert not list(root.iter(f"{SVG}script"))
    for text in root.iter(f"{SVG}text"):
        assert re.fullmatch(r"[^\x00-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff]*", text.text or "")
        # a sign of an East Asian script is as wide as the type is high [Unicode, UAX 11]; a W in Helvetica 0.94 of it
        widest = sum(1.0 if ord(char) > 0x2E80 else 0.94 if char == "W" else 0.0 for char in text.text or "")
        assert float(text.get("x", 0)) + widest * float(text.get("font-size", 0)) <= 210 - MARGIN + 0.01


def test_an_absurdly_large_part_is_one_sheet_of_its_own_size(tmp_path: Path) -> None:
    (root,) = sheets(templates(displacer_bore="3000 mm")["hot-end"])
    assert has(root, 3000.6)
    assert float(root.get("viewBox", "").split()[2]) > 3000
