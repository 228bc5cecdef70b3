"""From samples to intervals, and which input widens them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from model.physics.values import FloatArray
from model.running.samples import SampledInputs

COVERAGE = 0.9
"""Probability of every interval shown."""


def interval(values: FloatArray) -> tuple[float, float]:
    """Return the central interval that holds so many of the samples (JCGM 101:2008, 7.7).

    Linear between neighbours, as numpy's quantile, which loads its masked arrays at the first call.
    """
    tail, last = (1 - COVERAGE) / 2, len(values) - 1
    # between order statistics so that the true value lies below one with its probability: k of n stands for k/(n + 1);
    # positions of k/(n - 1) would hold only (n - 1)/(n + 1) of it
    at = np.array([tail * (last + 2) - 1, (1 - tail) * (last + 2) - 1])
    if np.isnan(values).any():
        return float("nan"), float("nan")
    low, high = np.interp(at, np.arange(len(values)), np.sort(values))
    return float(low), float(high)


def widest(
    inputs: SampledInputs, outcome: FloatArray, labels: Mapping[str, str], *, most: int = 3
) -> tuple[tuple[str, float], ...]:
    """Return the inputs that widen an outcome most, with their share of its variance in ranks.

    Squared rank correlation, from independent samples; labels that serve several inputs are added up. Few samples are
    never quite independent: where all shares together come to more than the whole, they are scaled down to it.
    """
    ranked = _ranks(outcome)
    if np.ptp(ranked) == 0:
        return ()
    shares: dict[str, float] = {}
    for name, values in inputs.values.items():
        if np.ptp(values) == 0:
            continue
        r = float(np.corrcoef(_ranks(values), ranked)[0, 1])
        label = labels.get(name, name)
        shares[label] = shares.get(label, 0.0) + r * r
    noise = 4 / len(outcome)
    significant = {label: share for label, share in shares.items() if share > noise}
    whole = max(sum(significant.values()), 1.0)
    return tuple(
        (label, significant[label] / whole)
        for label in sorted(significant, key=lambda label: -significant[label])[:most]
    )


def _ranks(values: FloatArray) -> FloatArray:
    return np.argsort(np.argsort(values)).astype(float)
