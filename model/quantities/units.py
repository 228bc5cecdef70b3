"""Text to SI and back: numbers as builders write them, units of the workshop. Pure; stdlib only.

`read_number` takes ``12.5``, ``1,5``, ``3/8``, ``1 3/8``, ``2.4e-3``; `read_amount` adds the unit. What can be read in
two ways is refused with both readings named, never guessed.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from model.errors import ModelError


class UnitError(ModelError):
    """A text is not a number with a unit of the right kind."""


class Kind(StrEnum):
    """Kind of quantity; decides which units are taken."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    MASS = "mass"
    TIME = "time"
    TEMPERATURE = "temperature"
    DIFFERENCE = "temperature difference"
    ANGLE = "angle"
    PRESSURE = "pressure"
    FORCE = "force"
    TORQUE = "torque"
    POWER = "power"
    ENERGY = "energy"
    ROTATION = "speed of rotation"
    STIFFNESS = "stiffness"
    CONDUCTANCE = "thermal conductance"
    DRAG = "drag torque for each rpm"
    FRACTION = "fraction"
    COUNT = "count"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: ``SI value = number * factor + offset``."""

    symbol: str
    factor: float
    also: tuple[str, ...] = ()
    offset: float = 0.0


_G = 9.80665
_INCH = 0.0254

UNITS: dict[Kind, tuple[Unit, ...]] = {
    Kind.LENGTH: (
        Unit("mm", 1e-3, ("millimetre", "millimetres", "millimeter", "millimeters")),
        Unit("cm", 1e-2, ("centimetre", "centimetres", "centimeter", "centimeters")),
        Unit("m", 1.0, ("metre", "metres", "meter", "meters")),
        Unit("um", 1e-6, ("µm", "μm", "micron", "microns")),
        Unit("in", _INCH, ('"', "''", "”", "″", "′′", "inch", "inches")),
        Unit("ft", 12 * _INCH, ("foot", "feet")),
        Unit("thou", _INCH * 1e-3, ("mil", "mils")),
    ),
    Kind.AREA: (
        Unit("cm2", 1e-4, ("cm²", "cm^2", "sq cm")),
        Unit("mm2", 1e-6, ("mm²", "mm^2")),
        Unit("m2", 1.0, ("m²", "m^2")),
        Unit("in2", _INCH**2, ("in²", "in^2", "sq in")),
    ),
    Kind.VOLUME: (
        Unit("ml", 1e-6, ("cc", "cm3", "cm³", "cm^3", "millilitre", "milliliter")),
        Unit("l", 1e-3, ("L", "litre", "litres", "liter", "liters")),
        Unit("mm3", 1e-9, ("mm³", "mm^3")),
        Unit("m3", 1.0, ("m³", "m^3")),
        Unit("in3", _INCH**3, ("in³", "in^3", "cu in")),
        Unit("fl oz", 29.5735295625e-6, ("floz",)),
        Unit("g water", 1e-6, ("g of water", "gram water", "grams water", "grams of water")),
    ),
    Kind.MASS: (
        Unit("g", 1e-3, ("gram", "grams")),
        Unit("kg", 1.0, ()),
        Unit("mg", 1e-6, ()),
        Unit("oz", 28.349523125e-3, ("ounce", "ounces")),
        Unit("lb", 0.45359237, ("lbs", "pound", "pounds")),
    ),
    Kind.TIME: (
        Unit("s", 1.0, ("sec", "secs", "second", "seconds")),
        Unit("min", 60.0, ("minute", "minutes")),
        Unit("h", 3600.0, ("hour", "hours", "hr")),
        Unit("ms", 1e-3, ()),
    ),
    Kind.TEMPERATURE: (
        Unit("C", 1.0, ("°C", "degC", "deg C", "celsius"), 273.15),
        Unit("K", 1.0, ("kelvin",)),
        Unit("F", 5 / 9, ("°F", "degF", "deg F", "fahrenheit"), 273.15 - 32 * 5 / 9),
    ),
    Kind.DIFFERENCE: (Unit("K", 1.0, ("C", "°C", "kelvin")), Unit("F", 5 / 9, ("°F",))),
    Kind.ANGLE: (
        Unit("deg", math.pi / 180, ("°", "degree", "degrees")),
        Unit("rad", 1.0, ("radian", "radians")),
        Unit("turn", 2 * math.pi, ("turns",)),
    ),
    Kind.PRESSURE: (
        Unit("kPa", 1e3),
        Unit("Pa", 1.0),
        Unit("hPa", 100.0, ("mbar", "millibar")),
        Unit("bar", 1e5),
        Unit("cm water", 98.0665, ("cmH2O", "cm H2O", "cm of water")),
        Unit("mm water", 9.80665, ("mmH2O", "mm H2O", "mm of water")),
        Unit("inHg", 3386.389, ("in Hg",)),
        Unit("mmHg", 133.322387415, ("mm Hg",)),
        Unit("atm", 101325.0),
    ),
    Kind.FORCE: (
        Unit("N", 1.0, ("newton", "newtons")),
        Unit("mN", 1e-3),
        Unit("g", 1e-3 * _G, ("gf", "gram", "grams")),
        Unit("kg", _G, ("kgf",)),
        Unit("oz", 28.349523125e-3 * _G, ("ozf",)),
    ),
    Kind.TORQUE: (
        Unit("mN m", 1e-3, ("mNm", "mN.m", "mN*m")),
        Unit("N m", 1.0, ("Nm", "N.m", "N*m")),
        Unit("uN m", 1e-6, ("uNm", "µNm", "µN m")),
        Unit("g cm", 1e-5 * _G, ("gcm", "g.cm", "gf cm")),
        Unit("g mm", 1e-6 * _G, ("gmm", "g.mm")),
    ),
    Kind.ENERGY: (Unit("mJ", 1e-3), Unit("J", 1.0, ("joule", "joules")), Unit("kJ", 1e3)),
    Kind.POWER: (Unit("W", 1.0, ("watt", "watts")), Unit("mW", 1e-3), Unit("kW", 1e3)),
    Kind.ROTATION: (
        Unit("rpm", 2 * math.pi / 60, ("r/min", "turns/min", "min-1", "1/min", "turns per minute")),
        Unit("Hz", 2 * math.pi, ("turns/s", "r/s", "turns per second")),
        Unit("rad/s", 1.0),
    ),
    Kind.STIFFNESS: (
        Unit("N/m", 1.0),
        Unit("N/mm", 1e3),
        Unit("g/mm", 1e-3 * _G * 1e3, ("gf/mm",)),
    ),
    Kind.CONDUCTANCE: (Unit("W/K", 1.0), Unit("mW/K", 1e-3)),
    Kind.DRAG: (Unit("mN m/rpm", 1e-3 * 60 / (2 * math.pi), ("mNm/rpm",)), Unit("N m s", 1.0, ("Nms",))),
    Kind.FRACTION: (Unit("%", 0.01, ("percent", "per cent")), Unit("", 1.0, ("of 1",))),
    Kind.COUNT: (Unit("turns", 1.0, ("turn", "times", "swings", "")),),
    Kind.NUMBER: (Unit("", 1.0),),
}

_BY_WORD: dict[Kind, dict[str, Unit]] = {
    kind: {word: unit for unit in units for word in (unit.symbol, *unit.also)} for kind, units in UNITS.items()
}
_FRACTION = re.compile(r"([+-])?(?:(\d+)[ -])?(\d+)\s*/\s*(\d+)")
_PLAIN = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
_AMOUNT = re.compile(
    r"\s*(?P<number>[+-]?(?:\d+[ -])?\d+\s*/\s*\d+"
    r"|[+-]?(?:\d[\d.,' ]*\d|\d|[.,]\d+)(?:[.,])?(?:[eE][+-]?\d+)?)\s*(?P<unit>.*?)\s*"
)
_VULGAR = str.maketrans(
    dict(zip("½⅓⅔¼¾⅛⅜⅝⅞", (" 1/2", " 1/3", " 2/3", " 1/4", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8"), strict=True))
)
_GROUPED = re.compile(
    r"(?P<whole>[+-]?\d{1,3}(?P<by>[., '’])\d{3}(?:(?P=by)\d{3})*)(?:(?!(?P=by))[.,](?P<decimals>\d*))?"
)
"""Digits in groups of three, all parted by one sign; decimals may follow behind another."""
_SIGNS = re.compile(r"[+-]?\d+[.,]\d+[.,]\d+")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}\.\d{3}")
_WHOLE = (Kind.COUNT, Kind.ROTATION)
"""Kinds that come in thousands and that nothing shows to a thousandth: "1.500 rpm" is asked about. Calipers, scales and
stopwatches do show thousandths, so "1.500 mm" is one and a half."""
MAX_LENGTH = 200
"""Longest text that is read as a number; anything longer is refused unread."""


def read_number(text: str) -> float:
    """Return the number that a builder wrote.

    Raises
    ------
    UnitError
        Not a number, not finite, or readable in two ways (``1,500``).

    Examples
    --------
    >>> read_number("1,5"), read_number("3/8"), read_number("1 3/8")
    (1.5, 0.375, 1.375)
    """
    text = _tidy(text)
    if len(text) > MAX_LENGTH:
        raise UnitError("the number is too long to read.", hint="Write it with fewer digits.")
    if not text:
        raise UnitError("there is no number.", hint="Write it like 12.5, 1,5 or 3/8.")
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        sign, whole, top, bottom = fraction.groups()
        if int(bottom) == 0:
            raise UnitError(f"{text!r} divides by zero.", hint="Write a fraction such as 3/8.")
        value = int(whole or 0) + int(top) / int(bottom)
        return -value if sign == "-" else value
    if not _PLAIN.fullmatch(text):
        if (grouped := _GROUPED.fullmatch(text)) or _SIGNS.fullmatch(text):
            raise UnitError(f"{text!r} has signs between its digits.", hint=_without_signs(grouped))
        raise UnitError(f"{text!r} is not a number.", hint="Write it like 12.5, 1,5 or 3/8.")
    mantissa = re.split("[eE]", text)[0].lstrip("+-")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", mantissa):
        raise UnitError(_two_readings(mantissa), hint="Write it with a point, or without the comma.")
    value = float(text.replace(",", "."))
    if not math.isfinite(value):
        raise UnitError(f"{text!r} is too large to be a real value.", hint="Check the exponent.")
    return value


def _two_readings(number: str) -> str:
    """Say what a number can mean whose point or comma may part thousands."""
    decimal = number.replace(",", ".").rstrip("0").rstrip(".")
    return f"{number!r} can mean {decimal} or {re.sub('[.,]', '', number)}."


def _without_signs(grouped: re.Match[str] | None) -> str:
    """Say how a number is written whose digits have signs between them."""
    if grouped is None:
        return "Write one point or comma only: 1500 or 1.5."
    whole = re.sub("[., '’]", "", grouped["whole"])
    return f"Write {whole}.{grouped['decimals']}." if grouped["decimals"] else f"Write {whole}."


def _tidy(text: str) -> str:
    """Return a text with one kind of minus sign and of space, and fractions of one character written out."""
    return " ".join(text.translate(_VULGAR).replace("−", "-").split())


def find_unit(word: str, kind: Kind) -> Unit:
    """Return the unit that a word names, for this kind of quantity (letter case as written, else any)."""
    table = _BY_WORD[kind]
    word = re.sub(r"\s+", " ", word.strip()).rstrip(".")
    if word in table:
        return table[word]
    folded = [unit for name, unit in table.items() if name.casefold() == word.casefold()]
    if len({u.symbol for u in folded}) == 1:
        if re.match("M[WN]", word) and folded[0].symbol.startswith("m"):
            raise UnitError(f"{word!r} means a million.", hint=f"Write {folded[0].symbol} for a thousandth.")
        return folded[0]
    others = [k.value for k, names in _BY_WORD.items() if word in names and k is not kind and word]
    known = ", ".join(u.symbol for u in UNITS[kind] if u.symbol) or "no unit at all"
    what = (
        f"{word!r} is a unit of {others[0]}, and this is a {kind.value}."
        if others
        else f"{word!r} is not a unit known here."
    )
    raise UnitError(what, hint=f"Use {known}.")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit it was written in."""

    number: float
    unit: Unit

    @property
    def si(self) -> float:
        """Value in SI base units."""
        return self.number * self.unit.factor + self.unit.offset


def read_amount(text: str, kind: Kind, default: str) -> Amount:
    """Read ``12.5 mm``; without a unit the default symbol holds.

    Raises
    ------
    UnitError
        Not a number, an unknown unit, or more than one reading.

    Examples
    --------
    >>> round(read_amount("3/8 in", Kind.LENGTH, "mm").si, 6)
    0.009525
    >>> round(read_amount("200 F", Kind.TEMPERATURE, "C").si, 3)
    366.483
    """
    if len(text) > MAX_LENGTH:
        raise UnitError("the text is too long to be a value.", hint="Write a number and a unit, like 12.5 mm.")
    tidy = _tidy(text)
    match = _AMOUNT.fullmatch(tidy)
    if not match:
        lacking = not tidy or tidy in _BY_WORD[kind]
        raise UnitError(
            "there is no number." if lacking else f"{text.strip()!r} is not a number.",
            hint=f"Write a number and a unit, like 12.5 {default}.".replace(" .", "."),
        )
    number = read_number(match["number"])
    if kind in _WHOLE and _THOUSANDS.fullmatch(match["number"].lstrip("+-")):
        raise UnitError(_two_readings(match["number"]), hint="Write it with fewer digits, or without the point.")
    word = match["unit"]
    unit = find_unit(word, kind) if word else find_unit(default, kind)
    amount = Amount(number, unit)
    if not math.isfinite(amount.si):
        raise UnitError(f"{text.strip()!r} is too large to be a real value.", hint="Check the number.")
    return amount


def has_unit(text: str) -> bool:
    """Whether a unit, or what stands in its place, follows the number.

    Examples
    --------
    >>> has_unit("12.5 mm"), has_unit("3/8"), has_unit("12.5")
    (True, False, False)
    """
    match = _AMOUNT.fullmatch(_tidy(text)[:MAX_LENGTH])
    return match is not None and match["unit"] != ""


def from_si(value: float, kind: Kind, symbol: str) -> float:
    """Return an SI value as a number of the unit with this symbol."""
    unit = find_unit(symbol, kind)
    return (value - unit.offset) / unit.factor


def size_from_si(value: float, kind: Kind, symbol: str) -> float:
    """Return an SI difference (a spread) as a number of the unit: temperatures without their zero."""
    return value / find_unit(symbol, kind).factor


def digits(value: float, significant: int = 3) -> str:
    """Write a number with so many significant digits and no exponent where it can be avoided.

    Examples
    --------
    >>> digits(0.012345), digits(1234.5), digits(12.0)
    ('0.0123', '1230', '12')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "-"
    magnitude = math.floor(math.log10(abs(value)))
    if magnitude < -5 or magnitude > 9:
        return f"{value:.{significant - 1}e}"
    rounded = round(value, significant - 1 - magnitude)
    text = f"{rounded:.{max(0, significant - 1 - magnitude)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
