"""Measured small engines judge the model: one set of correlations, nothing tuned to a single engine.

Sources stand beside each engine in ``engines.toml``. The bounds are the goals that the project set itself, not what the
model happens to reach; ``python -m tests.reference`` prints every row.
"""

from __future__ import annotations

import statistics
from functools import cache

from tests.reference.engines import Judged, engines, judge, not_judged


@cache
def rows() -> tuple[Judged, ...]:
    """Every measured point against the model; 150 samples tell a probability of a half to 0.04 either way."""
    return tuple(judge(samples=150))


def of(*quantities: str) -> list[Judged]:
    """Rows of some quantities that have a ratio."""
    return [row for row in rows() if row.quantity in quantities and row.ratio is not None]


def test_every_measured_value_is_judged_or_listed_with_its_reason() -> None:
    """Nothing is left out without a word: as many values as the table holds, counted in the table itself."""
    values = [(name, what) for name, engine in engines().items() for point in engine["point"] for what in (
        point["measured"]["quantity"], *point.get("also", {}),
        *(["heat_in"] if "heat_in" in point and point["measured"]["quantity"] == "shaft_power" else []))]  # fmt: skip
    left = not_judged()
    assert sorted([*((row.engine, row.quantity) for row in rows()), *((x.engine, x.quantity) for x in left)]) == sorted(
        values
    )


def test_nine_of_ten_powers_lie_within_a_factor_two_of_measured() -> None:
    ratios = [row.ratio for row in of("shaft_power", "indicated_power") if row.ratio is not None]
    assert sum(0.5 <= ratio <= 2 for ratio in ratios) >= 0.9 * len(ratios)


def test_the_median_power_lies_within_thirty_per_cent_of_measured() -> None:
    ratios = [row.ratio for row in of("shaft_power", "indicated_power") if row.ratio is not None]
    assert 0.7 <= statistics.median(ratios) <= 1.3


def test_nine_of_ten_measured_powers_and_speeds_lie_inside_the_interval() -> None:
    held = [row.inside for row in of("shaft_power", "indicated_power", "free_running_speed", "speed_at_best_power")]
    assert sum(bool(inside) for inside in held) >= 0.9 * len(held)


def test_nine_of_ten_engines_run_or_do_not_as_they_did() -> None:
    told = [row for row in rows() if row.quantity in ("runs", "free_running_speed", "shaft_power")]
    assert sum((row.runs >= 0.5) == row.ran for row in told) >= 0.9 * len(told)


def test_measured_power_is_always_below_the_prediction_without_losses() -> None:
    """The closed form at the metal temperatures is a ceiling for what was measured too."""
    assert all(
        row.ceiling is None or row.measured.value < row.ceiling
        for row in of("shaft_power", "indicated_power")
        if row.measured
    )
