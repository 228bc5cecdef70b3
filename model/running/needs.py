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
THROWS = np.array([0.15, 0.3, 0.5, 0.7, 0.85, 1.0, 1.2, 1.5, 2.0, 3.0])
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
    many = len(DIFFERENCES), len(LEAKS), len(THROWS)
    first_phase = sum(many)
    total = first_phase + 2 * len(PHASES)
    tried = inputs.repeated(total)
    hot_tried = np.full(total, hot)
    hot_tried[: many[0]] = np.minimum(cold + DIFFERENCES * difference, 1400.0)
    throws = np.full(total, throw)
    throws[many[0] + many[1] : first_phase] = np.minimum(THROWS * throw, 0.9 * inputs["piston_rod"][0])
    phases = np.full(total, float(inputs["phase"][0]))
    right = np.pi / 2 - float(inputs["cylinder_angle"][0])
    phases[first_phase:] = right + np.concatenate([PHASES, -PHASES])
    half_times = np.full(total, half_time)
    half_times[many[0] : many[0] + many[1]] = LEAKS * half_time
    # metals held at tonight's temperatures: the question is what they would have to be
    tried = tried.changed(
        hot_metal=hot_tried,
        cold_metal=np.full(total, cold),
        piston_throw=throws,
        leak_half_time=half_times,
        phase=phases,
    )
    speeds = np.repeat(SPEEDS[None] * reference, total, axis=0)
    spare = find_points(operate(tried, speeds, passes=2), reference=reference).spare_torque
    frictionless = now.shaft[0] / (2 * np.pi) - drag * now.speed[0]
    least = find_points(now, reference=reference).least_speed[0]
    allowed = np.where(now.speed[0] >= least, frictionless, -np.inf)
    borne = float(allowed.max()) if np.isfinite(allowed).any() else float(frictionless.max())
    return Limits(
        difference=_least(DIFFERENCES * difference, spare[: many[0]]),
        difference_now=difference,
        friction=borne,
        friction_now=friction,
        half_time=_least(LEAKS * half_time, spare[many[0] : many[0] + many[1]]),
        half_time_now=half_time,
        throw=_most(throws[many[0] + many[1] : first_phase], spare[many[0] + many[1] : first_phase]),
        throw_now=throw,
        phase=_error(spare[first_phase:]),
        phase_now=abs(float(inputs["phase"][0]) - right),
        rim=float(inputs["wheel_diameter"][0] / 2),
    )


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
