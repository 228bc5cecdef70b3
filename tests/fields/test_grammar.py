"""The grammar of a field's text: what builders type, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.bench.reading import ReadingValues
from model.fields import Build, Field, fields_of, is_unknown, problem_of, read_field, show
from model.quantities.uncertain import How, Shape, Uncertain
from model.quantities.units import Kind, UnitError

BUILD = fields_of(Build)
READING = fields_of(ReadingValues)
BORE, METAL, SHARE, PHASE = (
    BUILD["piston_bore"],
    BUILD["hot_metal"],
    BUILD["displacer_offcentre"],
    BUILD["phase"],
)


def read(field: Field, text: str) -> Uncertain:
    value = read_field(field, text)
    assert isinstance(value, Uncertain)
    return value


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("12.5 mm", 12.5),
        ("12.5mm", 12.5),
        ("12,5", 12.5),
        ("3/8 in", 9.525),
        ('3/8"', 9.525),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ("½ in", 12.7),
        ("1.25 cm", 12.5),
        ("0.0125 m", 12.5),
        ("500 thou", 12.7),
        ("12.5 mm measured", 12.5),
        ("12.5 mm +-0.1 measured", 12.5),
        ("12.5 +-0.1 mm", 12.5),
        ("12.5 ± 0.1", 12.5),
        ("12.5 mm +/- 2 %", 12.5),
        ("12.5 mm plus or minus 0.1", 12.5),
        ("12.5 mm give or take 0.1", 12.5),
        ("12.5 mm, measured", 12.5),
        ("12,5, measured", 12.5),
        ("12.5 mm (measured)", 12.5),
        ("12.5 mm, +-0.1, measured", 12.5),
        ("Ø12.5", 12.5),
        ("⌀ 12.5 mm", 12.5),
        ("ø 1/2 in", 12.7),
        ("½″", 12.7),
        ("1/2 ′′", 12.7),
        ("1.500 in", 38.1),
        ("12.500 mm", 12.5),
        ("1.500", 1.5),
    ],
)
def test_lengths_are_read_as_builders_write_them(text: str, millimetres: float) -> None:
    """An inch is 25.4 mm (NIST SP 811, 2008, B.8); the rest is arithmetic."""
    assert read(BORE, text).value == pytest.approx(millimetres / 1000, rel=1e-12)


@pytest.mark.parametrize("text", ["100 mm around", "around 100 mm", "circumference 100 mm", "100 mm circumference"])
def test_a_circumference_gives_a_diameter(text: str) -> None:
    """Diameter is circumference over pi."""
    assert read(BORE, text).value == pytest.approx(0.1 / math.pi, rel=1e-12)


def test_a_circumference_carries_its_spread() -> None:
    value = read(BORE, "100 mm +-2 around measured")
    assert value.spread == pytest.approx(0.001 / math.pi, rel=1e-12)
    assert value.how is How.MEASURED


def test_a_field_that_is_no_diameter_takes_no_circumference() -> None:
    with pytest.raises(UnitError):
        read_field(BUILD["piston_throw"], "100 mm around")


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [("5 g water", 5.0), ("5 g of water", 5.0), ("5 cc", 5.0), ("5 cm3", 5.0), ("5 ml", 5.0), ("5", 5.0)],
)
def test_volumes_may_be_given_by_their_water(text: str, millilitres: float) -> None:
    """One gram of water fills one millilitre to half a per cent between 0 and 30 C (common practice, no source)."""
    assert read(BUILD["dead_volume_cold"], text).value == pytest.approx(millilitres * 1e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "celsius"), [("200 F", 93.3333333333), ("200", 200.0), ("200 C", 200.0), ("400 K", 126.85), ("-40 F", -40)]
)
def test_temperatures_are_read_in_three_scales(text: str, celsius: float) -> None:
    """C = (F - 32)/1.8 and C = K - 273.15 (NIST SP 811, 2008, B.8)."""
    assert read(METAL, text).value - 273.15 == pytest.approx(celsius, rel=1e-9)


def test_a_spread_after_plus_minus_is_two_standard_uncertainties() -> None:
    """JCGM 100:2008, 4.3.3 and G.6.6: an expanded uncertainty without its factor is taken with k = 2."""
    value = read(BORE, "12.5 mm +-0.1")
    assert value.spread == pytest.approx(0.05e-3, rel=1e-12)
    assert value.how is How.MEASURED
    assert value.shape is Shape.NORMAL


@pytest.mark.parametrize(
    ("text", "spread"), [("200 F +- 9", 2.5), ("200 C +- 9 F", 2.5), ("100 C +- 4 %", 2.0), ("200 +- 5", 2.5)]
)
def test_spreads_of_temperatures_are_differences(text: str, spread: float) -> None:
    """One degree Fahrenheit is 5/9 K; per cent of a temperature are per cent of its degrees Celsius."""
    assert read(METAL, text).spread == pytest.approx(spread, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("between 3 and 5 mm", 3, 5),
        ("3 to 5 mm", 3, 5),
        ("5 to 3 mm", 3, 5),
        ("3-5 mm", 3, 5),
        ("3 mm - 5 mm", 3, 5),
        ("3–5 mm", 3, 5),
        ("3..5", 3, 5),
        ("3…5", 3, 5),
        ("3 mm … 5 mm", 3, 5),
        ("Ø3…5", 3, 5),
        ("3 mm to 5", 3, 5),
        ("0.5 in to 1", 12.7, 25.4),
        ("1/2 to 1 in", 12.7, 25.4),
        ("1/2 in to 30 mm", 12.7, 30),
        ("between 3 and 9 mm", 3, 9),
    ],
)
def test_ranges_have_both_ends_in_the_unit_that_was_meant(text: str, low: float, high: float) -> None:
    value = read(BORE, text)
    assert (value.low, value.high) == pytest.approx((low / 1000, high / 1000), rel=1e-12)
    assert value.how is How.GUESSED


@pytest.mark.parametrize(("text", "low", "high"), [("200 F to 250", 200, 250), ("200 to 250 F", 200, 250)])
def test_a_range_of_temperatures_shares_its_scale(text: str, low: float, high: float) -> None:
    value = read(METAL, text)
    ends = [(end - 32) / 1.8 + 273.15 for end in (low, high)]
    assert (value.low, value.high) == pytest.approx(ends, rel=1e-9)


def test_a_rectangular_range_has_the_spread_of_jcgm_100() -> None:
    """JCGM 100:2008, 4.3.7: the half-width over the root of three."""
    assert read(BORE, "between 4 and 6 mm").spread == pytest.approx(1e-3 / math.sqrt(3), rel=1e-12)


@pytest.mark.parametrize(("text", "half"), [("about 200 C", 50.0), ("~ 40 C", 10.0), ("about 0 C", 4.0)])
def test_about_a_temperature_is_a_share_of_its_degrees(text: str, half: float) -> None:
    """A quarter either way, and never less than a thermometer's own spread: common practice, no source."""
    value = read(METAL, text)
    assert value.low is not None
    assert value.high is not None
    assert (value.high - value.low) / 2 == pytest.approx(half, rel=1e-9)


def test_about_stays_within_what_is_possible() -> None:
    value = read(SHARE, "about 95 %")
    assert value.high == pytest.approx(1.0)


def test_about_with_a_spread_is_still_a_guess() -> None:
    assert read(BORE, "about 12 mm +-3").how is How.GUESSED


@pytest.mark.parametrize("text", ["0.5", "1", "0,3", "0.2 to 0.8", "0.5 +- 0.1"])
def test_a_bare_share_of_one_or_less_is_asked_about(text: str) -> None:
    with pytest.raises(UnitError, match="can mean"):
        read_field(SHARE, text)


@pytest.mark.parametrize(
    ("text", "share"),
    [("50", 0.5), ("50 %", 0.5), ("0.5 %", 0.005), ("0.5 of 1", 0.5), ("between 0.2 and 0.8 of 1", 0.4)],
)
def test_shares_are_read_with_and_without_their_sign(text: str, share: float) -> None:
    assert read(SHARE, text).value == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize("text", ["", " ", "?", "??", "  ? "])
def test_not_known_is_no_obstacle(text: str) -> None:
    assert is_unknown(text)
    assert read_field(BORE, text) is None
    assert problem_of(BORE, text) is None


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        (BORE, "abc", "not a number"),
        (BORE, "-3 mm", "not possible"),
        (BORE, "nan", "not a number"),
        (BORE, "inf", "not a number"),
        (BORE, "1e400", "too large"),
        (BORE, "1e300 mm", "not possible"),
        (BORE, "1,500", "can mean 1.5 or 1500"),
        (READING["turns"], "1.500", "can mean 1.5 or 1500"),
        (READING["tachometer"], "1.500 rpm", "can mean 1.5 or 1500"),
        (BUILD["piston_throw"], "Ø12", "diameter"),
        (BORE, "5 g", "unit of mass"),
        (BORE, "5 parsec", "not a unit"),
        (BORE, "mm", "no number"),
        (BORE, "measured", "no number"),
        (BORE, "5 mm +-", "no number"),
        (BORE, "+- 5", "no number"),
        (BORE, "5 mm +- -1", "negative"),
        (BORE, "5 mm +- 5000 mm", "many times"),
        (BORE, "5 mm +- nan", "not a number"),
        (BORE, "between -5 and 10 mm", "not possible"),
        (BORE, "between 5 and 50000 mm", "not possible"),
        (BORE, "9" * 300, "too long"),
        (BORE, "=CMD()", "not a number"),
        (BORE, "\x1b[2J5 mm", "not a number"),
        (PHASE, "4000", "not possible"),
        (BUILD["heat_released"], "30 MW", "million"),
        (METAL, "5000 C", "not possible"),
        (BUILD["layout"], "delta", "not one of the words"),
    ],
)
def test_what_cannot_be_meant_is_flagged_with_its_reason(field: Field, text: str, says: str) -> None:
    problem = problem_of(field, text, "mark.1.build.x")
    assert problem is not None
    assert says in problem.message
    assert problem.value == text
    assert problem.remedy
    assert problem.message.isprintable()
    assert problem.remedy.isprintable()


@pytest.mark.parametrize("text", ["12.5 mm, measured", "12.5 (measured)"])
def test_a_comma_before_how_it_is_known_changes_nothing(text: str) -> None:
    assert read(BORE, text) == read(BORE, "12.5 mm measured")


def test_a_scale_or_a_stopwatch_that_shows_thousandths_is_not_asked() -> None:
    assert read(READING["time"], "31.250 s").value == pytest.approx(31.25)
    assert read(BUILD["wheel_mass"], "1.500 kg").value == pytest.approx(1.5)
    assert read(READING["tachometer"], "1.50 rpm").value == pytest.approx(1.5 * 2 * math.pi / 60)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("gamma", "gamma"),
        ("GAMMA", "gamma"),
        ("Gam", "gamma"),
        ("ringbom ", "ringbom"),
        ("rocking test tube", "rocking"),
    ],
)
def test_words_are_known_by_key_label_and_beginning(text: str, key: str) -> None:
    assert read_field(BUILD["layout"], text) == key


def test_a_beginning_that_fits_two_words_is_refused() -> None:
    with pytest.raises(UnitError, match="not one of the words"):
        read_field(BUILD["hot_end_material"], "st")


@pytest.mark.parametrize(
    ("field", "text", "shown"),
    [
        (BORE, "12.5 mm +-0.1", "12.5 mm +-0.1"),
        (BORE, "between 3 and 9 mm", "between 3 and 9 mm"),
        (BORE, "5 to 5 mm", "5 mm"),
        (BORE, "1/2 in +- 0.1 mm", "12.7 mm +-0.1"),
        (METAL, "212 F +- 9", "100 C +-5"),
        (BUILD["layout"], "rocking", "rocking test tube"),
        (BORE, "?", "?"),
    ],
)
def test_values_are_shown_in_the_unit_of_the_field(field: Field, text: str, shown: str) -> None:
    assert show(read_field(field, text), field) == shown


QUANTITIES = [field for field in (*BUILD.values(), *READING.values()) if field.kind is not None]


@given(field=st.sampled_from(QUANTITIES), text=st.text(max_size=40))
def test_any_text_is_read_or_refused_and_never_more(field: Field, text: str) -> None:
    _read_or_refuse(field, text)


@given(
    field=st.sampled_from(QUANTITIES),
    text=st.from_regex(
        r"(about |between )?[0-9+\-.,/eE%]{1,12} ?(mm|in|C|F|%|g|s)?( ?(\+-|to|and|-|±) ?[0-9.,eE]{1,9} ?(mm|F|%)?)?"
        r"( measured| around)?",
        fullmatch=True,
    ),
)
def test_texts_near_to_the_grammar_are_read_or_refused(field: Field, text: str) -> None:
    _read_or_refuse(field, text)


def _read_or_refuse(field: Field, text: str) -> None:
    """What is read is finite, within its limits and can be sampled; what is not raises our own error."""
    try:
        value: Any = read_field(field, text)
    except UnitError as error:
        assert error.message
        assert error.hint
        return
    if isinstance(value, Uncertain):
        for p in (0.001, 0.5, 0.999):
            assert math.isfinite(value.quantile(p))
        assert value.spread >= 0
        assert show(value, field)


@given(
    number=st.floats(min_value=1.0, max_value=900.0),
    half=st.floats(min_value=0.01, max_value=0.2),
)
def test_what_is_shown_reads_back_within_its_digits(number: float, half: float) -> None:
    """Three digits of the value and two of the spread are shown: half a step of each may be lost."""
    value = read(BORE, f"{number!r} mm +- {100 * half!r} %")
    again = read(BORE, show(value, BORE))
    assert again.value == pytest.approx(value.value, rel=0.006)
    assert again.spread == pytest.approx(value.spread, rel=0.06)


def test_every_quantity_field_has_a_unit_of_its_kind_and_limits_in_order() -> None:
    for field in QUANTITIES:
        assert isinstance(field.kind, Kind)
        low, high = field.limits
        assert low < high
        if field.guess is not None:
            assert low <= field.guess.low <= field.guess.high <= high, field.name


@pytest.mark.parametrize("text", ["3/8", "1/2", "1 1/2", "3/8 drawn"])
def test_a_bare_fraction_of_a_length_is_asked_about(text: str) -> None:
    """It is most often meant in inches: 3/8 mm would be a wire."""
    with pytest.raises(UnitError, match="can mean"):
        read_field(fields_of(Build)["piston_bore"], text)
    assert read_field(fields_of(Build)["piston_bore"], "3/8 in") is not None
