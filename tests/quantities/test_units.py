"""Numbers and units as builders write them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.quantities.units import (
    UNITS,
    Kind,
    UnitError,
    digits,
    find_unit,
    from_si,
    read_amount,
    read_number,
    size_from_si,
)

EXACT = [
    # National Institute of Standards and Technology, SP 811 (2008), Appendix B.8; those in bold there are exact.
    (Kind.LENGTH, "1 in", 0.0254),
    (Kind.LENGTH, "1 ft", 0.3048),
    (Kind.LENGTH, "1 mil", 2.54e-5),
    (Kind.AREA, "1 in2", 6.4516e-4),
    (Kind.VOLUME, "1 in3", 1.6387064e-5),
    (Kind.MASS, "1 lb", 0.45359237),
    (Kind.FORCE, "1 kgf", 9.80665),
    (Kind.PRESSURE, "1 atm", 101325.0),
    (Kind.PRESSURE, "1 bar", 1e5),
    (Kind.PRESSURE, "1 mbar", 100.0),
    (Kind.TIME, "1 h", 3600.0),
]
ROUNDED = [
    # The same table; seven digits are printed there, hence the tolerance.
    (Kind.VOLUME, "1 fl oz", 2.957353e-5),
    (Kind.MASS, "1 oz", 2.834952e-2),
    (Kind.PRESSURE, "1 inHg", 3.386389e3),
    (Kind.PRESSURE, "1 mmHg", 1.333224e2),
    (Kind.PRESSURE, "1 cmH2O", 9.80665e1),
    (Kind.FORCE, "1 ozf", 2.780139e-1),
    (Kind.ANGLE, "1 deg", 1.745329e-2),
    (Kind.ROTATION, "1 rpm", 1.047198e-1),
]


@pytest.mark.parametrize(("kind", "text", "value"), EXACT)
def test_exact_units_agree_with_nist_sp_811(kind: Kind, text: str, value: float) -> None:
    """NIST Special Publication 811 (2008), appendix B.8; exact factors, so only rounding is left."""
    assert read_amount(text, kind, "").si == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(("kind", "text", "value"), ROUNDED)
def test_rounded_units_agree_with_nist_sp_811(kind: Kind, text: str, value: float) -> None:
    """NIST Special Publication 811 (2008), appendix B.8, printed to seven digits; hence 5e-7."""
    assert read_amount(text, kind, "").si == pytest.approx(value, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("0 C", 273.15), ("32 F", 273.15), ("212 F", 373.15), ("-40 F", 233.15), ("-40 C", 233.15), ("300 K", 300.0)],
)
def test_temperatures_agree_with_their_fixed_points(text: str, kelvin: float) -> None:
    """Definition of the degree Celsius (BIPM, SI Brochure, 9th edition, 2019, 2.3.1) and of Fahrenheit on it."""
    assert read_amount(text, Kind.TEMPERATURE, "C").si == pytest.approx(kelvin, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12.5", 12.5),
        ("1,5", 1.5),
        (",5", 0.5),
        (".5", 0.5),
        ("5.", 5.0),
        ("3/8", 0.375),
        ("1 3/8", 1.375),
        ("1-3/8", 1.375),
        ("-1/4", -0.25),
        ("½", 0.5),
        ("1½", 1.5),
        ("2 ¾", 2.75),
        ("2.4e-3", 0.0024),
        ("1,5E2", 150.0),
        ("−3", -3.0),
        ("+7", 7.0),
        ("0,500", 0.5),
        ("12,3456", 12.3456),
        ("  8  ", 8.0),
    ],
)
def test_numbers_are_read_as_written(text: str, number: float) -> None:
    """What the marks mean is arithmetic; decimal comma and fractions after the usage of the trade."""
    assert read_number(text) == pytest.approx(number, rel=1e-15)


@pytest.mark.parametrize("text", ["1,500", "25,000", "-1,234", "999,999"])
def test_a_comma_before_three_digits_is_asked_about(text: str) -> None:
    with pytest.raises(UnitError, match="can mean"):
        read_number(text)


@pytest.mark.parametrize(
    "text",
    ["", " ", "abc", "nan", "inf", "-inf", "1e400", "1/0", "0x10", "1_000", "1.2.3", "1,2,3", "1.500,5", "1 500",
     "5 5", "--5", "5-", "e5", "/", "1/", "/2", "1//2", "9" * 500, "²", "Ⅻ", "\x1b[1m5", "5\x00"],
)  # fmt: skip
def test_what_is_no_number_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_number(text)
    assert caught.value.message
    assert caught.value.hint
    assert str(caught.value).isprintable()


def test_a_unit_of_another_kind_is_named() -> None:
    with pytest.raises(UnitError, match="unit of mass, and this is a length"):
        find_unit("kg", Kind.LENGTH)


@pytest.mark.parametrize(("word", "kind"), [("MW", Kind.POWER), ("MN", Kind.FORCE), ("MN m", Kind.TORQUE)])
def test_a_million_is_never_taken_for_a_thousandth(word: str, kind: Kind) -> None:
    with pytest.raises(UnitError, match="million"):
        find_unit(word, kind)


@pytest.mark.parametrize(("word", "kind", "symbol"), [("MM", Kind.LENGTH, "mm"), ("Inch", Kind.LENGTH, "in"),
                                                      ("f", Kind.TEMPERATURE, "F"), ("RPM", Kind.ROTATION, "rpm"),
                                                      ("in.", Kind.LENGTH, "in"), ("L", Kind.VOLUME, "l"),
                                                      ("mw", Kind.POWER, "mW")])  # fmt: skip
def test_units_are_known_in_other_letters(word: str, kind: Kind, symbol: str) -> None:
    assert find_unit(word, kind).symbol == symbol


def test_no_word_names_two_units_of_one_kind() -> None:
    for kind, units in UNITS.items():
        words = [word for unit in units for word in (unit.symbol, *unit.also)]
        assert len(words) == len(set(words)), kind


@given(
    number=st.floats(min_value=-1e9, max_value=1e9, allow_nan=False),
    kind=st.sampled_from(list(Kind)),
    data=st.data(),
)
def test_every_unit_goes_to_si_and_back(number: float, kind: Kind, data: st.DataObject) -> None:
    """Rounding is relative to the larger of the number and the unit's offset; below 1e-300 numbers lose digits."""
    unit = data.draw(st.sampled_from(UNITS[kind]))
    amount = read_amount(f"{number!r} {unit.symbol}", kind, unit.symbol)
    scale = max(abs(number), abs(unit.offset / unit.factor))
    assert from_si(amount.si, kind, unit.symbol) == pytest.approx(number, rel=1e-12, abs=1e-12 * scale + 1e-300)


@given(text=st.text(max_size=60))
def test_any_text_is_a_finite_number_or_a_refusal(text: str) -> None:
    for kind in (Kind.LENGTH, Kind.TEMPERATURE, Kind.FRACTION):
        try:
            amount = read_amount(text, kind, UNITS[kind][0].symbol)
        except UnitError as error:
            assert error.message
        else:
            assert math.isfinite(amount.si)


@given(text=st.from_regex(r"[0-9+\-.,/eE 'in°½mm]{0,40}", fullmatch=True))
def test_texts_near_to_numbers_are_read_or_refused(text: str) -> None:
    try:
        assert math.isfinite(read_amount(text, Kind.LENGTH, "mm").si)
    except UnitError as error:
        assert error.hint


def test_a_difference_of_temperatures_knows_no_zero() -> None:
    """One kelvin is 1.8 degrees Fahrenheit (NIST SP 811, 2008, B.8)."""
    assert size_from_si(1.0, Kind.TEMPERATURE, "F") == pytest.approx(1.8, rel=1e-12)


@given(value=st.floats(min_value=1e-4, max_value=1e8), significant=st.integers(min_value=1, max_value=6))
def test_digits_keep_what_they_promise(value: float, significant: int) -> None:
    """Half a step of the last digit is the most that rounding may cost."""
    text = digits(value, significant)
    assert "e" not in text
    step = 10.0 ** (math.floor(math.log10(value)) + 1 - significant)
    assert abs(float(text) - value) <= 0.5 * step * (1 + 1e-9)


def test_what_is_not_finite_has_no_digits() -> None:
    assert digits(math.nan) == digits(math.inf) == "-"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("1.234,5", "1234.5"),
        ("1,234.5", "1234.5"),
        ("1.234,567", "1234.567"),
        ("-1.234.567", "-1234567"),
        ("12'345", "12345"),
        ("1 234,5", "1234.5"),
    ],
)
def test_digits_in_groups_are_told_as_they_are_to_be_written(text: str, wanted: str) -> None:
    """Groups of three with one sign, decimals behind another: the usage of English, German and Swiss."""
    with pytest.raises(UnitError) as caught:
        read_number(text)
    assert caught.value.hint == f"Write {wanted}."
    assert math.isfinite(read_number(wanted))


def test_digits_with_signs_in_no_order_are_refused_without_a_guess() -> None:
    with pytest.raises(UnitError, match="signs between") as caught:
        read_number("12.34.56")
    assert "one point or comma only" in caught.value.hint
