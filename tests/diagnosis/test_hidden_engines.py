"""Hidden faults, found by a simulated builder: a glance; ``tests/slow`` and ``python -m tests.diagnosis`` look on."""

from __future__ import annotations

import numpy as np
import pytest

from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.ensemble import sample_ensemble
from tests.diagnosis.bench import cases, hidden
from tests.diagnosis.builds import model_inputs
from tests.diagnosis.report import share_right


def test_three_tests_find_a_hidden_cause_far_more_often_than_guessing() -> None:
    """One fault of each cause in a build, weighed by few engines: in the first two three times as often as by luck."""
    found = cases("can, rubber", each=1, seed=300, strategies=("ours",), turns=8, shafts=2)
    assert len(found) > len(CAUSES) / 2
    assert share_right(found, "ours", tests=3, top=2) > 3 * 2 / len(CAUSES)


@pytest.mark.parametrize("name", ["can, rubber", "flat cup", "beta"])
def test_hidden_engines_are_not_those_of_the_diagnosis(name: str) -> None:
    """The proof would prove nothing if the diagnosis had the hidden engine in its ensemble."""
    ensemble, world = sample_ensemble(model_inputs(name), turns=8, shafts=2), hidden(name, seed=300, turns=8, shafts=2)
    assert not np.isin(world.outcomes["swing_cold"], ensemble.outcomes["swing_cold"]).any()
