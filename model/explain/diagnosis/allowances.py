"""What an engine can bear and still run, with intervals, against what was measured or guessed; the tightest named.

Each is asked alone, all else as it is, at tonight's temperatures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np

from model.explain.cache import Cache, key_of
from model.explain.diagnosis.bench_tests import FLICK
from model.explain.diagnosis.coasts import batch
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.prediction.result import Figure, Why
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How
from model.quantities.units import Kind
from model.quantities.wheel import turns_of_coast
from model.running import leak_down
from model.running.needs import LimitsOver, limits_over
from model.running.operate import Operation, operate
from model.running.points import find_points, inertia
from model.running.samples import SampledInputs
from model.running.spread import interval

ANGLES = 32
SPEEDS = 2 * np.pi * np.geomspace(0.2, 12.0, 13)
"""Speeds at which every sample is tried, [rad/s]."""
BATCH = 3
"""Engines that are tried together, each with some forty things changed: more need more memory."""
LEAST_ERROR = math.radians(5.0)
"""An error of the phase is never taken as smaller than a wire crank can be bent, [rad]; common practice, no source."""
NEAR = 2.0
"""Margin below which an allowance is called tight; common practice, no source."""
_SOURCE = "derived here"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """How much of one thing the engine bears, against what it has."""

    key: str
    """``friction``, ``leak``, ``difference``, ``piston``, ``phase``."""
    label: str
    at_most: bool
    """Whether `bears` is an upper bound."""
    bears: Figure
    """With its interval; no value where nothing within reach would do alone."""
    has: Figure
    measured: bool
    """Whether what it has was measured, not guessed."""
    also: tuple[tuple[str, Figure], ...] = ()
    """The same as a builder would measure it otherwise: turns of a spin-down, millijoules a turn, drop time."""
    margin: float = 0.0
    """What it bears over what it has (or the other way for a lower bound): below 1 it does not run by this alone."""
    met: float = 0.0
    """Share of samples in which it is met."""
    tightest: bool = False
    """Whether it is the least margin, and that is near."""


_ALLOWANCES: Cache[tuple[Allowance, ...]] = Cache(4)


def allowances(model_inputs: ModelInputs, *, samples: int = 14, seed: int = 1) -> tuple[Allowance, ...]:
    """Return the allowances of a build, tightest first; none where it is not complete.

    Parameters
    ----------
    model_inputs : ModelInputs
        Complete inputs.
    samples : int
        Samples of what is uncertain, beside the best values.
    seed : int
        Seed of the samples.
    """
    if not model_inputs.values or model_inputs.missing or model_inputs.problems:
        return ()
    return _ALLOWANCES.get((key_of(model_inputs), samples, seed), lambda: _allowances(model_inputs, samples, seed))


def _allowances(model_inputs: ModelInputs, samples: int, seed: int) -> tuple[Allowance, ...]:
    measured = frozenset(name for name, value in model_inputs.values.items() if value.how is How.MEASURED)
    return allowances_over(batch(model_inputs, samples, seed), measured)


def allowances_over(inputs: SampledInputs, measured: frozenset[str]) -> tuple[Allowance, ...]:
    """Return the allowances of engines, the first of which holds the best values; `measured`: inputs that were."""
    over, opened, hose = _limits(inputs)
    phase = np.where(over.phase > 0, over.phase, np.nan)
    made = [
        _friction(over, inputs, "friction_torque" in measured),
        _leak(over, inputs, opened, hose, bool({"leak_half_time", "piston_leak"} & measured)),
        _plain("difference", "Temperature difference of the metals", over.difference, over.difference_now,
               Kind.DIFFERENCE, "K", measured={"hot_metal", "cold_metal"} <= measured, at_most=False),
        _plain("piston", "Stroke of the power piston", 2 * over.throw, 2 * over.throw_now, Kind.LENGTH, "mm",
               measured="piston_throw" in measured, at_most=True),
        _plain("phase", "Error of the phase, either way", phase, over.phase_now, Kind.ANGLE, "deg",
               measured="phase" in measured, at_most=True, least=LEAST_ERROR),
    ]  # fmt: skip
    # what can be mended alone comes before what no value would mend
    made.sort(key=lambda a: (a.margin if a.bears.value is not None else 0.99, a.met))
    return tuple(replace(a, tightest=n == 0 and a.margin < NEAR) for n, a in enumerate(made))


def _limits(inputs: SampledInputs) -> tuple[LimitsOver, FloatArray, FloatArray]:
    """Return what is borne, the leak [m^3/(Pa s)], and how much a U-tube's hose lengthens a half-time.

    A batch after the other. The first sample holds the best values; all are tried at its speed.
    """
    reference, limits, leaks, hoses = 0.0, [], [], []
    for first in range(0, inputs.size, BATCH):
        part = inputs.part(slice(first, first + BATCH))
        now = operate(part, np.repeat(SPEEDS[None], part.size, axis=0), angles=ANGLES, passes=2)
        reference = reference or _reference(now)
        limits.append(limits_over(part, now, reference=reference, angles=ANGLES))
        leaks.append(now.leak[:, 0])
        hoses.append(1 + leak_down.u_tube_volume(part, leak_down.HOSE) / leak_down.effective_volume(part, now.geometry))
    names = [field.name for field in fields(LimitsOver)]
    over = LimitsOver(**{name: np.concatenate([getattr(part, name) for part in limits]) for name in names})
    return over, np.concatenate(leaks), np.concatenate(hoses)


def _reference(now: Operation) -> float:
    """Return the speed of best power, or where it comes nearest to running, of the best values."""
    points = find_points(now, reference=float(now.speed[0, 0]))
    wanted = float(points.best_speed[0])
    if not points.runs[0]:
        allowed = now.speed[0] >= min(float(points.least_speed[0]), float(now.speed[0, -2]))
        wanted = float(now.speed[0, int(np.where(allowed, now.torque[0], -np.inf).argmax())])
    return float(now.speed[0, int(np.abs(now.speed[0] - wanted).argmin())])


def _figure(key: str, label: str, kind: Kind, unit: str, values: FloatArray, formula: str) -> Figure:
    """Return a figure from the best value (first) and samples; what no value mends has no value, and no end there."""
    known = values[1:][np.isfinite(values[1:])]
    best = float(values[0]) if np.isfinite(values[0]) else None
    low, high = interval(known) if known.size > 1 else (None, None)
    if best is not None and low is not None and high is not None:
        low, high = min(low, best), max(high, best)
    why = Why(formula=formula, source=_SOURCE, note="one thing changed at a time, metals at tonight's temperatures")
    return Figure(key=key, label=label, kind=kind, unit=unit, value=best, low=low, high=high, why=why)


def _plain(
    key: str, label: str, bears: FloatArray, has: FloatArray, kind: Kind, unit: str, *, measured: bool, at_most: bool,
    least: float = 0.0,
) -> Allowance:  # fmt: skip
    formula = "torque left, over speeds at which the wheel carries it, is nil"
    bounded = np.maximum(has, least)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = bears / bounded if at_most else bounded / bears
    margin = float(ratio[0]) if np.isfinite(ratio[0]) else 0.0
    return Allowance(
        key=key,
        label=label,
        at_most=at_most,
        bears=_figure(key, f"{label}, bears", kind, unit, bears, formula),
        has=_figure(f"{key}_now", f"{label}, has", kind, unit, has, "as measured, typed or guessed"),
        measured=measured,
        margin=max(margin, 0.0),
        met=float(np.mean(np.nan_to_num(ratio[1:], nan=0.0) > 1)) if len(ratio) > 1 else float(margin > 1),
    )


def _friction(over: LimitsOver, inputs: SampledInputs, measured: bool) -> Allowance:
    """Return the friction that is borne: grams at the rim, and the same as a spin-down and as energy of a turn."""
    limit = np.where(over.friction > 0, over.friction, np.nan)
    grams = 1 / (GRAVITY * over.rim)
    made = _plain("friction", "Friction, grams at the rim", limit * grams, over.friction_now * grams, Kind.MASS, "g",
                  measured=measured, at_most=True)  # fmt: skip
    energy = _figure("friction_energy", "Friction, energy of a turn, at most", Kind.ENERGY, "mJ", 2 * np.pi * limit,
                     "2 pi x torque")  # fmt: skip
    also = [(energy.label, energy)]
    if "wheel_mass" in inputs:
        # a wheel that loses this torque alone, chamber open, from two turns a second
        turns = turns_of_coast(speed=FLICK, slowing=limit / inertia(inputs))
        spin = _figure("friction_turns", "Free turns, chamber open, at least", Kind.COUNT, "turns", turns,
                       "I w^2/(4 pi M), from two turns a second")  # fmt: skip
        also.insert(0, (spin.label, spin))
    return replace(made, also=tuple(also))


def _leak(over: LimitsOver, inputs: SampledInputs, leak: FloatArray, longer: FloatArray, measured: bool) -> Allowance:
    """Return the leak that is borne: half-time, and the drop time of the piston if all of it is there."""
    made = _plain("leak", "Leak, half-time of the U-tube", longer * over.half_time, longer * over.half_time_now,
                  Kind.TIME, "s", measured=measured, at_most=False)  # fmt: skip
    if "piston_bore" not in inputs:
        return made
    conductance = leak * over.half_time_now / over.half_time
    area = np.pi / 4 * inputs["piston_bore"] ** 2
    # pressure m g/A drives A x fall/time past the piston: 10 g falling 10 mm
    time = 0.01 * area**2 / (0.01 * GRAVITY * conductance)
    drop = _figure("drop_time", "Drop time, 10 g falling 10 mm, at least", Kind.TIME, "s", time, "A^2 s/(m g G)")
    return replace(made, also=((drop.label, drop),))


__all__ = ["Allowance", "allowances", "allowances_over"]
