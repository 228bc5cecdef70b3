"""A few engines of a mark, equally likely by all that was found: those on which changes are tried."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from model.checkpoint import Progress, silent
from model.explain.cache import Cache
from model.fields import Build
from model.inputs.model_inputs import ModelInputs
from model.knowledge.airs import dense, start_of
from model.knowledge.facts import Facts, facts_of
from model.knowledge.latents import Chain, at_number, chain_of, first_numbers
from model.knowledge.learn import contradictions_among, engines_of, facts_key, in_order
from model.knowledge.left_out import Left
from model.knowledge.redraw import with_curves
from model.knowledge.weigh import Engines
from model.physics.values import FloatArray, IndexArray
from model.quantities.uncertain import Uncertain
from model.record import Project
from model.running.curve import Curve
from model.running.samples import SampledInputs

FEW = 24
"""Engines that carry a list of changes: their middle and 90 % ends are those of 640 to a tenth of the width
(`tests/changes`)."""
FIRST = 8
"""The first of them, for a first look."""
_KEPT: Cache[FewEngines] = Cache(8)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FewEngines:
    """Engines of a mark as it is; the first `FIRST` of them are spread as evenly as all."""

    mark: int
    chain: Chain
    build: Build
    draw: Callable[[str], FloatArray]
    """Gives the normal numbers of a key, (size,)."""
    size: int
    start: Curve
    """Where their turns begin."""
    learned: bool
    """Whether anything was found that they rest on."""
    here: bool = False
    """Whether some of that was found on this mark itself."""
    note: str = ""
    """Readings that do not count, and those that contradict the others, in sentences."""
    _columns: dict[tuple[str, Uncertain], FloatArray] = field(default_factory=dict)

    @property
    def inputs(self) -> ModelInputs:
        """The mark as typed, guesses completed."""
        return self.chain.inputs[self.mark]

    def sampled(self, under: ModelInputs | None = None) -> SampledInputs:
        """Return the engines, or the same engines with other inputs."""
        inputs = self.inputs if under is None else under
        return SampledInputs(
            words=inputs.words,
            values={name: self._column(name, v) for name, v in inputs.values.items()},
            size=self.size,
        )

    def _column(self, name: str, value: Uncertain) -> FloatArray:
        """Return an input of the engines; remembered, as most changes leave most inputs as they are."""
        if (name, value) not in self._columns:
            z = self.chain.number(self.mark, name, self.draw) if value.spread else None
            self._columns[name, value] = np.full(self.size, value.value) if z is None else at_number(name, value, z)
        return self._columns[name, value]

    def first(self, size: int) -> FewEngines:
        """Return the first of these engines."""
        return FewEngines(
            mark=self.mark,
            chain=self.chain,
            build=self.build,
            draw=lambda key: self.draw(key)[:size],
            size=size,
            start=self.start,
            learned=self.learned,
            here=self.here,
            note=self.note,
        )


def few_engines(
    project: Project, mark: int, *, without: frozenset[str] = frozenset(), seed: int = 1, progress: Progress = silent
) -> FewEngines | None:
    """Return some engines of a mark, equally likely by all that was found on it and before; None where it lacks inputs.

    Parameters
    ----------
    project, mark
        The prototype and its mark.
    without : frozenset
        Keys of entries whose readings and ticks are left out.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done.
    """
    chain = chain_of(project, mark)
    if mark not in chain.inputs:
        return None
    facts = facts_of(project, chain, without=without)

    def make() -> FewEngines:
        fresh, note = first_numbers(seed, FEW), facts.left_out
        if facts.all:
            engines = _left(project, chain, facts, mark, without, seed, progress)
            draw = _chosen(engines, _spread(engines, mark), fresh)
            note = (*note, *contradictions_among(engines, facts))
        else:
            order = _in_turn(np.argsort(fresh("friction_torque")))
            draw = lambda key: fresh(key)[order]  # noqa: E731
        return FewEngines(
            mark=mark,
            chain=chain,
            build=chain.builds[mark],
            draw=draw,
            size=FEW,
            start=start_of(chain.inputs[mark]),
            learned=bool(facts.all),
            here=any(fact.mark == mark for fact in facts.all),
            note=" ".join(note),
        )

    return _KEPT.get((chain.key(), facts_key(facts), mark, seed), make)


def _left(
    project: Project, chain: Chain, facts: Facts, mark: int, without: frozenset[str], seed: int, progress: Progress
) -> Engines:
    """Return engines that the facts leave; where that leaves out one visit, of those that everything left."""
    marks = frozenset({mark})
    if len(without) != 1:
        return engines_of(chain, facts, mark, wanted=marks, seed=seed, progress=progress)
    whole = facts_of(project, chain)
    engines_of(chain, whole, mark, wanted=frozenset(), seed=seed, progress=lambda share: progress(0.6 * share))
    (entry,) = without
    engines = Left(chain, whole, mark, seed=seed).without(entry, facts, lambda share: progress(0.6 + 0.2 * share))
    return with_curves(engines, in_order(facts), marks, seed=seed, progress=lambda share: progress(0.8 + 0.2 * share))


def _chosen(engines: Engines, chosen: IndexArray, fresh: Callable[[str], FloatArray]) -> Callable[[str], FloatArray]:
    """Return what gives the numbers of some engines; of an input that only a change brings, new ones."""

    def draw(key: str) -> FloatArray:
        try:
            return engines.draw(key)[chosen]
        except KeyError:
            return fresh(key)

    return draw


def _spread(engines: Engines, mark: int) -> IndexArray:
    """Return engines spread evenly from the one with least to the one with most torque to spare."""
    over = engines.airs.curves[mark]
    gas, _ = dense(over, over.speed)
    shaft = engines.shafts(mark)
    load = shaft["friction_torque"][:, None] + shaft["speed_drag"][:, None] * over.speed
    order = np.argsort((gas[engines.air] / load).max(axis=1))
    return order[_in_turn((np.arange(FEW) * 2 + 1) * engines.size // (2 * FEW))]


def _in_turn(values: IndexArray) -> IndexArray:
    """Return sorted things in an order of which every beginning is spread evenly."""
    step = FEW // FIRST
    return np.concatenate([values[(step // 2 + k) % step :: step] for k in range(step)])


__all__ = ["FEW", "FIRST", "FewEngines", "few_engines"]
