"""Changes tried on engines: the air of every changed engine is solved, round it the same shaft, the same visit."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.changes.edits import Edited, edited
from model.changes.engines import FewEngines
from model.checkpoint import Progress, checkpoint, silent
from model.explain.diagnosis.weights import WANDER
from model.fields import Parsed
from model.inputs.model_inputs import ModelInputs
from model.knowledge.airs import ANGLES
from model.knowledge.latents import SHAFT, normal_chance, opened
from model.knowledge.weigh import MODEL_ERROR, stretched
from model.physics.values import BoolArray, FloatArray
from model.running import leak_down
from model.running.curve import SAMPLED
from model.running.engine import geometry
from model.running.operate import leak_conductance, operate
from model.running.points import find_points, least_speed, smooth
from model.running.samples import SampledInputs, normal_quantiles, strata

BATCH = 96
"""Engines that are solved together: more need more memory and hardly less time."""
FINE = 25
"""Speeds at which torque is told; between them it is smooth."""
METALS = ("hot_metal", "cold_metal")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
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
    difference: FloatArray
    """Of the metals at the reference speed, [K]."""
    settled: BoolArray
    """Whether the turns could be solved."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Air:
    """What the air of engines gives on a calm visit, (engines, speeds)."""

    gas: FloatArray
    carried: FloatArray
    difference: FloatArray
    settled: BoolArray


class Trial:
    """The engines of a mark, and what they do with changes in them; each change is solved once."""

    def __init__(self, engines: FewEngines) -> None:
        self.engines = engines
        self.speed = SAMPLED * engines.start.reference
        self._airs: dict[Hashable, _Air] = {}
        self._balanced: dict[str, FloatArray] | None = None
        self._base = self.edited({})
        self._firsts: dict[int, Trial] = {}
        self._own = _air_key(engines.inputs)
        size = engines.size
        chance = [normal_quantiles(strata(1, name, size)) for name in ("the model's error then", "friction then")]
        self._gas, self._friction = np.exp(MODEL_ERROR * chance[0]), np.exp(WANDER * chance[1])

    def first(self, size: int) -> Trial:
        """Return the first of these engines to try changes on."""
        if size not in self._firsts:
            self._firsts[size] = Trial(self.engines.first(size))
        return self._firsts[size]

    def edited(self, edits: Mapping[str, Parsed | None]) -> Edited:
        """Return the mark with some fields edited."""
        made = edited(self.engines.build, self.engines.inputs, edits)
        return replace(made, inputs=opened(made.inputs) if edits else self.engines.inputs)

    def of(self, changes: Sequence[Edited], *, progress: Progress = silent) -> list[Tried | None]:
        """Return what the engines do with each change; None where something is in its way."""
        self._solve([change for change in changes if change.can_be], progress)
        return [self._told(change) if change.can_be else None for change in changes]

    def now(self) -> Tried:
        """Return what the engines do as they are."""
        self._solve([self._base], silent)
        return self._told(self._base)

    def _told(self, change: Edited) -> Tried:
        return self._at_visit(self._drawn(change), self._airs[_air_key(change.inputs)])

    def _drawn(self, change: Edited) -> SampledInputs:
        """Return the engines with a change in them; their leak stays the same hole in another volume."""
        made, own = self.engines.sampled(change.inputs), self.engines.inputs.values.get("leak_half_time")
        if own is None or not change.fields or change.inputs.values.get("leak_half_time") != own:
            return made
        before = self.engines.sampled()
        leaking = leak_conductance(before, geometry(before, angles=16))
        return leak_down.with_half_time(made, leak_down.half_time(made, geometry(made, angles=16), leaking))

    def _solve(self, wanted: Iterable[Edited], progress: Progress) -> None:
        """Solve the airs that are not solved yet, as many together as share their words and inputs."""
        groups: dict[Hashable, dict[Hashable, SampledInputs]] = {}
        for change in wanted:
            key = _air_key(change.inputs)
            if key in self._airs:
                continue
            made = _best_shaft(self._drawn(change), change.inputs)
            if key != self._own and self._moves_metals(change):
                made = self._metals_moved(change, made)
            groups.setdefault((frozenset(made.words.items()), frozenset(made.values)), {})[key] = made
        size, done, total = self.engines.size, 0, sum(map(len, groups.values()))
        for group in groups.values():
            keys = list(group)
            for first in range(0, len(keys), max(BATCH // size, 1)):
                checkpoint()
                progress(done / total)
                part = keys[first : first + max(BATCH // size, 1)]
                done += len(part)
                whole = _joined([group[key] for key in part])
                for number, air in enumerate(self._run(whole, len(part))):
                    self._airs[part[number]] = air

    def _run(self, inputs: SampledInputs, many: int) -> list[_Air]:
        speed = np.repeat(self.speed[None], inputs.size, axis=0)
        o = operate(inputs, speed, passes=1, angles=ANGLES, start=self.engines.start.operation, refined=False)
        column = int(np.flatnonzero(SAMPLED == 1.0)[0])
        difference = (o.hot_metal - o.cold_metal)[:, column]
        parts = (np.split(values, many) for values in (o.shaft / (2 * np.pi), o.fluctuation, difference, o.converged))
        return [
            _Air(gas=gas, carried=carried, difference=apart, settled=settled.any(axis=1))
            for gas, carried, apart, settled in zip(*parts, strict=True)
        ]

    def _moves_metals(self, change: Edited) -> bool:
        measured = any(name in self.engines.inputs.values for name in METALS)
        return measured and not change.fields & frozenset(METALS)

    def _metals_moved(self, change: Edited, made: SampledInputs) -> SampledInputs:
        """Return engines whose measured metals are where the change takes them: by the model's own heat balance.

        What the model gets wrong of the heat it gets wrong before and after alike: the excess of the cold metal over
        what cools it, and of the hot metal over the room (over water: what it lacks of the water), go by the ratio.
        """
        base = self.engines.sampled()
        if self._balanced is None:
            self._balanced = self._free_metals(self._base, base)
        after, moved = self._free_metals(change, made), {}
        for name in METALS:
            if name in base:
                old, new = _against(name, base), _against(name, made)
                was = self._balanced[name] - old
                ratio = (after[name] - new) / np.where(np.abs(was) > 0.5, was, 0.5)
                moved[name] = new + np.clip(ratio, 0.0, 5.0) * (base[name] - old)
        return made.changed(**moved)

    def _free_metals(self, change: Edited, made: SampledInputs) -> dict[str, FloatArray]:
        """Return the metals as the heat balance has them at the reference speed, none held as measured."""
        free = self.engines.sampled(opened(change.without_metals()))
        same = {name: values for name, values in made.values.items() if name not in METALS}
        free = replace(free, values={**free.values, **same})
        o = operate(free, np.full((free.size, 1), self.engines.start.reference), passes=2, angles=ANGLES, refined=False)
        return {"hot_metal": o.hot_metal[:, 0], "cold_metal": o.cold_metal[:, 0]}

    def _at_visit(self, made: SampledInputs, air: _Air) -> Tried:
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
        return Tried(
            inputs=then, speed=fine, torque=torque, fluctuation=carried,
            chance=normal_chance(spare.max(axis=1)),
            runs=points.runs,
            power=np.where(points.runs, points.best_power, 0.0),
            best_speed=points.best_speed,
            free_speed=points.free_speed,
            spare=_spare(torque, carries),
            difference=air.difference,
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


def _against(name: str, inputs: SampledInputs) -> FloatArray:
    """Return what a metal's temperature is told against: what cools it, the water that heats it, else the room."""
    if name == "cold_metal":
        return inputs["sink_temperature"]
    wet = inputs.words.get("heat_source") in ("water", "hand") and "source_temperature" in inputs
    return inputs["source_temperature" if wet else "room_temperature"]


def _best_shaft(made: SampledInputs, inputs: ModelInputs) -> SampledInputs:
    """Return engines with the shaft's inputs at their best: the air knows nothing of them."""
    best = {name: np.full(made.size, inputs.values[name].value) for name in SHAFT if name in inputs.values}
    return made.changed(**best)


def _air_key(inputs: ModelInputs) -> Hashable:
    """Return what the air of an engine depends on."""
    values = frozenset((name, value) for name, value in inputs.values.items() if name not in SHAFT)
    return inputs.layout, frozenset(inputs.words.items()), values


def _joined(parts: list[SampledInputs]) -> SampledInputs:
    values = {name: np.concatenate([part[name] for part in parts]) for name in parts[0].values}
    return SampledInputs(words=parts[0].words, values=values, size=sum(part.size for part in parts))


__all__ = ["Trial", "Tried"]
