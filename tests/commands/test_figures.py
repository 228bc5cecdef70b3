"""Number, unit and interval as text."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.prediction.result import Need
from model.quantities.ladder import unit_for
from model.quantities.units import Kind
from tests.commands.conftest import RPM, figure
from tui.text.figures import (
    figure_text,
    in_unit,
    interval_text,
    is_assumed,
    need_text,
    number_text,
    resolution,
    value_text,
)


@pytest.mark.parametrize(
    ("value", "low", "high", "text"),
    [
        (0.0052, 0.0031, 0.0094, "5.2 mW (between 3 and 9 mW)"),
        (0.045, -0.02, 0.29, "45 mW (between -20 and 290 mW)"),
        (1.23, 0.81, 1.88, "1.2 W (between 0.8 and 1.9 W)"),
        (0.000123, 0.00005, 0.0003, "0.12 mW (between 0.05 and 0.30 mW)"),
        (0.0, 0.0, 0.0, "0 W"),
        (None, None, None, "-"),
        (0.0003, -0.07, 0.04, "0 mW (between -70 and 40 mW)"),
        (0.0003, 0.0001, 0.04, "0.30 mW (between 0.1 and 40 mW)"),
        (0.00036, 0.000358, 0.03, "0.36 mW (between 0.36 and 30 mW)"),  # 0.4 would leave it outside
        (None, -0.002, 0.004, "between -2 and 4 mW"),
        (0.0123, None, None, "12 mW"),
        (0.004, 0.004, 0.004, "4 mW"),
    ],
)
def test_power_is_shown_as_wide_as_it_is(value: float | None, low: float | None, high: float | None, text: str) -> None:
    """The wording "between 3 and 9 mW" is the notebook's own."""
    assert figure_text(figure("p", Kind.POWER, "W", value, low, high)) == text


@pytest.mark.parametrize(
    ("value", "low", "high", "text"),
    [
        (187.3, 151, 232, "190 rpm (between 150 and 230 rpm)"),
        (230, 228.1, 231.9, "230.0 rpm (between 228.1 and 231.9 rpm)"),
    ],
)
def test_speeds_keep_their_unit(value: float, low: float, high: float, text: str) -> None:
    made = figure("s", Kind.ROTATION, "rpm", value * RPM, low * RPM, high * RPM)
    assert figure_text(made) == text


def test_temperatures_are_shown_from_the_zero_of_their_scale() -> None:
    made = figure("t", Kind.TEMPERATURE, "C", 485.15, 455.15, 525.15)
    assert figure_text(made) == "210 C (between 180 and 250 C)"


@pytest.mark.parametrize(
    ("value", "unit"),
    [(0.0009, "mW"), (0.2, "mW"), (1.0, "W"), (999.0, "W"), (1200.0, "kW"), (1e-7, "mW"), (-0.3, "mW")],
)
def test_power_takes_the_unit_that_reads_best(value: float, unit: str) -> None:
    assert unit_for(Kind.POWER, "W", value) == unit


def test_a_kind_without_a_ladder_keeps_its_unit() -> None:
    assert unit_for(Kind.LENGTH, "mm", 12.0) == "mm"
    assert unit_for(Kind.POWER, "W", None, math.nan) == "W"


@given(
    low=st.floats(min_value=-1e6, max_value=1e6),
    width=st.floats(min_value=1e-6, max_value=1e6),
    share=st.floats(min_value=0, max_value=1),
)
def test_ends_are_rounded_by_less_than_a_third_of_the_half_width(low: float, width: float, share: float) -> None:
    """A step is at most the half-width over 1 (lead 2 and more) and rounding costs half a step, of a half-width of two
    steps or more, or of ten steps and more where its lead is 1: a quarter, and a hair for floats."""
    high = low + width
    made = figure("x", Kind.LENGTH, "m", low + share * width, low, high)
    words = interval_text(made).removesuffix(" m").removeprefix("between ").split(" and ")
    for shown, true in zip(words, (low, high), strict=False):
        assert abs(float(shown) - true) <= 0.26 * (width / 2) + 1e-9 * abs(true)
    assert resolution(low, high) > 0


@given(value=st.floats(allow_nan=True, allow_infinity=True), kind=st.sampled_from([Kind.POWER, Kind.TEMPERATURE]))
def test_nothing_that_is_not_finite_is_shown(value: float, kind: Kind) -> None:
    made = figure("x", kind, "W" if kind is Kind.POWER else "C", value, value, value)
    for text in (figure_text(made), value_text(made), interval_text(made)):
        assert "nan" not in text
        assert "inf" not in text
    number = in_unit(value, kind, "W" if kind is Kind.POWER else "C")
    assert number is None or math.isfinite(number)


@pytest.mark.parametrize(
    ("wants", "has", "at_most", "text"),
    [
        (45.0, 20.0, False, "at least 45 K, has 20 K"),
        (45.0, None, False, "at least 45 K, has not known"),
        (None, 20.0, False, "no value would do, has 20 K"),
        (30.0, 45.0, True, "at most 30 K, has 45 K"),
    ],
)
def test_a_need_is_told_against_what_there_is(wants: float | None, has: float | None, at_most: bool, text: str) -> None:
    need = Need(key="t", label="T", kind=Kind.TEMPERATURE, unit="K", wants=wants, has=has, at_most=at_most)
    assert need_text(need) == text


def test_a_need_beyond_what_was_tried_is_no_value_of_its_own() -> None:
    need = Need(key="t", label="T", kind=Kind.DIFFERENCE, unit="K", wants=3.0, has=30.0, beyond=True, met=True)
    assert need_text(need) == "even less than 3 K would do, has 30 K"
    most = Need(
        key="p", label="P", kind=Kind.LENGTH, unit="mm", wants=0.1, has=0.01, at_most=True, beyond=True, met=True
    )
    assert need_text(most) == "even more than 100 mm would do, has 10 mm"


def test_what_rests_on_a_guess_is_called_assumed_and_what_was_measured_is_not() -> None:
    need = Need(key="friction", label="Friction", kind=Kind.MASS, unit="g", wants=0.001, has=0.002, at_most=True)
    assert need_text(need, assumed=True) == "at most 1 g, assumed 2 g"
    assert is_assumed(need, {"friction_torque": "between 1 and 3 mN m"})
    assert not is_assumed(need, {"friction_torque": "from readings: grams on the rim, 2 readings"})
    assert not is_assumed(need, {"speed_drag": "between 1 and 3 uN m s"})
    assert not is_assumed(need, {})


def test_a_half_time_that_was_measured_is_not_called_assumed_for_a_clearance_that_was_not() -> None:
    need = Need(key="leak_half_time", label="Leak-down half-time", kind=Kind.TIME, unit="s", wants=None, has=3.6)
    guessed = {"piston_clearance": "between 5 and 30 um"}
    assert is_assumed(need, guessed)
    assert not is_assumed(need, {**guessed, "leak_half_time": "9 s +-4 (from readings: U-tube half-time, 1 reading)"})


@pytest.mark.parametrize(
    ("value", "low", "high"), [(-45, -160, 70), (-53, -130, 20), (0.4, -80, 70), (12.3, None, None)]
)
def test_a_column_shows_the_digits_that_the_sentence_shows(value: float, low: float | None, high: float | None) -> None:
    """Two gaps, -45 and -53 rpm, were both -50 in the list of readings and told apart by the command."""
    ends = [None if end is None else end * RPM for end in (low, high)]
    made = figure("gap", Kind.ROTATION, "rpm", value * RPM, *ends)
    assert f"{number_text(made, 'rpm')} rpm" == value_text(made)


def test_the_gaps_that_were_rounded_alike_are_told_apart() -> None:
    shown = [
        number_text(figure("gap", Kind.ROTATION, "rpm", value * RPM, low * RPM, high * RPM), "rpm")
        for value, low, high in ((-45, -160, 70), (-53, -130, 20))
    ]
    assert shown == ["-45", "-53"]
