"""Of an engine that is only drawn, the one test that would tell most, and what each outcome would mean."""

from __future__ import annotations

import numpy as np
import pytest

from model.explain.diagnosis.bench_tests import bench_test
from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.prediction.first_test import SHOWS, first_test
from model.prediction.predict import predict

CAN = next(start.texts for start in STARTS if start.key == "1")
TESTED = {"friction_torque": "0.3 mN m", "leak_half_time": "8 s", "wheel_mass": "46 g", "hot_metal": "250 C"}


def test_the_test_that_parts_engines_that_run_from_the_others_is_named_with_what_each_outcome_means() -> None:
    grams = np.linspace(1e-4, 1e-3, 100)
    runs = (grams < 4e-4).astype(float)
    shown = {"rim_weight": grams, "leak_down": np.tile([5.0, 6.0], 50)}
    test = first_test(("rim_weight", "leak_down"), shown, runs=runs, spare=-grams, power=2e-3 - grams)
    assert test is not None
    assert test.key == "rim_weight"
    assert not test.alike
    assert test.below == 1.0
    assert test.above < 0.5


def test_where_all_would_run_it_is_the_test_that_tells_most_of_the_power() -> None:
    grams = np.linspace(1e-4, 1e-3, 100)
    test = first_test(("rim_weight",), {"rim_weight": grams}, runs=np.ones(100), spare=-grams, power=2e-3 - grams)
    assert test is not None
    assert test.alike
    assert test.power_below > test.power_above


def test_a_test_that_was_done_is_not_named() -> None:
    grams = np.linspace(1e-4, 1e-3, 100)
    assert first_test((), {"rim_weight": grams}, runs=np.ones(100), spare=-grams, power=grams) is None


def test_a_drawing_alone_leaves_friction_and_leak_untested_and_names_a_test() -> None:
    made = predict(complete_inputs(parse_build(CAN).build), samples=40)
    assert {"rim_weight", "leak_down", "wheel_mass"} <= set(made.untested)
    assert made.first_test is not None
    assert made.first_test.key in made.untested


def test_what_was_typed_is_tested() -> None:
    made = predict(complete_inputs(parse_build({**CAN, **TESTED}).build), samples=40)
    assert made.untested == ()
    assert made.first_test is None


@pytest.mark.parametrize("row", [row for row in SHOWS if row.key not in ("wheel_mass", "hot_metal")])
def test_minutes_are_those_of_the_bench_tests(row: object) -> None:
    key, minutes = row.key, row.minutes  # type: ignore[attr-defined]
    of = {"leak_down": "u_tube_cold"}.get(key, key)
    assert minutes == bench_test(of).minutes
