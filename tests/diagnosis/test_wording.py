"""What an ensemble shows, in words that are told apart."""

from __future__ import annotations

import re

import numpy as np
import pytest

from model.explain.diagnosis.bench_tests import bench_test, coast
from model.explain.diagnosis.wording import distinct_edges, expected, shown_value
from model.prediction.figure_table import FIGURES


def test_a_range_whose_ends_read_the_same_is_one_value() -> None:
    travel = bench_test("displacer_travel")
    text = expected(travel, np.array([0.01399, 0.01401]), np.array([1.0, 1.0]))
    assert text == "about 14 mm"


def test_edges_that_read_the_same_are_one() -> None:
    assert distinct_edges([1.0, 1.001, 2.0], ["14 mm", "14 mm", "20 mm"]) == {"14 mm": 1.0, "20 mm": 2.0}


def test_a_coast_that_hardly_ends_has_a_number_too() -> None:
    slowing = 1e-9
    assert coast(slowing=slowing)[0] > 500
    assert shown_value(bench_test("free_cold"), slowing) == "over 500 turns"


@pytest.mark.parametrize("key", FIGURES)
def test_each_figure_has_a_label_that_stands_by_itself(key: str) -> None:
    """ "at" and "Runs until 2.6 h" did not."""
    label = FIGURES[key].label
    assert len(label) > 3
    assert not re.search("(?i)\\buntil$", label)


def test_how_long_it_runs_is_a_time_and_not_an_hour_of_the_day() -> None:
    assert FIGURES["run_time"].label == "Runs for"
