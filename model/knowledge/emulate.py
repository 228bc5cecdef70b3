"""What solved airs would do with other numbers: a polynomial through them, so that engines can go far without a solve.

Of all numbers, and the squares and products of those that matter most, each result takes the few that tell most of it,
one after the other (orthogonal matching pursuit [Pati1993]), as many as leave least with each engine left out in turn.
Engines that were moved by it are solved afterwards, and it is mended by what it got wrong of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import replace

import numpy as np

from model.explain.diagnosis.outcomes import Torque, Turned
from model.knowledge.airs import Airs, Over
from model.physics.values import FloatArray

BENT = 12
"""Numbers whose squares and products count."""
TERMS = 26
"""Terms of one result at most."""
MENDED = 12
"""Terms of a plane by which a result is mended at most."""
FIRST = 4
"""Numbers that a result names for them."""
BEND = 0.1
"""Share of its usual size below which a result is no longer taken by its logarithm: torques pass through nil."""
BEYOND = 0.3
"""Share of the range of what was solved by which a result may lie beyond it: a polynomial runs away outside."""
MOST_AWAY = 4.0
"""Numbers beyond this are taken as this: no polynomial is trusted there."""


class Emulator:
    """A polynomial through solved airs."""

    def __init__(self, airs: Airs, keys: tuple[str, ...]) -> None:
        self.keys = keys
        self._like = airs
        numbers = np.stack([airs.draw(key) for key in keys], axis=1)
        plain = results_of(airs)
        self._bend = BEND * np.maximum(np.median(np.abs(plain), axis=0), 1e-30)
        """Size below which each result is taken as it is, above it by its logarithm."""
        table = np.arcsinh(plain / self._bend)
        low, high = table.min(axis=0), table.max(axis=0)
        self._ends = low - BEYOND * (high - low), high + BEYOND * (high - low)
        self._middle, self._scale = table.mean(axis=0), np.maximum(table.std(axis=0), 1e-12)
        wanted = (table - self._middle) / self._scale
        self._bent = _bent(numbers, wanted)
        self._slopes = _pursued(self._features(numbers), wanted)

    def _features(self, numbers: FloatArray) -> FloatArray:
        held = np.clip(numbers, -MOST_AWAY, MOST_AWAY)
        few = held[:, list(self._bent)]
        many = few.shape[1]
        products = [few[:, a] * few[:, b] - float(a == b) for a in range(many) for b in range(a, many)]
        return np.concatenate([np.ones((len(held), 1)), held, *(p[:, None] for p in products)], axis=1)

    def told(self, numbers: Mapping[str, FloatArray]) -> FloatArray:
        """Return the results of airs with these numbers, bent, (engines, results)."""
        table = np.stack([numbers[key] for key in self.keys], axis=1)
        return np.asarray(self._features(table) @ self._slopes * self._scale + self._middle)

    def airs(self, told: FloatArray, numbers: Mapping[str, FloatArray]) -> Airs:
        """Return airs with these results."""
        values = self._bend * np.sinh(np.clip(told, *self._ends))
        return _filled(self._like, values, numbers.__getitem__)

    def mended(self, airs: Airs) -> Emulator:
        """Return the polynomial less what it gets wrong of these airs, as far as a plane tells that."""
        numbers = {key: airs.draw(key) for key in self.keys}
        wrong = (np.arcsinh(results_of(airs) / self._bend) - self.told(numbers)) / self._scale
        plane = self._features(np.stack([numbers[key] for key in self.keys], axis=1))[:, : 1 + len(self.keys)]
        mended = copy(self)
        mended._slopes = self._slopes.copy()
        slopes = _pursued(plane, wrong, most=MENDED)
        mended._slopes[: len(slopes)] += slopes
        return mended


def _bent(numbers: FloatArray, wanted: FloatArray) -> tuple[int, ...]:
    """Return the numbers that most results depend on most."""
    alike = np.abs(numbers.T @ wanted)
    votes = np.zeros(numbers.shape[1])
    for column in alike.T:
        votes[np.argsort(-column)[:FIRST]] += np.sort(column)[::-1][:FIRST]
    return tuple(np.argsort(-votes)[:BENT].tolist())


def _pursued(features: FloatArray, wanted: FloatArray, *, most: int = TERMS) -> FloatArray:
    """Return the slopes of every result, (features, results)."""
    slopes = np.zeros((features.shape[1], wanted.shape[1]))
    length = np.linalg.norm(features, axis=0)
    unit = features / np.maximum(length, 1e-12)
    for column in range(wanted.shape[1]):
        chosen = _chosen(unit, wanted[:, column], most)
        slopes[chosen, column] = np.linalg.lstsq(features[:, chosen], wanted[:, column], rcond=None)[0]
    return slopes


def _chosen(unit: FloatArray, wanted: FloatArray, most: int) -> list[int]:
    """Return the terms of one result: the constant, then those that tell most of what is left."""
    rows = len(wanted)
    base = np.full((1, rows), rows**-0.5)
    left = wanted - wanted.mean()
    lever = np.full(rows, 1 / rows)
    chosen, best = [0], (float((left**2).mean()), 1)
    for _ in range(min(most, rows // 4)):
        score = np.abs(left @ unit)
        score[chosen] = 0.0
        number = int(score.argmax())
        own = unit[:, number] - base.T @ (base @ unit[:, number])
        size = float(np.linalg.norm(own))
        if size < 1e-6:
            break
        own = own / size
        base = np.concatenate([base, own[None]])
        chosen.append(number)
        left = left - own * (own @ left)
        lever = lever + own**2
        missed = float(((left / np.maximum(1 - lever, 0.05)) ** 2).mean())
        if missed < best[0]:
            best = (missed, len(chosen))
    return chosen[: best[1]]


Change = Callable[[FloatArray], FloatArray]


def _walk(airs: Airs, change: Change) -> Airs:
    """Return airs with every array of results changed, in one order."""

    def of(torque: Torque) -> Torque:
        return replace(torque, gas=change(torque.gas), carried=change(torque.carried))

    def turned(turns: Turned) -> Turned:
        return replace(
            turns,
            hot=of(turns.hot),
            changed={key: of(torque) for key, torque in turns.changed.items()},
            cold=change(turns.cold),
            plain={key: change(values) for key, values in turns.plain.items()},
            push=change(turns.push),
        )

    def over(part: Over) -> Over:
        return replace(part, gas=change(part.gas), carried=change(part.carried))

    return replace(
        airs,
        balances=tuple(over(part) for part in airs.balances),
        curves={mark: over(part) for mark, part in airs.curves.items()},
        turned={mark: turned(part) for mark, part in airs.turned.items()},
    )


def results_of(airs: Airs) -> FloatArray:
    """Return all results as a table, (engines, results)."""
    columns: list[FloatArray] = []

    def note(values: FloatArray) -> FloatArray:
        columns.append(values.reshape(airs.size, -1))
        return values

    _walk(airs, note)
    return np.concatenate([np.zeros((airs.size, 0)), *columns], axis=1)


def _filled(like: Airs, table: FloatArray, draw: Callable[[str], FloatArray]) -> Airs:
    """Return airs whose results stand in a table."""
    at = 0

    def take(values: FloatArray) -> FloatArray:
        nonlocal at
        wide = values.reshape(like.size, -1).shape[1]
        part = table[:, at : at + wide]
        at += wide
        return np.asarray(part.reshape(len(table), *values.shape[1:]))

    return replace(_walk(like, take), size=len(table), draw=draw)


__all__ = ["Emulator", "results_of"]
