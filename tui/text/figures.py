"""Number, unit and interval as text: the one place, for screens, report and commands. Never imports numpy or textual.

The digits follow the width of the interval: nothing is shown finer than a tenth of its half-width, nothing coarser
than half of it, so that a wide prediction looks as vague as it is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from model.prediction.result import Figure, Gap, Need, Prediction, Verdict
from model.quantities.ladder import unit_for
from model.quantities.phrases import span_text
from model.quantities.units import Kind, digits, from_si

NONE = "-"
"""Shown where there is no value."""
MAIN = ("shaft_power", "speed_at_best_power", "free_running_speed")
"""Figures that are shown first."""


def resolution(low: float, high: float) -> float:
    """Return the step to which the ends of an interval are rounded: 1, or 0.1 where the half-width begins with a 1.

    Source: JCGM 100:2008, 7.2.6 (an uncertainty carries at most two significant digits).

    Examples
    --------
    >>> resolution(3.2, 9.0), resolution(-20.0, 290.0), resolution(150.0, 190.0)
    (1.0, 10.0, 10.0)
    """
    half = abs(high - low) / 2
    if half == 0 or not math.isfinite(half):
        return 0.0
    power = math.floor(math.log10(half))
    lead = half / 10.0**power
    return 10.0 ** (power - 1) if lead < 2 else 10.0**power


def rounded(number: float, step: float) -> str:
    """Write a number to a step; a small one that would vanish keeps one digit.

    Examples
    --------
    >>> rounded(9.04, 1.0), rounded(0.31, 1.0), rounded(-23.0, 10.0), rounded(12.34, 0.1)
    ('9', '0.3', '-20', '12.3')
    """
    if not math.isfinite(number):
        return NONE
    if step <= 0:
        return digits(number, 3)
    if abs(number) < step / 100:
        return "0"
    if abs(number) < step / 2:
        return digits(number, 1)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    steps = math.copysign(math.floor(abs(number) / step + 0.5), number)
    text = f"{steps * step:.{places}f}"
    return "0" if float(text) == 0 else text


def value_text(figure: Figure) -> str:
    """Write the value alone: ``5 mW``; its digits follow the interval when there is one."""
    if figure.value is None or not math.isfinite(figure.value):
        return NONE
    unit = unit_for(figure.kind, figure.unit, figure.value, figure.low, figure.high)
    number = from_si(figure.value, figure.kind, unit)
    ends = _ends(figure, unit)
    if ends is None:
        return _with_unit(digits(number, 2), unit)
    return _with_unit(_within(number, *ends), unit)


def number_text(figure: Figure, unit: str) -> str:
    """Write the value alone in a given unit and without it, in the digits of `value_text`: for columns."""
    if figure.value is None or not math.isfinite(figure.value):
        return NONE
    number, ends = from_si(figure.value, figure.kind, unit), _ends(figure, unit)
    return digits(number, 2) if ends is None else _within(number, *ends)


def _within(number: float, low: float, high: float) -> str:
    """Write a number in the digits of its interval, and in two at least: a small change of a vague figure is seen."""
    step = resolution(low, high)
    if low < 0 < high and abs(number) < step / 2:
        return "0"
    two = 10.0 ** (math.floor(math.log10(abs(number))) - 1) if number else step
    return rounded(number, min(step, two))


def interval_text(figure: Figure) -> str:
    """Write the interval: ``between 3 and 9 mW``; empty while there is none."""
    unit = unit_for(figure.kind, figure.unit, figure.value, figure.low, figure.high)
    ends = _ends(figure, unit)
    if ends is None:
        return ""
    step = resolution(*ends)
    low, high = (rounded(end, step) for end in ends)
    if figure.value is not None and math.isfinite(figure.value):
        # an end that rounds past the value would leave it outside its own range
        value = _within(from_si(figure.value, figure.kind, unit), *ends)
        low = value if float(low) > float(value) else low
        high = value if float(high) < float(value) else high
    return _with_unit(low if low == high else span_text(low, high), unit)


def figure_text(figure: Figure) -> str:
    """Write value and interval: ``5 mW (between 3 and 9 mW)``."""
    value, interval = value_text(figure), interval_text(figure)
    if not interval or interval == value:
        return value
    return interval if value == NONE else f"{value} ({interval})"


RESTS_ON: dict[str, tuple[str, ...]] = {
    "friction": ("friction_torque",),
    "leak_half_time": ("leak_half_time", "piston_clearance"),
    "phase": ("phase",),
    "piston": ("piston_throw",),
    "temperature_difference": ("hot_metal", "cold_metal", "heat_caught"),
}
"""Fields of the build that tell what an engine has of each need."""


def is_assumed(need: Need, assumed: Mapping[str, str]) -> bool:
    """Whether what an engine has of a need rests on a range that was taken, not on what was typed or measured.

    `assumed` is the prediction's: field -> range, or how a reading told it. A reading of the very quantity comes before
    all that it would else rest on: with a half-time measured, the piston's clearance does not matter.
    """
    if "from readings" in assumed.get(need.key, ""):
        return False
    ranges = [assumed[name] for name in RESTS_ON.get(need.key, ()) if name in assumed]
    return any("from readings" not in each for each in ranges)


def speed_text(prediction: Prediction) -> str:
    """Write the speed of the figures that hold at one."""
    return value_text(Figure(key="", label="", kind=Kind.ROTATION, unit="rpm", value=prediction.at_speed))


def stated_speed(prediction: Prediction) -> str:
    """Say at which speed the figures hold that hold at one, and why that is not quite the best one."""
    if prediction.verdict is Verdict.RUNS:
        return f"At {speed_text(prediction)}, of the speeds tried the nearest to the best"
    return f"Where it comes nearest, at {speed_text(prediction)}"


def need_text(need: Need, *, assumed: bool = False) -> str:
    """Write what an engine needs against what it has: ``at least 45 K, has 20 K``, or ``assumed 20 K``."""
    unit = unit_for(need.kind, need.unit, need.wants, need.has)
    has = "not known" if need.has is None else _amount(need.has, need.kind, unit)
    word = "assumed" if assumed else "has"
    if need.wants is None:
        return f"no value would do, {word} {has}"
    if need.beyond:
        word_first = "more" if need.at_most else "less"
        return f"even {word_first} than {_amount(need.wants, need.kind, unit)} would do, {word} {has}"
    return f"at {'most' if need.at_most else 'least'} {_amount(need.wants, need.kind, unit)}, {word} {has}"


def in_unit(value: float | None, kind: Kind, unit: str) -> float | None:
    """Return an SI value as a plain number of the unit to six significant digits; None where it is not finite.

    Examples
    --------
    >>> in_unit(0.0123456789, Kind.POWER, "mW"), in_unit(float("nan"), Kind.POWER, "W")
    (12.3457, None)
    """
    if value is None or not math.isfinite(value):
        return None
    number = float(f"{from_si(float(value), kind, unit):.6g}")
    return 0.0 if number == 0 else number


def _ends(figure: Figure, unit: str) -> tuple[float, float] | None:
    if figure.low is None or figure.high is None or not (math.isfinite(figure.low) and math.isfinite(figure.high)):
        return None
    return from_si(figure.low, figure.kind, unit), from_si(figure.high, figure.kind, unit)


def _amount(value: float, kind: Kind, unit: str) -> str:
    return _with_unit(digits(from_si(value, kind, unit), 2), unit) if math.isfinite(value) else NONE


def _with_unit(text: str, unit: str) -> str:
    if text == NONE or not unit:
        return text
    return f"{text} {unit}"


def best_measured(gaps: tuple[Gap, ...], quantity: str = "shaft_power") -> Gap | None:
    """Return the reading with the largest measured value of a quantity; one that cannot be is none."""
    known = [g for g in gaps if g.quantity == quantity and g.measured.value is not None and not g.doubted]
    return max(known, key=lambda g: g.measured.value or 0.0, default=None)
