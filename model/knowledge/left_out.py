"""Engines that all but one visit leave, of those that everything left: the visit is let out again, little by little.

Where engines enough are left they are weighed back, each by one over how likely the visit was in it. Else they move as
they did when the facts were let in (`redraw`), round the airs of the first pool, or by the cubic through all that were
solved. Only what that cannot reach is drawn anew from the other facts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from model.checkpoint import Progress, silent
from model.explain.cache import Cache
from model.knowledge.airs import keys_of_air
from model.knowledge.emulate import Emulator
from model.knowledge.facts import Fact, Facts
from model.knowledge.latents import Chain
from model.knowledge.learn import engines_of, facts_key, in_order
from model.knowledge.redraw import FAR, STEPS, FarMover, Mover, different_airs, weights
from model.knowledge.weigh import Engines, parts
from model.physics.values import FloatArray, IndexArray

FEWEST, FEWEST_AIRS = 150.0, 40.0
"""Engines, and airs of theirs, that weighing must leave; with fewer they move."""
FEWEST_MOVED = 30.0
"""Airs of the first pool that moving must leave."""
TRUSTED = 0.1
"""Relative error up to which a cubic tells what engines would do that are solved afterwards anyway."""

_KEPT: Cache[Engines] = Cache(8)


class Left:
    """What everything leaves, asked for again without one visit."""

    def __init__(self, chain: Chain, facts: Facts, mark: int, *, seed: int = 1) -> None:
        self._chain, self._facts, self._mark, self._seed = chain, in_order(facts), mark, seed
        self._emulator: Emulator | None = None

    def without(self, entry: str, rest: Facts, progress: Progress = silent) -> Engines:
        """Return equally likely engines that all but the visit of an entry leave; `rest` is what was found beside."""
        key = (self._chain.key(), facts_key(self._facts), facts_key(rest), self._mark, self._seed)
        return _KEPT.get(key, lambda: self._without(entry, rest, progress))

    def _without(self, entry: str, rest: Facts, progress: Progress) -> Engines:
        if _is_all_but(self._facts, rest, entry):
            engines = engines_of(self._chain, self._facts, self._mark, wanted=frozenset(), seed=self._seed)
            for way in (self._weighed, self._moved, self._moved_far):
                made = way(engines, entry)
                if made is not None:
                    return _only(made, self._facts, in_order(rest))
        return engines_of(self._chain, rest, self._mark, wanted=frozenset(), seed=self._seed, progress=progress)

    def _generator(self, entry: str) -> np.random.Generator:
        return np.random.default_rng([self._seed, 14, *entry.encode()])

    def _weighed(self, engines: Engines, entry: str) -> Engines | None:
        _, own = _apart(engines, self._facts, entry)
        weight = weights(-own)
        airs = np.bincount(engines.air, weights=weight)
        if 1 / (weight**2).sum() < FEWEST or 1 / (airs**2).sum() < FEWEST_AIRS:
            return None
        points = (np.arange(engines.size) + 0.5) / engines.size
        return _rows(engines, np.minimum(np.searchsorted(np.cumsum(weight), points), engines.size - 1))

    def _moved(self, engines: Engines, entry: str) -> Engines | None:
        if engines.airs.known is None:
            return None
        mover = _Mover(engines, self._facts, entry=entry, generator=self._generator(entry))
        mover.temper()
        enough = mover.level >= 1 and different_airs(mover.engines) >= FEWEST_MOVED
        return mover.engines if enough else None

    def _moved_far(self, engines: Engines, entry: str) -> Engines | None:
        pools = engines.airs.pools
        if not pools:
            return None
        if self._emulator is None:
            self._emulator = Emulator(self._chain, self._facts, pools, tuple(keys_of_air(self._chain, self._facts)))
        emulator = self._emulator
        if emulator.missed > TRUSTED:
            return None
        some = np.linspace(0, engines.size - 1, FAR).astype(int)
        numbers = {key: engines.draw(key)[some] for key in emulator.keys}
        mover = _FarMover(_rows(engines, some), numbers, self._facts, emulator, self._generator(entry), entry=entry)
        for _ in range(STEPS):  # what was solved and what the cubic tells differ a little
            mover.move()
        mover.temper()
        return mover.engines


class _Mover(Mover):
    """Engines on their way from what everything leaves to what all but one visit leave, round airs of the pool."""

    def __init__(self, engines: Engines, facts: Facts, *, entry: str, generator: np.random.Generator) -> None:
        self._entry = entry
        super().__init__(engines, facts, generator=generator, free=True)

    def logs(self, engines: Engines) -> tuple[FloatArray, FloatArray]:
        """Return how likely engines are with the visit, and what leaving it out adds, as logarithms, (n,)."""
        return _with_and_less(engines, self.facts, self._entry)


class _FarMover(FarMover):
    """The same by a cubic."""

    def __init__(
        self, engines: Engines, numbers: Mapping[str, FloatArray], facts: Facts, emulator: Emulator,
        generator: np.random.Generator, *, entry: str,
    ) -> None:  # fmt: skip
        self._entry = entry
        super().__init__(engines, numbers, facts, emulator, generator)

    def logs(self, engines: Engines) -> tuple[FloatArray, FloatArray]:
        """As above."""
        return _with_and_less(engines, self.facts, self._entry)


def _with_and_less(engines: Engines, facts: Facts, entry: str) -> tuple[FloatArray, FloatArray]:
    rest, own = _apart(engines, facts, entry)
    return rest + own, -own


def _apart(engines: Engines, facts: Facts, entry: str) -> tuple[FloatArray, FloatArray]:
    """Return how likely all facts but those of an entry are, and those, as logarithms, (n,)."""
    rest, own = np.zeros(engines.size), np.zeros(engines.size)
    for part in parts(engines, facts):
        if part.facts[0].entry == entry:
            own = own + part.chance
        else:
            rest = rest + part.chance
    return rest, own


def _is_all_but(facts: Facts, rest: Facts, entry: str) -> bool:
    """Whether leaving a visit out leaves all other facts as they were, and asks for nothing that was not solved."""
    counted, left = (
        {repr(fact) for fact in (*all_facts.balances, *all_facts.shown, *all_facts.running)}
        for all_facts in (facts, rest)
    )
    own = {repr(fact) for fact in facts.all if fact.entry == entry}
    return left == counted - own


def _place(fact: Fact) -> tuple[int, str, str]:
    return fact.mark, fact.entry, fact.reading


def _rows(engines: Engines, rows: IndexArray) -> Engines:
    shaft = {key: values[rows] for key, values in engines.shaft.items()}
    return replace(engines, air=engines.air[rows], shaft=shaft)


def _only(engines: Engines, facts: Facts, rest: Facts) -> Engines:
    """Return engines with what their airs do at the readings that count alone, in the order of those."""
    at = {_place(fact): over for fact, over in zip(facts.balances, engines.airs.balances, strict=True)}
    balances = tuple(at[_place(fact)] for fact in rest.balances)
    return replace(engines, airs=replace(engines.airs, balances=balances))


__all__ = ["Left"]
