"""What solved airs would do with other numbers: a cubic through them, so that engines can go far without a solve.

Each result (the torque at a speed under the conditions of a reading, what a test shows) is taken as a polynomial of the
third degree of the inputs that it depends on, in the form of a kernel: as many coefficients as solved engines, held by
a ridge that predicts each engine best from all others [Rasmussen2006, 4.2.2, 5.4.2]. Inputs of which a result depends
more, by a plane laid through first, count more. Engines that were moved by it are solved afterwards, and weighed by
what it got wrong of them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from model.checkpoint import checkpoint
from model.explain.diagnosis.outcomes import Torque, Turned
from model.knowledge.airs import Airs, Draw, Over
from model.knowledge.facts import Facts
from model.knowledge.latents import Chain
from model.physics.values import FloatArray, IndexArray

EVEN, SQUARES, CUBES = 0.01, 1.2, 0.4
"""What all inputs alike count for beside those that matter, and squares and cubes beside the plane."""
FLATTEST = 0.1
"""Ridge of the plane that tells which inputs matter, over their squares."""
LEAST_WEIGHT = 0.02
"""Weight of an input that hardly matters, over the largest."""
RIDGES = (1e-4, 1e-3, 1e-2, 3e-2, 0.1, 0.3)
BEND = 0.1
"""Share of its usual size below which a result is no longer taken by its logarithm: torques pass through nil."""
BEYOND = 0.3
"""Share of the range of what was solved by which a result may lie beyond it: a polynomial runs away outside."""
MOST_AWAY = 4.0
"""Numbers beyond this are taken as this: no polynomial is trusted there."""


class Emulator:
    """A cubic through solved airs."""

    def __init__(self, chain: Chain, facts: Facts, pools: Sequence[Airs], keys: Sequence[str]) -> None:
        self.keys = tuple(keys)
        self._like = pools[0]
        self._parts = [
            _fitted(part, [part.scores(pool.draw, {}) for pool in pools], [results_of(part.of(pool)) for pool in pools])
            for part in _parts(chain, facts, pools[0])
        ]
        counted = [part.missed for part in self._parts[: len(facts.balances)] or self._parts]
        self.missed = float(np.sort(np.concatenate(counted))[sum(len(c) for c in counted) // 2])
        """What it misses engines of the last pool by, each left out, relative; in the middle of the balances."""

    def told(self, numbers: Mapping[str, FloatArray]) -> FloatArray:
        """Return the results of airs with these numbers, bent, (engines, results)."""
        made: dict[Hashable, Any] = {}
        return np.concatenate([part.told(numbers.__getitem__, made) for part in self._parts], axis=1)

    def airs(self, told: FloatArray, numbers: Mapping[str, FloatArray]) -> Airs:
        """Return airs with these results."""
        made = []
        at = 0
        for part in self._parts:
            own = told[:, at : at + part.bend.size]
            at += part.bend.size
            made.append(_filled(part.part.of(self._like), part.bend * np.sinh(np.clip(own, *part.ends))))
        return replace(
            self._like,
            size=len(told),
            draw=numbers.__getitem__,
            known=None,
            told=True,
            pools=(),
            balances=tuple(over for airs in made for over in airs.balances),
            curves={mark: over for airs in made for mark, over in airs.curves.items()},
            turned={mark: turns for airs in made for mark, turns in airs.turned.items()},
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Part:
    """Results that depend on the same inputs."""

    scores: Callable[[Draw, dict[Hashable, Any]], FloatArray]
    """Inputs of engines, with those remembered that were made before of the same draw."""
    of: Callable[[Airs], Airs]
    """Leaves of airs these results alone."""


def _parts(chain: Chain, facts: Facts, like: Airs) -> Iterator[_Part]:
    for number, fact in enumerate(facts.balances):
        yield _Part(
            scores=lambda draw, made, fact=fact: chain.scores(  # type: ignore[misc]
                fact.mark, draw, under=fact.under, place=fact.place, made=made
            ),
            of=lambda airs, n=number: replace(airs, balances=(airs.balances[n],), curves={}, turned={}),  # type: ignore[misc]
        )
    for mark in sorted({*like.curves, *like.turned}):
        yield _Part(
            scores=lambda draw, made, mark=mark: chain.scores(mark, draw, made=made),  # type: ignore[misc]
            of=lambda airs, mark=mark: replace(  # type: ignore[misc]
                airs,
                balances=(),
                curves={n: over for n, over in airs.curves.items() if n == mark},
                turned={n: turns for n, turns in airs.turned.items() if n == mark},
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fitted:
    """Results of a part as a cubic."""

    part: _Part
    bend: FloatArray
    """Size below which each result is taken as it is, above it by its logarithm."""
    ends: tuple[FloatArray, FloatArray]
    middle: FloatArray
    scale: FloatArray
    solved: FloatArray
    """Inputs of what was solved, (solved, inputs)."""
    weights: FloatArray
    """How much each input matters, (inputs,)."""
    slopes: FloatArray
    """(solved, results)."""
    missed: FloatArray
    """What each engine of the last pool is missed by where it is left out, root mean square, (results,)."""

    def told(self, draw: Draw, made: dict[Hashable, Any]) -> FloatArray:
        """Return bent results of engines."""
        checkpoint()
        there = _kernel(_held(self.part.scores(draw, made)), self.solved, self.weights)
        return np.asarray(there @ self.slopes * self.scale + self.middle)


def _held(scores: FloatArray) -> FloatArray:
    return np.clip(scores, -MOST_AWAY, MOST_AWAY)


def _kernel(these: FloatArray, solved: FloatArray, weights: FloatArray) -> FloatArray:
    alike = these @ (solved * weights**2).T
    return np.asarray(4 * (1 + alike * (1 + alike * (SQUARES / 4 + CUBES / 4 * alike))) + EVEN * (these @ solved.T))


def _fitted(part: _Part, scores: Sequence[FloatArray], results: Sequence[FloatArray]) -> _Fitted:
    checkpoint()
    solved, plain = _held(np.concatenate(scores)), np.concatenate(results)
    bend = BEND * np.maximum(np.median(np.abs(plain), axis=0), 1e-30)
    table = np.arcsinh(plain / bend)
    low, high = table.min(axis=0), table.max(axis=0)
    middle, scale = table.mean(axis=0), np.maximum(table.std(axis=0), 1e-12)
    wanted = (table - middle) / scale
    weights = _weights(solved, wanted)
    values, turned = np.linalg.eigh(_kernel(solved, solved, weights))
    checkpoint()
    rows = turned.T @ wanted
    slopes, best = np.zeros_like(wanted), np.full(wanted.shape[1], np.inf)
    last = np.zeros(wanted.shape[1])
    for ridge in RIDGES:
        share = 1 / (np.maximum(values, 0.0) + ridge)
        these = turned @ (share[:, None] * rows)
        alone = (these / (turned**2 @ share)[:, None]) ** 2
        missed = alone.mean(axis=0)
        slopes = np.where(missed < best, these, slopes)
        last = np.where(missed < best, alone[-len(results[-1]) :].mean(axis=0), last)
        best = np.minimum(missed, best)
    return _Fitted(
        part=part, bend=bend, ends=(low - BEYOND * (high - low), high + BEYOND * (high - low)), middle=middle,
        scale=scale, solved=solved, weights=weights, slopes=slopes,
        missed=np.sqrt(last) * scale,
    )  # fmt: skip


def _weights(solved: FloatArray, wanted: FloatArray) -> FloatArray:
    """Return how much each input matters, by a plane through the results, their squares summing to one."""
    away = solved - solved.mean(axis=0)
    plane = away.T @ np.linalg.solve(away @ away.T + FLATTEST * len(away) / 4 * np.eye(len(away)), wanted)
    steep = np.sqrt((plane**2).mean(axis=1))
    steep = np.maximum(steep, LEAST_WEIGHT * steep.max() + 1e-12)
    return np.asarray(steep / np.sqrt((steep**2).sum()))


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


def joined(pools: Sequence[Airs]) -> Airs:
    """Put pools of airs behind one another."""
    made = _filled(pools[0], np.concatenate([results_of(pool) for pool in pools]))
    return replace(made, draw=lambda key: np.concatenate([pool.draw(key) for pool in pools]), known=None)


def chosen(airs: Airs, rows: IndexArray) -> Airs:
    """Return some of solved airs."""
    made = _filled(airs, results_of(airs)[rows])
    return replace(made, draw=lambda key: airs.draw(key)[rows], known=None)


def _filled(like: Airs, table: FloatArray) -> Airs:
    """Return airs whose results stand in a table."""
    at = 0

    def take(values: FloatArray) -> FloatArray:
        nonlocal at
        wide = values.reshape(like.size, -1).shape[1]
        part = table[:, at : at + wide]
        at += wide
        return np.asarray(part.reshape(len(table), *values.shape[1:]))

    return replace(_walk(like, take), size=len(table))


__all__ = ["Emulator", "chosen", "joined", "results_of"]
