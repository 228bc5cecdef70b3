"""A wheel that nobody weighed is a range, not one that is heavy enough."""

from __future__ import annotations

import pytest

from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.prediction.predict import predict

CAN = next(start.texts for start in STARTS if start.key == "1")


def test_an_unweighed_wheel_is_named_as_a_range_and_makes_the_engine_less_sure() -> None:
    free = complete_inputs(parse_build(CAN).build)
    heavy = complete_inputs(parse_build({**CAN, "wheel_mass": "2 kg"}).build)
    assert "g" in free.assumed["wheel_mass"]
    made, sure = (predict(inputs, samples=40).run_probability for inputs in (free, heavy))
    assert made is not None
    assert sure is not None
    assert made < sure


def test_a_wheel_of_a_hand_weighs_a_compact_disc_at_least() -> None:
    # ECMA-130, 1996: a disc of 120 mm weighs 14 to 33 g
    wheel = complete_inputs(parse_build({**CAN, "wheel_diameter": "120 mm"}).build).values["wheel_mass"]
    assert wheel.low == pytest.approx(0.014)
    assert wheel.high is not None
    assert wheel.high > 0.033


def test_a_wheel_of_a_larger_engine_carries_its_stroke() -> None:
    # common practice, no source: builders fit a wheel that suits the piston
    small = complete_inputs(parse_build(CAN).build).values
    bore = {"displacer_bore": "300 mm", "displacer_throw": "30 mm", "diaphragm_rim": "150 mm", "piston_throw": "30 mm"}
    large = complete_inputs(parse_build({**CAN, **bore}).build).values
    assert large["wheel_diameter"].value == pytest.approx(3 * small["wheel_diameter"].value)
    assert large["wheel_mass"].value > 9 * small["wheel_mass"].value


def test_a_weighed_wheel_stands_as_it_was_typed() -> None:
    wheel = complete_inputs(parse_build({**CAN, "wheel_mass": "46 g"}).build)
    assert wheel.values["wheel_mass"].value == pytest.approx(0.046)
    assert "wheel_mass" not in wheel.assumed
