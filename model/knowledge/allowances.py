"""What a mark bears and still runs, against what it has shown to have."""

from __future__ import annotations

import numpy as np

from model.bench.reading import ReadingValues, values_of
from model.explain.diagnosis.allowances import Allowance, allowances, allowances_over
from model.inputs.model_inputs import ModelInputs
from model.knowledge.facts import facts_of
from model.knowledge.latents import OF_THE_DAY, Chain, at_number, chain_of, first_numbers, under_conditions
from model.knowledge.learn import engines_of
from model.knowledge.origins import TELLS
from model.knowledge.weigh import Engines
from model.physics.values import FloatArray, median
from model.quantities.uncertain import How
from model.record import Project
from model.running.samples import SampledInputs, normals

SAMPLES = 14
"""Engines beside the middle one."""


def allowances_of(project: Project, *, mark: int, seed: int = 1) -> tuple[Allowance, ...]:
    """Return the allowances of a mark from what it has shown, at the metal temperatures that were read last."""
    chain = chain_of(project, mark)
    if mark not in chain.inputs:
        return ()
    taken = [reading for _, reading in project.readings_of(mark) if reading.kind == "temperatures"]
    under = under_conditions(chain.builds[mark], values_of(taken[-1]) if taken else ReadingValues())
    facts = facts_of(project, chain)
    if not facts.all:
        return allowances(under)
    engines = engines_of(chain, facts, mark, seed=seed)
    measured = {name for name, value in under.values.items() if value.how is How.MEASURED}
    measured |= {TELLS[fact.observation.bench_test] for fact in facts.shown if fact.observation.bench_test in TELLS}
    return allowances_over(_some(chain, engines, mark, under, seed), frozenset(measured))


def _some(chain: Chain, engines: Engines, mark: int, under: ModelInputs, seed: int) -> SampledInputs:
    """Return an engine that is in the middle in everything and some of all, at the temperatures of a reading."""
    other = first_numbers(seed, engines.size)

    def draw(key: str) -> FloatArray:
        try:
            return engines.draw(key)
        except KeyError:  # of conditions in which nothing was found
            return other(key)

    made = chain.sampled(mark, draw, under=under, names=[name for name in under.values if name not in OF_THE_DAY])
    some = np.linspace(0, made.size - 1, SAMPLES).astype(int)
    values = {name: np.concatenate([[median(column)], column[some]]) for name, column in made.values.items()}
    for name in OF_THE_DAY:
        if name in under.values:
            z = np.concatenate([[0.0], normals(seed, name, SAMPLES)])
            values[name] = at_number(name, under.values[name], z)
    return SampledInputs(words=made.words, values=values, size=SAMPLES + 1)


__all__ = ["allowances_of"]
