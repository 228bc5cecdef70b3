"""Samples of an uncertain input, and the interval that is read from them."""

from __future__ import annotations

import subprocess
import sys
from random import Random

import numpy as np
import pytest

from model.physics.values import median
from model.quantities.uncertain import Shape, Uncertain
from model.running.samples import drawn, evenly
from model.running.spread import interval, widest
from tests.shell.terminal import ROOT


def test_drawn_numbers_are_equally_likely_everywhere() -> None:
    """Kolmogorov and Smirnov's test as scipy has it; a thousandth, so that one seed of a thousand would fail."""
    from scipy.stats import kstest  # a second to load

    numbers = evenly(Random(3), 20_000)
    assert numbers.min() >= 0
    assert numbers.max() < 1
    assert kstest(numbers, "uniform").pvalue > 1e-3
    assert abs(np.corrcoef(numbers[:-1], numbers[1:])[0, 1]) < 4 / len(numbers) ** 0.5


def test_each_part_of_a_range_is_met_once_and_two_inputs_are_independent() -> None:
    ranges = {name: Uncertain(value=0.5, shape=Shape.FLAT, low=0.0, high=1.0) for name in ("one", "two")}
    inputs = drawn({}, ranges, samples=400, seed=11)
    for name in ranges:
        held = np.clip(inputs[name], 1e-9, 1 - 1e-9)
        low = held > 0.02 * 0.5  # what is drawn is held above 2 % of its best value
        assert sorted(set((held[low] * 400).astype(int))) == list(range(int(min(held[low]) * 400), 400))
    assert abs(np.corrcoef(inputs["one"], inputs["two"])[0, 1]) < 4 / 400**0.5


def test_what_is_drawn_for_one_input_does_not_depend_on_the_others() -> None:
    """A field that the model never reads would else move every interval."""
    wide = Uncertain(value=1.0, spread=0.1)
    alone = drawn({}, {"m": wide}, samples=50, seed=4)
    among = drawn({}, {"a": wide, "m": wide, "z": wide}, samples=50, seed=4)
    assert np.array_equal(alone["m"], among["m"])
    assert not np.array_equal(among["a"], among["z"])
    assert not np.array_equal(alone["m"], drawn({}, {"m": wide}, samples=50, seed=5)["m"])


@pytest.mark.parametrize("samples", [8, 20, 100])
def test_shares_of_the_variance_never_add_to_more_than_the_whole(samples: int) -> None:
    """Few samples are never quite independent: squared correlations of a sum with its parts can exceed one together."""
    wide = Uncertain(value=1.0, spread=0.1)
    for seed in range(60):
        inputs = drawn({}, {"a": wide, "b": wide}, samples=samples, seed=seed)
        shares = [share for _, share in widest(inputs, inputs["a"] + inputs["b"], {})]
        assert sum(shares) <= 1 + 1e-12
        assert shares == sorted(shares, reverse=True)


def test_of_a_sum_of_two_equal_normals_each_has_half_the_variance() -> None:
    """Exact for many samples: the correlation of values is 0.5 ** 0.5, of their ranks 6/pi asin(r/2) = 0.690."""
    wide = Uncertain(value=1.0, spread=0.1)
    inputs = drawn({}, {"a": wide, "b": wide, "c": Uncertain(value=1.0)}, samples=20_000, seed=2)
    found = dict(widest(inputs, inputs["a"] + inputs["b"], {"a": "First", "b": "Second"}))
    assert found == {"First": pytest.approx(0.476, abs=0.01), "Second": pytest.approx(0.476, abs=0.01)}


@pytest.mark.parametrize("count", [1, 2, 3, 19, 100])
def test_an_interval_is_the_quantiles_that_numpy_finds(count: int) -> None:
    values = np.random.default_rng(count).normal(size=count)
    assert interval(values) == pytest.approx(tuple(np.quantile(values, [0.05, 0.95], method="weibull")), rel=1e-12)


def test_a_value_that_does_not_exist_leaves_no_interval() -> None:
    assert all(np.isnan(end) for end in interval(np.array([1.0, np.nan, 2.0])))


@pytest.mark.parametrize("shape", [(1,), (2,), (7,), (4, 5)])
def test_a_median_is_the_one_that_numpy_finds(shape: tuple[int, ...]) -> None:
    values = np.random.default_rng(5).normal(size=shape)
    assert median(values) == pytest.approx(float(np.median(values)), rel=1e-15)


def test_a_prediction_loads_neither_numpy_s_generators_nor_its_masked_arrays() -> None:
    """They cost 8 MB and the time to load them, on a computer that has little of both."""
    code = (
        "import sys\nfrom model.explain.gap import gaps\nfrom model.explain.outlook import whole_outlook\n"
        "from tests.few import draw_few\ndraw_few()\n"
        "from model.store import demo_folder, read_project\n"
        "for name in ('mug', 'two-syringes'):\n"
        "    p = read_project(demo_folder() / f'{name}.toml').project\n"
        "    whole_outlook(p, mark=p.latest.number)\n    gaps(p, mark=p.latest.number)\n"
        "print(sorted({'numpy.random', 'numpy.ma'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"
