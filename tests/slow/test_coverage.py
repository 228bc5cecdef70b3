"""Intervals hold the truth as often as they say, on engines made up."""

from __future__ import annotations

import math

from tests.predict.coverage import KEYS, count


def test_the_90_percent_interval_holds_about_nine_of_ten_true_engines() -> None:
    """8 builds of 50 true engines each; 1,000 by ``python -m tests.predict.coverage``.

    Counts of one build share an interval whose ends are quantiles of 100 samples: each end has a standard error of
    sqrt(0.05 0.95/100) = 2.2 % in probability if the samples were independent, both 3.1 %, over 8 builds 1.1 %. The
    true engines add sqrt(0.9 0.1/400) = 1.5 %; together 1.9 %. Three of these.
    """
    total, engines = count(truths=50, builds=8)
    assert engines == 400
    error = 3 * math.hypot(0.031 / math.sqrt(8), math.sqrt(0.09 / engines))
    for key in KEYS:
        assert 0.9 - error < total[key] / engines < 0.9 + error, key
