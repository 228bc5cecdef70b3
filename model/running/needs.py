"""What an engine needs in order to run: how far each of the usual suspects may go, all else as it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.physics import leak
from model.running.inputs import Inputs
from model.running.operate import Operation, operate
from model.running.points import find_points

FloatArray = NDArray[np.float64]

DIFFERENCES = np.array([0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0])
LEAKS = np.array([0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0])
PHASES = np.radians(np.array([15.0, 30.0, 45.0, 60.0, 80.0, 100.0, 130.0]))
THROWS = np.array([0.15, 0.3, 0.5, 0.7, 0.85, 1.0, 1.3, 1.8, 2.6, 4.0, 6.5, 10.0])
SPEEDS = np.array([0.06, 0.15, 0.35, 0.7, 1.2, 2.5])
"""Factors on the present value, errors of the phase, and factors on the reference speed, at which it is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits within which the engine runs, all else equal; SI; None where no value within reach would do."""

    difference: float | None
    """Least temperature difference of the metals, [K]."""
    difference_now: float
    friction: float
    """Largest friction torque, [N m]; negative when it would not run without any."""
    friction_now: float
    half_time: float | None
    """Least leak-down half-time, [s]."""
    half_time_now: float
    throw: float | None
    """Largest throw of the power piston (half its stroke), [m]: the largest piston this heat can turn."""
    throw_now: float
    phase: float
    """Largest error of the phase either way, [rad]; 0 when it would not run with none."""
    phase_now: float
    """Present phase less a quarter turn, as a size, [rad]."""
    rim: float
    """Radius of the wheel, [m]."""


def limits(inputs: Inputs, now: Operation, *, reference: float) -> Limits:
    """Try the engine with one thing changed at a time.

    Parameters
    ----------
    inputs : Inputs
        One engine (size 1).
    now : Operation
        The engine as it is, at ascending speeds that include the reference.
    reference : float
        Speed of best power, or where it comes nearest to running, [rad/s].
    """
    at = int(np.abs(now.speed[0] - reference).argmin())
    hot, cold = float(now.hot_metal[0, at]), float(now.cold_metal[0, at])
    difference = hot - cold
    volume = (now.geometry.volume_hot + now.geometry.volume_cold).mean(axis=1) + now.geometry.volume_gap
    half_time = float(
        leak.half_time_from_conductance(
            conductance=now.leak[0, 0], volume=volume[0], pressure=inputs["room_pressure"][0]
        )
    )
    friction, drag = float(inputs["friction_torque"][0]), inputs["speed_drag"][0]
    throw = float(inputs["piston_throw"][0])
    tried, parts = _tried(inputs, hot=hot, cold=cold, half_time=half_time)
    speeds = np.repeat(SPEEDS[None] * reference, tried.size, axis=0)
    spare = find_points(operate(tried, speeds, passes=2), reference=reference).spare_torque
    frictionless = now.shaft[0] / (2 * np.pi) - drag * now.speed[0]
    least = find_points(now, reference=reference).least_speed[0]
    allowed = np.where(now.speed[0] >= least, frictionless, -np.inf)
    borne = float(allowed.max()) if np.isfinite(allowed).any() else float(frictionless.max())
    right = _quarter(inputs)
    return Limits(
        difference=_least(DIFFERENCES * difference, spare[parts["difference"]]),
        difference_now=difference,
        friction=borne,
        friction_now=friction,
        half_time=_least(LEAKS * half_time, spare[parts["leak"]]),
        half_time_now=half_time,
        throw=_most(THROWS * throw, spare[parts["throw"]]),
        throw_now=throw,
        phase=_error(spare[parts["phase"]]),
        phase_now=abs(float(inputs["phase"][0]) - right),
        rim=float(inputs["wheel_diameter"][0] / 2),
    )


def _quarter(inputs: Inputs) -> float:
    """Return the crank angle that makes a quarter turn between the volumes, [rad]."""
    return np.pi / 2 - float(inputs["cylinder_angle"][0])


def _tried(inputs: Inputs, *, hot: float, cold: float, half_time: float) -> tuple[Inputs, dict[str, slice]]:
    """Return the engine with one thing changed at a time, and where each kind of change stands in the batch.

    The metals are held at these temperatures: the question is what they would have to be. A larger throw has its rod
    in proportion, and half of the friction, the piston's own, grows with it.
    """
    sizes = {"difference": len(DIFFERENCES), "leak": len(LEAKS), "throw": len(THROWS), "phase": 2 * len(PHASES)}
    parts, at = {}, 0
    for name, size in sizes.items():
        parts[name] = slice(at, at + size)
        at += size
    tried = inputs.repeated(at)
    hot_metal, half_times, scale = np.full(at, hot), np.full(at, half_time), np.ones(at)
    phase = np.full(at, float(inputs["phase"][0]))
    hot_metal[parts["difference"]] = np.minimum(cold + DIFFERENCES * (hot - cold), 1400.0)
    half_times[parts["leak"]] = LEAKS * half_time
    scale[parts["throw"]] = THROWS
    phase[parts["phase"]] = _quarter(inputs) + np.concatenate([PHASES, -PHASES])
    changed = tried.changed(
        hot_metal=hot_metal,
        cold_metal=np.full(at, cold),
        leak_half_time=half_times,
        phase=phase,
        piston_throw=scale * tried["piston_throw"],
        piston_rod=np.maximum(scale, 1.0) * tried["piston_rod"],
        friction_torque=(0.5 + 0.5 * scale) * tried["friction_torque"],
    )
    return changed, parts


def _error(spare: FloatArray) -> float:
    """Return the largest error of the phase that is borne both ways."""
    worse = np.minimum(spare[: len(PHASES)], spare[len(PHASES) :])
    bad = np.flatnonzero(worse <= 0)
    if bad.size == 0:
        return float(PHASES[-1])
    return 0.0 if bad[0] == 0 else float((PHASES[bad[0] - 1] + PHASES[bad[0]]) / 2)


def _least(values: FloatArray, spare: FloatArray) -> float | None:
    """Return the value above which there is torque to spare for good; None if never."""
    good = spare > 0
    if not good[-1]:
        return None
    last_bad = np.flatnonzero(~good)
    if last_bad.size == 0:
        return float(values[0])
    i = int(last_bad[-1])
    return _cross(values[i], values[i + 1], spare[i], spare[i + 1])


def _most(values: FloatArray, spare: FloatArray) -> float | None:
    """Return the largest value with torque to spare; None if there is none."""
    good = np.flatnonzero(spare > 0)
    if good.size == 0:
        return None
    i = int(good[-1])
    if i + 1 == len(values):
        return float(values[i])
    return _cross(values[i], values[i + 1], spare[i], spare[i + 1])


def _cross(a: float, b: float, at_a: float, at_b: float) -> float:
    """Return where a straight line over the logarithm of the value passes zero."""
    if not (np.isfinite(at_a) and np.isfinite(at_b)) or abs(at_a) > 1e8 or abs(at_b) > 1e8:
        return float(np.sqrt(a * b))
    share = at_a / (at_a - at_b)
    return float(np.exp(np.log(a) + share * np.log(b / a)))
