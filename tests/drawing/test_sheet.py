"""The engine on its sheet, read back out of the SVG by a parser of their own: lengths, dashes, words, names."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from model.drawing.engine_page import engine_sheet, scale_for, scale_text
from model.drawing.furniture import Heading
from model.drawing.paper import PAPERS
from model.drawing.planning import plan_of
from model.drawing.result import EngineView
from model.fields import parse_build
from tests.drawing.test_templates import BOX, GAMMA, NAMES, SVG, words
from tui.view.lines import text_of
from tui.view.moment import moment_lines

NEAR = 0.1
"""Millimetres of the engine, whatever the scale."""
ALPHA = {
    "layout": "alpha", "piston_bore": "16 mm", "piston_throw": "6 mm", "piston_rod": "60 mm", "piston_length": "30 mm",
    "hot_bore": "20 mm", "hot_throw": "8 mm", "hot_rod": "70 mm", "tube_bore": "4 mm", "tube_length": "50 mm",
    "phase": "90 deg", "wheel_diameter": "100 mm", "end_clearance_hot": "2 mm", "end_clearance_cold": "1 mm",
}  # fmt: skip
BETA = {
    "layout": "beta", "piston_bore": "30 mm", "piston_throw": "7 mm", "piston_rod": "50 mm", "piston_length": "20 mm",
    "displacer_bore": "30 mm", "side_clearance": "1 mm", "displacer_length": "60 mm", "displacer_throw": "9 mm",
    "displacer_rod": "65 mm", "phase": "90 deg", "wheel_diameter": "90 mm", "end_clearance_hot": "1 mm",
}  # fmt: skip


def sheet(texts: dict[str, str], degree: int = 0, paper: str = "a4", **rest: object) -> ElementTree.Element:
    heading = Heading(name=str(rest.pop("name", "Tin")), mark=2, reason="First build")
    made = engine_sheet(plan_of(parse_build(texts).build), degree, heading, PAPERS[paper], **rest)  # type: ignore[arg-type]
    return ElementTree.fromstring(made.svg)


def scale(root: ElementTree.Element) -> float:
    found = re.search(r"scale (\d+):(\d+)", words(root))
    assert found
    return int(found[1]) / int(found[2])


def parts(root: ElementTree.Element, part: str, tag: str = "*") -> list[ElementTree.Element]:
    groups = [group for group in root.iter(f"{SVG}g") if group.get("data-part") == part]
    return [each for group in groups for each in group.findall(f"{SVG}{tag}" if tag != "*" else tag)]


def corners(element: ElementTree.Element) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in element.get("points", "").split())]


def extent(element: ElementTree.Element, root: ElementTree.Element) -> tuple[float, float]:
    xs, ys = zip(*corners(element), strict=True)
    return (max(xs) - min(xs)) / scale(root), (max(ys) - min(ys)) / scale(root)


def test_lengths_of_a_gamma_are_those_that_were_typed() -> None:
    root = sheet({**GAMMA, "displacer_rod": "60 mm", "piston_rod": "50 mm", "piston_length": "15 mm"})
    assert extent(parts(root, "displacer")[0], root) == pytest.approx((101.6 - 2 * 2.5, 20), abs=NEAR)
    assert extent(parts(root, "piston")[0], root) == pytest.approx((14, 15), abs=NEAR)
    (wheel,) = parts(root, "wheel")
    assert 2 * float(wheel.get("r", 0)) / scale(root) == pytest.approx(120, abs=NEAR)
    for part, throw, rod in (("displacer", 8, 60), ("piston", 5.5, 50)):
        crank = corners(parts(root, f"{part}_crank", "polyline")[0])
        assert math.dist(*crank) / scale(root) == pytest.approx(throw, abs=NEAR)
        assert math.dist(*corners(parts(root, f"{part}_rod")[0])) / scale(root) == pytest.approx(rod, abs=NEAR)
    # at 0 deg the displacer stands its clearance over the hot end
    low = max(y for _, y in corners(parts(root, "displacer")[0]))
    floor = min(y for _, y in corners(parts(root, "hot_end")[0]))
    assert (floor - low) / scale(root) == pytest.approx(1, abs=NEAR)


@pytest.mark.parametrize(
    ("texts", "part", "size"), [(ALPHA, "piston", (16, 30)), (BETA, "displacer", (28, 60)), (BETA, "piston", (30, 20))]
)
def test_lengths_of_other_layouts_are_those_that_were_typed(
    texts: dict[str, str], part: str, size: tuple[float, float]
) -> None:
    root = sheet(texts, 90)
    assert extent(parts(root, part)[0], root) == pytest.approx(size, abs=NEAR)


def test_what_is_assumed_is_dashed_and_told() -> None:
    typed = sheet({**GAMMA, "piston_length": "15 mm"})
    guessed = sheet({key: text for key, text in GAMMA.items() if key != "side_clearance"})
    assert "stroke-dasharray" not in parts(typed, "displacer")[0].attrib
    assert "stroke-dasharray" in parts(guessed, "displacer")[0].attrib
    assert "assumed: no field tells it" in words(guessed)


def test_hot_air_is_hatched_and_cold_air_dotted_as_on_the_screen() -> None:
    patterns = {found.get("id"): {mark.tag for mark in found} for found in sheet(GAMMA).iter(f"{SVG}pattern")}
    assert patterns == {"hot": {f"{SVG}line"}, "cold": {f"{SVG}circle"}}
    screen = EngineView(plan=plan_of(parse_build(GAMMA).build), contacts=())
    beside = [text_of(line) for line in moment_lines(screen, 0, 80, waiting=False, plain=False)]
    assert "hot hatched, cold dotted" in beside


def test_a_dimension_tells_the_length_in_the_unit_that_is_asked_for() -> None:
    """4 in is 101.6 mm exactly [international inch, 1959]."""
    for inches, text in ((False, "101.6"), (True, "4")):
        root = sheet(GAMMA, inches=inches)
        (group,) = (group for group in root.iter(f"{SVG}g") if group.get("data-field") == "displacer_bore")
        assert (group.find(f"{SVG}text").text or "").split()[-1] == text  # type: ignore[union-attr]
        line = corners(group.findall(f"{SVG}polyline")[0])
        assert math.dist(*line) / scale(root) == pytest.approx(101.6, abs=NEAR)
        assert ("inches" in words(root)) == inches


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_lies_on_its_side_with_the_bar(paper: str) -> None:
    root = sheet(GAMMA, paper=paper)
    high, wide = BOX[paper]
    assert [float(number) for number in root.get("viewBox", "").split()] == [0, 0, wide, high]
    (ends,) = (corners(group[0]) for group in root.iter(f"{SVG}g") if group.get("data-part") == "bar")
    assert math.dist(*ends) == pytest.approx(100, abs=0.01)


@pytest.mark.parametrize(
    "texts",
    [
        {}, {"layout": "gamma"}, {"layout": "rocking", "piston_bore": "12 mm"}, {"layout": "alpha", "hot_bore": "9 mm"},
        {**GAMMA, "displacer_bore": "3000 mm", "displacer_length": "1 mm"}, {**GAMMA, "piston_rod": "5 mm"},
        {**GAMMA, "displacer_bore": "2 mm", "wheel_diameter": "5000 mm"}, {**BETA, "displacer_length": "3000 mm"},
    ],
    ids=["nothing", "layout", "tube", "half", "flat", "jammed", "thin", "long"],
)  # fmt: skip
def test_the_incomplete_and_the_absurd_are_drawn_within_their_sheet(texts: dict[str, str]) -> None:
    root = sheet(texts, 37)
    wide, high = 297.0, 210.0
    for each in (*root.iter(f"{SVG}polyline"), *root.iter(f"{SVG}polygon")):
        for x, y in corners(each):
            assert -0.01 <= x <= wide + 0.01 and -0.01 <= y <= high + 0.01
    if "displacer_bore" not in texts and texts.get("layout") != "alpha":
        assert "Not known, so what rests on it is not drawn" in words(root)


def test_scales_are_those_of_iso_5455() -> None:
    """ISO 5455: 1:1, 1:2, 1:5, 1:10, 1:20 ..., 2:1, 5:1, 10:1 ..."""
    found = [scale_text(scale_for(size, size, 100, 100)) for size in (100, 101, 200, 400, 501, 1001, 45, 20, 9)]
    assert found == ["1:1", "1:2", "1:2", "1:5", "1:10", "1:20", "2:1", "5:1", "10:1"]


@pytest.mark.parametrize("name", NAMES, ids=["markup", "control", "wide", "long", "stacked"])
def test_a_hostile_name_stays_text_and_on_the_sheet(name: str) -> None:
    root = sheet(GAMMA, name=name)
    assert not list(root.iter(f"{SVG}script"))
    heading = next(text for text in root.iter(f"{SVG}text") if text.get("font-weight") == "bold")
    assert re.fullmatch(r"[^\x00-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff]*", heading.text or "")
    widest = sum(1.0 if ord(char) > 0x2E80 else 0.94 if char == "W" else 0.0 for char in heading.text or "")
    assert float(heading.get("x", 0)) + widest * float(heading.get("font-size", 0)) <= 297.0
