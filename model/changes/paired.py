"""Changes tried on engines: the air of every changed engine is solved, round it the same shaft, the same visit."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.changes.edits import Edited, edited
from model.changes.engines import FewEngines
from model.checkpoint import Progress, checkpoint, silent
from model.explain.diagnosis.weights import WANDER
from model.fields import Build, Parsed, fields_of
from model.inputs.model_inputs import ModelInputs
from model.knowledge.airs import ANGLES
from model.knowledge.latents import SHAFT, normal_chance, opened
from model.knowledge.weigh import MODEL_ERROR, stretched
from model.physics.values import BoolArray, FloatArray
from model.quantities.uncertain import Uncertain
from model.running import leak_down
from model.running.curve import SAMPLED
from model.running.engine import geometry
from model.running.operate import Operation, leak_conductance, operate
from model.running.points import find_points, least_speed, smooth
from model.running.samples import SampledInputs, normal_quantiles, strata, value_at

BATCH = 96
"""Engines that are solved together: more need more memory and hardly less time."""
FINE = 25
"""Speeds at which torque is told; between them it is smooth."""
OTHER_DIFFERENCE = (2.0, 0.5)
"""Difference of the metals over the present one at which the torque is looked at too: of engines that do not run, and
of those that do."""
HALF = 0.5
DIFFERENCES = np.geomspace(0.03, 6.0, 60)
MOST_OFF = 1e3
"""How many times heat or cooling may be off at most; within it the engines as they are keep the metals measured."""
METAL_ANGLES = 16
"""Angles of a turn that tells where a change takes the metals, which are right to a percent or so."""
_SHAPE = (
    "piston_", "displacer_", "diaphragm_", "side_", "hot_bore", "hot_throw", "end_", "dead_", "tube_", "chamber_",
    "matrix_", "regenerator", "phase",
)  # fmt: skip
RESHAPES = frozenset(name for name in fields_of(Build) if name.startswith(_SHAPE))
"""Fields that change the volume of the air, in which a leak stays the same hole."""
METALS = ("hot_metal", "cold_metal")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcomes:
    """Engines with a change in them, on their next visit, over speeds; arrays (engines,) unless said."""

    inputs: SampledInputs
    """With the friction of that visit."""
    speed: FloatArray
    """(engines, speeds) [rad/s]."""
    torque: FloatArray
    """(engines, speeds) left at the shaft, [N m]."""
    fluctuation: FloatArray
    """(engines, speeds) that the wheel takes up and gives back, [J]."""
    chance: FloatArray
    """To run on any visit."""
    runs: BoolArray
    power: FloatArray
    """Best shaft power, nil where it does not run, [W]."""
    best_speed: FloatArray
    """[rad/s]; NaN where it does not run."""
    free_speed: FloatArray
    spare: FloatArray
    """Largest torque left where the wheel carries it, [N m]."""
    hot: FloatArray
    """Hot metal at the reference speed, [K]."""
    difference: FloatArray
    """Of the metals there, [K]."""
    settled: BoolArray
    """Whether the turns could be solved."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Air:
    """What the air of engines gives on a calm visit, (engines, speeds)."""

    gas: FloatArray
    carried: FloatArray
    hot: FloatArray
    """Hot metal at the reference speed, (engines,) [K]."""
    cold: FloatArray
    settled: BoolArray


class PairedRun:
    """The engines of a mark, and what they do with changes in them; each change is solved once."""

    def __init__(self, engines: FewEngines) -> None:
        self.engines = engines
        self.speed = SAMPLED * engines.start.reference
        self._airs: dict[Hashable, _Air] = {}
        self._heat: tuple[FloatArray, FloatArray] | None = None
        self._tolds: dict[Hashable, Outcomes] = {}
        self._base = self.edited({})
        self._firsts: dict[int, PairedRun] = {}
        self._others: dict[Hashable, _Air] = {}
        self._own = _air_key(self._base)
        size = engines.size
        chance = [normal_quantiles(strata(1, name, size)) for name in ("the model's error then", "friction then")]
        self._gas, self._friction = np.exp(MODEL_ERROR * chance[0]), np.exp(WANDER * chance[1])

    def first(self, size: int) -> PairedRun:
        """Return the first of these engines to try changes on."""
        if size not in self._firsts:
            self._firsts[size] = PairedRun(self.engines.first(size))
        return self._firsts[size]

    def edited(self, edits: Mapping[str, Parsed | None], factors: Mapping[str, Uncertain] | None = None) -> Edited:
        """Return the mark with some fields edited, and some inputs multiplied."""
        made = edited(self.engines.build, self.engines.inputs, edits)
        inputs = opened(made.inputs) if edits else self.engines.inputs
        return replace(made, inputs=inputs, factors={} if factors is None else factors)

    def of(self, changes: Sequence[Edited], *, progress: Progress = silent) -> list[Outcomes | None]:
        """Return what the engines do with each change; None where something is in its way."""
        self._solve([change for change in changes if change.can_be], progress)
        return [self._told(change) if change.can_be else None for change in changes]

    def now(self) -> Outcomes:
        """Return what the engines do as they are."""
        self._solve([self._base], silent)
        return self._told(self._base)

    def _told(self, change: Edited) -> Outcomes:
        key = _key(change)
        if key not in self._tolds:
            self._tolds[key] = self._at_visit(self._drawn(change), self._airs[_air_key(change)])
        return self._tolds[key]

    def _drawn(self, change: Edited) -> SampledInputs:
        """Return the engines with a change in them; their leak stays the same hole in another volume."""
        made, own = self.engines.sampled(change.inputs), self.engines.inputs.values.get("leak_half_time")
        if own is not None and change.fields & RESHAPES and change.inputs.values.get("leak_half_time") == own:
            before = self.engines.sampled()
            leaking = leak_conductance(before, geometry(before, angles=16))
            made = leak_down.with_half_time(made, leak_down.half_time(made, geometry(made, angles=16), leaking))
        return _multiplied(made, change.factors)

    def _solve(self, wanted: Iterable[Edited], progress: Progress) -> None:
        """Solve the airs that are not solved yet, as many together as share their words and inputs."""
        asked = {key: change for change in wanted if (key := _air_key(change)) not in self._airs}
        made = {key: _best_shaft(self._drawn(change), change.inputs) for key, change in asked.items()}
        moves = {key: change for key, change in asked.items() if key != self._own and self._moves_metals(change)}
        made |= self._metals_moved(moves, made)
        total, done = len(made), 0
        for keys in self._batches(made):
            progress(done / total)
            done += len(keys)
            for key, air in zip(keys, self._run(_joined([made[key] for key in keys]), len(keys)), strict=True):
                self._airs[key] = air

    def _batches(self, made: Mapping[Hashable, SampledInputs]) -> Iterator[list[Hashable]]:
        """Yield keys of engines that can be solved together."""
        groups: dict[Hashable, list[Hashable]] = {}
        for key, inputs in made.items():
            groups.setdefault((frozenset(inputs.words.items()), frozenset(inputs.values)), []).append(key)
        many = max(BATCH // self.engines.size, 1)
        for keys in groups.values():
            for first in range(0, len(keys), many):
                checkpoint()
                yield keys[first : first + many]

    def _run(self, inputs: SampledInputs, many: int) -> list[_Air]:
        speed = np.repeat(self.speed[None], inputs.size, axis=0)
        o = operate(inputs, speed, passes=1, angles=ANGLES, start=self.engines.start.operation, refined=False)
        column = int(np.flatnonzero(SAMPLED == 1.0)[0])
        hot, cold = o.hot_metal[:, column], o.cold_metal[:, column]
        parts = (np.split(values, many) for values in (o.shaft / (2 * np.pi), o.fluctuation, hot, cold, o.converged))
        return [
            _Air(gas=gas, carried=carried, hot=hot, cold=cold, settled=settled.any(axis=1))
            for gas, carried, hot, cold, settled in zip(*parts, strict=True)
        ]

    def least_difference(self, change: Edited | None = None) -> FloatArray:
        """Return the least difference of the metals with which each engine runs, (engines,) [K]; infinite where none.

        At each speed the torque is a straight line through what it is at the metals' difference and at another.
        """
        change = self._base if change is None else change
        self._solve([change], silent)
        key, air = _air_key(change), self._airs[_air_key(change)]
        told = self._told(change)
        other = OTHER_DIFFERENCE[int(told.runs.mean() >= HALF)]
        if key not in self._others:
            made = _best_shaft(self._drawn(change), change.inputs)
            hot = np.clip(air.cold + other * (air.hot - air.cold), 210.0, 1450.0)
            self._others[key] = self._run(made.changed(hot_metal=hot, cold_metal=air.cold), 1)[0]
        away = self._at_visit(self._drawn(change), self._others[key])
        slope = (told.torque - away.torque) / (1 - other)
        carries = told.speed >= least_speed(told)[:, None]
        at = told.torque[..., None] + slope[..., None] * (DIFFERENCES - 1)
        best = np.where(carries[..., None], at, -np.inf).max(axis=1)
        first = np.where((best > 0).any(axis=1), (best > 0).argmax(axis=1), -1)
        rows, before = np.arange(len(best)), np.maximum(first - 1, 0)
        there, here = best[rows, first], best[rows, before]
        share = np.clip(-here / np.where(there > here, there - here, 1.0), 0.0, 1.0)
        share = np.where(first > 0, share, 1.0)
        found = DIFFERENCES[before] + share * (DIFFERENCES[np.maximum(first, 0)] - DIFFERENCES[before])
        return np.asarray(np.where(first < 0, np.inf, found * (air.hot - air.cold)))

    def _moves_metals(self, change: Edited) -> bool:
        measured = any(name in self.engines.inputs.values for name in METALS)
        said = any(name in change.fields and name in change.inputs.values for name in METALS)
        return measured and not said

    def _metals_moved(
        self, changes: Mapping[Hashable, Edited], made: Mapping[Hashable, SampledInputs]
    ) -> dict[Hashable, SampledInputs]:
        """Return engines whose measured metals are where the changes take them: by the model's own heat balance.

        What brings the heat and what takes it away are first set so that the balance of the engines as they are comes
        to the metals that were measured; so a poor contact stays poor, and passes less where more is asked of it.
        """
        if not changes:
            return {}
        if self._heat is None:
            self._heat = self._heat_as_measured()
        free = {key: self._free(change, made[key]) for key, change in changes.items()}
        found = {}
        for keys in self._batches(free):
            o = self._balanced(_joined([free[key] for key in keys]))
            metals = (np.split(values[:, 0], len(keys)) for values in (o.hot_metal, o.cold_metal))
            for key, hot, cold in zip(keys, *metals, strict=True):
                found[key] = made[key].changed(hot_metal=hot, cold_metal=cold)
        return found

    def _free(self, change: Edited, made: SampledInputs) -> SampledInputs:
        """Return engines with a change in them whose metals are worked out, from heat as it was measured."""
        drawn = self.engines.sampled(opened(change.without_metals()))
        same = {name: values for name, values in made.values.items() if name not in METALS}
        free = replace(drawn, values={**drawn.values, **same})
        if self._heat is None:
            return free
        hot, cold = self._heat
        # of another source or another way of cooling it is known half as well
        hot = np.sqrt(hot) if "heat_source" in change.fields else hot
        cold = np.sqrt(cold) if "cold_side" in change.fields else cold
        times = {"heat_caught": hot, "contact_coefficient": hot, "cold_coefficient_factor": cold}
        return free.changed(**{name: free[name] * factor for name, factor in times.items() if name in free})

    def _heat_as_measured(self) -> tuple[FloatArray, FloatArray]:
        """Return how many times the heat that the model offers, and its cooling, the measured metals stand for."""
        base = self.engines.sampled()
        net = self._balanced(self._free(self._base, base)).network
        o = self._balanced(base)
        own, hot, cold = o.network, o.hot_metal[:, :1], o.cold_metal[:, :1]
        along = own.conduction * (hot - cold)
        into = o.heat_taken + along + own.loss * (hot - own.room)
        offered, cooled = net.source - net.source_slope * hot, net.cooling * (cold - net.sink)
        found = []
        for name, needs, has in zip(METALS, (into, o.heat_given + along), (offered, cooled), strict=True):
            ratio = np.clip(needs / np.maximum(has, 1e-9), 1 / MOST_OFF, MOST_OFF)[:, 0]
            found.append(ratio if name in base else np.ones(base.size))
        return found[0], found[1]

    def _balanced(self, inputs: SampledInputs) -> Operation:
        """Run engines at the reference speed as far as their heat balance goes."""
        speed = np.full((inputs.size, 1), self.engines.start.reference)
        return operate(inputs, speed, passes=2, angles=METAL_ANGLES, refined=False)

    def _at_visit(self, made: SampledInputs, air: _Air) -> Outcomes:
        size = made.size
        fine = np.tile(np.geomspace(self.speed[0], self.speed[-1], FINE), (size, 1))
        at = np.tile(np.log(self.speed), (size, 1))
        calm, carried = smooth(at, air.gas, np.log(fine)), smooth(at, air.carried, np.log(fine))
        drag = made.column("speed_drag") * fine
        friction = made.column("friction_torque")
        then = made.changed(friction_torque=made["friction_torque"] * self._friction)
        torque = calm * self._gas[:, None] - then.column("friction_torque") - drag
        over = _Over(inputs=then, speed=fine, torque=torque, fluctuation=carried)
        points = find_points(over, reference=self.engines.start.reference)
        away = np.hypot(MODEL_ERROR, WANDER * friction / (friction + drag))
        carries = fine >= least_speed(over)[:, None]
        spare = np.where(carries, stretched(calm / (friction + drag)) / away, -10.0)
        return Outcomes(
            inputs=then, speed=fine, torque=torque, fluctuation=carried,
            chance=normal_chance(spare.max(axis=1)),
            runs=points.runs,
            power=np.where(points.runs, points.best_power, 0.0),
            best_speed=points.best_speed,
            free_speed=points.free_speed,
            spare=_spare(torque, carries),
            hot=air.hot,
            difference=air.hot - air.cold,
            settled=air.settled,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Over:
    """What `find_points` looks at."""

    inputs: SampledInputs
    speed: FloatArray
    torque: FloatArray
    fluctuation: FloatArray


def _spare(torque: FloatArray, carries: BoolArray) -> FloatArray:
    """Return the largest torque left where the wheel carries it; where it carries nowhere, that at the top speed."""
    left = np.where(carries, torque, -np.inf).max(axis=1)
    return np.asarray(np.where(np.isfinite(left), left, np.minimum(torque[:, -1], 0.0)))


def _best_shaft(made: SampledInputs, inputs: ModelInputs) -> SampledInputs:
    """Return engines with the shaft's inputs at their best: the air knows nothing of them."""
    best = {name: np.full(made.size, inputs.values[name].value) for name in SHAFT if name in inputs.values}
    return made.changed(**best)


def _multiplied(made: SampledInputs, factors: Mapping[str, Uncertain]) -> SampledInputs:
    """Return engines with some inputs multiplied, each engine by a factor of its own within what is known of it."""
    return made.changed(
        **{
            name: made[name] * value_at(name, factor, strata(1, f"factor of {name}", made.size))
            for name, factor in factors.items()
            if name in made
        }
    )


def _key(change: Edited) -> Hashable:
    """Return what an engine with a change in it depends on."""
    inputs = change.inputs
    return (
        inputs.layout,
        frozenset(inputs.words.items()),
        frozenset(inputs.values.items()),
        frozenset(change.factors.items()),
    )


def _air_key(change: Edited) -> Hashable:
    """Return what the air of an engine depends on."""
    inputs = change.inputs
    values = frozenset((name, value) for name, value in inputs.values.items() if name not in SHAFT)
    factors = frozenset((name, factor) for name, factor in change.factors.items() if name not in SHAFT)
    return inputs.layout, frozenset(inputs.words.items()), values, factors


def _joined(parts: list[SampledInputs]) -> SampledInputs:
    values = {name: np.concatenate([part[name] for part in parts]) for name in parts[0].values}
    return SampledInputs(words=parts[0].words, values=values, size=sum(part.size for part in parts))


__all__ = ["Outcomes", "PairedRun"]
