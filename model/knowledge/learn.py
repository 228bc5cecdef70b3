"""Everything that was found, weighed: what a mark will do from what it has shown, and what is known of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from model.checkpoint import Progress, checkpoint, silent
from model.explain.cache import Cache
from model.explain.diagnosis.weights import WANDER
from model.explain.outlook import outlook
from model.knowledge.airs import ANGLES, Airs, Draw, solved, start_of
from model.knowledge.facts import Facts, facts_of
from model.knowledge.latents import ALWAYS, Chain, chain_of, first_numbers
from model.knowledge.origins import unknowns_of
from model.knowledge.redraw import AIRS, different_airs, effective, redrawn, with_curves
from model.knowledge.result import Knowledge, Ratio, Took
from model.knowledge.weigh import MODEL_ERROR, Engines, parts
from model.physics.values import FloatArray, IndexArray
from model.prediction.predict import best_values, finished, outcomes_at, outcomes_over, with_outcomes
from model.prediction.result import Prediction
from model.record import Project
from model.running.curve import Curve
from model.running.operate import operate
from model.running.samples import SampledInputs, normals
from model.running.spread import interval

OVER_SPEEDS = 320
"""Engines whose figures over the speeds are worked out."""
FIGURES = 96
"""Engines whose figures at the stated speed are worked out."""
ENOUGH = 200.0
"""Engines that should carry a figure; fewer are said."""
FEW = 30.0
"""Solved turns of the air that should; fewer are said."""
FINE = 25
"""Speeds at which the engines' torque is told; between them it is smooth."""
CONTRADICTS = 0.5
"""A fact is told as contradicting the others when it is likelier plain wrong than right."""
_KEPT: Cache[Knowledge] = Cache(16)
_ENGINES: Cache[Engines] = Cache(6)
_OVER_SPEEDS: Cache[Engines] = Cache(6)
_LATEST: Cache[tuple[Facts, Engines]] = Cache(6)


def learn(
    project: Project,
    mark: int,
    *,
    without: frozenset[str] = frozenset(),
    seed: int = 1,
    progress: Progress = silent,
) -> Knowledge:
    """Return what is known of a mark from everything that was found on it and on the marks before it.

    Parameters
    ----------
    project : Project
        The prototype.
    mark : int
        The mark; readings of later marks do not count.
    without : frozenset
        Keys of entries whose readings and ticks are left out: a gap leaves out its own visit.
    seed : int
        Where the random numbers begin; equal seeds give equal results.
    progress : callable
        Told the share that is done, 0 to 1.
    """
    chain = chain_of(project, mark)
    if mark not in chain.inputs:
        return Knowledge(mark=mark, prediction=outlook(project, mark=mark))
    facts = facts_of(project, chain, without=without)
    key = (chain.key(), facts_key(facts), mark, seed)
    return _KEPT.get(key, lambda: _learned(project, mark, chain, facts, seed, progress))


def is_known(chain: Chain, facts: Facts, mark: int, *, seed: int = 1) -> bool:
    """Whether what a mark has shown by these facts was worked out before."""
    return _KEPT.find((chain.key(), facts_key(facts), mark, seed)) is not None


def latest_of(chain: Chain, mark: int, *, seed: int = 1) -> tuple[Facts, Engines] | None:
    """Return what a mark was last learnt from, and the engines that it left; None where none are remembered."""
    return _LATEST.find((chain.key(), mark, seed))


def facts_key(facts: Facts) -> object:
    """Return what everything worked out of facts depends on, whatever the order of typing."""
    return frozenset(repr(fact) for fact in facts.all), facts.left_out


def _learned(project: Project, mark: int, chain: Chain, facts: Facts, seed: int, progress: Progress) -> Knowledge:
    note = " ".join(facts.left_out)
    if not facts.all:
        return Knowledge(mark=mark, prediction=outlook(project, mark=mark), note=note)
    engines = engines_of(chain, facts, mark, seed=seed, progress=progress)
    progress(0.85)
    prediction, _ = predicted(chain, engines, mark, seed=seed)
    _LATEST.keep((chain.key(), mark, seed), (in_order(facts), engines))
    counted = effective(_numbered(engines))
    airs = different_airs(engines)
    if counted < ENOUGH or airs < FEW:
        note = f"Only {min(counted, airs):.0f} quite different engines fit all that was found: ranges are rough. {note}"
    return Knowledge(
        mark=mark,
        prediction=prediction,
        unknowns=unknowns_of(project, chain, engines, facts, mark),
        readings=taking_part(facts),
        contradictions=contradictions_among(engines, facts),
        effective=counted,
        airs=airs,
        ratio=_ratio(chain, engines, mark),
        note=note.strip(),
    )


def engines_of(
    chain: Chain, facts: Facts, mark: int, *, wanted: frozenset[int] | None = None, seed: int = 1,
    progress: Progress = silent,
) -> Engines:  # fmt: skip
    """Return equally likely engines of a chain of marks that the facts leave; `wanted`: marks whose torque over all
    speeds is asked for, None for this one and the one before."""
    ordered = in_order(facts)
    before = chain.before(mark)
    if wanted is None:
        wanted = frozenset({mark} | ({before} if before is not None else set()))
    key = (chain.key(), facts_key(facts), mark, seed)

    def make() -> Engines:
        def solve(draw: Draw, size: int) -> Airs:
            return solved(chain, ordered, draw, size, seed=seed)

        airs = solved(
            chain, ordered, first_numbers(seed, AIRS), AIRS, seed=seed, pool=(seed, AIRS),
            progress=lambda share: progress(0.5 * share),
        )  # fmt: skip
        return redrawn(chain, airs, ordered, solve, seed=seed, progress=lambda share: progress(0.5 + 0.25 * share))

    engines = _ENGINES.get(key, make)
    if wanted <= engines.airs.curves.keys():
        return engines
    return _OVER_SPEEDS.get(
        (*key, wanted),
        lambda: with_curves(engines, ordered, wanted, seed=seed, progress=lambda share: progress(0.75 + 0.1 * share)),
    )


def in_order(facts: Facts) -> Facts:
    """Put facts in an order of their own, so that the order of typing does not matter."""
    return replace(
        facts,
        balances=tuple(sorted(facts.balances, key=lambda f: (f.mark, f.entry, f.reading))),
        ran=tuple(sorted(facts.ran, key=lambda f: (f.mark, f.entry, f.reading))),
        shown=tuple(sorted(facts.shown, key=lambda f: (f.mark, f.entry, f.reading, f.observation.bench_test))),
    )


def taking_part(facts: Facts) -> tuple[Took, ...]:
    """Return the readings and ticks that take part, each once."""
    once = {(f.mark, f.entry, f.reading, f.text): f for f in facts.all}.values()
    return tuple(Took(mark=f.mark, entry=f.entry, reading=f.reading, text=f.text) for f in once)


def _numbered(engines: Engines) -> IndexArray:
    """Return for each engine which of the different ones it is."""
    table = np.stack([engines.draw(ALWAYS), *engines.shaft.values()], axis=1)
    _, number = np.unique(table.round(9), axis=0, return_inverse=True)
    return np.asarray(number.reshape(-1))


def contradictions_among(engines: Engines, facts: Facts) -> tuple[str, ...]:
    """Return the facts that fit badly what all the others say, in sentences with a remedy."""
    found = []
    for part in parts(engines, in_order(facts)):
        wrong = float(np.exp(np.minimum(part.odd - part.chance, 0.0)).mean())
        if wrong > CONTRADICTS:
            told = "; ".join(dict.fromkeys(fact.text for fact in part.facts))
            others = "the other findings" if len(facts.all) > len(part.facts) else "any engine of this build"
            found.append(
                f"{told}: does not fit {others}. Look whether it was typed as read, on its own mark; or do it again."
            )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _AtVisit:
    """Engines at their next visit, over speeds."""

    inputs: SampledInputs
    speed: FloatArray
    torque: FloatArray
    fluctuation: FloatArray


def _at_visit(chain: Chain, engines: Engines, mark: int, *, seed: int, differ: float = 1.0) -> _AtVisit:
    """Return what engines give at their next visit: with what friction and the model's error then are."""
    fine, gas, carried = engines.airs.fine(mark, FINE)
    gas, carried = gas[engines.air], carried[engines.air]
    inputs = chain.sampled(mark, engines.draw)
    gas = gas * np.exp(differ * MODEL_ERROR * normals(seed, "the model's error then", engines.size))[:, None]
    wander = np.exp(differ * WANDER * normals(seed, "friction then", engines.size))
    inputs = inputs.changed(friction_torque=inputs["friction_torque"] * wander)
    torque = gas - inputs.column("friction_torque") - inputs.column("speed_drag") * fine
    return _AtVisit(inputs=inputs, speed=np.tile(fine, (engines.size, 1)), torque=torque, fluctuation=carried)


def predicted(
    chain: Chain, engines: Engines, mark: int, *, seed: int, rough: bool = False
) -> tuple[Prediction, Mapping[str, FloatArray]]:
    """Return what a mark will do, from equally likely engines, and what each of them does.

    A rough one leaves out the intervals of what stands at the stated speed, and what the engine would need.
    """
    model_inputs = chain.inputs[mark]
    start = start_of(model_inputs)
    rows = np.linspace(0, engines.size - 1, min(engines.size, OVER_SPEEDS)).astype(int)
    shaft = {key: values[rows] for key, values in engines.shaft.items()}
    engines = replace(engines, air=engines.air[rows], shaft=shaft)
    still = _at_visit(chain, engines, mark, seed=seed, differ=0.0)
    middle = _middle(outcomes_over(still, start.reference))
    best = best_values(model_inputs, still.inputs.part(slice(middle, middle + 1)))
    checkpoint()
    then = _at_visit(chain, engines, mark, seed=seed)
    reference = best.curve.reference
    outcomes = outcomes_over(then, reference)
    if not rough:
        outcomes |= _at(then.inputs, reference, best.curve)
    prediction = with_outcomes(best.prediction, model_inputs, outcomes, then.inputs)
    return (prediction if rough else finished(prediction, model_inputs, best)), outcomes


def _middle(outcomes: Mapping[str, FloatArray]) -> int:
    """Return the engine that stands in the middle of all, in what it does: its curve is told."""
    ranks = []
    runs = outcomes["runs"] > 0
    mostly = runs.mean() > 0.5
    for key in ("shaft_power", "free_running_speed", "speed_at_best_power", "spare"):
        values = outcomes[key]
        own = values[runs == mostly]
        ranks.append(np.searchsorted(np.sort(own), values) / own.size - 0.5)
    away = (np.stack(ranks) ** 2).sum(axis=0)
    return int(np.where(runs == mostly, away, np.inf).argmin())


def _at(inputs: SampledInputs, reference: float, curve: Curve) -> dict[str, FloatArray]:
    """Return the figures of some engines at the stated speed, each (engines,)."""
    some = np.linspace(0, inputs.size - 1, FIGURES).astype(int)
    chosen = replace(inputs, values={n: v[some] for n, v in inputs.values.items()}, size=FIGURES)
    speeds = np.full((FIGURES, 1), reference)
    return outcomes_at(operate(chosen, speeds, passes=1, angles=ANGLES, start=curve.operation))


def _ratio(chain: Chain, engines: Engines, mark: int) -> Ratio | None:
    before = chain.before(mark)
    if before is None or before not in engines.airs.curves:
        return None
    now, old = (_at_visit(chain, engines, number, seed=1, differ=0.0) for number in (mark, before))
    checkpoint()
    over = [outcomes_over(part, float(part.speed[0, FINE // 2])) for part in (now, old)]
    runs = (over[0]["runs"] > 0) & (over[1]["runs"] > 0)

    def of(values: tuple[FloatArray, FloatArray]) -> tuple[float, float, float]:
        ratio = np.sort(values[0] / values[1])
        low, high = interval(ratio)
        return float(ratio[len(ratio) // 2]), low, high

    known = runs.mean() > 0.8
    return Ratio(
        before=before,
        power=of((over[0]["shaft_power"][runs], over[1]["shaft_power"][runs])) if known else None,
        speed=of((over[0]["free_running_speed"][runs], over[1]["free_running_speed"][runs])) if known else None,
        friction=of((now.inputs["friction_torque"], old.inputs["friction_torque"])),
    )


__all__ = [
    "contradictions_among",
    "engines_of",
    "facts_key",
    "in_order",
    "is_known",
    "latest_of",
    "learn",
    "predicted",
    "taking_part",
]
