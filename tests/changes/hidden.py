"""Hidden engines, read with noise: is the change that is advised first as good as the best that there is?

The draw is that of `tests.knowledge.hidden`; what a change does to the hidden engine comes from the model on a finer
grid, one engine alone, with its own numbers. So the paired proves the weighing and the ranking, not the physics.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp

import numpy as np

from model.changes.advice import Candidate, advice, farther, possible
from model.changes.compare import paired_run_of
from model.changes.paired import PairedRun
from model.changes.result import Advice
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.knowledge.latents import opened
from model.running.curve import curve_of
from model.running.operate import operate
from model.running.points import find_points
from model.running.samples import SampledInputs, central
from tests.knowledge.hidden import WANDER, Hidden, made, value_at
from tests.knowledge.stories import CAN, FLAT, entry, project, speed

RPM = 60 / (2 * np.pi)
ORDER = ("aligned", "tighter", "ice", "piston_throw_shorter", "displacer_throw_longer", "gap_narrower")
"""What experienced builders do one after the other: free turning, leaks, ice, a shorter piston throw, the displacer
again; trade practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One hidden engine that was advised on."""

    first: float
    """True gain of the change that is advised first, over that of the best one."""
    by_order: float
    """The same of the first change of the builders' order that this build can have."""
    told: Sequence[tuple[float, bool]]
    """Of each change: the chance to help that was told, and whether it helps."""
    inside: Sequence[bool]
    """Of each change that is told to help: whether the true gain lies in the interval that was told."""
    running: bool


def judge(texts: Mapping[str, str], seed: int) -> Judged | None:
    """Draw an engine, read it as builders do, and hold the advice against what each change does to it."""
    generator = np.random.default_rng(seed)
    own = opened(complete_inputs(parse_build(texts).build))
    numbers = {name: float(generator.standard_normal()) for name in sorted(own.values)}
    engine = made(own, {name: value_at(name, value, numbers[name]) for name, value in own.values.items()})
    evening = engine.visit(generator)
    free, _ = evening.points()
    if free <= 0:
        return None
    known = project(texts, entries=(entry("a", 1, speed(free * RPM, 0.01 * free * RPM)),))
    *_, advised = advice(known, 1)
    paired = paired_run_of(known, 1)
    if not isinstance(paired, PairedRun):
        return None
    found, _ = possible(paired, texts)
    then = exp(WANDER * generator.standard_normal())
    found += farther(paired, texts, found)
    gains = {each.words: _gain(engine, own, each, numbers, then, generator) for each in found}
    first = {each.key: gains[each.words] for each in reversed(found)}
    return _judged(advised, gains, next(first[key] for key in ORDER if key in first))


def _judged(advised: Advice, gains: Mapping[str, float], ordered: float) -> Judged | None:
    best = max(gains.values())
    options = [option for option in (*advised.options, *advised.others) if option.words in gains]
    first = next((option for option in advised.options if option.words in gains), None)
    if first is None or best <= 0:
        return None
    return Judged(
        first=gains[first.words] / best,
        by_order=ordered / best,
        told=[(option.effect.helps, gains[option.words] > 0) for option in options],
        inside=[
            option.effect.power.low <= gains[option.words] <= option.effect.power.high
            for option in advised.options
            if option.words in gains
        ],
        running=advised.running,
    )


def _gain(
    engine: Hidden, own: ModelInputs, candidate: Candidate, numbers: dict[str, float], friction: float,
    generator: np.random.Generator,
) -> float:  # fmt: skip
    """Return what a change does to the power of the hidden engine, [W], with the friction of that evening."""
    inputs = candidate.edited.inputs
    for name in sorted(inputs.values):
        numbers.setdefault(name, float(generator.standard_normal()))
    values = {name: value_at(name, value, numbers[name]) for name, value in inputs.values.items()}
    for name, factor in candidate.edit.factors.items():
        if name in values:
            # each engine has one factor of its own within the range
            values[name] *= value_at(name, factor, float(generator.standard_normal()))
    before = _power(own, engine.values, friction)
    return _power(inputs, values, friction) - before


def _power(model_inputs: ModelInputs, values: Mapping[str, float], friction: float) -> float:
    one = SampledInputs(words=model_inputs.words, values={n: np.array([v]) for n, v in values.items()}, size=1)
    curve = curve_of(central(model_inputs.words, model_inputs.values))
    one = one.changed(friction_torque=one["friction_torque"] * friction)
    speeds = np.geomspace(0.2, 8.0, 12) * curve.reference
    o = operate(one, speeds[None], angles=48, passes=1, start=curve.operation)
    points = find_points(o, reference=curve.reference)
    return float(points.best_power[0]) if points.runs[0] else 0.0


def hidden_engines(many: int, *, seed: int = 900) -> list[Judged]:
    """Return so many hidden engines that ran and could be advised on, flat ones and cans in turn."""
    found: list[Judged] = []
    at = seed
    while len(found) < many and at < seed + 20 * many:
        judged = judge((FLAT, {k: v for k, v in CAN.items() if k not in LEFT_OUT})[at % 2], at)
        at += 1
        if judged is not None:
            found.append(judged)
    return found


LEFT_OUT = ("hot_metal", "cold_metal", "speed_drag", "friction_torque", "leak_half_time")
"""What most builders have not measured."""
