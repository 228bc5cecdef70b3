"""How likely each engine is to show the facts: one likelihood for engines that run and for those that do not.

A free-running speed says that the air's torque at that speed is just what friction and drag take; a brake reading, what
they and the brake take. That is defined for every engine, also for one that never runs, so that engines can be moved to
where it holds. What the model leaves open and what an engine differs from one visit to the next are shared by all
readings of a visit: their residuals are normal together [JCGM100, 5.2], so that ten of one evening say little more than
one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log, pi
from typing import NamedTuple

import numpy as np

from model.checkpoint import checkpoint
from model.explain.diagnosis.ensemble import DISPLACER_SHARE
from model.explain.diagnosis.outcomes import Torque, Turned, inertia, simulate_outcomes
from model.explain.diagnosis.weights import MISREAD, ODD, WANDER, likelihood, odd_level
from model.knowledge.airs import Airs
from model.knowledge.facts import Balance, Fact, Facts, Ran, Shown
from model.knowledge.latents import ALWAYS, DOUBT, SHAFT, Chain, normal_chance
from model.physics.values import FloatArray, IndexArray
from model.quantities.constants import GRAVITY
from model.running.points import STALL_SHARE

MODEL_ERROR = 0.08
"""Relative standard uncertainty of the air's torque of one engine from one set of conditions to another, beyond the
factors of the model; common practice, no source."""
WITHIN = 0.04
"""The same of the torque from one reading of a visit to the next; common practice, no source."""
WIDE = log(1e4)
"""Width over which the logarithm of a wrong speed may lie."""
FINE = 16
"""Speeds at which it is asked whether an engine runs."""
SURE_TO_RUN = 0.15
"""Relative torque to spare from which an engine that runs by the model hardly fails to; common practice, no source."""
CARRIES = 0.1
"""The same of its speed over the least that its wheel carries."""
LEAST_TORQUE = 0.2
"""Torque over load below which its logarithm goes on as a straight line: an engine with none has a residual too."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engines:
    """Engines to weigh: a solved air each, and a shaft."""

    chain: Chain
    airs: Airs
    air: IndexArray
    """(n,) which air."""
    shaft: Mapping[str, FloatArray]
    """Key -> (n,) numbers of the shafts."""

    @property
    def size(self) -> int:
        """How many."""
        return self.air.size

    def draw(self, key: str) -> FloatArray:
        """Return the numbers of a key."""
        return self.shaft[key] if key in self.shaft else self.airs.draw(key)[self.air]

    def shafts(self, mark: int) -> dict[str, FloatArray]:
        """Return the shafts of a mark, as the tests of the shed take them."""
        model_inputs = self.chain.inputs[mark]
        values = dict(self.chain.sampled(mark, self.draw, names=SHAFT).values)
        if "wheel_mass" not in model_inputs.values:
            values["wheel_mass"] = np.ones(self.size)  # heavy enough; nothing that needs it is weighed
        low, high = DISPLACER_SHARE
        share = low + (high - low) * normal_chance(self.draw(DISPLACERS))
        values["displacer_share"] = share
        values["piston_share"] = (1 - share) * (0.2 + 0.6 * normal_chance(self.draw(PISTONS)))
        values["unbalance"] = values["usual_unbalance"] = (
            0.01 * GRAVITY * values["wheel_mass"] * values["wheel_diameter"] / 4
        )
        values["sound_friction"] = np.full(self.size, model_inputs.values["friction_torque"].value)
        values["tight_spot"] = np.zeros(self.size)
        return values


DISPLACERS, PISTONS = "displacer's share of the friction", "piston's share of the rest"


def shaft_keys(chain: Chain) -> tuple[str, ...]:
    """Return the keys of all numbers of the shafts."""
    asked: dict[str, None] = {DISPLACERS: None, PISTONS: None}
    one = np.zeros(1)

    def note(key: str) -> FloatArray:
        asked[key] = None
        return one

    for mark in chain.marks:
        chain.sampled(mark, note, names=SHAFT)
    return tuple(key for key in asked if key != ALWAYS and not key.startswith(DOUBT))


class Part(NamedTuple):
    """What one fact, or the balances of one visit together, says of engines."""

    facts: tuple[Fact, ...]
    chance: FloatArray
    """How likely each engine shows it, as a logarithm, relative, (n,)."""
    odd: float
    """What of that stands for a finding that is plain wrong, as a logarithm."""


def log_likelihood(engines: Engines, facts: Facts) -> FloatArray:
    """Return how likely each engine shows all the facts, as a logarithm, relative, (n,)."""
    total = np.zeros(engines.size)
    for part in parts(engines, facts):
        total = total + part.chance
    return total


def parts(engines: Engines, facts: Facts) -> list[Part]:
    """Return what each fact says of engines."""
    shafts = {mark: engines.shafts(mark) for mark in {fact.mark for fact in facts.all}}
    visits: dict[tuple[str, int], list[int]] = {}
    for number, fact in enumerate(facts.balances):
        visits.setdefault((fact.entry, fact.mark), []).append(number)
    made = [
        Part(
            tuple(facts.balances[n] for n in numbers),
            _visit(engines, facts, numbers, shafts[mark]),
            log(MISREAD) - len(numbers) * log(WIDE),
        )
        for (_, mark), numbers in visits.items()
    ]
    made += [Part((fact,), _running(engines, fact, shafts[fact.mark]), log(ODD / 2)) for fact in facts.running]
    with_air = facts.with_air
    outcomes = {
        mark: outcomes_of(engines, mark, shafts[mark], air=mark in with_air)
        for mark in {shown.mark for shown in facts.shown}
    }
    for shown in facts.shown:
        own, test = outcomes[shown.mark], shown.observation.bench_test
        if test in own:
            made.append(Part((shown,), _showing(shown, own), log(odd_level(test))))
    return made


def _visit(engines: Engines, facts: Facts, numbers: list[int], shaft: Mapping[str, FloatArray]) -> FloatArray:
    """Return how likely the balances of one visit are, together."""
    checkpoint()
    rows = [_balance(engines, facts.balances[n], n, shaft) for n in numbers]
    away, own, shared, slope = (np.stack(columns) for columns in zip(*rows, strict=True))
    # covariance: own noise on the diagonal, and one cause that all share [Woodbury1950]
    ratio = shared / own
    whole = 1 + (ratio**2).sum(axis=0)
    square = (away**2 / own**2).sum(axis=0) - (away * ratio / own).sum(axis=0) ** 2 / whole
    density = -0.5 * square - np.log(own).sum(axis=0) - 0.5 * np.log(whole) - 0.5 * len(rows) * log(2 * pi)
    return np.asarray(
        np.logaddexp(density + np.log(slope).sum(axis=0) + log(1 - MISREAD), log(MISREAD) - len(rows) * log(WIDE))
    )


def _balance(
    engines: Engines, fact: Balance, number: int, shaft: Mapping[str, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return of one balance: the residual, its own and its shared spread, and how fast it grows with the speed."""
    over = engines.airs.balances[number]
    below, above = (over.gas[engines.air, n] for n in range(2))
    braked = 0.0 if fact.load is None else fact.load.value
    drag = shaft["speed_drag"] * fact.speed
    load = shaft["friction_torque"] + drag + braked
    first, last = stretched(below / load), stretched(above / load)
    away = (first + last) / 2
    slope = np.abs((last - first) / log(over.speed[1] / over.speed[0]) - drag / load)
    slope = np.maximum(slope, 0.05)
    brake = 0.0 if fact.load is None else fact.load.spread / load
    own = np.sqrt((slope * fact.spread) ** 2 + WITHIN**2 + brake**2)
    shared = np.sqrt(MODEL_ERROR**2 + (WANDER * shaft["friction_torque"] / load) ** 2)
    if fact.load is not None:
        slope = braked / load  # what was read is a torque, at a speed that was set
    model_inputs = engines.chain.inputs[fact.mark]
    if "wheel_mass" in model_inputs.values:
        carried = over.carried[engines.air].mean(axis=1) + 2 * shaft["unbalance"]
        least = np.sqrt(2 * STALL_SHARE * np.maximum(carried, 1e-15) / inertia(shaft))
        # slower than its wheel carries: not seen running there
        slope = slope * np.maximum(normal_chance(np.log(fact.speed / least) / CARRIES), 1e-6)
    return away, own, shared, slope


def stretched(ratio: FloatArray) -> FloatArray:
    """Return the logarithm of torque over load, which goes on as a straight line below `LEAST_TORQUE`."""
    straight = log(LEAST_TORQUE) + (ratio - LEAST_TORQUE) / LEAST_TORQUE
    return np.asarray(np.where(ratio > LEAST_TORQUE, np.log(np.maximum(ratio, LEAST_TORQUE)), straight))


def _running(engines: Engines, fact: Ran, shaft: Mapping[str, FloatArray]) -> FloatArray:
    chance = chance_to_run(engines, fact.mark, shaft)
    said = chance if fact.ran else 1 - chance
    return np.asarray(np.log((1 - ODD) * said + ODD / 2))


def chance_to_run(engines: Engines, mark: int, shaft: Mapping[str, FloatArray]) -> FloatArray:
    """Return how likely each engine runs at a visit, (n,): the model's error and what friction differs counted."""
    checkpoint()
    fine, gas, carried = engines.airs.fine(mark, FINE)
    gas, carried = gas[engines.air], carried[engines.air]
    load = shaft["friction_torque"][:, None] + shaft["speed_drag"][:, None] * fine
    spare = stretched(gas / load)
    if "wheel_mass" in engines.chain.inputs[mark].values:
        least = np.sqrt(2 * STALL_SHARE * np.maximum(carried + 2 * shaft["unbalance"][:, None], 1e-15)
                        / inertia(shaft)[:, None])  # fmt: skip
        # half a standard deviation is taken off where the wheel only just carries it
        spare = np.minimum(spare, np.log(fine / least) * SURE_TO_RUN / CARRIES)
    best = spare.max(axis=1)
    return normal_chance(best / np.hypot(MODEL_ERROR, SURE_TO_RUN))


def outcomes_of(engines: Engines, mark: int, shaft: Mapping[str, FloatArray], *, air: bool) -> dict[str, FloatArray]:
    """Return what each engine shows in the tests of the shed, (n,)."""
    checkpoint()
    turns = _gathered(engines.airs.turned[mark], engines.air) if air else _still(engines.size)
    return simulate_outcomes(turns, shaft)


def _gathered(turns: Turned, chosen: IndexArray) -> Turned:
    def of(torque: Torque) -> Torque:
        return Torque(speed=torque.speed, gas=torque.gas[chosen], carried=torque.carried[chosen])

    return Turned(
        hot=of(turns.hot),
        changed={key: of(torque) for key, torque in turns.changed.items()},
        cold=turns.cold[chosen],
        plain={key: values[chosen] for key, values in turns.plain.items()},
        push=turns.push[chosen],
    )


def _still(size: int) -> Turned:
    """Return turns of no air, for tests in which it takes no part."""
    nothing = np.zeros(size)
    none = Torque(speed=np.array([1.0, 2.0]), gas=np.zeros((size, 2)), carried=nothing)
    return Turned(hot=none, changed={}, cold=nothing, plain={"displacer_travel": nothing}, push=nothing)


def _showing(fact: Shown, outcomes: Mapping[str, FloatArray]) -> FloatArray:
    shown = outcomes[fact.observation.bench_test]
    return np.asarray(np.log(np.maximum(likelihood(fact.observation, shown), 1e-300)))


__all__ = [
    "DISPLACERS",
    "Engines",
    "chance_to_run",
    "log_likelihood",
    "outcomes_of",
    "parts",
    "shaft_keys",
    "stretched",
]
