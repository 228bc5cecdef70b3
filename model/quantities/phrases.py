"""Chances and ranges as text, said in one way by screens, commands and the model's own sentences. Pure."""

from __future__ import annotations

from model.quantities.ranges import Range
from model.quantities.units import Kind, digits, from_si


def chance_text(probability: float) -> str:
    """Return a probability as a builder counts: so many in a hundred, and never sure.

    Examples
    --------
    >>> chance_text(0.304), chance_text(1.0), chance_text(0.0)
    ('30 in 100', 'over 99 in 100', 'under 1 in 100')
    """
    if probability > 0.99:
        return "over 99 in 100"
    return "under 1 in 100" if probability < 0.01 else f"{round(100 * probability)} in 100"


def percent_text(share: float) -> str:
    """Return a share of one in per cent, with a space before the sign, as the SI brochure writes it (9th ed., 5.4.7).

    Examples
    --------
    >>> percent_text(0.403), percent_text(1.0)
    ('40 %', '100 %')
    """
    return f"{round(100 * share)} %"


def rpm_text(speed: float) -> str:
    """Say a speed, [rad/s], to whole turns a minute, and to two digits where it has fewer.

    Examples
    --------
    >>> rpm_text(8.53), rpm_text(17.1), rpm_text(0.8874)
    ('81 rpm', '163 rpm', '8.5 rpm')
    """
    rpm = from_si(speed, Kind.ROTATION, "rpm")
    return f"{digits(rpm, 2) if abs(rpm) < 10 else f'{rpm:.0f}'} rpm"


def span_text(low: str, high: str) -> str:
    """Return a range from the texts of its ends; ends that read the same are one value.

    Examples
    --------
    >>> span_text("3 mm", "9 mm"), span_text("14 mm", "14 mm")
    ('between 3 mm and 9 mm', 'about 14 mm')
    """
    return f"about {low}" if low == high else f"between {low} and {high}"


def watts_text(watts: float) -> str:
    """Say a power to two digits: in watts from one on, else in milliwatts.

    Examples
    --------
    >>> watts_text(0.00351), watts_text(2.04)
    ('3.5 mW', '2 W')
    """
    return f"{digits(watts, 2)} W" if abs(watts) >= 1 else f"{digits(1e3 * watts, 2)} mW"


def gain_text(gain: Range) -> str:
    """Say a gain of power with its ends, in one unit.

    Examples
    --------
    >>> gain_text(Range(middle=0.0121, low=0.0087, high=0.0182)), gain_text(Range(middle=-2.0, low=-3.0, high=0.5))
    ('+12 mW (8.7 to 18)', '-2 W (-3 to 0.5)')
    """
    times, unit = (1.0, "W") if max(map(abs, (gain.middle, gain.low, gain.high))) >= 1 else (1e3, "mW")
    middle, low, high = (digits(times * watts, 2) for watts in (gain.middle, gain.low, gain.high))
    return f"{'+' if gain.middle > 0 else ''}{middle} {unit} ({low} to {high})"


def hours_text(hours: float) -> str:
    """Say hours at the bench.

    Examples
    --------
    >>> hours_text(0.25), hours_text(3.0)
    ('15 min', '3 h')
    """
    return f"{60 * hours:.0f} min" if hours < 1 else f"{digits(hours, 2)} h"
