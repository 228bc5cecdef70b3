"""Measured small engines judge the model: one point of each. ``tests/slow`` judges by all points, with intervals.

Sources stand beside each engine in ``engines.toml``. The bounds are the goals that the project set itself.
"""

from __future__ import annotations

import math
import statistics

import pytest

from model.quantities.units import Kind
from tests.reference.engines import build_of, engines, judge, not_judged, read


def test_what_is_left_out_is_listed_with_its_reason() -> None:
    reasons = {each.engine: each.reason for each in not_judged()}
    assert reasons["transparent_gamma"].startswith("its source does not say: ")
    assert "cylinder bore" in reasons["transparent_gamma"].lower()
    assert "another gas" in reasons["lever_beta_helium"]
    assert reasons["teaching_beta"] == "friction_work is no figure of the model"
    assert {name for name, engine in engines().items() if engine["role"] != "judge"} <= set(reasons)


def test_what_follows_from_the_source_is_filled_in() -> None:
    """A throw is the swept volume over twice the piston's area; a hot metal is the cold one and their difference."""
    glass = build_of(engines()["transparent_gamma"], engines()["transparent_gamma"]["point"][0])
    assert glass.piston_throw is not None
    assert glass.piston_bore is not None
    area = math.pi / 4 * glass.piston_bore.value**2
    assert 2 * glass.piston_throw.value * area == pytest.approx(12e-6, rel=1e-9)
    solar = build_of(engines()["solar_flat_86mm"], engines()["solar_flat_86mm"]["point"][0])
    assert solar.hot_metal is not None
    assert solar.cold_metal is not None
    assert solar.hot_metal.value - solar.cold_metal.value == pytest.approx(
        read(Kind.DIFFERENCE, "K", "between 30 and 70 K").value
    )


def test_twenty_points_and_eight_engines_judge_the_model() -> None:
    judging = {name for name, engine in engines().items() if engine.get("role") == "judge"}
    assert len(judging) >= 8
    assert sum(len(engines()[name]["point"]) for name in judging) >= 20


def test_powers_of_the_first_points_lie_within_a_factor_two_of_measured_and_their_median_within_thirty_per_cent() -> (
    None
):
    rows = judge(samples=1, points=1)
    ratios = [row.ratio for row in rows if row.quantity in ("shaft_power", "indicated_power") and row.ratio is not None]
    assert len(ratios) >= 8
    assert sum(0.5 <= ratio <= 2 for ratio in ratios) >= 0.9 * len(ratios)
    assert 0.7 <= statistics.median(ratios) <= 1.3
