"""Coasts of the wheel to rest and what is told of them: shared by hot and cold coasts and by spin-downs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.fields.reading import OPENED, PISTON_OFF, UNLINKED, ReadingFields
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.prediction.result import Figure, Why
from model.quantities.units import Kind
from model.quantities.wheel import LEVELS_OUT, slowing_of_coast
from model.running.operate import operate
from model.running.samples import SampledInputs, central, drawn
from model.running.shaft import friction
from model.running.spread import interval

ANGLES = 32
COMPARABLE = (0.6, 1.7)
"""Speeds of the two coasts whose ratio lies within these are comparable: friction hardly changes."""
UNLIKE = "The two speeds are not comparable: flick the one as fast as the other."


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeRunning:
    """One thing that an engine which does not run yet tells of its air."""

    key: str
    """``work_of_heat``: indicated work by hot and cold coasts; ``heat_felt``: share of the metals' difference; by
    spin-downs of `spindowns`: ``friction_opened``, ``displacer_friction`` (or ``friction_unlinked``), ``air_loss``."""
    label: str
    measured: Figure
    predicted: Figure
    gap: Figure
    """Measured less predicted."""
    note: str
    """How it was got, and its caveat."""
    place: tuple[str, str]
    """Keys of the entry and of the reading at which it stands: the hot coast, or the swing."""
    also: tuple[Figure, ...] = ()
    """Indicated work of the hot turn (the measured difference less what the cold turn takes by the model), and the
    power at the speed of the coast."""

    @property
    def indicated(self) -> Figure | None:
        """Indicated work of the hot turn."""
        return next((figure for figure in self.also if figure.key == "indicated_work"), None)


def name_of(values: ReadingFields) -> str:
    """Return the name under which a reading counts: its kind, or ``coast_`` and how the engine stood or was heated."""
    if values.kind != "free_turns" or not values.turns or not values.time or values.turns.value <= 0:
        return values.kind or ""
    if values.stood in (OPENED, UNLINKED, PISTON_OFF):
        return f"coast_{values.stood}"
    return f"coast_{values.warmth}" if values.warmth and values.direction != "backward" else ""


def usable(model_inputs: ModelInputs) -> bool:
    return bool(model_inputs.values) and not model_inputs.missing and not model_inputs.problems


def batch(model_inputs: ModelInputs, samples: int, seed: int) -> SampledInputs:
    best = central(model_inputs.words, model_inputs.values)
    many = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=seed)
    values = {name: np.concatenate([best[name], many[name]]) for name in best.values}
    return SampledInputs(words=best.words, values=values, size=samples + 1)


def coasted(values: ReadingFields) -> tuple[float, float, float]:
    """Return loss over moment of inertia, its relative spread, and the mean speed of a coast."""
    turns, time = values.turns, values.time
    if turns is None or time is None:
        raise ValueError("a coast needs turns and time")
    relative = math.hypot(turns.spread / turns.value, 2 * time.spread / time.value)
    slowing = slowing_of_coast(turns=turns.value, time=time.value)
    return slowing, math.hypot(relative, LEVELS_OUT), 2 * math.pi * turns.value / time.value


def torque_left(inputs: SampledInputs, speed: float, *, warm: bool) -> FloatArray:
    """Return the torque left at a speed, hot or at the room's temperature, (samples,)."""
    room = inputs["room_temperature"]
    made = inputs if warm else inputs.changed(hot_metal=room + 0.01, cold_metal=room)
    return np.asarray(operate(made, np.full((inputs.size, 1), speed), angles=ANGLES, passes=2).torque[:, 0])


def rubbing(inputs: SampledInputs, speed: float) -> FloatArray:
    """Return the torque that friction and drag take at a speed, (samples,) [N m]."""
    return friction(inputs, np.full((1, 1), speed))[:, 0]


def figure(key: str, label: str, kind: Kind, unit: str, values: FloatArray, formula: str) -> Figure:
    best = float(values[0])
    low, high = interval(values[1:])
    why = Why(formula=formula, source="derived here", note="spreads of reading and build drawn together")
    return Figure(
        key=key, label=label, kind=kind, unit=unit, value=best, low=min(low, best), high=max(high, best), why=why
    )


__all__ = [
    "ANGLES",
    "COMPARABLE",
    "UNLIKE",
    "BeforeRunning",
    "batch",
    "coasted",
    "figure",
    "name_of",
    "rubbing",
    "torque_left",
    "usable",
]
