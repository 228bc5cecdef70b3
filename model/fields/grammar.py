"""The grammar of a field's text: number, unit, spread, and how it is known.

The same in the form and in the file::

    12.5 mm                   a value as drawn, with the field's usual spread
    12.5 mm +-0.1 measured    a value, twice its standard uncertainty, how it is known
    12.5 mm +-2%
    Ø12.5 mm, measured        a comma before how it is known; the sign for a diameter where there is one
    between 3 and 9 mm        a range (also: 3 to 9 mm, 3-9 mm, 3…9); a unit on one end holds for both
    about 10 mm               a guess, give or take a quarter
    210 mm around             a diameter from its circumference
    35 g water                a volume from the water it holds
    ?                         not known (as an empty field)
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

from model.errors import Problem
from model.fields.field import Field, Parsed
from model.quantities.uncertain import How, Shape, Uncertain, between
from model.quantities.units import (
    Amount,
    Kind,
    UnitError,
    digits,
    find_unit,
    from_si,
    has_unit,
    read_amount,
    read_number,
    size_from_si,
)

_HOW = re.compile(r"[\s,;]+\(?(measured|drawn|guessed)\)?\s*$", re.IGNORECASE)
_SPREAD = re.compile(r"[\s,;]*(?:\+\s*[-/]+\s*|±\s*|\bplus\s+or\s+minus\b\s*|\bgive\s+or\s+take\b\s*)", re.IGNORECASE)
_RANGE = re.compile(r"(?:between\s+)?(?P<a>.+?)\s*(?:\band\b|\bto\b|\.\.+|…)\s*(?P<b>.+)", re.IGNORECASE)
_DASHED = re.compile(r"(?P<a>[+-]?[^-–—]*\d[^-–—]*?)\s*[-–—]\s*(?P<b>[\d.,].*)")
_NO_DASH = re.compile(r"\d+\s*-\s*\d+\s*/\s*\d+.*|.*\d[eE]-\d+.*")
"""Where a dash joins the parts of one number: 1-3/8 and 1e-3."""
_AROUND = re.compile(r"^(?:circumference|around|round)\s+|\s+(?:around|circumference|round)\b", re.IGNORECASE)
_DIAMETER = re.compile(r"^[Øø⌀∅]\s*")
"""The draughtsman's sign for a diameter, and the letters that stand in for it."""
ABOUT = 0.25
"""Half-width of "about", relative; common practice, no source."""
_WIDEST = 3.0
"""Largest half-width, in values, of a value that cannot be negative; beyond it a range says more."""
READ, LONGEST = 4096, 200
"""Texts that are remembered with what they say, and their length: a build is read again and again with one changed."""
_SIGNED = (Kind.TEMPERATURE, Kind.ANGLE)
"""Kinds whose zero means nothing in particular."""


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
    if is_unknown(text) and (field.takes_words or field.kind is not None):
        return None
    if field.kind is None and not field.takes_words:
        return text
    return _read_short(field, text) if len(text) <= LONGEST else _read(field, text)


def _read(field: Field, text: str) -> Parsed:
    return _read_quantity(field, field.kind, text) if field.kind is not None else _read_word(field, text)


_read_short = lru_cache(maxsize=READ)(_read)


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
    if len(body) > LONGEST:
        raise UnitError("the text is too long to be a value.", hint=f"Write it like 12.5 {field.unit}.")
    how_match = _HOW.search(" " + body)
    if how_match:
        how = How(how_match[1].lower())
        body = (" " + body)[: how_match.start()].strip()
    around = field.around and bool(_AROUND.search(body))
    if around:
        body = _AROUND.sub(" ", body).strip()
    elif field.around:
        body = _DIAMETER.sub("", body)
    elif kind is Kind.LENGTH and _DIAMETER.match(body):
        raise UnitError("a diameter is written, and this is none.", hint="Write the length alone, like 12.5 mm.")
    about = re.match(r"(?:about|approx\.?|circa|ca\.?|~)\s*", body, re.IGNORECASE)
    if about:
        body = body[about.end() :]
    _ask_about_bare_fraction(field, kind, body)
    value = _read_body(field, kind, body, how, about is not None)
    if around:
        value = value.scaled(1 / math.pi)
    _check_limits(field, kind, value)
    return value


def _ask_about_bare_fraction(field: Field, kind: Kind, body: str) -> None:
    """Refuse a fraction without a unit where millimetres are the rule: it is most often meant in inches."""
    if kind is Kind.LENGTH and field.unit in ("mm", "um") and re.fullmatch(r"[+-]?(?:\d+[ -])?\d+\s*/\s*\d+", body):
        raise UnitError(f"{body} can mean {body} in or {body} mm.", hint="Write the unit.")


def _read_body(field: Field, kind: Kind, body: str, how: How | None, about: bool) -> Uncertain:
    spread = _SPREAD.search(body)
    if spread:
        head, tail = body[: spread.start()], body[spread.end() :]
        amount, half = _read_spread(field, kind, head, tail)
        _check_spread(kind, amount.si, half)
        known = how or (How.GUESSED if about else How.MEASURED)
        wide = kind not in _SIGNED and amount.si > 0 and half / 2 > 0.25 * amount.si
        shape = Shape.LOG_NORMAL if wide else Shape.NORMAL
        return Uncertain(value=amount.si, spread=half / 2, how=known, shape=shape)
    range_match = _RANGE.fullmatch(body) or (None if _NO_DASH.fullmatch(body) else _DASHED.fullmatch(body))
    if range_match:
        low, high = _read_pair(field, kind, range_match["a"], range_match["b"])
        return between(low.si, high.si, how=how or How.GUESSED)
    amount = _amount(field, kind, body)
    least = _size(field.drawn_at_least, kind, field.unit)
    size = abs(amount.si - _zero(kind))
    if about:
        return _about(field, kind, amount.si, max(size * ABOUT, 2 * least), how)
    return Uncertain(value=amount.si, spread=max(size * field.drawn, least), how=how or How.DRAWN)


def _about(field: Field, kind: Kind, value: float, half: float, how: How | None) -> Uncertain:
    """Return a guess, give or take `half`, that stays within what the field can mean."""
    low, high = (_si_limit(field, kind, limit) for limit in field.limits)
    if not low <= value <= high:
        return Uncertain(value=value, spread=half / 2, how=how or How.GUESSED)
    return between(max(low, value - half), min(high, value + half), how=how or How.GUESSED)


def _si_limit(field: Field, kind: Kind, limit: float) -> float:
    """Return a limit of a field, which stands in the field's unit, in SI."""
    unit = find_unit(field.unit, kind)
    return limit * unit.factor + unit.offset


def _amount(field: Field, kind: Kind, text: str, unit: str | None = None) -> Amount:
    """Read an amount; a bare share of one or less is asked about, for it may be per cent or of one."""
    amount = read_amount(text, kind, field.unit if unit is None else unit)
    share = kind is Kind.FRACTION and field.unit == "%" and unit is None and not has_unit(text)
    if share and 0 < amount.number <= 1:
        number = digits(amount.number)
        raise UnitError(
            f"{number} can mean {number} % or {digits(amount.number * 100)} %.", hint="Write it with the % sign."
        )
    return amount


def _read_pair(field: Field, kind: Kind, first: str, second: str) -> tuple[Amount, Amount]:
    """Return two amounts; where one has no unit, that of the other holds."""
    if has_unit(second) and not has_unit(first):
        later = _amount(field, kind, second)
        return _amount(field, kind, first, later.unit.symbol), later
    former = _amount(field, kind, first)
    shared = former.unit.symbol if has_unit(first) and not has_unit(second) else None
    return former, _amount(field, kind, second, shared)


def _read_spread(field: Field, kind: Kind, head: str, tail: str) -> tuple[Amount, float]:
    """Return value and half-width (SI) of ``head +- tail``; the unit may stand on either side."""
    tail = tail.strip()
    if tail.endswith("%") and kind is not Kind.FRACTION:
        amount = _amount(field, kind, head)
        return amount, abs(amount.si - _zero(kind)) * read_number(tail[:-1]) / 100
    if has_unit(tail) and not has_unit(head):
        half = read_amount(tail, kind, field.unit)
        amount = _amount(field, kind, head, half.unit.symbol)
    else:
        amount = _amount(field, kind, head)
        half = read_amount(tail, kind, amount.unit.symbol)
    return amount, half.number * half.unit.factor


def _check_spread(kind: Kind, value: float, half: float) -> None:
    if half < 0:
        raise UnitError("a spread cannot be negative.", hint="Write it like 12.5 mm +-0.1.")
    if kind not in _SIGNED and half > _WIDEST * abs(value) > 0:
        raise UnitError(
            "the spread is many times the value.", hint="Write a range instead: between 1 and 9, with the unit."
        )


def _zero(kind: Kind) -> float:
    """Return the zero from which relative spreads are taken, SI: 0 C for temperatures."""
    return 273.15 if kind is Kind.TEMPERATURE else 0.0


def _size(number: float, kind: Kind, unit: str) -> float:
    return number / size_from_si(1.0, kind, unit)


def _check_limits(field: Field, kind: Kind, value: Uncertain) -> None:
    low, high = field.limits
    unit = f" {field.unit}" if field.unit else ""
    for end in (value.low, value.high, value.value):
        if end is None:
            continue
        number = from_si(end, kind, field.unit)
        slack = 1e-9 * max(1.0, abs(number))
        if not low - slack <= number <= high + slack:
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
        return f"{ends[0]}{unit}" if ends[0] == ends[1] else f"between {ends[0]} and {ends[1]}{unit}"
    text = digits(from_si(value.value, field.kind, field.unit), significant) + unit
    half = 2 * size_from_si(value.spread, field.kind, field.unit)
    return f"{text} +-{digits(half, 2)}" if spread and half > 0 else text
