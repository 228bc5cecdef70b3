"""Speed and brake power from readings, against printed rope-brake examples and the law of propagation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.bench.quantities import brake_torque, speed_of
from model.bench.reading import ReadingValues, measured_of
from model.fields import parse_fields
from model.quantities.uncertain import Uncertain


def reading(**texts: str) -> ReadingValues:
    values, problems = parse_fields(ReadingValues, texts)
    assert not problems
    return values


def test_speed_from_turns_over_time() -> None:
    """50 turns in 30 s are 100 rpm (by hand)."""
    found = speed_of(reading(kind="speed", turns="50", time="30 s"))
    assert found is not None
    assert found.value == pytest.approx(100 * 2 * math.pi / 60)


def test_a_tachometer_goes_before_turns() -> None:
    found = speed_of(reading(kind="speed", turns="50", time="30 s", tachometer="120 rpm"))
    assert found is not None
    assert found.value == pytest.approx(4 * math.pi)


@pytest.mark.parametrize("texts", [{}, {"turns": "50"}, {"time": "30 s"}, {"turns": "0", "time": "30 s"}])
def test_no_speed_without_both_turns_and_time(texts: dict[str, str]) -> None:
    assert speed_of(reading(kind="speed", **texts)) is None
    assert measured_of(reading(kind="speed", **texts)) is None


# drum and rope diameter [m], weight and spring [N], speed [rpm], printed power [W]
ROPE_BRAKES = (
    pytest.param(0.6, 0.026, 200, 30, 450, 2.51e3, id="Rajput, Internal Combustion Engines 2005, ch. 17, example a"),
    # brake power printed as 0.29 kg/kWh at 4.2 kg/h: 14.5 kW, two digits
    pytest.param(0.75, 0.05, 400, 50, 1000, 4.2e3 / 0.29, id="Rajput 2005, ch. 17, example b"),
    # mechanical efficiency printed as 63.59 % of 51.68 kW
    pytest.param(1.2, 0.02, 1370, 145, 420, 0.6359 * 51.68e3, id="Rajput 2005, ch. 17, example c"),
)


@pytest.mark.parametrize(("drum", "rope", "tight", "slack", "rpm", "printed"), ROPE_BRAKES)
def test_brake_power_agrees_with_printed_rope_brakes(
    drum: float, rope: float, tight: float, slack: float, rpm: float, printed: float
) -> None:
    """The radius is half of drum and rope together; tolerance: half a unit of the last printed digit (b: 0.29)."""
    found = measured_of(
        reading(kind="brake", force_tight=f"{tight} N", force_slack=f"{slack} N", radius=f"{(drum + rope) / 2} m",
                tachometer=f"{rpm} rpm")
    )  # fmt: skip
    assert found is not None
    assert found.quantity == "shaft_power"
    assert found.value == pytest.approx(printed, rel=0.02 if drum == 0.75 else 2e-3)


def test_torque_agrees_with_a_printed_brake_arm() -> None:
    """Ramalingam, Internal Combustion Engines, example 7.1: 110 kg at 0.9 m, 971.2 N m, and 152.5 kW at 1500 rpm.

    The book takes 9.81 m/s^2, 0.03 % more than standard gravity.
    """
    texts = {"kind": "brake", "force_tight": "110 kg", "radius": "0.9 m", "tachometer": "1500 rpm"}
    torque = brake_torque(reading(**texts))
    assert torque is not None
    assert torque.value == pytest.approx(971.2, rel=5e-4)
    power = measured_of(reading(**texts))
    assert power is not None
    assert power.value == pytest.approx(152.5e3, rel=5e-4)


def test_torque_agrees_with_a_double_spring_brake() -> None:
    """Joel, Basic Engineering Thermodynamics, example 17.2: 136 kg less 90 N at 0.375 m, 466.6 N m.

    The book takes 9.81 m/s^2, 0.03 % more than standard gravity.
    """
    found = brake_torque(reading(kind="brake", force_tight="136 kg", force_slack="90 N", radius="0.375 m"))
    assert found is not None
    assert found.value == pytest.approx(466.6, rel=1e-3)


def test_a_lifted_weight_is_its_rate_of_work() -> None:
    """50 g raised by 0.5 m in 4 s is 0.0613 W (by hand): one turn of a drum of 0.5 m circumference in 4 s."""
    radius = 0.5 / (2 * math.pi)
    found = measured_of(reading(kind="brake", force_tight="50 g", radius=f"{radius} m", turns="1", time="4 s"))
    assert found is not None
    assert found.value == pytest.approx(0.0613, rel=1e-3)


@pytest.mark.parametrize("lacks", ["force_tight", "radius", "speed"])
def test_an_incomplete_brake_reading_measures_nothing(lacks: str) -> None:
    texts = {"force_tight": "20 g", "radius": "30 mm", "tachometer": "200 rpm"}
    del texts["tachometer" if lacks == "speed" else lacks]
    assert measured_of(reading(kind="brake", **texts)) is None


@pytest.mark.parametrize("kind", ["temperatures", "free_turns", "bounce", "piston_drop", "leak_down", "rim_weight"])
def test_other_kinds_are_no_speed_and_no_power(kind: str) -> None:
    texts = {"turns": "12", "time": "8 s", "weight": "2 g", "radius": "50 mm", "force_tight": "3 g"}
    assert measured_of(reading(kind=kind, **texts)) is None


def values(relative: float) -> ReadingValues:
    """A brake reading all of whose parts have the same relative standard uncertainty, forces far apart."""

    def known(value: float) -> Uncertain:
        return Uncertain(value=value, spread=relative * value)

    return ReadingValues(
        kind="brake", force_tight=known(0.4), force_slack=known(0.1), radius=known(0.03), turns=known(60.0),
        time=known(20.0),
    )  # fmt: skip


def test_spread_of_power_is_the_law_of_propagation_and_agrees_with_monte_carlo() -> None:
    """JCGM 100:2008 eq. 10, written out by hand for P = (F1 - F2) r 2 pi n/t, and 10^5 draws of the same (JCGM 101).

    Monte Carlo and first order differ in the second order of 2 %, 0.1 %, and by the 0.3 % of so many draws: 1.5 %.
    """
    relative = 0.02
    found = measured_of(values(relative))
    assert found is not None
    power = 0.3 * 0.03 * 2 * math.pi * 60 / 20
    of_force = math.hypot(0.4, 0.1) / 0.3
    assert found.value == pytest.approx(power, rel=1e-12)
    assert found.spread == pytest.approx(power * relative * math.sqrt(of_force**2 + 3), rel=1e-9)
    rng = np.random.default_rng(1)
    tight, slack, radius, turns, time = (
        m * (1 + relative * rng.standard_normal(100_000)) for m in (0.4, 0.1, 0.03, 60.0, 20.0)
    )
    drawn = (tight - slack) * radius * 2 * np.pi * turns / time
    assert found.spread == pytest.approx(float(drawn.std()), rel=0.015)


def test_counting_and_the_watch_give_the_spread_that_builders_know() -> None:
    """60 turns in 60 s, half a turn and 0.3 s: 1 % (0.83 % and 0.5 % as a root of squares)."""
    found = speed_of(reading(kind="speed", turns="60", time="60 s"))
    assert found is not None
    assert found.spread / found.value == pytest.approx(math.hypot(0.5 / 60, 0.3 / 60), rel=1e-9)
    assert found.spread / found.value == pytest.approx(0.01, rel=0.05)


def test_more_turns_in_the_same_manner_are_known_better() -> None:
    spreads = []
    for turns in (10, 20, 40, 80):
        found = speed_of(reading(kind="speed", turns=str(turns), time=f"{turns / 2} s"))
        assert found is not None
        spreads.append(found.spread / found.value)
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[0] / spreads[-1] == pytest.approx(8)
