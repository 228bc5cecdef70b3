"""Power of an engine that does not run: from a hot and a cold coast, and from the displacer's own pressure swing.

A closed engine turned by its wheel loses friction and what the air takes. Hot, the air gives back: the difference of
the two losses is indicated work, measured without the engine ever running. Cold and closed it works as a heat pump,
though, so the same difference is predicted by the model and compared, never the hot work alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from model.bench.evidence import evidence_of
from model.cycle.isothermal import isothermal_pressure
from model.explain.conditions import at_conditions
from model.explain.trouble.trials import slowing_of_coast
from model.fields import parse_build, parse_fields
from model.fields.reading import ReadingValues
from model.prediction import Figure, Why
from model.record import Project
from model.resolve import resolve
from model.resolved import Resolved
from model.running.inputs import Inputs, central, drawn, normals
from model.running.operate import operate
from model.running.points import inertia
from model.running.spread import interval
from model.units import Kind

FloatArray = NDArray[np.float64]
ANGLES = 32
LEVELS_OUT = 0.15
"""Relative standard uncertainty of a loss from turns and time, beyond the watch's; common practice, no source."""
COMPARABLE = (0.6, 1.7)
"""Speeds of the two coasts whose ratio lies within these are comparable: friction hardly changes."""
SLOW = 2 * np.pi / 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Unrun:
    """One thing that an engine which does not run yet tells of its air."""

    key: str
    """``work_of_heat``: indicated work by hot and cold coasts; ``heat_felt``: share of the metals' difference."""
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


def unrun(project: Project, *, mark: int, samples: int = 24, seed: int = 1) -> tuple[Unrun, ...]:
    """Return what a mark's coasts and swings tell; of several readings the last of each kind counts."""
    build = parse_build(project.marks[mark].build if mark in project.marks else {}).build
    last: dict[str, tuple[tuple[str, str], ReadingValues]] = {}
    for entry, reading in project.readings_of(mark):
        values, _ = parse_fields(ReadingValues, dict(reading.texts))
        values = replace(values, kind=reading.kind)
        name = reading.kind
        if name == "free_turns" and values.warmth and values.turns and values.time and values.direction != "backward":
            name = f"coast_{values.warmth}" if values.turns.value > 0 else ""
        last[name] = (entry.key, reading.key), values
    found = []
    evidence = evidence_of(project, mark)
    if "coast_hot" in last and "coast_cold" in last:
        place, hot = last["coast_hot"]
        resolved = resolve(at_conditions(build, hot), evidence)
        found.append(_work(resolved, place, hot, last["coast_cold"][1], samples, seed))
    if "swing_hot" in last:
        place, swing = last["swing_hot"]
        found.append(_felt(resolve(at_conditions(build, swing), evidence), place, swing, samples, seed))
    return tuple(item for item in found if item is not None)


def _usable(resolved: Resolved) -> bool:
    return bool(resolved.values) and not resolved.missing and not resolved.problems


def _batch(resolved: Resolved, samples: int, seed: int) -> Inputs:
    best = central(resolved.words, resolved.values)
    many = drawn(resolved.words, resolved.values, samples=samples, seed=seed)
    values = {name: np.concatenate([best[name], many[name]]) for name in best.values}
    return Inputs(words=best.words, values=values, size=samples + 1)


def _work(
    resolved: Resolved,
    place: tuple[str, str],
    hot: ReadingValues,
    cold: ReadingValues,
    samples: int,
    seed: int,
) -> Unrun | None:
    """Compare the difference in loss of a hot and a cold coast with the same difference by the model."""
    if not _usable(resolved) or "wheel_mass" not in resolved.values:
        return None
    inputs = _batch(resolved, samples, seed)
    slowing, relative, speeds = zip(*(_coast(values) for values in (hot, cold)), strict=True)
    blur = np.concatenate([np.zeros((1, 2)), normals(seed, 2 * samples).reshape(samples, 2)])
    moment = inertia(inputs)
    lost = moment[:, None] * np.array(slowing) * np.exp(blur * np.array(relative))
    measured = 2 * np.pi * (lost[:, 1] - lost[:, 0])
    by_model = [_torque(inputs, speed, warm=warm) for speed, warm in zip(speeds, (True, False), strict=True)]
    predicted = 2 * np.pi * (by_model[0] - by_model[1])
    taken = _torque(inputs, speeds[0], warm=False) + inputs["friction_torque"] + inputs["speed_drag"] * speeds[0]
    indicated = measured + 2 * np.pi * taken
    label = "Work that heat adds to a turn"
    note = (
        f"Hot and cold coasts of {speeds[0] * 30 / math.pi:.0f} and {speeds[1] * 30 / math.pi:.0f} rpm on average; "
        "cold and closed the engine pumps heat, which the prediction of the same difference contains."
    )
    if not COMPARABLE[0] < speeds[0] / speeds[1] < COMPARABLE[1]:
        note += " The two speeds are not comparable: flick the cold one as fast as the hot one."
    return Unrun(
        key="work_of_heat",
        label=label,
        measured=_figure("work_of_heat", label, Kind.ENERGY, "mJ", measured, "2 pi I (4 pi N/t^2 cold less hot)"),
        predicted=_figure("work_of_heat", label, Kind.ENERGY, "mJ", predicted, "2 pi (torque hot less torque cold)"),
        gap=_figure("gap", "Gap", Kind.ENERGY, "mJ", measured - predicted, "measured less predicted"),
        note=note,
        place=place,
        also=(
            _figure("indicated_work", "Indicated work of a hot turn", Kind.ENERGY, "mJ", indicated,
                    "measured difference less what a cold turn takes (model)"),
            _figure("indicated_power", f"Indicated power at {speeds[0] * 30 / math.pi:.0f} rpm", Kind.POWER, "mW",
                    indicated * speeds[0] / (2 * np.pi), "indicated work times turns a second"),
        ),
    )  # fmt: skip


def _coast(values: ReadingValues) -> tuple[float, float, float]:
    """Return loss over moment of inertia, its relative spread, and the mean speed of a coast."""
    turns, time = values.turns, values.time
    if turns is None or time is None:
        raise ValueError("a coast needs turns and time")
    relative = math.hypot(turns.spread / turns.value, 2 * time.spread / time.value)
    slowing = slowing_of_coast(turns=turns.value, time=time.value)
    return slowing, math.hypot(relative, LEVELS_OUT), 2 * math.pi * turns.value / time.value


def _torque(inputs: Inputs, speed: float, *, warm: bool) -> FloatArray:
    """Return the torque left at a speed, hot or at the room's temperature, (samples,)."""
    room = inputs["room_temperature"]
    made = inputs if warm else inputs.changed(hot_metal=room + 0.01, cold_metal=room)
    return np.asarray(operate(made, np.full((inputs.size, 1), speed), angles=ANGLES, passes=2).torque[:, 0])


def _felt(resolved: Resolved, place: tuple[str, str], reading: ReadingValues, samples: int, seed: int) -> Unrun | None:
    """Compare the displacer's swing with that of air at the metals' temperatures: how much of them the air feels."""
    if not _usable(resolved) or resolved.layout == "alpha" or reading.swing is None:
        return None
    inputs = _batch(resolved, samples, seed)
    slow = np.full((inputs.size, 1), SLOW)
    warm = operate(inputs, slow, angles=ANGLES, passes=2)
    held = inputs.changed(
        piston_throw=inputs["piston_throw"] * 1e-3,
        dead_volume_cold=inputs["dead_volume_cold"] + warm.geometry.swept_piston / 2,
        hot_metal=warm.hot_metal[:, 0],
        cold_metal=warm.cold_metal[:, 0],
    )
    done = operate(held, slow, angles=ANGLES, passes=1)
    hot, cold, form = held["hot_metal"], held["cold_metal"], done.geometry
    ideal = isothermal_pressure(
        volume_hot=form.volume_hot, volume_cold=form.volume_cold, volume_gap=form.volume_gap, temperature_hot=hot,
        temperature_cold=cold, temperature_gap=(hot - cold) / np.log(hot / cold), pressure_mean=inputs["room_pressure"],
    )  # fmt: skip
    closed = np.ptp(ideal, axis=1)
    blur = np.concatenate([[0.0], normals(seed, samples)])
    measured = (reading.swing.value + reading.swing.spread * blur) / closed
    predicted = np.ptp(done.pressure[:, 0], axis=-1) / closed
    label = "Share of the metals' difference that the air feels"
    return Unrun(
        key="heat_felt",
        label=label,
        place=place,
        measured=_figure(
            "heat_felt", label, Kind.FRACTION, "%", measured, "swing over that of air as hot as the metal"
        ),
        predicted=_figure("heat_felt", label, Kind.FRACTION, "%", predicted, "the same by the model, leak and all"),
        gap=_figure("gap", "Gap", Kind.FRACTION, "%", measured - predicted, "measured less predicted"),
        note="Displacer moved slowly by hand, piston held; a leak lowers it as well as air that is not heated.",
    )


def _figure(key: str, label: str, kind: Kind, unit: str, values: FloatArray, formula: str) -> Figure:
    best = float(values[0])
    low, high = interval(values[1:])
    why = Why(formula=formula, source="derived here", note="spreads of reading and build drawn together")
    return Figure(
        key=key, label=label, kind=kind, unit=unit, value=best, low=min(low, best), high=max(high, best), why=why
    )


__all__ = ["Unrun", "unrun"]
