"""What a new finding says at once: the engines that were left before it, weighed by what changed.

What a mark has shown is worked out anew from everything, so that it does not matter when what was typed; that takes
seconds. Until then the engines of before tell, where enough of them fit: only what is new is solved for them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from model.knowledge.airs import around, in_tests
from model.knowledge.facts import Facts, facts_of
from model.knowledge.latents import Chain, chain_of, first_numbers
from model.knowledge.learn import in_order, is_known, latest_of, predicted, taking_part
from model.knowledge.origins import unknowns_of
from model.knowledge.redraw import used_alone, weights
from model.knowledge.result import Knowledge
from model.knowledge.weigh import Engines, log_likelihood
from model.physics.values import FloatArray
from model.record import Project

MOST = 72
"""Airs for which what is new is solved."""
FEWEST, FEWEST_AIRS = 40.0, 10.0
"""Engines, and airs of theirs, that weighing must leave; with fewer there is no first look."""


def first_look(project: Project, mark: int, *, seed: int = 1) -> Knowledge | None:
    """Return what the engines say that were left before the newest finding; None where they cannot or need not."""
    chain = chain_of(project, mark)
    known = latest_of(chain, mark, seed=seed) if mark in chain.inputs else None
    facts = in_order(facts_of(project, chain))
    if known is None or not facts.all or is_known(chain, facts, mark, seed=seed):
        return None
    was, engines = known
    if not {fact.mark for fact in facts.running} <= engines.airs.curves.keys():
        return None
    engines = _some(engines)
    before = log_likelihood(engines, was)
    engines = _with_new(chain, engines, was, facts, seed)
    weight = weights(log_likelihood(engines, facts) - before)
    airs = np.bincount(engines.air, weights=weight)
    counted, many = float(1 / (weight**2).sum()), float(1 / (airs**2).sum())
    if counted < FEWEST or many < FEWEST_AIRS:
        return None
    points = (np.arange(engines.size) + 0.5) / engines.size
    rows = np.minimum(np.searchsorted(np.cumsum(weight), points), engines.size - 1)
    shaft = {key: values[rows] for key, values in engines.shaft.items()}
    engines = replace(engines, air=engines.air[rows], shaft=shaft)
    prediction, _ = predicted(chain, engines, mark, seed=seed, rough=True)
    return Knowledge(
        mark=mark,
        prediction=prediction,
        unknowns=unknowns_of(project, chain, engines, facts, mark),
        readings=taking_part(facts),
        effective=counted,
        airs=many,
        note=" ".join(facts.left_out),
        first_look=True,
    )


def _some(engines: Engines) -> Engines:
    """Return the engines round some of their airs."""
    used = np.unique(engines.air)
    some = used[np.linspace(0, used.size - 1, min(MOST, used.size)).astype(int)]
    rows = np.flatnonzero(np.isin(engines.air, some))
    shaft = {key: values[rows] for key, values in engines.shaft.items()}
    return used_alone(replace(engines, air=engines.air[rows], shaft=shaft))


def _with_new(chain: Chain, engines: Engines, was: Facts, facts: Facts, seed: int) -> Engines:
    """Return engines whose airs were solved for what was not found before as well."""
    airs = engines.airs
    new = first_numbers(seed + 6, airs.size)

    def draw(key: str) -> FloatArray:
        """Return the numbers of a key; what only a new reading says has its own."""
        try:
            return airs.draw(key)
        except KeyError:
            return new(key)

    there = {repr(fact): over for fact, over in zip(was.balances, airs.balances, strict=True)}
    balances = tuple(there.get(repr(fact)) or around(chain, fact, draw) for fact in facts.balances)
    turned = dict(airs.turned)
    for mark in facts.with_air:
        asked = facts.tests_of(mark)
        if not asked <= was.tests_of(mark) or mark not in turned:
            turned[mark] = in_tests(chain, mark, draw, asked, seed)
    return replace(engines, airs=replace(airs, balances=balances, turned=turned))


__all__ = ["first_look"]
