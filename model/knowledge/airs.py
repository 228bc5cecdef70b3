"""Turns of the air solved once: some engines of a chain of marks under every condition in which something was found."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

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
T = TypeVar("T")


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
    """Mark -> over all its speeds, where a fact or a figure needs that."""
    turned: Mapping[int, Turned]
    """Mark -> what it shows in the tests of the shed, where the air takes part in one that was done."""
    known: Hashable = None
    """What tells a pool of engines from others, to remember what is solved of it by; None for those asked for once."""
    told: bool = False
    """Whether a cubic told what they do: they were not solved."""
    pools: tuple[Airs, ...] = ()
    """All that were solved on the way to them."""
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
    chain: Chain, facts: Facts, draw: Draw, size: int, *, seed: int, pool: Hashable = None,
    progress: Progress = silent,
) -> Airs:  # fmt: skip
    """Solve engines of a chain of marks as far as the facts need it.

    Parameters
    ----------
    chain, facts
        The marks, and what was found on them.
    draw : callable
        Gives the numbers of a key, (engines,).
    size : int
        How many.
    seed : int
        Seed of what is drawn beside.
    pool : hashable
        What tells these engines from others of the same chain, to remember them by; None for those asked for once.
    progress : callable
        Told the share that is done.
    """
    over_speeds = {fact.mark for fact in facts.running}
    steps, done = len(facts.balances) + 2 * len(over_speeds) + 2 * len(facts.with_air) or 1, 0
    overs = []
    for fact in facts.balances:
        progress(done / steps)
        done += 1
        what = (chain.key(fact.mark), fact.place, key_of(fact.under), fact.speed)
        overs.append(_kept(_OVERS, pool, what, lambda fact=fact: around(chain, fact, draw)))  # type: ignore[misc]
    curves = along(chain, draw, over_speeds, known=pool, progress=lambda share: progress(done / steps))
    done += 2 * len(over_speeds)
    tests = {}
    for mark in sorted(facts.with_air):
        progress(done / steps)
        done += 2
        asked = facts.tests_of(mark)
        tests[mark] = _kept(
            _TURNED, pool, (chain.key(mark), asked),
            lambda mark=mark, asked=asked: in_tests(chain, mark, draw, asked, seed),  # type: ignore[misc]
        )  # fmt: skip
    return Airs(size=size, draw=draw, balances=tuple(overs), curves=curves, turned=tests, known=pool)


def along(
    chain: Chain, draw: Draw, marks: Collection[int], *, known: Hashable = None, progress: Progress = silent
) -> dict[int, Over]:
    """Solve engines of some marks over all speeds that matter to each."""
    made: dict[int, Over] = {}
    for mark in sorted(marks):
        progress(len(made) / len(marks))
        made[mark] = _kept(_OVERS, known, (chain.key(mark), "curve"), lambda mark=mark: _along(chain, mark, draw))  # type: ignore[misc]
    return made


def _kept(cache: Cache[T], known: Hashable, what: Hashable, make: Callable[[], T]) -> T:
    return make() if known is None else cache.get((known, what), make)


def _air(chain: Chain, mark: int, draw: Draw) -> SampledInputs:
    """Return the engines of a mark with the shaft's inputs at their best: the air knows nothing of them."""
    model_inputs = chain.inputs[mark]
    names = [name for name in model_inputs.values if name not in SHAFT]
    made = chain.sampled(mark, draw, names=names)
    return _with_shaft(made, model_inputs)


def _with_shaft(made: SampledInputs, model_inputs: ModelInputs) -> SampledInputs:
    best = {n: np.full(made.size, model_inputs.values[n].value) for n in SHAFT if n in model_inputs.values}
    return made.changed(**best)


def around(chain: Chain, fact: Balance, draw: Draw) -> Over:
    """Solve engines round the speed of a reading, under its conditions."""
    names = [name for name in fact.under.values if name not in SHAFT]
    made = chain.sampled(fact.mark, draw, under=fact.under, place=fact.place, names=names)
    speed = fact.speed * np.array([1 / NEAR, NEAR])
    return over(_with_shaft(made, fact.under), speed, start_of(chain.inputs[fact.mark]))


def in_tests(chain: Chain, mark: int, draw: Draw, asked: frozenset[str], seed: int) -> Turned:
    """Solve engines of a mark as some tests of the shed turn them."""
    return turned(ready(_air(chain, mark, draw), seed), asked=asked)


def over_conditions(chain: Chain, fact: Balance, draw: Draw) -> Over:
    """Return what engines give under the conditions of a reading: at its speed where it was braked, else over all."""
    start = start_of(fact.under)
    names = [name for name in fact.under.values if name not in SHAFT]
    made = chain.sampled(fact.mark, draw, under=fact.under, place=fact.place, names=names)
    speed = SAMPLED * start.reference if fact.load is None else np.array([fact.speed])
    return over(_with_shaft(made, fact.under), speed, start)


def _along(chain: Chain, mark: int, draw: Draw) -> Over:
    start = start_of(chain.inputs[mark])
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


__all__ = [
    "Airs",
    "Draw",
    "Over",
    "along",
    "around",
    "dense",
    "in_tests",
    "keys_of_air",
    "over",
    "over_conditions",
    "solved",
    "start_of",
]
