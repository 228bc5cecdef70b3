"""Values with a spread, after the Guide to the Expression of Uncertainty in Measurement."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.quantities.uncertain import How, Shape, Uncertain, between, normal_quantile


def test_a_rectangular_spread_agrees_with_jcgm_100_4_3_7() -> None:
    """JCGM 100:2008, 4.3.7, example 1: copper between 16.40 and 16.92 (1e-6/C), u = 0.26/sqrt(3) = 0.15 (1e-6/C)."""
    copper = between(16.40, 16.92)
    assert copper.value == pytest.approx(16.66, rel=1e-12)
    assert copper.spread**2 == pytest.approx(22.5e-3, rel=0.005)
    assert round(copper.spread, 2) == 0.15
    assert copper.shape is Shape.FLAT


def test_the_interval_of_jcgm_100_g_1_3_is_returned() -> None:
    """JCGM 100:2008, table G.1: 90 % of a normal value lies within 1.645 spreads, 95.45 % within 2."""
    value = Uncertain(value=10.0, spread=2.0)
    low, high = value.interval(0.90)
    assert (high - low) / 2 == pytest.approx(1.645 * 2.0, rel=2e-4)
    low, high = value.interval(0.9545)
    assert (high - low) / 2 == pytest.approx(2.0 * 2.0, rel=2e-4)


def test_a_flat_value_has_its_interval_between_its_bounds() -> None:
    """Of a rectangular distribution, 90 % lies in the middle nine tenths (JCGM 100:2008, 4.3.7 and G.1.3)."""
    assert between(20.0, 30.0).interval(0.9) == pytest.approx((20.5, 29.5), rel=1e-12)


def test_a_wide_range_has_its_middle_at_the_geometric_mean() -> None:
    """A guess of 1 to 9 has its middle at 3: common practice, no source."""
    wide = between(1.0, 9.0)
    assert wide.shape is Shape.LOG_FLAT
    assert wide.quantile(0.5) == pytest.approx(3.0, rel=1e-12)
    assert wide.value == pytest.approx(3.0, rel=1e-12)


@pytest.mark.parametrize(
    ("percent", "factor"), [(68.27, 1.00), (90, 1.645), (95, 1.960), (95.45, 2.000), (99, 2.576), (99.73, 3.000)]
)
def test_coverage_factors_agree_with_jcgm_100_table_g_1(percent: float, factor: float) -> None:
    """JCGM 100:2008, table G.1, printed to three decimals; the probabilities are rounded too, hence 5e-4."""
    assert normal_quantile((1 + percent / 100) / 2) == pytest.approx(factor, rel=5e-4)


@given(
    low=st.floats(min_value=-1e6, max_value=1e6),
    width=st.floats(min_value=0, max_value=1e6),
    p=st.floats(min_value=0.001, max_value=0.999),
)
def test_no_quantile_of_a_range_leaves_it(low: float, width: float, p: float) -> None:
    """Rounding is relative to the size of the ends."""
    value = between(low, low + width)
    slack = 1e-9 * max(1.0, abs(low), abs(low + width))
    assert low - slack <= value.quantile(p) <= low + width + slack


@given(
    value=st.floats(min_value=1e-6, max_value=1e6),
    ratio=st.floats(min_value=0.0, max_value=1.5),
    a=st.floats(min_value=0.01, max_value=0.99),
    b=st.floats(min_value=0.01, max_value=0.99),
    shape=st.sampled_from([Shape.NORMAL, Shape.LOG_NORMAL]),
)
def test_quantiles_rise_with_probability(value: float, ratio: float, a: float, b: float, shape: Shape) -> None:
    known = Uncertain(value=value, spread=ratio * value, shape=shape)
    first, second = sorted((a, b))
    assert known.quantile(first) <= known.quantile(second)
    if shape is Shape.LOG_NORMAL:
        assert known.quantile(first) > 0


@given(value=st.floats(min_value=1e-3, max_value=1e3), factor=st.floats(min_value=1e-3, max_value=1e3))
def test_scaling_scales_every_quantile(value: float, factor: float) -> None:
    for known in (Uncertain(value=value, spread=value / 10), between(value, 3 * value), between(value, 1.5 * value)):
        scaled = known.scaled(factor)
        for p in (0.05, 0.5, 0.95):
            assert scaled.quantile(p) == pytest.approx(known.quantile(p) * factor, rel=1e-9)


def test_bounds_may_come_in_either_order() -> None:
    assert between(9.0, 3.0) == between(3.0, 9.0)


def test_a_range_of_no_width_is_exact() -> None:
    value = between(4.0, 4.0, how=How.MEASURED)
    assert value.spread == 0.0
    assert value.interval() == (4.0, 4.0)
    assert math.isclose(value.value, 4.0)
