"""Charts as data: ticks, what is shown, and the files. Pure, so quick."""

from __future__ import annotations

import csv
import io
import math
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.curves.chart import Axis, Bar, Chart, Mark, Points, Series
from model.curves.export import chart_csv, chart_svg
from model.curves.frame import axis_ticks, round_frame
from model.curves.ranges import DEEP, shown, span
from model.curves.ticks import tick_texts, ticks
from model.quantities.units import Kind
from tests.examples import many

SPEED = Axis(label="Speed", kind=Kind.ROTATION, unit="rpm", nil=True)
POWER = Axis(label="Power", kind=Kind.POWER, unit="mW", nil=True)
RPM = 2 * math.pi / 60


def chart(points: Points | None = None, **more: object) -> Chart:
    """Return a curve from 0 to 300 rpm that has 10 mW at 150."""
    x = tuple(n * 10 * RPM for n in range(31))
    y = tuple(0.01 * (1 - (n / 15 - 1) ** 2) for n in range(31))
    line = Series(label="shaft power", x=x, y=y, low=tuple(0.5 * v for v in y), high=tuple(1.5 * v for v in y))
    made = {"key": "power", "title": "Power", "short": "power", "x": SPEED, "y": POWER, "series": (line,)}
    return Chart(**{**made, "points": () if points is None else (points,), **more})  # type: ignore[arg-type]


def test_ticks_are_those_of_the_published_example() -> None:
    """Heckbert 1990, Nice numbers for graph labels: 105 to 543 with five ticks is labelled 100 to 600 by 100."""
    assert ticks(105.0, 543.0, about=5) == (100.0, 200.0, 300.0, 400.0, 500.0, 600.0)
    # the same paper's rule with nine and ten ticks, worked out by hand: 0.14 -> 0.2/8 -> 0.02; 146 -> 200/9 -> 20
    assert ticks(2.03, 2.17, about=9) == pytest.approx((2.02, 2.04, 2.06, 2.08, 2.1, 2.12, 2.14, 2.16, 2.18))
    assert ticks(103.0, 249.0, about=10) == tuple(range(100, 261, 20))


@settings(max_examples=many(60), deadline=None, derandomize=True)
@given(st.floats(-1e9, 1e9), st.floats(1e-9, 1e9), st.integers(2, 12))
def test_ticks_are_few_round_and_hold_everything(low: float, size: float, about: int) -> None:
    high = low + size
    found = ticks(low, high, about=about)
    step = found[1] - found[0]
    assert found[0] <= low + 1e-6 * step
    assert found[-1] >= high - 1e-6 * step
    assert 2 <= len(found) <= 2 * about + 3
    assert len(set(tick_texts(found))) == len(found)
    assert all(len(text) < 14 for text in tick_texts(found))


def test_no_ticks_of_what_is_no_number_and_some_round_a_single_value() -> None:
    assert ticks(math.nan, 1.0, about=5) == ()
    found = ticks(5.0, 5.0, about=5)
    assert found[0] < 5.0 < found[-1]


def test_a_single_wild_reading_does_not_flatten_the_rest() -> None:
    tame = chart(Points(label="measured", x=(100 * RPM,), y=(0.012,)))
    wild = chart(Points(label="measured", x=(100 * RPM, 120 * RPM), y=(0.012, 8.0)))
    assert shown(wild) == shown(tame)
    fast = chart(Points(label="measured", x=(100 * RPM, 9000 * RPM), y=(0.012, 0.0)))
    assert shown(fast) == shown(tame)
    # one and a half times what is predicted is no wild reading
    assert shown(chart(Points(label="measured", x=(450 * RPM,), y=(0.02,)))).right == pytest.approx(450 * RPM)


def test_one_wild_reading_does_not_make_the_next_one_tame() -> None:
    assert span([0.0, 10.0], [900.0, 910.0, 12.0]) == (0.0, 12.0)
    assert span([], [5.0, 6.0, 4.0, 80.0]) == (4.0, 6.0)
    assert span([], [5.0, 9.0]) == (5.0, 9.0)


def test_how_deep_a_curve_falls_where_it_never_runs_does_not_flatten_what_it_does() -> None:
    line = Series(label="shaft power", x=(0.0, 1.0, 2.0), y=(0.0, 1.0, -50.0))
    inside = shown(chart(series=(line,)))
    assert inside.low == pytest.approx(-DEEP)
    assert inside.high == 1.0


def test_zoomed_in_the_height_is_that_of_what_is_seen() -> None:
    whole, near = shown(chart()), shown(chart(), left=0.0, right=15 * RPM)
    assert near.high < 0.3 * whole.high


def test_axes_end_at_round_numbers_of_their_own_unit() -> None:
    xs, ys, frame = round_frame(chart(), shown(chart()), across=7, up=5)
    # by hand: 300 -> 500/6 = 83 -> 100; 15 -> 20/4 = 5; the curve and its interval end at 300 rpm and 15 mW
    assert [text for _, text in xs] == ["0", "100", "200", "300"]
    assert [text for _, text in ys] == ["0", "5", "10", "15"]
    assert frame.right == pytest.approx(300 * RPM)
    celsius = Axis(label="Temperature", kind=Kind.TEMPERATURE, unit="C")
    labels, begin, end = axis_ticks(celsius, 294.0, 371.0, 5)
    # ticks by 20; the axis ends at the fifths of that step beside 20.85 C and 97.85 C
    assert [text for _, text in labels] == ["20", "40", "60", "80", "100"]
    assert (begin, end) == (pytest.approx(293.15), pytest.approx(373.15))
    turn = Axis(label="Angle", kind=Kind.ANGLE, unit="deg")
    assert [text for _, text in axis_ticks(turn, 0.0, 2 * math.pi, 6)[0]] == ["0", "90", "180", "270", "360"]
    marks = Axis(label="Mark", kind=Kind.NUMBER, unit="", whole=True)
    assert [text for _, text in axis_ticks(marks, 1.0, 3.0, 8)[0]] == ["1", "2", "3"]


HOSTILE = '=HYPERLINK("http://x")<script>&\x1b[31m\u202e\x00\ud800'


def test_the_svg_is_read_by_another_parser_and_hostile_names_stay_text() -> None:
    made = chart(Points(label=HOSTILE, x=(1.0,), y=(0.01,), names=(HOSTILE,)), says=HOSTILE, note=HOSTILE)
    root = ElementTree.fromstring(chart_svg(made))
    kinds = {element.tag.split("}")[1] for element in root.iter()}
    assert kinds <= {"svg", "title", "rect", "text", "g", "path", "polygon"}
    texts = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
    assert any("<script>&" in text for text in texts)
    assert not any(ord(char) < 32 for text in texts for char in text)
    assert "300" in texts


def test_the_csv_reads_back_in_its_units_and_no_cell_is_a_formula() -> None:
    made = chart(Points(label="measured", x=(150 * RPM,), y=(0.01,), low=(0.009,), high=(0.011,), names=(HOSTILE,)))
    rows = list(csv.reader(io.StringIO(chart_csv(made))))
    assert rows[0] == ["what", "Speed [rpm]", "Power [mW]", "low", "high", "name"]
    by_hand = rows[1 + 15]
    assert by_hand[0] == "shaft power"
    assert [float(cell) for cell in by_hand[1:5]] == pytest.approx([150.0, 10.0, 5.0, 15.0])
    assert rows[-1][:5] == ["measured", "150.0", "10.0", "9.0", "11.0"]
    assert not any(cell.startswith(("=", "+", "@", "-", "\t")) and not _is_number(cell) for row in rows for cell in row)


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_bars_have_a_row_each_and_marks_their_interval() -> None:
    bars = chart(series=(), bars=(Bar(label="Heat", value=2.0, low=1.0, high=3.0),), x=POWER)
    assert list(csv.reader(io.StringIO(chart_csv(bars))))[1] == ["Heat", "2000.0", "1000.0", "3000.0"]
    assert "Heat" in chart_svg(bars)
    stalls = chart(marks=(Mark(label="stalls", x=30 * RPM, low=20 * RPM, high=40 * RPM),))
    assert list(csv.reader(io.StringIO(chart_csv(stalls))))[-1][-1] == "20.0 to 40.0"
    assert "stalls 30 rpm" in chart_svg(stalls)


def test_a_chart_of_nothing_says_what_lacks() -> None:
    nothing = chart(series=(), lacks="Still needed: Piston bore.")
    assert nothing.empty
    assert "Still needed" in chart_svg(nothing)
    assert chart_csv(nothing).count("\r\n") == 1
