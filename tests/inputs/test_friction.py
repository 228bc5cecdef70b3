"""What is guessed of friction: numbers worked out by hand, and engines whose friction somebody measured."""

from __future__ import annotations

import math

import pytest

from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.quantities.uncertain import Uncertain

DRUM = {
    "layout": "gamma", "piston_bore": "15 mm", "piston_throw": "5.5 mm", "displacer_bore": "144 mm",
    "displacer_throw": "3.5 mm", "hot_metal": "33 C", "cold_metal": "25 C", "wheel_mass": "24 g",
}  # fmt: skip
"""The flat drum of `tests/reference`: 1.944 cm3 of the piston, 114.0 cm3 of the displacer."""
BETA = {"layout": "beta", "piston_bore": "60 mm", "piston_throw": "24 mm", "displacer_throw": "23.5 mm",
        "hot_metal": "425 C", "cold_metal": "27 C", "wheel_mass": "2 kg"}  # fmt: skip
"""The teaching beta: 135.7 cm3."""


def guessed(texts: dict[str, str], name: str) -> tuple[float, float]:
    value = complete_inputs(parse_build(texts).build).values[name]
    assert isinstance(value, Uncertain)
    assert value.low is not None
    assert value.high is not None
    return value.low, value.high


def test_friction_at_rest_is_a_mean_pressure_on_what_piston_and_displacer_sweep() -> None:
    """8 Pa x 1.944 cm3 + 0.3 Pa x 114.0 cm3 = 49.8 uJ a turn; 2.5 kPa and 3 Pa: 5.20 mJ (by hand).

    24 g on a shaft of 0.55 mm radius in a ball bearing, 0.0015: 1.2 uJ a turn; of 1.65 mm in a hole, 0.2: 0.488 mJ.
    """
    low, high = guessed(DRUM, "friction_torque")
    assert low * 2 * math.pi == pytest.approx(50.97e-6, rel=2e-3)
    assert high * 2 * math.pi == pytest.approx(5.690e-3, rel=2e-3)


def test_a_heavier_wheel_in_a_plain_bearing_costs_what_its_weight_does() -> None:
    """100 g more, 0.2 x 9.807 m/s2 x 1.65 mm x 2 pi: 2.03 mJ more a turn (by hand)."""
    light, heavy = (guessed({**DRUM, "wheel_mass": mass}, "friction_torque")[1] for mass in ("24 g", "124 g"))
    assert (heavy - light) * 2 * math.pi == pytest.approx(2.033e-3, rel=2e-3)


def test_a_wide_piston_rubs_by_its_round_as_a_ring_does() -> None:
    """1 and 100 N for each metre of pi x 60 mm, along 2 x 48 mm: 18.1 mJ and 1810 mJ a turn (by hand).

    A seal of 150 N for each metre on a rod of 3 mm, along 2 x 47 mm: 133 mJ; 2 kg in balls: 0.4 and 1.3 mJ.
    """
    low, high = guessed(BETA, "friction_torque")
    assert low * 2 * math.pi == pytest.approx(18.54e-3, rel=2e-3)
    assert high * 2 * math.pi == pytest.approx(1944e-3, rel=2e-3)


@pytest.mark.parametrize(
    ("texts", "at_rest", "each_rpm"),
    [
        pytest.param(DRUM, (0.05e-3, 0.6e-3), (4e-6, 9e-6), id="flat drums"),
        # of 0.74 J at rest a part goes with the air's force and is counted by the field of work that gets through
        pytest.param(BETA, (0.1, 0.74), (5.7e-3, 5.7e-3), id="teaching beta"),
    ],
)
def test_the_ranges_hold_what_was_measured(
    texts: dict[str, str], at_rest: tuple[float, float], each_rpm: tuple[float, float]
) -> None:
    """Indicated less brake work a turn, [J], and what it grows by for each rpm: sources in `tests/reference`."""
    turn = 2 * math.pi
    for name, (least, most), unit in (
        ("friction_torque", at_rest, 1.0), ("speed_drag", each_rpm, turn / 60),
    ):  # fmt: skip
        low, high = guessed(texts, name)
        assert low * turn * unit <= 1.05 * least, name
        assert high * turn * unit >= 0.95 * most, name
