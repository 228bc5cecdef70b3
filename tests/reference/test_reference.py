"""Measured small engines judge the model: one point of each. ``tests/slow`` judges by all points, with intervals.

Sources stand beside each engine in ``engines.toml``. The bounds are the goals that the project set itself.
"""

from __future__ import annotations

import statistics

from tests.reference.engines import engines, judge


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
