"""What is not known of a build, before and after, and where what is known of it comes from."""

from __future__ import annotations

import itertools

import numpy as np

from model.checkpoint import checkpoint
from model.checks.touched import TOUCHES
from model.fields import Build, fields_of, is_unknown
from model.knowledge.carried import touched_between
from model.knowledge.facts import Facts
from model.knowledge.latents import Chain, first_numbers
from model.knowledge.result import Unknown
from model.knowledge.weigh import Engines
from model.physics.values import FloatArray
from model.quantities.uncertain import How
from model.quantities.units import Kind
from model.record import Project
from model.running.samples import SampledInputs
from model.running.spread import interval

ALWAYS = ("friction_torque", "leak_half_time", "piston_clearance", "exchange_factor")
"""Unknowns that are told whether they were narrowed or not."""
MOST = 8
NARROWED = 0.8
"""Width after over width before from which something was learned of an input."""
MOVED = 0.15
"""Share of the width before by which a middle must move for the same."""
BEFORE = 400
"""Engines of which nothing was found, for the ends before."""
TELLS = {
    "rim_weight": "friction_torque", "free_open": "friction_torque", "leak_down": "leak_half_time",
    "rubber": "diaphragm_stiffness", "crank_angle": "phase", "displacer_travel": "displacer_throw",
    "hot_metal": "hot_metal", "cold_metal": "cold_metal", "piston_drop": "piston_clearance",
}  # fmt: skip
"""Test -> the input that it measures by itself."""
FACTOR_UNITS = {
    "flame_temperature": (Kind.TEMPERATURE, "C"),
}
"""Factors of the model that have a unit."""


def unknowns_of(project: Project, chain: Chain, engines: Engines, facts: Facts, mark: int) -> tuple[Unknown, ...]:
    """Return what is not known of a mark, most narrowed first; those that matter whatever was found."""
    before = chain.sampled(mark, first_numbers(1, BEFORE))
    after = chain.sampled(mark, engines.draw)
    made = []
    for name in before.values:
        checkpoint()
        if np.ptp(before[name]) == 0:
            continue
        item = _unknown(project, chain, facts, mark, name, before, after)
        if name in ALWAYS or item.narrowed < NARROWED:
            made.append(item)
    return tuple(sorted(made, key=lambda item: (item.key not in ALWAYS, item.narrowed))[:MOST])


def _unknown(
    project: Project, chain: Chain, facts: Facts, mark: int, name: str, before: SampledInputs, after: SampledInputs
) -> Unknown:
    declared = fields_of(Build).get(name)
    kind, unit = FACTOR_UNITS.get(name, (Kind.NUMBER, ""))
    if declared is not None and declared.kind is not None:
        kind, unit = declared.kind, declared.unit
    was, now = _ends(before[name]), _ends(after[name])
    narrowed = (now[2] - now[1]) < NARROWED * (was[2] - was[1])
    moved = abs(now[0] - was[0]) > MOVED * (was[2] - was[1])
    origin, since = _origin(project, chain, facts, mark, name, narrowed=narrowed or moved)
    return Unknown(
        key=name,
        label=chain.inputs[mark].labels.get(name, name),
        kind=kind,
        unit=unit,
        before=was,
        after=now,
        origin=origin,
        since=since,
    )


def _ends(values: FloatArray) -> tuple[float, float, float]:
    low, high = interval(values)
    return float(np.sort(values)[len(values) // 2]), low, high


def _origin(project: Project, chain: Chain, facts: Facts, mark: int, name: str, *, narrowed: bool) -> tuple[str, str]:
    """Return where what is known of an input comes from, and what was done since."""
    told = {fact.mark for fact in facts.shown if TELLS.get(fact.observation.bench_test) == name}
    every = {fact.mark for fact in facts.all}
    typed = not is_unknown(project.marks[mark].build.get(name, ""))
    value = chain.inputs[mark].values[name]
    if mark in told or (narrowed and mark in every and not told):
        return (f"measured on Mk {mark}" if mark in told else f"by what Mk {mark} did"), ""
    if typed:
        return ("typed as measured" if value.how is How.MEASURED else "drawn"), ""
    earlier = sorted(n for n in (told or every) if n < mark)
    if narrowed and earlier:
        return f"carried from Mk {earlier[-1]}", _since(project, chain, earlier[-1], mark)
    return ("measured" if value.how is How.MEASURED else "guessed"), ""


def _since(project: Project, chain: Chain, number: int, mark: int) -> str:
    """Return what was done to an engine from one mark to another, in words."""
    marks = [n for n in chain.marks if number <= n <= mark]
    done = {key for a, b in itertools.pairwise(marks) for key in touched_between(project, a, b)}
    if len(done) > 1:
        done.discard("not_opened")
    words = [choice.label for choice in TOUCHES if choice.key in done]
    return f"{', '.join(words)} since"


__all__ = ["unknowns_of"]
