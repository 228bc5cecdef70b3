"""The values of a row: seven to nine of one field, round the present one, as a builder would write them. No numpy."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from model.errors import NotUnderstood
from model.fields import Field, Parsed, read_field, show
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind, UnitError, digits, find_unit, from_si

USUAL = (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0)
"""Times the present value, of most fields."""
WIDE = (0.1, 0.25, 0.5, 1.0, 2.0, 4.0, 10.0)
"""Times the present value, of what may be off by any factor."""
WIDELY = (
    "wheel_mass",
    "friction_torque",
    "speed_drag",
    "leak_half_time",
    "piston_clearance",
    "gland_clearance",
    "diaphragm_stiffness",
    "heat_released",
    "posts",
    "lens_area",
    "dead_volume_hot",
    "dead_volume_cold",
)
TURNS = (-45.0, -30.0, -15.0, 0.0, 15.0, 30.0, 45.0)
"""Degrees beside the present angle."""
KELVINS = (-30.0, -20.0, -10.0, 0.0, 10.0, 20.0, 30.0)
"""Beside a present temperature up to 120 C; above, ten times its share."""
COUNTS = (-3, -2, -1, 0, 1, 2, 3, 4)
FROM_NOTHING = (0.1, 0.2, 0.4, 0.7, 1.0, 1.5, 2.0)
"""Times the usual value, where there is nothing now."""
EMPTY = {
    "leak_half_time": (0.3, 1, 3, 10, 30, 100), "post_count": (0, 2, 3, 4, 6, 8), "tealights": (1, 2, 3, 4, 6),
    "heater_tubes": (1, 2, 4, 8, 16), "cooler_tubes": (1, 2, 4, 8, 16), "lens_area": (50, 100, 200, 500, 1000, 2000),
    "heat_released": (5, 10, 20, 40, 80, 150), "heat_caught": (10, 20, 30, 40, 60), "piston_count": (1, 2, 3, 4),
    "hot_metal": (40, 60, 80, 120, 200, 300, 400), "cold_metal": (5, 15, 25, 35, 50, 80),
    "hot_end_thickness": (0.2, 0.5, 1, 1.5, 2, 3, 5), "cold_end_thickness": (0.2, 0.5, 1, 1.5, 2, 3, 5),
}  # fmt: skip
"""Values in the field's unit where nothing is taken for it: told by other fields, or worked out."""
ALIKE = 0.03
"""Two values nearer than this are one."""
WHOLE = ("piston_count", "tealights", "post_count", "heater_tubes", "cooler_tubes")


@dataclass(frozen=True, slots=True, kw_only=True)
class RowValue:
    """One value of a row."""

    text: str
    """Can be typed into the field."""
    value: Uncertain
    present: bool = False


def row_values(field: Field, now: Uncertain | None, typed: str) -> tuple[RowValue, ...]:
    """Return values round the present one, ascending, within the field's limits; in the unit that was typed.

    Parameters
    ----------
    field : Field
        A field that takes a number.
    now : Uncertain, optional
        What it is taken as.
    typed : str
        Its text; empty where nobody typed one.
    """
    unit = unit_of(field, typed)
    made: list[RowValue] = []
    if now is not None:
        text = typed.strip() or show(now, field, significant=2)
        made.append(RowValue(text=text, value=now, present=True))
    for number in _numbers(field, now, unit):
        low, high = (_in(field, limit, unit) for limit in field.limits)
        if not low <= number <= high:
            continue
        text = f"{digits(number, 2 if abs(number) < 100 else 3)} {unit}".strip()
        try:
            value = read_field(field, text)
        except UnitError:
            continue
        if isinstance(value, Uncertain) and not _known(value, made):
            made.append(RowValue(text=text, value=value))
    return tuple(sorted(made, key=lambda each: each.value.value))


def read_values(field: Field, texts: Sequence[str]) -> tuple[RowValue, ...]:
    """Read the values that a builder asks for; a bare number has the field's unit.

    Raises
    ------
    NotUnderstood
        A text cannot be read; the message names field and value.
    """
    made = []
    for text in texts:
        try:
            value = read_field(field, text)
        except UnitError as error:
            raise NotUnderstood(f"{field.label}: {error.message}", hint=error.hint, where=field.name) from error
        if not isinstance(value, Uncertain):
            raise NotUnderstood(f"{field.label}: {text!r} is no value.", hint=f"Write it like 12.5 {field.unit}.")
        made.append(RowValue(text=text.strip(), value=value))
    return tuple(sorted(made, key=lambda each: each.value.value))


def bare_text(text: str) -> str:
    """Return a value as typed without its spread and how it is known.

    Examples
    --------
    >>> bare_text("90 deg +-4 measured"), bare_text("2.5 mm")
    ('90 deg', '2.5 mm')
    """
    return re.split(r" ?\+-| measured| drawn| guessed", text)[0]


def unit_of(field: Field, text: str) -> str:
    """Return the unit that a builder writes a field in; its own where none is written.

    Examples
    --------
    >>> from model.fields import Build, fields_of
    >>> unit_of(fields_of(Build)["piston_bore"], "3/8 in +-0.05 mm measured"), unit_of(fields_of(Build)["phase"], "90")
    ('in', 'deg')
    """
    for word in re.findall(r"[^\W\d_]+[\w/ ]*|%", text):
        for tried in (word.strip(), word.split()[0] if word.split() else ""):
            try:
                return find_unit(tried, _kind(field)).symbol if tried else field.unit
            except UnitError:
                continue
    return field.unit


def _numbers(field: Field, now: Uncertain | None, unit: str) -> Iterable[float]:
    """Return numbers in a unit, the present one left out."""
    kind = _kind(field)
    if now is None and field.name in EMPTY:
        return [_in(field, number, unit) for number in EMPTY[field.name]]
    if now is None or now.value == 0:
        usual = _usual(field)
        return [] if usual is None else [from_si(usual * times, kind, unit) for times in FROM_NOTHING]
    number = from_si(now.value, kind, unit)
    if field.name in WHOLE:
        return [round(number) + step for step in COUNTS]
    if kind is Kind.ANGLE:
        return [_in(field, _in_own(field, now.value) + step, unit) for step in TURNS]
    if kind is Kind.TEMPERATURE:
        celsius = now.value - 273.15
        times = max(1.0, celsius / 120)
        return [from_si(now.value + step * times, kind, unit) for step in KELVINS]
    return [number * times for times in (WIDE if field.name in WIDELY else USUAL)]


def _usual(field: Field) -> float | None:
    """Return the upper end of what is usual, SI."""
    if field.guess is not None:
        unit = find_unit(field.unit, _kind(field))
        return field.guess.high * unit.factor + unit.offset
    try:
        value: Parsed | None = read_field(field, field.usual)
    except UnitError:
        return None
    return (value.high or value.value) if isinstance(value, Uncertain) else None


def _in(field: Field, number: float, unit: str) -> float:
    """Return a number of the field's own unit in another."""
    own = find_unit(field.unit, _kind(field))
    return from_si(number * own.factor + own.offset, _kind(field), unit)


def _kind(field: Field) -> Kind:
    return field.kind or Kind.NUMBER


def _in_own(field: Field, value: float) -> float:
    return from_si(value, _kind(field), field.unit)


def _known(value: Uncertain, made: Sequence[RowValue]) -> bool:
    """Whether a value is as good as there."""
    zero = 273.15 if value.value > 200 else 0.0  # of temperatures in kelvin, the share is that of degrees
    return any(abs(value.value - each.value.value) <= ALIKE * max(abs(each.value.value - zero), 1e-12) for each in made)


__all__ = ["RowValue", "bare_text", "read_values", "row_values", "unit_of"]
