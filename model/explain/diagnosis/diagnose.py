"""An engine that does not run: which cause, how sure, and the next test with the number to expect and what it means."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.bench.evidence import MOST_WATER
from model.explain.diagnosis.bench_tests import BenchTest, bench_test, caution_of
from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.ensemble import Ensemble
from model.explain.diagnosis.weights import (
    Observation,
    likelihood,
    parts_not_done,
    posterior_weights,
    probabilities,
    ranked,
    surprise,
)
from model.explain.diagnosis.wording import (
    branches,
    by_part,
    expected,
    part_branches,
    quantiles,
    shown_value,
    stays_sure,
)
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray

CONTRADICTS = 0.03
"""An observation is told as contradicting the others when so few of what they let expect would be stranger."""
SURE = 0.85
"""Probability of the first cause from which its remedy comes before another test."""
TELLS = 0.01
"""Bits below which a test tells nothing of the causes, and is not offered; common practice, no source."""
EARLIER = "Earlier findings"
"""What was found before, where it moved a cause."""
MOVES = 1.5
"""Factor on the odds from which an observation is told as having moved a cause."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedCause:
    """One cause with its probability."""

    key: str
    label: str
    probability: float
    remedy: str
    moved: tuple[tuple[str, float], ...] = ()
    """Findings that moved it, with the factor on its odds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """If the test shows this, then these causes come to the fore."""

    when: str
    then: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One test with what to expect."""

    key: str
    label: str
    how: str
    needs: str
    minutes: float
    caution: str
    """What can hurt in this very test; stands beside it."""
    sharp: bool = False
    """Whether that is not a usual one."""
    reading: str
    """Kind of reading to write it down as."""
    readings: tuple[str, ...]
    """All kinds, where a test yields several readings."""
    expected: str
    """What this build should show, before it is done."""
    healthy: str
    """What it would show with nothing wrong; empty where hardly any such engine would run."""
    branches: tuple[Branch, ...]
    bits: float
    """How much it tells, in bits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What is known of an engine that does not run."""

    causes: tuple[RankedCause, ...] = ()
    """Most likely first."""
    sure: bool = False
    """Whether the first cause is so likely that its remedy comes before another test."""
    next: Advice | None = None
    """The test that tells most for its effort; None when nothing is left to try."""
    others: tuple[Advice, ...] = ()
    observations: tuple[str, ...] = ()
    """What was found, in words."""
    contradictions: tuple[str, ...] = ()
    """Findings that do not fit the rest."""
    reason: str = ""
    """Why there is no diagnosis, when there is none."""
    runs: bool = False
    """Whether that is because it was seen running."""


def refusal(model_inputs: ModelInputs) -> str:
    """Return why there is no diagnosis, in a sentence that says what to do; empty where there is one."""
    if model_inputs.missing:
        return f"Still needed: {', '.join(model_inputs.labels.get(n, n) for n in model_inputs.missing)}."
    if model_inputs.problems:
        return " ".join(f"{p.message} {p.remedy}".strip() for p in model_inputs.problems)
    if not model_inputs.values:
        return "There is no model for a layout without a crank on the displacer; the tests and the diary still work."
    return ""


def diagnosis_of(ensemble: Ensemble, observations: list[Observation]) -> Diagnosis:
    """Turn an ensemble and observations into a diagnosis."""
    weight = posterior_weights(ensemble, observations)
    chances = probabilities(ensemble, weight)
    odds = [likelihood(observation, ensemble.outcomes[observation.bench_test]) for observation in observations]
    causes = tuple(
        RankedCause(
            key=CAUSES[i].key,
            label=CAUSES[i].label,
            probability=float(chances[i]),
            remedy=CAUSES[i].remedy,
            moved=_moved(ensemble, observations, odds, int(i)),
        )
        for i in np.argsort(-chances)
        if chances[i] > 0
    )
    done = {observation.bench_test for observation in observations}
    tests = _worth_doing(ensemble, weight, ranked(ensemble, weight, done), done)
    advised = [_advice(ensemble, weight, test, bits, done) for test, bits in tests[:4]]
    return Diagnosis(
        causes=causes,
        sure=causes[0].probability >= SURE,
        next=advised[0] if advised else None,
        others=tuple(advised[1:]),
        observations=tuple(f"{bench_test(f.bench_test).label}: {_observation_text(f)}" for f in observations),
        contradictions=_contradictions(ensemble, observations),
    )


def for_source(made: Diagnosis, heat_source: str) -> Diagnosis:
    """Return a diagnosis whose tests have the cautions that fit what heats the engine."""
    tests = [
        replace(test, caution=caution_of(bench_test(test.key), heat_source))
        for test in (made.next, *made.others)
        if test is not None
    ]
    return replace(made, next=tests[0] if tests else None, others=tuple(tests[1:]))


def _worth_doing(
    ensemble: Ensemble, weight: FloatArray, tests: list[tuple[BenchTest, float]], done: set[str]
) -> list[tuple[BenchTest, float]]:
    """Return the tests that can still change anything: with a cause nearly sure, first those that tell which part."""
    chances = probabilities(ensemble, weight)
    first = int(np.argmax(chances))
    if chances[first] < SURE:
        return [(test, bits) for test, bits in tests if bits >= TELLS]
    locating = [item for item in tests if item[0].locates == CAUSES[first].key]
    others = [
        item
        for item in tests
        if item not in locating and not stays_sure(ensemble, weight, parts_not_done(item[0], done), first, SURE)
    ]
    return [*locating, *others]


def _observation_text(observation: Observation) -> str:
    return observation.text or shown_value(bench_test(observation.bench_test), observation.value)


def _moved(
    ensemble: Ensemble, observations: list[Observation], odds: list[FloatArray], cause: int
) -> tuple[tuple[str, float], ...]:
    """Return the factor of each observation on the odds of a cause, where it is worth telling."""
    moved = []
    weight = ensemble.weight
    mine = ensemble.cause == cause
    for observation, chance in zip(observations, odds, strict=True):
        own = float((weight[mine] * chance[mine]).sum() / max(weight[mine].sum(), 1e-300))
        rest = float((weight[~mine] * chance[~mine]).sum() / max(weight[~mine].sum(), 1e-300))
        moved.append((bench_test(observation.bench_test).label, own / max(rest, 1e-300)))
    if ensemble.before:
        moved.insert(0, (EARLIER, _by_earlier(ensemble, cause)))
    return tuple((label, factor) for label, factor in moved if factor > MOVES or factor < 1 / MOVES)


def _by_earlier(ensemble: Ensemble, cause: int) -> float:
    """Return the factor of what was found before on the odds of a cause."""
    chances = probabilities(ensemble, ensemble.weight)
    times = np.array([max(ensemble.before.get(each.key, 1.0), 1e-12) for each in CAUSES])
    others = np.arange(len(CAUSES)) != cause
    without = float((chances / times)[others].sum())
    return float(times[cause] * without / max(float(chances[others].sum()), 1e-300))


def _contradictions(ensemble: Ensemble, observations: list[Observation]) -> tuple[str, ...]:
    """Return observations that fit badly what all the others say, or what was found before."""
    contradictions = []
    for observation in observations:
        others = [f for f in observations if f is not observation]
        if not (others or ensemble.before):
            continue
        if surprise(ensemble, posterior_weights(ensemble, others), observation) < CONTRADICTS:
            found = f"{bench_test(observation.bench_test).label}, {_observation_text(observation)}, does not fit"
            contradictions.append(
                f"{found} what was found before: do it again, or tick what was done since."
                if ensemble.before
                else f"{found} the other findings: do it again, or there are two faults."
            )
    return tuple(contradictions)


def _advice(ensemble: Ensemble, weight: FloatArray, test: BenchTest, bits: float, done: set[str]) -> Advice:
    parts = parts_not_done(test, done)
    first = CAUSES[int(np.argmax(probabilities(ensemble, weight)))].key
    tells_part = test.locates == first and probabilities(ensemble, weight).max() >= SURE
    outcome_branches = part_branches(ensemble, weight, test) if tells_part else branches(ensemble, weight, parts)
    readings = tuple(dict.fromkeys(bench_test(key).reading for key in parts))
    sound = [
        expected(bench_test(k), ensemble.sound[k], np.ones(ensemble.sound[k].size)) if ensemble.sound else ""
        for k in parts
    ]
    return Advice(
        key=test.key,
        label=test.label,
        how=test.how,
        needs=test.needs + beyond_water(ensemble, weight, parts),
        minutes=test.minutes,
        caution=caution_of(test),
        sharp=test.sharp,
        reading=readings[0],
        readings=readings,
        expected=by_part(parts, [expected(bench_test(key), ensemble.outcomes[key], weight) for key in parts]),
        healthy=by_part(parts, sound),
        branches=tuple(Branch(when=when, then=then) for when, then in outcome_branches),
        bits=bits,
    )


def beyond_water(ensemble: Ensemble, weight: FloatArray, parts: tuple[str, ...]) -> str:
    """Return what is needed where a swing is likely more than a U-tube of a metre shows."""
    swings = [key for key in parts if key in ("swing_cold", "swing_hot")]
    high = [key for key in swings if quantiles(ensemble.outcomes[key], weight, (0.5,))[0] > MOST_WATER]
    return "; it likely swings more than a metre of water: a pressure sensor in place of the U-tube" if high else ""


__all__ = [
    "EARLIER",
    "Advice",
    "Branch",
    "Diagnosis",
    "RankedCause",
    "beyond_water",
    "diagnosis_of",
    "for_source",
    "refusal",
]
