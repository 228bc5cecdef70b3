"""Weigh causes against findings: a crowd of engines, each with one fault; those that fit what was found count.

A cause's probability is the weight of its engines. It starts from how often the cause is met and how often such a
fault stops this very build; each finding multiplies the weight of every engine by how likely that engine shows it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.explain.trouble.causes import CAUSES, Cause
from model.explain.trouble.trials import TRIALS, Trial, outcomes, trial
from model.resolve import Resolved
from model.running.inputs import Inputs, drawn
from model.running.operate import operate
from model.running.points import WHEEL_SHAPE
from model.units import Kind

FloatArray = NDArray[np.float64]

CROWD = 48
"""Engines for each cause."""
ODD = 0.04
"""Chance that a finding is plain wrong, whatever the engine: misread, mixed up. Common practice, no source."""
SURE = 0.85
"""Chance that a word is the one the model gives, when the test has words. Common practice, no source."""
DIFFERENCE_NOISE = 8.0
"""Standard uncertainty of a temperature or angle told at the bench beyond its own, [K] or [deg]; no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a test showed."""

    trial: str
    value: float
    """SI, or the number of its word."""
    spread: float = 0.0
    """Standard uncertainty of the reading, SI."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crowd:
    """Engines with faults, and what each would show."""

    cause: NDArray[np.intp]
    """(n,) index into `CAUSES`."""
    weight: FloatArray
    """(n,) weight before any finding: share of the cause, nil where the engine would run."""
    shown: Mapping[str, FloatArray]
    """Test -> (n,) outcomes."""
    inputs: Inputs
    """The engines."""


def gather(resolved: Resolved, *, crowd: int = CROWD, seed: int = 1) -> Crowd:
    """Make a crowd of engines with faults from what is known of a build."""
    causes = [(index, cause) for index, cause in enumerate(CAUSES)]
    base = _with_temperatures(drawn(resolved.words, resolved.values, samples=crowd, seed=seed), seed)
    generator = np.random.default_rng(seed + 1)
    parts: list[Inputs] = []
    index: list[NDArray[np.intp]] = []
    share: list[FloatArray] = []
    for number, cause in causes:
        if not cause.applies(base):
            continue
        parts.append(_faulty(cause, base, generator))
        index.append(np.full(crowd, number))
        share.append(np.full(crowd, cause.share))
    everyone = joined(parts)
    shown = outcomes(everyone)
    weight = np.concatenate(share) * np.where(shown["runs"] > 0, 0.02, 1.0)
    return Crowd(cause=np.concatenate(index), weight=weight / weight.sum(), shown=shown, inputs=everyone)


def _faulty(cause: Cause, base: Inputs, generator: np.random.Generator) -> Inputs:
    neutral = base.changed(unbalance=0.02 * 9.80665 * base["wheel_mass"] * base["wheel_diameter"] / 4)
    return cause.put(neutral, generator)


def _with_temperatures(inputs: Inputs, seed: int) -> Inputs:
    """Give every engine its metal temperatures, and a wheel that serves where none is known."""
    speed = np.full((inputs.size, 1), 2 * np.pi * 2.0)
    now = operate(inputs, speed, passes=3)
    changes = {"hot_metal": now.hot_metal[:, 0], "cold_metal": now.cold_metal[:, 0]}
    if "wheel_mass" not in inputs:
        least = 2 * now.fluctuation[:, 0] / (WHEEL_SHAPE * (inputs["wheel_diameter"] / 2) ** 2 * speed[:, 0] ** 2)
        generator = np.random.default_rng(seed + 2)
        changes["wheel_mass"] = np.maximum(least, 0.01) * np.exp(generator.uniform(0.0, 2.0, inputs.size))
    return inputs.changed(**changes)


def joined(parts: list[Inputs]) -> Inputs:
    """Put batches of the same inputs behind one another."""
    names = parts[0].values.keys()
    return Inputs(
        words=parts[0].words,
        values={name: np.concatenate([part.values[name] for part in parts]) for name in names},
        size=sum(part.size for part in parts),
    )


def likelihood(finding: Finding, shown: FloatArray) -> FloatArray:
    """Return how likely each engine shows what was found, relative, (n,)."""
    test = trial(finding.trial)
    if test.words:
        many = len(test.words)
        hit = np.round(shown) == round(finding.value)
        near = np.abs(np.round(shown) - round(finding.value)) == 1
        rest = (1 - SURE) / max(many - 1, 1)
        chance = np.where(hit, SURE, np.where(near & (many > 2), 1.3 * rest, 0.7 * rest if many > 2 else rest))
        return np.asarray((1 - ODD) * chance + ODD / many)
    if test.kind in (Kind.TEMPERATURE, Kind.ANGLE):
        spread = np.hypot(finding.spread, _own_noise(test, shown))
        away = finding.value - shown
        if test.kind is Kind.ANGLE:
            away = (away + np.pi) % (2 * np.pi) - np.pi
        width = 2 * np.pi if test.kind is Kind.ANGLE else 400.0
        return np.asarray((1 - ODD) * np.exp(-0.5 * (away / spread) ** 2) / (spread * np.sqrt(2 * np.pi)) + ODD / width)
    return _by_ratio(test, finding, shown)


def _own_noise(test: Trial, shown: FloatArray) -> FloatArray:
    if test.kind is Kind.ANGLE:
        return np.full(shown.shape, np.radians(DIFFERENCE_NOISE))
    return np.asarray(np.hypot(DIFFERENCE_NOISE, test.noise * np.maximum(shown - 293.0, 0.0)))


def _by_ratio(test: Trial, finding: Finding, shown: FloatArray) -> FloatArray:
    """Compare the logarithms; a loss torque that is negative (it speeds up) counts as very small."""
    floor = 1e-3 * max(float(np.median(np.abs(shown))), 1e-12)
    theirs, ours = np.log(np.maximum(shown, floor)), float(np.log(max(finding.value, floor)))
    spread = np.hypot(test.noise, finding.spread / max(abs(finding.value), floor))
    density = np.exp(-0.5 * ((ours - theirs) / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    return np.asarray((1 - ODD) * density + ODD / np.log(1e4))


def weigh(crowd: Crowd, findings: list[Finding]) -> FloatArray:
    """Return the weight of every engine after the findings, (n,), summing to one."""
    weight = crowd.weight.copy()
    for finding in findings:
        if finding.trial in crowd.shown:
            weight = weight * likelihood(finding, crowd.shown[finding.trial])
            weight = weight / max(weight.sum(), 1e-300)
    return weight


def probabilities(crowd: Crowd, weight: FloatArray) -> FloatArray:
    """Return the probability of every cause, (n_causes,)."""
    return np.asarray(np.bincount(crowd.cause, weights=weight, minlength=len(CAUSES)))


def surprise(crowd: Crowd, weight: FloatArray, finding: Finding) -> float:
    """Return how well a finding fits the engines that still count: small means that it contradicts them."""
    if finding.trial not in crowd.shown:
        return 1.0
    chance = likelihood(finding, crowd.shown[finding.trial])
    return float((weight * chance).sum() / max(chance.max(), 1e-300))


def classes(crowd: Crowd, weight: FloatArray, test: Trial) -> tuple[NDArray[np.intp], FloatArray]:
    """Sort outcomes into at most four classes that a builder can tell apart: (n,) numbers, and their edges."""
    shown = crowd.shown[test.key]
    if test.words:
        return np.round(shown).astype(np.intp), np.arange(len(test.words) - 1) + 0.5
    order = np.argsort(shown)
    running = np.cumsum(weight[order])
    at = np.minimum(np.searchsorted(running, (0.2, 0.5, 0.8)), len(order) - 1)
    edges = shown[order][at]
    return np.digitize(shown, np.unique(edges)).astype(np.intp), np.unique(edges)


def gain(crowd: Crowd, weight: FloatArray, test: Trial) -> float:
    """Return how much a test tells of the cause, in bits: the mean fall of the entropy of the causes' probabilities.

    Source: [Shannon1948]. Noise is put in by letting engines of one class be seen as a neighbour's now and then.
    """
    number, _ = classes(crowd, weight, test)
    many = int(number.max()) + 1
    table = np.zeros((len(CAUSES), many))
    np.add.at(table, (crowd.cause, number), weight)
    blur = 0.15 if many > 1 else 0.0
    seen = (1 - blur) * table + blur / many * table.sum(axis=1, keepdims=True)
    return _entropy(seen.sum(axis=1)) - sum(
        float(column.sum()) * _entropy(column / column.sum()) for column in seen.T if column.sum() > 0
    )


def _entropy(chances: FloatArray) -> float:
    kept = chances[chances > 1e-12]
    return float(-(kept * np.log2(kept)).sum())


def ranked(crowd: Crowd, weight: FloatArray, done: set[str]) -> list[tuple[Trial, float]]:
    """Return the tests not yet done, most telling for their effort first; ties go to the cheapest."""
    open_tests = [t for t in TRIALS if t.key not in done and t.key in crowd.shown]
    scored = [(t, gain(crowd, weight, t)) for t in open_tests]
    return sorted(scored, key=lambda item: (-round(item[1] / (item[0].minutes + 5.0), 4), item[0].minutes))
