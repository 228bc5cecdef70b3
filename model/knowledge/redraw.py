"""Move engines to where the facts are likely: by tempering, redrawing, and small steps that keep what was known before.

From equally likely engines the facts are let in little by little [DelMoral2006]; at each step those that count are
redrawn, and every one takes a few steps: its shaft a part of the way to a new one, which leaves a normal distribution
as it is [Cotter2013], and its air for another's, with the friction that keeps the balance of a reading. No reading,
however fine, leaves one engine alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import sqrt

import numpy as np

from model.checkpoint import Progress, checkpoint, silent
from model.knowledge.airs import Airs, Draw, along, keys_of_air
from model.knowledge.emulate import Emulator, chosen, joined, results_of
from model.knowledge.facts import Facts
from model.knowledge.latents import ALWAYS, Chain, first_numbers, number_at, steepness
from model.knowledge.weigh import Engines, log_likelihood, shaft_keys
from model.physics.values import BoolArray, FloatArray, IndexArray
from model.quantities.uncertain import Shape

AIRS = 128
"""Airs of the first pool."""
SHAFTS = 5
"""Shafts round each."""
KEPT = 0.5
"""Share of the engines that count after each step."""
STEPS = 3
"""Rounds of moves at each temperature."""
LAST_STEPS = 6
"""The same at the end."""
MOST_LEVELS = 25
LEAST_SHARE = 0.02
"""Share of what another polynomial says otherwise that is let in at once at least; the moves behind it do the rest."""
WIDENED, WIDER = "friction_torque", 1.7
"""The number of shafts that begins more widely than it lies, so that a bad one is there to be found, and how much."""
FEWEST_AIRS = 40.0
"""Airs that count below which engines go farther than the first pool."""
FEWEST_SOLVED = 32.0
"""The same of those that were solved where they go; with fewer, they mend the cubic."""
MOST_POOLS = 4
GOOD = 0.03
"""Relative error of a cubic that may carry the figures itself, well below the model's own."""
SHAFTS_LEFT = 3
"""Shafts round each air that a cubic told and whose speeds are solved."""
FAR = 320
"""Engines that go far."""
REDRAWN = 96
"""Of those, the ones that are solved: they carry the figures."""


def effective(chosen: IndexArray) -> float:
    """Return how many different things so many draws amount to: one over the sum of squared shares [Kish1965]."""
    share = np.bincount(chosen) / chosen.size
    return float(1 / (share**2).sum())


def different_airs(engines: Engines) -> float:
    """Return how many different airs engines amount to; one that was kept in several places counts once."""
    _, number = np.unique(engines.draw(ALWAYS).round(12), return_inverse=True)
    return effective(np.asarray(number.reshape(-1)))


class Mover:
    """Engines on their way from what was known before to what the facts leave."""

    def __init__(self, engines: Engines, facts: Facts, *, generator: np.random.Generator, free: bool) -> None:
        self.engines, self.facts, self._chance = engines, facts, generator
        self._free = free
        """Whether an air may be changed for any other of the pool: they are equally likely before the facts."""
        self.base, self.log = self.logs(engines)
        self._stride = 0.6
        self.level = 0.0
        self.asks_air = results_of(engines.airs).size > 0
        """Whether the air takes part in anything."""

    def logs(self, engines: Engines) -> tuple[FloatArray, FloatArray]:
        """Return how likely engines are at the beginning, and what the whole way adds, as logarithms, (n,)."""
        wider = _wider(engines)
        return wider, log_likelihood(engines, self.facts) - wider

    def temper(self) -> None:
        """Let the facts in, up to the whole."""
        for _ in range(MOST_LEVELS):
            if self.level >= 1 or self._runs_out():
                break
            checkpoint()
            self._next()
            for _ in range(STEPS):
                self.move()
        for _ in range(LAST_STEPS if self.level >= 1 else 0):
            self.move()

    def _runs_out(self) -> bool:
        """Whether too few airs of the pool will be left, as they became fewer so far."""
        if not self.level or not self._free or not self.asks_air:
            return False
        many = self.engines.airs.size
        return bool(many * (different_airs(self.engines) / many) ** (1 / self.level) < FEWEST_AIRS)

    def _next(self) -> None:
        rest = 1 - self.level
        low, high = 0.0, rest
        if self._left(rest) >= KEPT:
            low = rest
        else:
            for _ in range(25):
                middle = (low + high) / 2
                low, high = (middle, high) if self._left(middle) >= KEPT else (low, middle)
        step = low if self.level + low < 1 - 1e-9 else rest
        self.redraw(weights(self.log * step))
        self.level = 1.0 if step == rest else self.level + max(step, 1e-4)

    def _left(self, step: float) -> float:
        return _left(self.log * step)

    def redraw(self, weight: FloatArray) -> None:
        """Keep engines by their weights."""
        points = (np.arange(weight.size) + self._chance.random()) / weight.size
        self._take(np.minimum(np.searchsorted(np.cumsum(weight), points), weight.size - 1))

    def _take(self, chosen: IndexArray) -> None:
        shaft = {key: values[chosen] for key, values in self.engines.shaft.items()}
        self.engines = replace(self.engines, air=self.engines.air[chosen], shaft=shaft)
        self.base, self.log = self.base[chosen], self.log[chosen]

    def move(self) -> None:
        """Take one round of steps."""
        went = self._try(self._other_shaft(), self.engines.air, None)
        self._stride = float(np.clip(self._stride * np.exp(went - 0.35), 0.02, 1.0))
        if self._free:
            other = self._chance.integers(0, self.engines.airs.size, self.engines.size)
            self._try(*self._balanced(other))

    def _other_shaft(self) -> Mapping[str, FloatArray]:
        back, on = sqrt(1 - self._stride**2), self._stride
        return {
            key: back * values + on * self._chance.standard_normal(values.size)
            for key, values in self.engines.shaft.items()
        }

    def _balanced(self, other: IndexArray) -> tuple[Mapping[str, FloatArray], IndexArray, FloatArray | None]:
        """Return engines with another air each, and the friction that keeps one balance as it is."""
        new = replace(self.engines, air=other)
        shaft, extra = balanced(self.engines, new, self.facts, self._chance)
        return shaft, other, extra

    def _try(self, shaft: Mapping[str, FloatArray], air: IndexArray, extra: FloatArray | None) -> float:
        """Take a step where it is as likely or by chance; return how many did."""
        new = replace(self.engines, air=air, shaft=shaft)
        base, then = self.logs(new)
        goes = self.accepted(base, then, extra)
        self._go(new, goes)
        self.base, self.log = np.where(goes, base, self.base), np.where(goes, then, self.log)
        return float(goes.mean())

    def accepted(self, base: FloatArray, then: FloatArray, extra: FloatArray | None) -> BoolArray:
        """Return which engines take a step [Metropolis1953]."""
        ratio = base - self.base + self.level * (then - self.log) + (0.0 if extra is None else extra)
        return np.asarray(np.log(self._chance.random(ratio.size)) < ratio)

    def _go(self, new: Engines, goes: BoolArray) -> None:
        shaft = {key: np.where(goes, new.shaft[key], old) for key, old in self.engines.shaft.items()}
        self.engines = replace(self.engines, air=np.where(goes, new.air, self.engines.air), shaft=shaft)


def balanced(
    old: Engines, new: Engines, facts: Facts, chance: np.random.Generator
) -> tuple[Mapping[str, FloatArray], FloatArray | None]:
    """Return the shafts of new engines whose friction keeps the balance of one reading, and what that adds to the odds.

    Friction f' with gas'/(f' + rest) = gas/(f + rest); in the logarithm of the odds the density of the new number over
    that of the old, and how much the step stretches.
    """
    if not facts.balances:
        return new.shaft, None
    number = int(chance.integers(0, len(facts.balances)))
    fact = facts.balances[number]
    value = old.chain.inputs[fact.mark].values["friction_torque"]
    if value.shape is not Shape.LOG_NORMAL or value.spread <= 0:
        return new.shaft, None
    first, alike = _source(old.chain, fact.mark)
    if first not in old.shaft or alike < 0.1:
        return new.shaft, None
    shafts = old.shafts(fact.mark)
    friction = shafts["friction_torque"]
    rest = shafts["speed_drag"] * fact.speed + (0.0 if fact.load is None else fact.load.value)
    gas, then = (each.airs.balances[number].gas[each.air].mean(axis=1) for each in (old, new))
    good = (gas > 0) & (then > 0)
    times = np.where(good, then / np.where(good, gas, 1.0), 1.0)
    wanted = friction * times + rest * (times - 1)
    good &= (wanted > 1e-3 * friction) & _carried(old, fact.mark) & _carried(new, fact.mark)
    wanted = np.where(good, wanted, friction)
    z, moved = (number_at("friction_torque", value, torque) for torque in (friction, wanted))
    before = old.shaft[first]
    after = before + (moved - z) / alike
    steep = [steepness("friction_torque", value, own) for own in (z, moved)]
    stretch = np.where(good, np.log(times * friction * steep[0] / (wanted * steep[1])), 0.0)
    return {**new.shaft, first: after}, 0.5 * (before**2 - after**2) + stretch


def _carried(engines: Engines, mark: int) -> BoolArray:
    """Return of which engines a mark's friction is made of its source."""
    first, _ = _source(engines.chain, mark)
    carried, at = np.ones(engines.size, dtype=bool), mark
    while first != _key(engines.chain, at) and (before := engines.chain.before(at)) is not None:
        carried &= ~engines.chain.forgotten(at, engines.draw)
        at = before
    return carried


def _source(chain: Chain, mark: int) -> tuple[str, float]:
    """Return the key of the oldest number that a mark's friction is made of, and its share."""
    alike, at = 1.0, mark
    while (before := chain.before(at)) is not None:
        kept = chain.kept[at].get("friction_torque", 0.0)
        if kept < 0.3:
            break
        alike, at = alike * kept, before
    return _key(chain, at), alike


def _key(chain: Chain, mark: int) -> str:
    return "friction_torque" if chain.before(mark) is None else f"friction_torque of Mk {mark}"


def weights(log_weight: FloatArray) -> FloatArray:
    """Return weights that sum to one."""
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def _left(log_weight: FloatArray) -> float:
    """Return the share of engines that count by their weights."""
    weight = weights(log_weight)
    return float(1 / (weight**2).sum() / weight.size)


def first_engines(chain: Chain, airs: Airs, *, seed: int) -> Engines:
    """Return engines to begin with: shafts round every air, more of them with a bad friction than there are."""
    draw = first_numbers(seed + 1, airs.size * SHAFTS)
    shaft = {key: (WIDER if key.startswith(WIDENED) else 1.0) * draw(key) for key in shaft_keys(chain)}
    return Engines(chain=chain, airs=airs, air=np.tile(np.arange(airs.size), SHAFTS), shaft=shaft)


def _wider(engines: Engines) -> FloatArray:
    """Return how much likelier engines are to be begun with than they are, as a logarithm, (n,)."""
    total = np.zeros(engines.size)
    for key, z in engines.shaft.items():
        if key.startswith(WIDENED):
            total = total + 0.5 * z**2 * (1 - 1 / WIDER**2)
    return total


Solve = Callable[[Draw, int], Airs]
"""Solves so many engines whose numbers these are."""


def redrawn(chain: Chain, airs: Airs, facts: Facts, solve: Solve, *, seed: int, progress: Progress = silent) -> Engines:
    """Return equally likely engines that the facts leave.

    Parameters
    ----------
    chain, facts
        The marks, and what was found on them.
    airs : Airs
        Solved engines of which nothing was found.
    solve : callable
        Solves more.
    seed : int
        Seed of the steps.
    progress : callable
        Told the share that is done.
    """
    generator = np.random.default_rng([seed, 12])
    mover = Mover(first_engines(chain, airs, seed=seed), facts, generator=generator, free=True)
    mover.temper()
    if mover.level >= 1 and (different_airs(mover.engines) >= FEWEST_AIRS or not mover.asks_air):
        return mover.engines
    progress(0.4)
    return _far(chain, airs, facts, solve, seed=seed, generator=generator)


class FarMover(Mover):
    """Engines whose airs go anywhere: what an air would do is told by a polynomial through those that were solved."""

    def __init__(
        self,
        engines: Engines,
        numbers: Mapping[str, FloatArray],
        facts: Facts,
        emulator: Emulator,
        generator: np.random.Generator,
    ) -> None:
        self.emulator = emulator
        self.numbers = numbers
        self.far_stride = 0.5
        super().__init__(self._told(engines, numbers), facts, generator=generator, free=False)

    def by_other(self, emulator: Emulator) -> FarMover:
        """Return engines that stand where these do, by another polynomial; as many as it finds likely count."""
        other = FarMover(self.engines, self.numbers, self.facts, emulator, self._chance)
        changed = other.base + other.log - self.base - self.log
        share = 1.0
        while share > LEAST_SHARE and _left(changed * share) < KEPT:
            share *= 0.7
        other.redraw(weights(changed * share))
        other.level, other.far_stride, other._stride = 1.0, self.far_stride, self._stride
        for _ in range(STEPS):
            other.move()
        return other

    def _told(self, engines: Engines, numbers: Mapping[str, FloatArray]) -> Engines:
        return self._with(engines, numbers, self.emulator.told(numbers))

    def _with(self, engines: Engines, numbers: Mapping[str, FloatArray], told: FloatArray) -> Engines:
        self._table = told
        return replace(engines, airs=self.emulator.airs(told, numbers), air=np.arange(engines.size))

    def _take(self, chosen: IndexArray) -> None:
        self.numbers = {key: values[chosen] for key, values in self.numbers.items()}
        shaft = {key: values[chosen] for key, values in self.engines.shaft.items()}
        engines = replace(self.engines, air=np.arange(chosen.size), shaft=shaft)
        self.engines = self._with(engines, self.numbers, self._table[chosen])
        self.base, self.log = self.base[chosen], self.log[chosen]

    def move(self) -> None:
        """Take one round of steps, of the shaft and of the air."""
        super().move()
        back, on = sqrt(1 - self.far_stride**2), self.far_stride
        numbers = {
            key: back * values + on * self._chance.standard_normal(values.size) for key, values in self.numbers.items()
        }
        table = self._table
        new = self._told(self.engines, numbers)
        told = self._table
        shaft, extra = balanced(self.engines, new, self.facts, self._chance)
        base, then = self.logs(replace(new, shaft=shaft))
        goes = self.accepted(base, then, extra)
        self.numbers = {key: np.where(goes, numbers[key], old) for key, old in self.numbers.items()}
        kept = {key: np.where(goes, shaft[key], old) for key, old in self.engines.shaft.items()}
        self.engines = self._with(replace(self.engines, shaft=kept), self.numbers, np.where(goes[:, None], told, table))
        self.base, self.log = np.where(goes, base, self.base), np.where(goes, then, self.log)
        self.far_stride = float(np.clip(self.far_stride * np.exp(goes.mean() - 0.3), 0.02, 1.0))

    def some(self, many: int) -> Engines:
        """Return so many of the engines."""
        spread = np.linspace(0, self.engines.size - 1, many).astype(int)
        numbers = {key: values[spread] for key, values in self.numbers.items()}
        shaft = {key: values[spread] for key, values in self.engines.shaft.items()}
        airs = self.emulator.airs(self._table[spread], numbers)
        return replace(self.engines, airs=airs, air=np.arange(many), shaft=shaft)


def _far(chain: Chain, airs: Airs, facts: Facts, solve: Solve, *, seed: int, generator: np.random.Generator) -> Engines:
    """Return engines whose airs are where the facts are likely.

    They go there by what a cubic tells of them; there some are solved, and what it got wrong is weighed. Where that
    leaves too few, the cubic is laid through both, and carries the engines.
    """
    keys = tuple(keys_of_air(chain, facts))
    first = first_engines(chain, airs, seed=seed)
    some = np.sort(generator.choice(first.size, FAR, replace=False))
    few = replace(first, air=first.air[some], shaft={key: values[some] for key, values in first.shaft.items()})
    begun = {key: few.draw(key) for key in keys}
    pools, settled = [airs], []
    far: FarMover | None = None
    while True:
        emulator = Emulator(chain, facts, pools, keys)
        far = FarMover(few, begun, facts, emulator, generator) if far is None else far.by_other(emulator)
        far.temper()
        if emulator.missed < GOOD and len(pools) > 1:
            return _with_pools(far.engines, pools)
        there = far.some(REDRAWN)
        pools.append(solve(there.airs.draw, REDRAWN))
        settled.append(_settled(there, pools[-1], facts, generator))
        engines = _together(settled)
        if different_airs(engines) >= FEWEST_SOLVED or len(pools) == MOST_POOLS:
            return _with_pools(engines, pools)


def _with_pools(engines: Engines, pools: list[Airs]) -> Engines:
    return replace(engines, airs=replace(engines.airs, pools=tuple(pools)))


def with_curves(
    engines: Engines, facts: Facts, marks: frozenset[int], *, seed: int, progress: Progress = silent
) -> Engines:
    """Return engines with their torque over all speeds of some marks, solved for the airs that are left.

    Of airs that a cubic told some are solved, with several shafts round each.
    """
    airs = engines.airs
    if airs.known is not None:
        more = along(engines.chain, airs.draw, marks, known=airs.known, progress=progress)
        return replace(engines, airs=replace(airs, curves={**airs.curves, **more}))
    if airs.told:
        some = np.linspace(0, airs.size - 1, min(AIRS, airs.size)).astype(int)
        shaft = {key: np.tile(values[some], SHAFTS_LEFT) for key, values in engines.shaft.items()}
        engines = replace(engines, air=np.tile(engines.air[some], SHAFTS_LEFT), shaft=shaft)
    engines = used_alone(engines)
    left = engines.airs
    solved = along(engines.chain, left.draw, marks - left.curves.keys(), progress=progress)
    engines = replace(engines, airs=replace(left, curves={**left.curves, **solved}, told=False))
    if airs.told:
        engines = _shaken(engines, facts, np.random.default_rng([seed, 13])).engines
    return engines


def used_alone(engines: Engines) -> Engines:
    """Return engines without the airs that none of them has."""
    used, air = np.unique(engines.air, return_inverse=True)
    return replace(engines, airs=chosen(engines.airs, used), air=np.asarray(air.reshape(-1)))


def _shaken(engines: Engines, facts: Facts, generator: np.random.Generator) -> Mover:
    """Return engines whose shafts were moved, so that those round one air differ."""
    mover = Mover(engines, facts, generator=generator, free=False)
    mover.level = 1.0
    for _ in range(STEPS):
        mover.move()
    return mover


def _together(parts: list[Engines]) -> Engines:
    """Put engines round several pools of airs together, of each pool as many as it has different airs left."""
    left = np.array([different_airs(part) for part in parts])
    many = np.maximum((parts[-1].size * left / left.sum()).astype(int), 1)
    rows = [np.linspace(0, part.size - 1, n).astype(int) for part, n in zip(parts, many, strict=True)]
    before = np.cumsum([0, *(part.airs.size for part in parts)])
    return replace(
        parts[0],
        airs=joined([part.airs for part in parts]),
        air=np.concatenate([part.air[r] + b for part, r, b in zip(parts, rows, before[:-1], strict=True)]),
        shaft={
            key: np.concatenate([part.shaft[key][r] for part, r in zip(parts, rows, strict=True)])
            for key in parts[0].shaft
        },
    )


def _settled(there: Engines, found: Airs, facts: Facts, generator: np.random.Generator) -> Engines:
    """Return engines round solved airs, of engines whose airs were told by a cubic, by what that got wrong of them."""
    shafts = {key: np.tile(values, SHAFTS) for key, values in there.shaft.items()}
    many = replace(there, air=np.tile(there.air, SHAFTS), shaft=shafts)
    told = _shaken(many, facts, generator)
    new = replace(told.engines, airs=found)
    shaft, extra = balanced(told.engines, new, facts, generator)
    so = Mover(replace(new, shaft=shaft), facts, generator=generator, free=False)
    so.level = 1.0
    so.redraw(weights(so.base + so.log - told.base - told.log + (0.0 if extra is None else extra)))
    for _ in range(LAST_STEPS):
        so.move()
    return so.engines


__all__ = [
    "AIRS",
    "FAR",
    "STEPS",
    "FarMover",
    "Mover",
    "different_airs",
    "effective",
    "first_engines",
    "redrawn",
    "used_alone",
    "weights",
    "with_curves",
]
