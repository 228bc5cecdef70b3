"""The teaching beta, driven by a motor and kept at room temperature: the one measured engine that lifts heat."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from model.inputs.complete import complete_inputs
from model.running.operate import operate
from model.running.samples import drawn
from tests.reference.engines import build_of, engines

WATER = 293.15
"""Cooling water and room, about, [K]: in at 17.7 C, out 2.5 K warmer."""
SPEED = 287.6 * 2 * math.pi / 60
LIFTED = 4.32 * 5 * 0.91
"""Heat that held the head at the water's temperature, [W]: volts, amperes of a meter in fifths [the record of
`teaching_beta`]."""


def lifted(hot: str, samples: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the heat that the air takes from the head, [W], and the air's mean temperature there, [K]."""
    engine = copy.deepcopy(engines()["teaching_beta"])
    engine["assumed"] |= {"hot_metal": hot, "cold_metal": "20 C"}
    found = complete_inputs(build_of(engine, engine["point"][1]))
    inputs = drawn(found.words, found.values, samples=samples, seed=1)
    operation = operate(inputs, np.full((samples, 1), SPEED), passes=2, angles=32)
    return operation.heat_taken[:, 0], operation.hot_gas[:, 0]


def test_the_beta_driven_as_a_refrigerator_lifts_what_was_measured() -> None:
    """The heater was a filament in the head's air, and what stood at the water's temperature was that air.

    That it hung in the air is from memory of this apparatus. Between two temperatures of the metal that gives the heat,
    each sample's own is found at which the air has the water's.
    """
    (less, cooler), (more, warmer) = lifted("20.2 C", 60), lifted("65 C", 60)
    heat = less + (more - less) * (WATER - cooler) / (warmer - cooler)
    low, middle, high = np.quantile(heat, (0.05, 0.5, 0.95))
    assert pytest.approx(19.66, abs=0.01) == LIFTED
    assert low < LIFTED < high
    assert middle > LIFTED / 2
