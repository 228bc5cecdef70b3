"""Turns of the air solved once: some engines of a chain of marks under every condition in which something was found."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from model.checkpoint import Progress, silent
from model.explain.cache import Cache, key_of
from model.explain.diagnosis.ensemble import ready
from model.explain.diagnosis.outcomes import Turned, turned
from model.inputs.model_inputs import ModelInputs
from model.knowledge.facts import Balance, Facts
from model.knowledge.latents import SHAFT, Chain
from model.physics.values import FloatArray
from model.running.curve import SAMPLED, Curve, curve_of
from model.running.operate import operate
from model.running.points import smooth_alike
from model.running.samples import SampledInputs, central

ANGLES = 24
"""Angles of a turn, with one of half as many: the error left is some thousandths (`tests/running/test_grid.py`)."""
TOGETHER = 400
"""Turns that are solved together: a third of them take as long, and twice as many need 10 MB more."""
NEAR = 1.15
"""Speeds beside one at which something was found, as factors up and down: they give the slope."""

Draw = Callable[[str], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Over:
    """What the air gives over a few speeds, (engines, speeds)."""

    speed: FloatArray
    """(speeds,) [rad/s]."""
    gas: FloatArray
    """Mean torque before friction and drag, [N m]."""
    carried: FloatArray
    """Energy that the wheel takes up and gives back, [J]."""

    def at(self, speed: float) -> FloatArray:
        """Return the torque before friction at a speed, (engines,)."""
        return smooth_alike(np.log(self.speed), self.gas, np.log([speed]))[:, 0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Airs:
    """Solved engines: a pool of airs, round each of which many shafts are tried."""

    size: int
    draw: Draw
    """Gives the numbers of a key, (engines,)."""
    balances: tuple[Over, ...]
    """Of each balance of the facts, round its speed."""
    curves: Mapping[int, Over]
    """Mark -> over all its speeds, where that is wanted."""
    turned: Mapping[int, Turned]
    """Mark -> what it shows in the tests of the shed, where the air takes part in one that was done."""
    starts: Mapping[int, Curve] = field(default_factory=dict)
    """Mark -> the best values over their speeds."""
    _fine: dict[tuple[int, int], tuple[FloatArray, FloatArray, FloatArray]] = field(init=False, default_factory=dict)

    def fine(self, mark: int, many: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return so many speeds of a mark, torque before friction and carried energy there, worked out once."""
        if (mark, many) not in self._fine:
            over_speeds = self.curves[mark]
            speeds = np.geomspace(over_speeds.speed[0], over_speeds.speed[-1], many)
            self._fine[mark, many] = speeds, *dense(over_speeds, speeds)
        return self._fine[mark, many]


_CURVES: Cache[Curve] = Cache(24)
_OVERS: Cache[Over] = Cache(120)
"""Torques by what they depend on; 128 engines at two speeds are 4 kB."""
_TURNED: Cache[Turned] = Cache(6)


def start_of(model_inputs: ModelInputs) -> Curve:
    """Return the best values of a mark over the speeds that matter to it: there its engines begin."""
    return _CURVES.get(key_of(model_inputs), lambda: curve_of(central(model_inputs.words, model_inputs.values)))


def solved(
    chain: Chain, facts: Facts, draw: Draw, size: int, *, wanted: frozenset[int], seed: int, pool: object,
    progress: Progress = silent,
) -> Airs:  # fmt: skip
    """Solve engines of a chain of marks.

    Parameters
    ----------
    chain, facts
        The marks, and what was found on them.
    draw : callable
        Gives the numbers of a key, (engines,).
    size : int
        How many.
    wanted : frozenset
        Marks whose torque over all speeds is wanted; those with a fact about running are too.
    seed : int
        Seed of what is drawn beside.
    pool : object
        What tells these engines from others of the same chain, to remember them by; None for those asked for once.
    progress : callable
        Told the share that is done.
    """
    wanted = wanted | {fact.mark for fact in facts.ran}
    steps, done = len(facts.balances) + 2 * len(wanted) + 2 * len(facts.with_air) or 1, 0
    starts = {mark: start_of(chain.inputs[mark]) for mark in wanted | {fact.mark for fact in facts.balances}}
    known = None if pool is None else (pool, chain.key())

    def kept(cache: Cache, what: object, make):  # type: ignore[no-untyped-def, type-arg]
        return make() if known is None else cache.get((*known, what), make)

    overs = []
    for fact in facts.balances:
        progress(done / steps)
        done += 1
        what = (fact.mark, fact.place, key_of(fact.under), fact.speed)
        overs.append(kept(_OVERS, what, lambda fact=fact: _round(chain, fact, draw, starts[fact.mark])))
    curves = {}
    for mark in sorted(wanted):
        progress(done / steps)
        done += 2
        curves[mark] = kept(_OVERS, (mark, "curve"), lambda mark=mark: _along(chain, mark, draw, starts[mark]))
    tests = {}
    for mark in sorted(facts.with_air):
        progress(done / steps)
        done += 2
        asked = facts.tests_of(mark)
        make = partial(turned, asked=asked)
        tests[mark] = kept(
            _TURNED, (mark, asked), lambda mark=mark, make=make: make(ready(_air(chain, mark, draw), seed))
        )
    return Airs(size=size, draw=draw, balances=tuple(overs), curves=curves, turned=tests, starts=starts)


def _air(chain: Chain, mark: int, draw: Draw) -> SampledInputs:
    """Return the engines of a mark with the shaft's inputs at their best: the air knows nothing of them."""
    model_inputs = chain.inputs[mark]
    names = [name for name in model_inputs.values if name not in SHAFT]
    made = chain.sampled(mark, draw, names=names)
    return _with_shaft(made, model_inputs)


def _with_shaft(made: SampledInputs, model_inputs: ModelInputs) -> SampledInputs:
    best = {n: np.full(made.size, model_inputs.values[n].value) for n in SHAFT if n in model_inputs.values}
    return made.changed(**best)


def _round(chain: Chain, fact: Balance, draw: Draw, start: Curve) -> Over:
    names = [name for name in fact.under.values if name not in SHAFT]
    made = chain.sampled(fact.mark, draw, under=fact.under, place=fact.place, names=names)
    return over(_with_shaft(made, fact.under), fact.speed * np.array([1 / NEAR, NEAR]), start)


def over_conditions(chain: Chain, fact: Balance, draw: Draw) -> Over:
    """Return what engines give over all speeds that matter under the conditions of a reading."""
    start = start_of(fact.under)
    names = [name for name in fact.under.values if name not in SHAFT]
    made = chain.sampled(fact.mark, draw, under=fact.under, place=fact.place, names=names)
    return over(_with_shaft(made, fact.under), SAMPLED * start.reference, start)


def _along(chain: Chain, mark: int, draw: Draw, start: Curve) -> Over:
    return over(_air(chain, mark, draw), SAMPLED * start.reference, start)


def over(inputs: SampledInputs, speed: FloatArray, start: Curve) -> Over:
    """Run engines at a few ascending speeds, a batch after the other."""
    parts = []
    many = TOGETHER // len(speed)
    for first in range(0, inputs.size, many):
        part = inputs.part(slice(first, first + many))
        done = operate(part, np.repeat(speed[None], part.size, axis=0), passes=1, angles=ANGLES, start=start.operation)
        parts.append((done.shaft / (2 * np.pi), done.fluctuation))
    gas, carried = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    return Over(speed=speed, gas=gas, carried=carried)


def dense(over_speeds: Over, fine: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return torque before friction and carried energy at other speeds, (engines, speeds)."""
    known, wanted = np.log(over_speeds.speed), np.log(fine)
    return smooth_alike(known, over_speeds.gas, wanted), smooth_alike(known, over_speeds.carried, wanted)


def keys_of_air(chain: Chain, facts: Facts) -> Iterator[str]:
    """Yield the keys of all numbers that the air depends on."""
    asked: dict[str, None] = {}
    one = np.zeros(1)

    def note(key: str) -> FloatArray:
        asked[key] = None
        return one

    for mark in chain.marks:
        chain.sampled(mark, note, names=[n for n in chain.inputs[mark].values if n not in SHAFT])
    for fact in facts.balances:
        chain.sampled(
            fact.mark, note, under=fact.under, place=fact.place, names=[n for n in fact.under.values if n not in SHAFT]
        )
    yield from asked


__all__ = ["Airs", "Draw", "Over", "dense", "keys_of_air", "over", "over_conditions", "solved", "start_of"]
