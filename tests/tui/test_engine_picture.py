"""The picture of the engine in characters: as long as the build says, read back from the dots that are drawn."""

from __future__ import annotations

import math

import pytest

from model.drawing.contacts import contacts
from model.drawing.draw import draw
from model.drawing.plan import Plan
from model.drawing.planning import plan_of
from model.fields import parse_build
from tests.drawing.engines import ALPHA, BETA, GAMMA, RUBBER, any_texts, plan
from tests.examples import many
from tests.tui.with_braille import dots_of
from tui.text.sanitise import sanitise
from tui.view.canvas import ASPECT
from tui.view.engine import picture, scale_of
from tui.view.lines import Line, text_of, width_of

SIZES = ((36, 13), (52, 17), (92, 33), (150, 50))


def drawn(engine: Plan, degree: int = 30, size: tuple[int, int] = (52, 17), **options: object) -> list[Line]:
    rest = {"plain": False, **options}
    return picture(engine, contacts(engine), degree, width=size[0], height=size[1], **rest)  # type: ignore[arg-type]


def text(lines: list[Line]) -> str:
    return "\n".join(text_of(line) for line in lines)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize(
    ("texts", "field", "millimetres", "upright"),
    [
        (GAMMA, "displacer_bore", 70, False),
        (GAMMA, "displacer_length", 50, True),
        (GAMMA, "wheel_diameter", 120, False),
        (GAMMA, "piston_bore", 20, False),
        (GAMMA, "tube_length", 12, True),
        (RUBBER, "diaphragm_rim", 38, False),
        (BETA, "displacer_length", 60, True),
        (ALPHA, "tube_length", 60, False),
        (ALPHA, "hot_bore", 22, False),
    ],
)
def test_a_length_is_as_many_cells_as_the_scale_says_to_half_a_cell(
    texts: dict[str, str], field: str, millimetres: float, upright: bool, size: tuple[int, int]
) -> None:
    """A cell is twice as high as wide; braille has two dots across it and four down."""
    engine = plan(texts)
    columns, rows = dots_of(drawn(engine, size=size, focus=field), role="on")
    cells = millimetres / 1000 * scale_of(engine, *size).cells
    if upright:
        assert (max(rows) - min(rows)) / 4 == pytest.approx(cells / ASPECT, abs=0.5)
    else:
        assert (max(columns) - min(columns)) / 2 == pytest.approx(cells, abs=0.5)


@pytest.mark.parametrize("close", [False, True])
@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("texts", [GAMMA, BETA, ALPHA, RUBBER], ids=["gamma", "beta", "alpha", "diaphragm"])
def test_every_line_is_as_wide_as_the_picture(texts: dict[str, str], plain: bool, close: bool) -> None:
    for size in SIZES:
        lines = drawn(plan(texts), 75, size, plain=plain, close=close, focus="piston_throw")
        assert len(lines) == size[1]
        assert {width_of(line) for line in lines} == {size[0]}
        if plain:
            assert text(lines).isascii()


def test_hot_and_cold_are_told_without_colour() -> None:
    """By their names and by their patterns: a colon and a dot in plain characters."""
    shown = text(drawn(plan(GAMMA), 150, (92, 33), plain=True))
    assert "hot" in shown
    assert "cold" in shown
    assert shown.count(":") > 5
    assert text(drawn(plan(GAMMA), 30, (92, 33), plain=True)).count(".") >= 4


def test_a_wheel_that_was_guessed_is_drawn_in_dashes() -> None:
    known = sum("o" in text_of(line) for line in drawn(plan(GAMMA), plain=True))
    dots = [text(drawn(plan(GAMMA, wheel_diameter=wheel), plain=True)).count("o") for wheel in ("120 mm", "")]
    assert known > 5
    assert dots[1] < 0.8 * dots[0]


def test_what_touches_is_marked_where_and_when_it_does() -> None:
    engine = plan(GAMMA, chamber_height="73.5 mm", displacer_length="55.5 mm", end_clearance_cold="")
    assert "!" in text(drawn(engine, 180))
    assert "!" not in text(drawn(engine, 30))
    assert "!" in text(drawn(plan(GAMMA, side_clearance="0.8 mm"), 30))
    assert "!" not in text(drawn(plan(GAMMA), 0))


def test_a_field_without_a_length_shows_its_part() -> None:
    marked = {role for line in drawn(plan(GAMMA, displacer_mass="12 g"), focus="displacer_mass") for _, role in line}
    assert "on" in marked
    lines = drawn(plan(GAMMA), focus="room_temperature")
    assert "on" not in {role for line in lines for _, role in line}


def test_the_side_clearance_is_seen_with_its_length() -> None:
    """The issue's own words: it is seen, not read."""
    assert "2 mm" in text(drawn(plan(GAMMA), focus="side_clearance"))


def test_too_small_a_picture_is_none() -> None:
    assert drawn(plan(GAMMA), size=(10, 17)) == []
    assert drawn(plan(GAMMA), size=(52, 4)) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"displacer_bore": "3000 mm", "piston_bore": "0.5 mm"},
        {"tube_length": "3000 mm"},
        {"wheel_diameter": "5000 mm"},
        {"displacer_length": "3000 mm", "displacer_throw": "0.1 mm"},
        {"side_clearance": "100 mm", "displacer_bore": "2 mm"},
    ],
    ids=lambda changes: ", ".join(changes),
)
def test_absurd_proportions_stay_in_their_box(changes: dict[str, str]) -> None:
    lines = drawn(plan(GAMMA, **changes), 200)
    assert {width_of(line) for line in lines} == {52}
    assert text(lines).strip()


@pytest.mark.parametrize("layout", ["gamma", "beta", "alpha", "rocking", "ringbom"])
def test_an_empty_build_is_drawn_as_far_as_it_goes(layout: str) -> None:
    lines = drawn(plan_of(parse_build({"layout": layout}).build))
    assert text(lines).strip()
    assert sanitise(text(lines)) == text(lines).replace("\n", sanitise("\n"))


@pytest.mark.parametrize("seed", range(many(12)))
def test_whatever_is_typed_is_drawn_in_its_box(seed: int) -> None:
    """Half of the fields at the ends of what can be typed: finite, as wide as the picture, at any angle."""
    engine = plan(any_texts(seed))
    for degree in (0, 100, 233):
        for shape in draw(engine, degree).shapes:
            assert all(math.isfinite(place) for point in shape.points for place in point), shape.part
        assert {width_of(line) for line in drawn(engine, degree, close=bool(seed % 2))} == {52}
