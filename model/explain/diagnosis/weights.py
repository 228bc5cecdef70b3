"""Weigh an ensemble by observations: each multiplies the weight of every engine by how likely that engine shows it.

A cause's probability is the weight of its engines. The next test is the one whose outcome, noise and all, lowers the
doubt about the cause most for its effort.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.explain.diagnosis.bench_tests import BENCH_TESTS, BenchTest, bench_test
from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.ensemble import Ensemble
from model.physics.values import FloatArray, median
from model.quantities.units import Kind

ODD = 0.04
"""Chance that a word is plain wrong, whatever the engine: mixed up, of another mark. Common practice, no source."""
MISREAD = 0.01
"""The same of a number, by any factor; common practice, no source."""
WANDER = 0.2
"""Relative standard uncertainty of friction from one visit to the next: at nearly the same difference of the metals
a flat engine went between 91 and 139 rpm by itself (`cup_cooldown` in `tests/reference/engines.toml`)."""
FINDINGS = 0.12
"""Relative spread that the findings of a visit share in a test of the shed: error of the model, and what the rest of an
engine differs from one visit to the next; common practice, no source."""
FRICTION_TESTS = frozenset({"rim_weight", "free_open", "free_unlinked", "free_piston"})
"""Tests of friction alone, which wanders."""
DIFFER = 0.3
"""How far apart two builders place the same thing on a line of words, as a standard deviation; no source."""
TRIED = 40
"""Outcomes tried for each test."""
EXPECTED = 100
"""Outcomes with which an observation is compared before it is called a contradiction."""
SETTING_UP = 30.0
"""Effort of any test before it begins, [min]: it tells how a short test weighs against a long one; no source."""
WIDE = {Kind.TEMPERATURE: 400.0, Kind.ANGLE: 2 * np.pi}
"""Width over which a wrong temperature or angle may lie, [K], [rad]."""
WIDE_RATIO = float(np.log(1e4))
"""The same for the logarithm of other numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What a test showed."""

    bench_test: str
    value: float
    """SI, or the number of its word."""
    spread: float = 0.0
    """Standard uncertainty of the reading, SI."""
    goes: int = 1
    """How often it was done at one visit; the value is their mean."""
    text: str = ""
    """As it was written down, where that says less than the value: turns without a time."""


def likelihood(observation: Observation, outcomes: FloatArray) -> FloatArray:
    """Return how likely each engine shows what was found, relative, (n,)."""
    test, observed = bench_test(observation.bench_test), np.array([observation.value])
    if observation.goes > 1:
        test = replace(
            test, noise=test.noise / observation.goes**0.5, least_noise=test.least_noise / observation.goes**0.5
        )
    return np.asarray(_likelihoods(test, observed, outcomes, observation.spread)[0])


def odd_level(key: str) -> float:
    """Return the part of `likelihood` that stands for a finding that is plain wrong."""
    test = bench_test(key)
    if test.words:
        return ODD / len(test.words)
    return MISREAD / (WIDE_RATIO if test.kind is None else WIDE.get(test.kind, WIDE_RATIO))


def _likelihoods(test: BenchTest, observed: FloatArray, outcomes: FloatArray, spread: float = 0.0) -> FloatArray:
    """Return how likely each engine shows each of several outcomes, (outcomes, n)."""
    if test.words:
        return np.asarray(
            _chances(len(test.words), outcomes)[np.clip(np.round(observed), 0, len(test.words) - 1).astype(int)]
        )
    observed = observed[:, None]
    if test.kind in (Kind.TEMPERATURE, Kind.ANGLE):
        away = observed - outcomes
        if test.kind is Kind.ANGLE:
            away = (away + np.pi) % (2 * np.pi) - np.pi
        return _bell(away, np.hypot(spread, own_noise(test, outcomes)), WIDE[test.kind])
    floor = max(_floor(outcomes), spread)  # a scale that shows tenths says of 0.02 g that it is less than one
    away = np.log(np.maximum(observed, floor)) - np.log(np.maximum(outcomes, floor))
    shared = WANDER if test.key in FRICTION_TESTS else FINDINGS
    relative = np.hypot(np.hypot(test.noise, shared), spread / np.maximum(np.abs(observed), floor))
    return _bell(away, relative, WIDE_RATIO)


def _bell(away: FloatArray, spread: FloatArray, wide: float) -> FloatArray:
    density = np.exp(-0.5 * (away / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    return np.asarray((1 - MISREAD) * density + MISREAD / wide)


def _floor(outcomes: FloatArray) -> float:
    """Return what counts as next to nothing: a loss below it, or negative (it speeds up), is told as that."""
    return 0.02 * max(median(np.abs(outcomes)), 1e-12)


def own_noise(test: BenchTest, outcomes: FloatArray) -> FloatArray:
    """Return the standard uncertainty of a temperature or an angle told at the bench."""
    if test.kind is Kind.ANGLE:
        return np.full(outcomes.shape, test.least_noise)
    return np.asarray(np.hypot(test.least_noise, test.noise * np.maximum(outcomes - 293.0, 0.0)))


def _chances(many: int, place: FloatArray) -> FloatArray:
    """Return the chance of each word for engines at these places of its line, (words, n)."""
    edges = np.arange(many - 1) + 0.5
    # the normal distribution by the logistic one, which is within 0.01 of it
    under = 1 / (1 + np.exp(-1.702 / DIFFER * (edges[:, None] - place)))
    bounds = np.concatenate([np.zeros((1, place.size)), under, np.ones((1, place.size))])
    return np.asarray((1 - ODD) * np.diff(bounds, axis=0) + ODD / many)


def posterior_weights(ensemble: Ensemble, observations: list[Observation]) -> FloatArray:
    """Return the weight of every engine after the observations, (n,), summing to one."""
    weight = ensemble.weight.copy()
    for observation in observations:
        if observation.bench_test in ensemble.outcomes:
            weight = weight * likelihood(observation, ensemble.outcomes[observation.bench_test])
            weight = weight / max(weight.sum(), 1e-300)
    return weight


def probabilities(ensemble: Ensemble, weight: FloatArray) -> FloatArray:
    """Return the probability of every cause, (n_causes,)."""
    return np.asarray(np.bincount(ensemble.cause, weights=weight, minlength=len(CAUSES)))


def surprise(ensemble: Ensemble, weight: FloatArray, observation: Observation) -> float:
    """Return how often the engines that count would show something less likely than what was found, 0 to 1.

    Small means that the observation contradicts what is known otherwise.
    """
    test, outcomes = bench_test(observation.bench_test), ensemble.outcomes[observation.bench_test]
    generator = np.random.default_rng(1)
    points = np.searchsorted(np.cumsum(weight), (np.arange(EXPECTED) + 0.5) / EXPECTED)
    drawn = blurred(test, outcomes[np.minimum(points, weight.size - 1)], generator, spread=observation.spread)
    usual = (_likelihoods(test, drawn, outcomes, observation.spread) * weight).sum(axis=1)
    own = float((likelihood(observation, outcomes) * weight).sum())
    return float((usual < own * (1 + 1e-9)).mean())


def offered(ensemble: Ensemble, done: set[str]) -> list[BenchTest]:
    """Return the tests that this build can show and that have not been done."""
    return [t for t in BENCH_TESTS if set(t.yields) <= set(ensemble.outcomes) and not set(t.yields) <= done]


def parts_not_done(test: BenchTest, done: set[str]) -> tuple[str, ...]:
    """Return what a test would yield that is not known yet."""
    return tuple(key for key in test.yields if key not in done)


def gain(ensemble: Ensemble, weight: FloatArray, parts: tuple[str, ...]) -> float:
    """Return how much observations tell of the causes, in bits: the mean fall of the entropy of their probabilities.

    Outcomes are drawn from the engines that count and blurred by the test's own noise. Source: [Shannon1948].
    """
    before = _entropy(probabilities(ensemble, weight)[None])[0]
    if len(parts) == 1 and (words := bench_test(parts[0]).words):
        chances = _chances(len(words), ensemble.outcomes[parts[0]]) * weight
        return float(before - (chances.sum(axis=1) * _entropy(_by_cause(ensemble, chances))).sum())
    after = np.tile(weight, (TRIED, 1))
    generator = np.random.default_rng(len(parts))
    points = np.searchsorted(np.cumsum(weight), (np.arange(TRIED) + 0.5) / TRIED)
    chosen = np.minimum(points, weight.size - 1)
    for key in parts:
        part, outcomes = bench_test(key), ensemble.outcomes[key]
        after = after * _likelihoods(part, blurred(part, outcomes[chosen], generator), outcomes)
    return float(before - _entropy(_by_cause(ensemble, after)).mean())


def blurred(
    test: BenchTest, outcomes: FloatArray, generator: np.random.Generator, *, spread: float = 0.0
) -> FloatArray:
    """Return what is read at the bench, noise and all."""
    noise = generator.standard_normal(outcomes.shape)
    if test.words:
        return np.asarray(np.clip(np.round(outcomes + DIFFER * noise), 0, len(test.words) - 1))
    if test.kind in (Kind.TEMPERATURE, Kind.ANGLE):
        return np.asarray(outcomes + np.hypot(own_noise(test, outcomes), spread) * noise)
    relative = np.hypot(test.noise, spread / np.maximum(np.abs(outcomes), _floor(outcomes)))
    return np.asarray(outcomes * np.exp(np.minimum(relative, 2.0) * noise))


def _by_cause(ensemble: Ensemble, weights: FloatArray) -> FloatArray:
    """Return the probabilities of the causes under several weights, (outcomes, causes)."""
    table = np.zeros((len(CAUSES), weights.shape[0]))
    for number in sorted(set(ensemble.cause.tolist())):
        table[number] = weights[:, ensemble.cause == number].sum(axis=1)
    return np.asarray((table / np.maximum(table.sum(axis=0), 1e-300)).T)


def _entropy(chances: FloatArray) -> FloatArray:
    safe = np.maximum(chances, 1e-12)
    return np.asarray(-(chances * np.log2(safe)).sum(axis=-1))


def ranked(ensemble: Ensemble, weight: FloatArray, done: set[str]) -> list[tuple[BenchTest, float]]:
    """Return the tests not yet done, most telling for their effort first; ties go to the cheapest."""
    scored = [(t, gain(ensemble, weight, parts_not_done(t, done))) for t in offered(ensemble, done)]
    return sorted(scored, key=lambda item: (-round(item[1] / (item[0].minutes + SETTING_UP), 4), item[0].minutes))
