"""What took long is kept by what it depends on, and by nothing less."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from model.explain.cache import Cache, key_of
from model.explain.diagnosis import ensemble as ensemble_module
from model.explain.diagnosis.ensemble import sample_ensemble
from tests.diagnosis.builds import model_inputs


def test_the_oldest_is_let_go_and_what_is_used_stays() -> None:
    kept = Cache[int](2)
    made = []

    def make(value: int) -> int:
        made.append(value)
        return value

    for value in (1, 2, 1, 3, 1, 2):
        assert kept.get(value, lambda value=value: make(value)) == value  # type: ignore[misc]
    assert made == [1, 2, 3, 2]


def test_an_ensemble_is_made_once_for_the_same_build_and_anew_for_every_other() -> None:
    one = model_inputs("can, rubber")
    told: list[float] = []
    first = sample_ensemble(one, turns=8, shafts=2, seed=7, progress=told.append)
    assert told == sorted(told)
    assert 0 < told[0] < told[-1] < 1
    told.clear()
    assert sample_ensemble(model_inputs("can, rubber"), turns=8, shafts=2, seed=7, progress=told.append) is first
    assert told == []
    name, value = next((n, v) for n, v in one.values.items() if n == "side_clearance")
    for other in (
        replace(one, values={**one.values, name: replace(value, value=1.01 * value.value)}),
        replace(one, values={**one.values, name: replace(value, spread=value.spread + 1e-5)}),
        replace(one, words={**one.words, "cold_side": "ice"}),
    ):
        assert key_of(other) != key_of(one)
    assert sample_ensemble(one, turns=8, shafts=2, seed=8) is not first


def test_what_is_remembered_cannot_be_written_over() -> None:
    ensemble = sample_ensemble(model_inputs("can, rubber"), turns=8, shafts=2, seed=7)
    with pytest.raises(ValueError, match="read-only"):
        ensemble.weight[0] = 1.0
    assert np.isclose(ensemble.weight.sum(), 1.0)


def test_a_work_that_nobody_waits_for_ends_and_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ensemble_module, "_ENSEMBLES", Cache(2))

    class Enough(Exception):
        pass

    def stop(share: float) -> None:
        raise Enough

    with pytest.raises(Enough):
        sample_ensemble(model_inputs("can, rubber"), turns=8, shafts=2, seed=9, progress=stop)
    assert sample_ensemble(model_inputs("can, rubber"), turns=8, shafts=2, seed=9).weight.size
