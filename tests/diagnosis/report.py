"""Tables of how soon, how often and how surely the causes are found. Cases count as often as they are met."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from model.explain.diagnosis.causes import CAUSES
from tests.diagnosis.bench import STRATEGIES, TESTS, Case

FloatArray = NDArray[np.float64]


def quantile(values: list[int], weights: list[float], share: float) -> int:
    """Return a weighted quantile."""
    order = np.argsort(values)
    running = np.cumsum(np.array(weights)[order])
    return int(np.array(values)[order][int(np.searchsorted(running, share * running[-1]))])


def of(found: list[Case], strategy: str) -> tuple[list[Case], list[float]]:
    """Return the cases of a strategy and their weights: every build counts alike."""
    mine = [c for c in found if c.strategy == strategy]
    whole = {b: sum(c.weight for c in mine if c.build == b) for b in {c.build for c in mine}}
    return mine, [c.weight / whole[c.build] for c in mine]


def share_right(found: list[Case], strategy: str, *, tests: int, top: int) -> float:
    """Return how often the true cause is among the first `top` after so many tests."""
    mine, weights = of(found, strategy)
    hits = [w for c, w in zip(mine, weights, strict=True) if c.first_after(tests, top)]
    return sum(hits) / sum(weights)


def summary(found: list[Case]) -> Iterator[str]:
    """Yield one line for each order of tests."""
    yield f"{'order':<9} tests to first   to top two     in top two after 1..6 tests     first after 3 | min. of 3"
    for strategy in STRATEGIES:
        mine, weights = of(found, strategy)
        if not mine:
            continue
        parts = []
        for top in (1, 2):
            after = [c.found_after(top) for c in mine]
            low, high = (quantile(after, weights, s) for s in (0.5, 0.9))
            told = f"more than {TESTS}" if high > TESTS else str(high)
            parts.append(f"{low}, 90 %: {told:<5}")
        shares = "  ".join(f"{share_right(found, strategy, tests=n, top=2):.0%}" for n in range(1, 7))
        first = share_right(found, strategy, tests=3, top=1)
        minutes = float(np.average([c.minutes[min(3, len(c.minutes) - 1)] for c in mine], weights=weights))
        yield f"{strategy:<9} {parts[0]:<16} {parts[1]:<14} {shares}    {first:.0%}   {minutes:.0f}"


def reliability(found: list[Case]) -> list[tuple[float, float, float]]:
    """Return stated probability, actual share and weight, in ten classes, over all steps and causes."""
    mine, weights = of(found, found[0].strategy)
    stated, actual, counts = [], [], []
    for case, weight in zip(mine, weights, strict=True):
        for chances in case.chances[1:]:
            for cause, chance in zip(CAUSES, chances, strict=True):
                stated.append(chance)
                actual.append(float(cause.key == case.cause))
                counts.append(weight)
    p, a, w = np.array(stated), np.array(actual), np.array(counts)
    place = np.minimum((p * 10).astype(int), 9)
    rows = []
    for n in range(10):
        here = place == n
        if w[here].sum() > 0:
            means = (float(np.average(v[here], weights=w[here])) for v in (p, a))
            rows.append((*means, float(w[here].sum())))
    return [(row[0], row[1], row[2]) for row in rows]


def calibration(found: list[Case]) -> Iterator[str]:
    """Yield the reliability table."""
    yield "stated   actual   (weight)"
    for stated, actual, weight in reliability(found):
        yield f"{stated:6.0%}   {actual:6.0%}   {weight:8.1f}"


def by_cause(found: list[Case], strategy: str) -> Iterator[str]:
    """Yield how often each cause is in the top two after three tests, and what is put first instead."""
    yield "cause: in top two after 3 tests; first after 3"
    for number, cause in enumerate(CAUSES):
        mine = [c for c in found if c.strategy == strategy and c.cause == cause.key]
        if not mine:
            continue
        top = np.mean([c.first_after(3, 2) for c in mine])
        firsts = [CAUSES[int(np.argmax(c.chances[min(3, len(c.chances) - 1)]))].key for c in mine]
        common = sorted({(firsts.count(k), k) for k in firsts}, reverse=True)[:4]
        own = np.mean([c.first_after(3, 1) for c in mine])
        yield (
            f"  {cause.key:<12} {top:5.0%} {own:5.0%}  {len(mine)}  "
            + ", ".join(f"{k} {n}" for n, k in common)
            + f" #{number}"
        )
