"""The grammar of a field's text: number, unit, spread, and how it is known.

The same in the form and in the file::

    12.5 mm                   a value as drawn, with the field's usual spread
    12.5 mm +-0.1 measured    a value, twice its standard uncertainty, how it is known
    12.5 mm +-2%
    between 3 and 9 mm        a range (also: 3 to 9 mm)
    about 10 mm               a guess, give or take a quarter
    210 mm around             a diameter from its circumference
    35 g water                a volume from the water it holds
    ?                         not known (as an empty field)
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

from model.errors import Problem
from model.fields.field import Field, Parsed
from model.uncertain import How, Shape, Uncertain, between
from model.units import Amount, Kind, UnitError, digits, from_si, read_amount, read_number, size_from_si

_HOW = re.compile(r"\s+(measured|drawn|guessed)\s*$", re.IGNORECASE)
_SPREAD = re.compile(r"\s*(?:\+\s*[-/]+\s*|±\s*|\bplus\s+or\s+minus\b\s*|\bgive\s+or\s+take\b\s*)", re.IGNORECASE)
_RANGE = re.compile(r"(?:between\s+)?(?P<a>.+?)\s*(?:\band\b|\bto\b|\.\.+|–)\s*(?P<b>.+)", re.IGNORECASE)
_AROUND = re.compile(r"^(?:circumference|around|round)\s+|\s+(?:around|circumference|round)\b", re.IGNORECASE)
ABOUT = 0.25
"""Half-width of "about", relative; common practice, no source."""


def is_unknown(text: str) -> bool:
    """Whether a text says that the value is not known: empty, or ``?``."""
    return text.strip().strip("?") == ""


def read_field(field: Field, text: str) -> Parsed | None:
    """Read the text of a field; None when it says that the value is not known.

    Raises
    ------
    UnitError
        The text cannot be meant; the message says why and what to write.
    """
    if field.takes_words:
        return None if is_unknown(text) else _read_word(field, text)
    if field.kind is None:
        return text
    return None if is_unknown(text) else _read_quantity(field, field.kind, text)


def problem_of(field: Field, text: str, where: str = "") -> Problem | None:
    """Return what is wrong with a field's text, or None."""
    try:
        read_field(field, text)
    except UnitError as error:
        return Problem(
            where=where or field.name,
            value=text,
            message=f"{field.label}: {error.message}",
            remedy=error.hint,
        )
    return None


def _read_word(field: Field, text: str) -> str:
    wanted = text.strip().casefold()
    for choice in field.choices:
        if wanted in (choice.key.casefold(), choice.label.casefold()):
            return choice.key
    starts = [c for c in field.choices if wanted and c.label.casefold().startswith(wanted)]
    if len(starts) == 1:
        return starts[0].key
    known = ", ".join(c.label for c in field.choices)
    raise UnitError(f"{text.strip()[:60]!r} is not one of the words known here.", hint=f"Use one of: {known}.")


def _read_quantity(field: Field, kind: Kind, text: str) -> Uncertain:
    body, how = text.strip(), None
    if len(body) > 200:
        raise UnitError("the text is too long to be a value.", hint=f"Write it like 12.5 {field.unit}.")
    found = _HOW.search(" " + body)
    if found:
        how = How(found[1].lower())
        body = (" " + body)[: found.start()].strip()
    around = field.around and bool(_AROUND.search(body))
    if around:
        body = _AROUND.sub(" ", body).strip()
    about = re.match(r"(?:about|approx\.?|circa|ca\.?|~)\s*", body, re.IGNORECASE)
    if about:
        body = body[about.end() :]
    value = _read_body(field, kind, body, how, about is not None)
    if around:
        value = value.scaled(1 / math.pi)
    _check_limits(field, kind, value, text)
    return value


def _read_body(field: Field, kind: Kind, body: str, how: How | None, about: bool) -> Uncertain:
    spread = _SPREAD.search(body)
    if not spread:
        found = _RANGE.fullmatch(body)
        if found:
            high = read_amount(found["b"], kind, field.unit)
            low = read_amount(found["a"], kind, high.unit.symbol or field.unit)
            return between(low.si, high.si, how=how or How.GUESSED)
        amount = read_amount(body, kind, field.unit)
        if about:
            return between(
                amount.si - abs(amount.si) * ABOUT, amount.si + abs(amount.si) * ABOUT, how=how or How.GUESSED
            )
        least = abs(_size(field.drawn_at_least, kind, field.unit))
        relative = amount.si - (273.15 if kind is Kind.TEMPERATURE else 0.0)
        return Uncertain(value=amount.si, spread=max(abs(relative) * field.drawn, least), how=how or How.DRAWN)
    head, tail = body[: spread.start()], body[spread.end() :]
    amount, half = _read_spread(field, kind, head, tail)
    if half < 0:
        raise UnitError("a spread cannot be negative.", hint="Write it like 12.5 mm +-0.1.")
    result = Uncertain(value=amount.si, spread=half / 2, how=how or How.MEASURED)
    wide = amount.si > 0 and half / 2 > 0.25 * amount.si and kind is not Kind.TEMPERATURE
    return replace(result, shape=Shape.LOG_NORMAL) if wide else result


def _read_spread(field: Field, kind: Kind, head: str, tail: str) -> tuple[Amount, float]:
    """Return value and half-width (SI) of ``head +- tail``; the unit may stand on either side."""
    tail = tail.strip()
    if tail.endswith("%") and kind is not Kind.FRACTION:
        amount = read_amount(head, kind, field.unit)
        base = amount.si - (273.15 if kind is Kind.TEMPERATURE else 0.0)
        return amount, abs(base) * read_number(tail[:-1]) / 100
    bare_head = re.fullmatch(r"[\s+\-\d.,/eE]+", head) is not None
    if bare_head:
        half = read_amount(tail, kind, field.unit)
        amount = read_amount(head, kind, half.unit.symbol or field.unit)
    else:
        amount = read_amount(head, kind, field.unit)
        half = read_amount(tail, kind, amount.unit.symbol or field.unit)
    return amount, half.number * half.unit.factor


def _size(number: float, kind: Kind, unit: str) -> float:
    return number / size_from_si(1.0, kind, unit)


def _check_limits(field: Field, kind: Kind, value: Uncertain, text: str) -> None:
    low, high = field.limits
    number = from_si(value.value, kind, field.unit)
    slack = 1e-9 * max(1.0, abs(number))
    if low - slack <= number <= high + slack:
        return
    unit = f" {field.unit}" if field.unit else ""
    raise UnitError(
        f"{digits(number, 4)}{unit} is not possible here.",
        hint=f"It lies between {digits(low, 4)} and {digits(high, 4)}{unit}. Check the unit.",
    )


def show(value: Parsed | None, field: Field, *, significant: int = 3, spread: bool = True) -> str:
    """Write a value in the field's unit: ``12.5 mm +-0.2``, or the choice's label."""
    if value is None:
        return "?"
    if isinstance(value, str):
        return next((c.label for c in field.choices if c.key == value), value)
    if field.kind is None:
        return str(value)
    unit = f" {field.unit}" if field.unit else ""
    if value.shape in (Shape.FLAT, Shape.LOG_FLAT) and value.low is not None and value.high is not None and spread:
        ends = [digits(from_si(v, field.kind, field.unit), significant) for v in (value.low, value.high)]
        return f"between {ends[0]} and {ends[1]}{unit}"
    text = digits(from_si(value.value, field.kind, field.unit), significant) + unit
    half = 2 * size_from_si(value.spread, field.kind, field.unit)
    return f"{text} +-{digits(half, 2)}" if spread and half > 0 else text
