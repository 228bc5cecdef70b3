"""A chart as lines: it stays in its room, tells its lines apart without colour, and reads what it draws."""

from __future__ import annotations

import math

import pytest

from model.curves.chart import Arc, Axis, Bar, Chart, Curves, Mark, Points, Series, Stroke
from model.quantities.units import Kind
from tui.view.chart import Look, chart_lines, legend
from tui.view.chart_look import first_look, moved, readings, sides, zoomed
from tui.view.curves import curves_lines
from tui.view.lines import Line, text_of, width_of

RPM = 2 * math.pi / 60
SPEED = Axis(label="Speed", kind=Kind.ROTATION, unit="rpm", nil=True)
POWER = Axis(label="Power", kind=Kind.POWER, unit="mW", nil=True)
DEGREES = Axis(label="Angle", kind=Kind.ANGLE, unit="deg", nil=True)
X = tuple(n * 10 * RPM for n in range(31))
Y = tuple(0.01 * (1 - (n / 15 - 1) ** 2) for n in range(31))
SHAFT = Series(label="shaft power", x=X, y=Y, low=tuple(0.5 * y for y in Y), high=tuple(1.5 * y for y in Y))
INSIDE = Series(label="indicated", x=X, y=tuple(1.6 * y for y in Y), stroke=Stroke.BROKEN)
HOSTILE = "\x1b[31mred\x07 \u202eevil [bold]x[/] \u6c34\u6c34"


def chart(**more: object) -> Chart:
    made = {"key": "power", "title": "Power over speed", "short": "power", "x": SPEED, "y": POWER,
            "series": (SHAFT, INSIDE), "says": "Best 10 mW.", "note": "As drawn."}  # fmt: skip
    return Chart(**{**made, **more})  # type: ignore[arg-type]


def circle() -> Chart:
    """A loop, once round."""
    angle = tuple(2 * math.pi * n / 120 for n in range(121))
    loop = Series(label="predicted", x=tuple(1e-4 + 1e-5 * math.cos(a) for a in angle),
                  y=tuple(100 * math.sin(a) for a in angle))  # fmt: skip
    volume = Axis(label="Air", kind=Kind.VOLUME, unit="ml")
    pressure = Axis(label="Pressure", kind=Kind.PRESSURE, unit="Pa")
    return chart(key="loop", x=volume, y=pressure, series=(loop,), along=DEGREES, places=angle)


def text(lines: tuple[Line, ...] | list[Line]) -> str:
    return "\n".join(map(text_of, lines))


EVERYTHING = chart(
    points=(Points(label=HOSTILE, x=(100 * RPM,), y=(0.009,), low=(0.008,), high=(0.011,), names=(HOSTILE,)),),
    marks=(Mark(label="runs free", x=300 * RPM, low=250 * RPM, high=340 * RPM), Mark(label="has", x=280 * RPM)),
    arcs=(Arc(begin=0.0, end=10.0, driven=True), Arc(begin=10.0, end=30.0, driven=False)),
)


@pytest.mark.parametrize("plain", [True, False])
@pytest.mark.parametrize("size", [(24, 4), (38, 10), (80, 15), (120, 30), (200, 50)])
@pytest.mark.parametrize("drawn", [EVERYTHING, circle()])
def test_a_chart_fills_its_room_at_every_size(plain: bool, size: tuple[int, int], drawn: Chart) -> None:
    lines = chart_lines(drawn, width=size[0], height=size[1], plain=plain, look=first_look(drawn))
    assert len(lines) == size[1]
    assert all(width_of(line) <= size[0] for line in lines)
    assert text(lines).isascii() is plain
    assert "\x1b" not in text(lines)
    # two round ticks and a unit on each axis, at 38 columns too
    assert sum(word.replace(".", "").replace("-", "").isdecimal() for word in text_of(lines[-1]).split()) >= 2
    assert drawn.x.unit in text_of(lines[-1])
    assert any(drawn.y.unit in text_of(line) for line in lines)


@pytest.mark.parametrize("plain", [True, False])
def test_lines_bands_points_and_arcs_are_told_apart_without_colour(plain: bool) -> None:
    def alone(**parts: object) -> str:
        lines = chart_lines(chart(**parts), width=60, height=14, plain=plain)
        return "".join(text_of(line)[8:] for line in lines[:-2])

    bare = Series(label="", x=X, y=Y)
    whole = alone(series=(bare,))
    broken = alone(series=(Series(label="", x=X, y=Y, stroke=Stroke.BROKEN),))
    dotted = alone(series=(Series(label="", x=X, y=Y, stroke=Stroke.DOTTED),))
    assert len({whole, broken, dotted}) == 3
    assert _inked(whole) > _inked(broken) > _inked(dotted)
    # a band is light: it has far less ink than the room it fills
    band = alone(series=(Series(label="", x=X, y=(math.nan,) * 31, low=SHAFT.low, high=SHAFT.high), bare))
    assert _inked(band) > _inked(whole)
    assert alone(series=(bare,), points=(Points(label="", x=(100 * RPM,), y=(0.005,)),)).count("x") == 1
    arcs = alone(arcs=(Arc(begin=0.0, end=15.0, driven=True), Arc(begin=15.0, end=31.0, driven=False)))
    assert "driven" in arcs
    assert "carried" in arcs


def _inked(drawn: str) -> int:
    return sum((ord(char) - 0x2800).bit_count() if ord(char) > 0x2800 else char not in " -" for char in drawn)


def test_a_wild_reading_stands_at_the_edge_with_its_value_and_an_arrow() -> None:
    tame = Points(label="measured", x=(100 * RPM,), y=(0.009,))
    wild = Points(label="measured", x=(100 * RPM, 200 * RPM, 9000 * RPM), y=(0.009, 5.0, 0.001))
    before, after = (chart_lines(chart(points=(points,)), width=60, height=14, plain=True) for points in (tame, wild))
    assert text_of(before[-1]) == text_of(after[-1])
    assert "5000 mW ^" in text_of(after[0])
    assert "9000 rpm >" in text(after)


def test_the_cursor_reads_what_is_drawn_with_its_interval() -> None:
    look = first_look(chart())
    # the highest place of the first line, 10 mW at 150 rpm, half of it and half as much again
    place, values = readings(chart(), look)
    assert place == "At 150 rpm"
    assert values[0] == "shaft power 10 mW (between 5 and 15 mW)"
    assert values[1] == "indicated 16 mW"
    on = moved(chart(), look, 1)
    assert on.cursor == pytest.approx(155 * RPM)
    assert readings(chart(), moved(chart(), look, 10_000))[0] == "At 300 rpm"
    near = chart(points=(Points(label="measured", x=(152 * RPM,), y=(0.009,), names=(HOSTILE,)),))
    told = readings(near, look)[1][-1]
    assert told.startswith("x 9 mW (")
    assert "\x1b" not in told


@pytest.mark.parametrize("drawn", [EVERYTHING, circle()])
def test_a_step_of_the_cursor_changes_few_cells(drawn: Chart) -> None:
    look = first_look(drawn)
    before, after = (
        text(chart_lines(drawn, width=80, height=16, plain=True, look=each)) for each in (look, moved(drawn, look, 1))
    )
    # two signs on each of two lines, two on the axis: what a line of bytes has to carry stays in the tens
    assert 2 <= sum(a != b for a, b in zip(before, after, strict=True)) <= 6


def test_a_closed_line_is_read_along_the_turn() -> None:
    look = moved(circle(), Look(cursor=0.0), 30)
    place, values = readings(circle(), look)
    # three degrees a step; at a quarter turn of a circle the pressure is highest and the volume in the middle
    assert place == "At 90 deg"
    assert values == ("100 ml", "predicted 100 Pa")


def test_the_cursor_stands_first_where_it_stalls() -> None:
    assert first_look(chart(marks=(Mark(label="stalls", x=7.0),))).cursor == 7.0
    assert "stalls 67 rpm" in text(
        chart_lines(chart(marks=(Mark(label="stalls", x=7.0),)), width=60, height=12, plain=True)
    )


def test_zooming_in_keeps_the_cursor_where_it_is_and_back_shows_all() -> None:
    look = first_look(chart())
    near = zoomed(chart(), look, 2)
    left, right = sides(chart(), near)
    assert right - left == pytest.approx(150 * RPM)
    assert left < (look.cursor or 0) < right
    assert zoomed(chart(), near, 0.5) == look
    assert zoomed(chart(), zoomed(chart(), near, 2), 0) == look
    closest = near
    for _ in range(20):
        closest = zoomed(chart(), closest, 2)
    assert sides(chart(), closest)[1] > sides(chart(), closest)[0]
    lines = chart_lines(chart(), width=60, height=12, plain=True, look=near)
    assert text_of(lines[-1]).split() == ["100", "150", "200", "rpm"]


def test_bars_say_parts_and_the_smallest_losses_go_where_there_is_no_room() -> None:
    bars = (Bar(label="Heat released", value=30.0), Bar(label="Misses", value=20.0, level=1),
            Bar(label="Along the walls", value=5.0, level=1), Bar(label="Lost to flow", value=1e-6, level=1),
            Bar(label="Shaft power", value=0.01, low=0.0, high=0.02))  # fmt: skip
    made = chart(series=(), bars=bars, x=Axis(label="Power", kind=Kind.POWER, unit="W"))
    for plain in (True, False):
        lines = chart_lines(made, width=60, height=5, plain=plain)
        assert [text_of(line).split()[0] for line in lines] == ["Heat", "Misses", "Along", "Lost", "Shaft"]
        assert text(lines).isascii() is plain
    four = text(chart_lines(made, width=60, height=4, plain=True))
    assert "flow" not in four
    assert "10 mW" in four
    assert readings(made, moved(made, Look(cursor=0.0), 1)) == ("Misses", ("20 W, 67 % of the first",))


@pytest.mark.parametrize("size", [(38, 14), (60, 14), (80, 18), (120, 32), (200, 50)])
def test_the_pane_says_it_first_and_keeps_to_its_room(size: tuple[int, int]) -> None:
    curves = Curves(charts=(EVERYTHING, circle(), chart(key="late", series=(), lacks="Being worked out.")))
    for number in range(3):
        look = first_look(curves.charts[number])
        lines = curves_lines(curves, number, look, width=size[0], height=size[1], plain=True, age="up to date")
        assert all(width_of(line) <= size[0] for line in lines)
        assert len(lines) <= size[1]
        assert ("Best 10 mW." if number < 2 else "Being worked out.") in text(lines)
    assert "[power]" in text(lines) or "> Power over speed" in text(lines).replace(">  ", "> ") or number == 2


def test_without_a_prediction_the_pane_says_what_lacks() -> None:
    lacking = Curves(charts=(), reason="Still needed: Piston bore.")
    assert "Piston bore" in text(curves_lines(lacking, 0, Look(), width=80, height=10, plain=True, age=""))
    assert "worked out" in text(curves_lines(None, 0, Look(), width=80, height=10, plain=True, age="computing"))


def test_the_legend_names_every_line_and_sign() -> None:
    assert legend(EVERYTHING, plain=False).startswith("whole: shaft power, broken: indicated, light: 90 in 100, x: ")
    assert legend(EVERYTHING, plain=True).startswith("*: shaft power, +: indicated, .: 90 in 100, x: ")
