"""The canvas: fine dots in cells, clip, fills, text. Expected characters come from the Unicode charts."""

from __future__ import annotations

import math

import pytest

from tui.view.canvas import Canvas, Mode, arc_points, half, light
from tui.view.lines import text_of, width_of


def drawn(canvas: Canvas) -> list[str]:
    return [text_of(line) for line in canvas.lines()]


@pytest.mark.parametrize(
    ("x", "y", "char"),
    # Unicode 15, Braille Patterns: dots 1, 4, 3, 7 and 8 alone
    [(0.1, 0.1, "\u2801"), (0.9, 0.1, "\u2808"), (0.1, 0.6, "\u2804"), (0.1, 0.9, "\u2840"), (0.9, 0.9, "\u2880")],
)
def test_a_dot_is_the_braille_dot_where_it_lies(x: float, y: float, char: str) -> None:
    canvas = Canvas(1, 1)
    canvas.dot(x, y)
    assert drawn(canvas) == [char]


def test_half_blocks_are_upper_lower_and_both() -> None:
    canvas = Canvas(3, 1, mode=Mode.BLOCKS)
    canvas.dot(0.5, 0.2)
    canvas.dot(1.5, 0.7)
    canvas.line((2.5, 0.1), (2.5, 0.9))
    # Unicode 15, Block Elements: upper half, lower half, full block
    assert drawn(canvas) == ["\u2580\u2584\u2588"]


def test_plain_lines_slope_as_they_run() -> None:
    canvas = Canvas(9, 5, mode=Mode.PLAIN)
    canvas.line((0.5, 0.5), (8.5, 0.5))
    canvas.line((0.5, 1.5), (0.5, 4.5))
    canvas.line((2.5, 1.5), (5.5, 3.5))
    canvas.line((5.5, 4.5), (8.5, 2.5))
    assert drawn(canvas)[0] == "-" * 9
    assert [line[0] for line in drawn(canvas)[1:]] == ["|"] * 4
    assert "\\" in drawn(canvas)[2]
    assert "/" in drawn(canvas)[3]


@pytest.mark.parametrize("mode", list(Mode))
def test_a_line_has_no_gap_and_one_that_goes_far_beyond_costs_nothing(mode: Mode) -> None:
    canvas = Canvas(40, 10, mode=mode)
    canvas.line((-1e300, 5.0), (1e300, 5.0), char="*")
    canvas.line((math.nan, 0.0), (1.0, math.inf))
    assert drawn(canvas)[5].count(" ") == 0
    assert all(not line.strip() for number, line in enumerate(drawn(canvas)) if number != 5)


@pytest.mark.parametrize("mode", list(Mode))
def test_nothing_is_drawn_outside(mode: Mode) -> None:
    canvas = Canvas(20, 6, mode=mode)
    canvas.box(-100, 2, 10, 100)
    canvas.text(15, 0, "a long text that goes on")
    canvas.text(-3, 1, "abcdef")
    lines = drawn(canvas)
    assert lines[0] == " " * 15 + "a lon"
    assert lines[1].strip() == "def"
    assert all(line[:10].count(" ") == 0 and not line[10:].strip() for line in lines[2:])


def test_a_second_ring_is_a_hole() -> None:
    canvas = Canvas(9, 9, mode=Mode.PLAIN)
    outer, inner = [(0, 0), (9, 0), (9, 9), (0, 9)], [(3, 3), (6, 3), (6, 6), (3, 6)]
    canvas.fill([outer, inner])
    assert sum(line.count("#") for line in drawn(canvas)) == 81 - 9


def test_fills_tell_each_other_apart_by_the_share_of_their_dots() -> None:
    shares = []
    for pattern in (half, light):
        canvas = Canvas(8, 8)
        canvas.box(0, 0, 8, 8, pattern=pattern)
        shares.append(sum((ord(char) - 0x2800).bit_count() for line in drawn(canvas) for char in line) / (64 * 8))
    assert shares == [0.5, 0.125]


def test_a_circle_looks_round_where_a_cell_is_twice_as_high_as_wide() -> None:
    places = arc_points((10.0, 5.0), 4.0)
    assert max(x for x, _ in places) - min(x for x, _ in places) == pytest.approx(8.0)
    assert max(y for _, y in places) - min(y for _, y in places) == pytest.approx(4.0, rel=1e-3)


def test_wide_and_hostile_text_stays_in_its_cells() -> None:
    canvas = Canvas(6, 2, mode=Mode.PLAIN)
    canvas.text(0, 0, "\u6c34\u6c34\u6c34\u6c34")
    canvas.text(1, 0, "x")
    canvas.text(0, 1, "\x1b[31mred\x07")
    canvas.text(0, 7, "below")
    assert [width_of(line) for line in canvas.lines()] == [6, 6]
    assert "\x1b" not in "".join(drawn(canvas))
    assert drawn(canvas)[0] == " x\u6c34\u6c34"


def test_a_role_is_that_of_what_was_drawn_last() -> None:
    canvas = Canvas(3, 1)
    canvas.line((0.0, 0.5), (2.9, 0.5), role="aside")
    canvas.text(1, 0, "x", role="strong")
    assert [role for _, role in canvas.lines()[0]] == ["aside", "strong", "aside"]
