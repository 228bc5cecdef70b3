"""Hidden faults, found by a simulated builder: a small part of ``python -m tests.diagnosis``."""

from __future__ import annotations

from functools import cache

import numpy as np

from tests.diagnosis.bench import Case, cases
from tests.diagnosis.report import of, reliability, share_right

SMALL = ("can, rubber", "flat cup", "beta")


@cache
def found() -> tuple[Case, ...]:
    """A few hidden faults of every cause in three builds, tested in our order and in the fixed order of builders."""
    both = ("ours", "builders")
    return tuple(
        case for n, name in enumerate(SMALL) for case in cases(name, each=3, seed=300 + 41 * n, strategies=both)
    )


def effective(weights: list[float]) -> float:
    """Return the number of equally weighted cases that scatter as much as these."""
    w = np.array(weights)
    return float(w.sum() ** 2 / (w**2).sum())


def test_the_cause_is_among_the_first_two_after_three_tests() -> None:
    """Goal 90 %; the long run has 85 % (of 849 cases). Here fewer: less three standard deviations."""
    _, weights = of(list(found()), "ours")
    share = share_right(list(found()), "ours", tests=3, top=2)
    assert share > 0.85 - 3 * np.sqrt(0.85 * 0.15 / effective(weights))


def test_fewer_tests_are_needed_than_in_the_fixed_order_of_builders() -> None:
    """Same faults and same inference, so that only the order differs; in the long run 85 % against 72 %.

    The difference of two shares of one set of faults scatters by less than 0.06 here: it must at least be above nil.
    """
    all_ = list(found())
    ours, builders = (share_right(all_, order, tests=3, top=2) for order in ("ours", "builders"))
    assert ours > builders
    means = []
    for order in ("ours", "builders"):
        mine, weights = of(all_, order)
        means.append(float(np.average([c.found_after(2) for c in mine], weights=weights)))
    assert means[0] < means[1]


def test_probabilities_are_calibrated() -> None:
    """Within 10 points in the long run; here each class may scatter by three binomial standard deviations more.

    A class's weight counts every step of a case; steps of one case go together, so that its cases are the fifth part.
    """
    mine = [c for c in found() if c.strategy == "ours"]
    _, weights = of(mine, "ours")
    per_case = effective(weights) / sum(weights)
    for stated, actual, weight in reliability(mine):
        many = max(weight * per_case / 5, 1.0)
        assert abs(stated - actual) < 0.1 + 3 * np.sqrt(stated * (1 - stated) / many), (stated, actual)
