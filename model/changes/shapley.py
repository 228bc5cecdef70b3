"""What each of several losses takes where one makes room for another: its mean over all orders of counting them."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, permutations

import numpy as np

from model.physics.values import FloatArray

Without = frozenset[str]
"""The losses that are switched off."""


def subsets(losses: tuple[str, ...]) -> tuple[Without, ...]:
    """Return every choice of losses to switch off, all of them first."""
    return tuple(frozenset(chosen) for size in range(len(losses), -1, -1) for chosen in combinations(losses, size))


def by_order(losses: tuple[str, ...], work: Mapping[Without, FloatArray]) -> dict[tuple[str, ...], list[FloatArray]]:
    """Return of every order what each loss takes when it is let in after those before it, (engines,) each.

    Parameters
    ----------
    losses : tuple of str
        Keys.
    work : mapping
        Losses switched off -> work of each engine, (engines,).
    """
    found = {}
    for order in permutations(losses):
        off, taken = frozenset(losses), []
        for loss in order:
            after = off - {loss}
            taken.append(work[off] - work[after])
            off = after
        found[order] = taken
    return found


def shares(losses: tuple[str, ...], work: Mapping[Without, FloatArray]) -> dict[str, tuple[FloatArray, FloatArray]]:
    """Return of each loss its mean over the orders, (engines,), and what it takes in each order, (orders, engines).

    The means add up to what all losses together take, and so does every order [Shapley1953].
    """
    rows: dict[str, list[FloatArray]] = {loss: [] for loss in losses}
    for order, taken in by_order(losses, work).items():
        for loss, values in zip(order, taken, strict=True):
            rows[loss].append(values)
    return {loss: (np.mean(values, axis=0), np.stack(values)) for loss, values in rows.items()}


__all__ = ["by_order", "shares", "subsets"]
