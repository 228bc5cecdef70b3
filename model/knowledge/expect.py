"""What a mark would have been expected to do at each of its readings, from all that was found but at that visit.

A reading's own visit shares its model error and the evening's friction with it, and is left out whole (`left_out`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.checkpoint import Progress, silent
from model.explain.cache import Cache
from model.explain.diagnosis.weights import WANDER
from model.knowledge.airs import dense, over_conditions
from model.knowledge.facts import Balance, Facts, facts_of
from model.knowledge.latents import Chain, chain_of, first_numbers
from model.knowledge.learn import facts_key
from model.knowledge.left_out import Left
from model.knowledge.result import Expected
from model.knowledge.weigh import MODEL_ERROR, Engines
from model.physics.values import FloatArray, IndexArray
from model.prediction.predict import outcomes_over
from model.record import Project
from model.running.samples import SampledInputs, normals
from model.running.spread import interval

MANY = 96
"""Engines that are solved under the conditions of a reading."""
FINE = 25
"""Speeds at which a torque is told."""
_KEPT: Cache[tuple[Expected, ...]] = Cache(16)


def expected(project: Project, mark: int, *, seed: int = 1, progress: Progress = silent) -> tuple[Expected, ...]:
    """Return what was to be expected at each speed and brake reading of a mark, its own visit left out.

    Readings of a visit beside which nothing else was found have none: only the drawing tells of them.
    """
    chain = chain_of(project, mark)
    if mark not in chain.inputs:
        return ()
    facts = facts_of(project, chain)
    return _KEPT.get(
        (chain.key(), facts_key(facts), mark, seed), lambda: _expected(project, chain, facts, mark, seed, progress)
    )


def _expected(
    project: Project, chain: Chain, facts: Facts, mark: int, seed: int, progress: Progress
) -> tuple[Expected, ...]:
    own = [fact for fact in facts.balances if fact.mark == mark]
    visits = list(dict.fromkeys(fact.entry for fact in own))
    made: list[Expected] = []
    left = Left(chain, facts, mark, seed=seed)
    for number, entry in enumerate(visits):
        progress(number / len(visits))
        rest = facts_of(project, chain, without=frozenset({entry}))
        if not rest.all:
            continue
        engines = left.without(entry, rest)
        made += [at_reading(chain, engines, fact, seed) for fact in own if fact.entry == entry]
    return tuple(made)


def _some(engines: Engines, weight: FloatArray) -> Engines:
    points = (np.arange(MANY) + 0.5) / MANY
    rows: IndexArray = np.minimum(np.searchsorted(np.cumsum(weight), points), engines.size - 1)
    return replace(engines, air=engines.air[rows], shaft={key: values[rows] for key, values in engines.shaft.items()})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _AtReading:
    """Engines at a reading's conditions, over speeds."""

    inputs: SampledInputs
    speed: FloatArray
    torque: FloatArray
    fluctuation: FloatArray


def at_reading(chain: Chain, engines: Engines, fact: Balance, seed: int) -> Expected:
    """Return what engines do under the conditions of a reading at a visit of its own: middle and ends."""
    values = values_at(chain, engines, fact, seed)
    low, high = interval(values)
    middle = float(np.sort(values)[values.size // 2])
    return Expected(entry=fact.entry, reading=fact.reading, value=middle, low=low, high=high)


def values_at(chain: Chain, engines: Engines, fact: Balance, seed: int) -> FloatArray:
    """Return what each of some engines does there: its free-running speed, nil where it does not run, or its power."""
    if engines.size > MANY:
        engines = _some(engines, np.full(engines.size, 1 / engines.size))
    new = first_numbers(seed + 5, engines.size)

    def draw(key: str) -> FloatArray:
        """Return the numbers of a key; what only the reading says has its own."""
        if key.endswith(f" at {fact.place}"):
            return new(key)
        try:
            return engines.draw(key)
        except KeyError:
            return new(key)

    over = over_conditions(chain, fact, draw)
    fine = np.geomspace(over.speed[0], over.speed[-1], FINE) if fact.load is None else over.speed
    gas, carried = dense(over, fine) if fact.load is None else (over.gas, over.carried)
    inputs = chain.sampled(fact.mark, draw, under=fact.under, place=fact.place)
    gas = gas * np.exp(MODEL_ERROR * normals(seed, f"the model's error at {fact.entry}", engines.size))[:, None]
    wander = np.exp(WANDER * normals(seed, f"friction at {fact.entry}", engines.size))
    inputs = inputs.changed(friction_torque=inputs["friction_torque"] * wander)
    torque = gas - inputs.column("friction_torque") - inputs.column("speed_drag") * fine
    if fact.load is not None:
        return np.asarray(torque[:, 0] * fact.speed)
    then = _AtReading(inputs=inputs, speed=np.tile(fine, (engines.size, 1)), torque=torque, fluctuation=carried)
    return outcomes_over(then, float(fine[FINE // 2]))["free_running_speed"]


__all__ = ["expected", "values_at"]
