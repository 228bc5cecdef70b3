"""What an engine needs in order to run: how far each of the usual suspects may go, all else as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from model.physics.values import FloatArray
from model.running import leak_down
from model.running.operate import Operation, operate
from model.running.points import Points, find_points, least_speed
from model.running.samples import SampledInputs

DIFFERENCES = np.array([0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0])
LEAKS = np.array([0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0])
PHASES = np.radians(np.array([15.0, 30.0, 45.0, 60.0, 80.0, 100.0, 130.0]))
THROWS = np.array([0.15, 0.3, 0.5, 0.7, 0.85, 1.0, 1.3, 1.8, 2.6, 4.0, 6.5, 10.0])
ANGLES = 32
"""Angles of a turn: work good to a few thousandths, far finer than the steps between the values that are tried."""
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LimitsOver:
    """The same over samples, each (samples,); NaN where no value within reach would do."""

    difference: FloatArray
    difference_now: FloatArray
    friction: FloatArray
    friction_now: FloatArray
    half_time: FloatArray
    half_time_now: FloatArray
    throw: FloatArray
    throw_now: FloatArray
    phase: FloatArray
    phase_now: FloatArray
    rim: FloatArray


def limits(inputs: SampledInputs, now: Operation, *, reference: float) -> Limits:
    """Try the engine with one thing changed at a time.

    Parameters
    ----------
    inputs : SampledInputs
        One engine (size 1).
    now : Operation
        The engine as it is, at ascending speeds that include the reference.
    reference : float
        Speed of best power, or where it comes nearest to running, [rad/s].
    """
    over = limits_over(inputs, now, reference=reference)

    def one(values: FloatArray) -> float:
        return float(values[0])

    def known(values: FloatArray) -> float | None:
        return None if np.isnan(values[0]) else float(values[0])

    return Limits(
        difference=known(over.difference),
        difference_now=one(over.difference_now),
        friction=one(over.friction),
        friction_now=one(over.friction_now),
        half_time=known(over.half_time),
        half_time_now=one(over.half_time_now),
        throw=known(over.throw),
        throw_now=one(over.throw_now),
        phase=one(over.phase),
        phase_now=one(over.phase_now),
        rim=one(over.rim),
    )


def limits_over(inputs: SampledInputs, now: Operation, *, reference: float, angles: int = ANGLES) -> LimitsOver:
    """Try every engine of a batch with one thing changed at a time; all tries are solved together.

    Parameters
    ----------
    inputs : SampledInputs
        The engines, (samples,).
    now : Operation
        The engines as they are, (samples, speeds), at ascending speeds that include the reference.
    reference : float
        Speed of best power, or where it comes nearest to running, [rad/s].
    angles : int
        Angles of a turn.
    """
    at = int(np.abs(now.speed[0] - reference).argmin())
    hot, cold = now.hot_metal[:, at], now.cold_metal[:, at]
    half_time = leak_down.half_time(inputs, now.geometry, now.leak[:, 0])
    tried, parts = _tried(inputs, hot=hot, cold=cold, half_time=half_time)
    speeds = np.repeat(SPEEDS[None] * reference, tried.size, axis=0)
    operation = operate(tried, speeds, angles=angles, passes=1, start=now, refined=False)
    # what did not settle is no ground to say that it would run
    least = np.where(operation.converged, operation.torque, np.inf).min(axis=1, keepdims=True)
    torque = np.where(operation.converged, operation.torque, np.where(np.isfinite(least), np.minimum(least, 0.0), -1e3))
    points = find_points(replace(operation, torque=torque), reference=reference)
    spare = points.spare_torque.reshape(inputs.size, -1)
    difference, throw = hot - cold, inputs["piston_throw"]
    return LimitsOver(
        difference=_rows(_least, DIFFERENCES * difference[:, None], spare[:, parts["difference"]]),
        difference_now=difference,
        friction=_friction_borne(inputs, now, reference),
        friction_now=inputs["friction_torque"],
        half_time=_rows(_least, LEAKS * half_time[:, None], spare[:, parts["leak"]]),
        half_time_now=half_time,
        throw=_rows(_most, THROWS * throw[:, None], spare[:, parts["throw"]]),
        throw_now=throw,
        phase=np.array([_error(row) for row in spare[:, parts["phase"]]]),
        phase_now=np.abs(inputs["phase"] - _quarter(inputs)),
        rim=inputs["wheel_diameter"] / 2,
    )


def _friction_borne(inputs: SampledInputs, now: Operation, reference: float) -> FloatArray:
    """Return the torque before friction where the wheel carries the engine, the largest over the speeds, (samples,)."""
    # friction is the same at every speed: what is left of the torque and the friction together are what is borne
    borne = find_points(now, reference=reference).spare_torque + inputs["friction_torque"]
    frictionless = now.shaft / (2 * np.pi) - inputs.column("speed_drag") * now.speed
    return np.asarray(np.where(borne > -1e8, borne, frictionless.max(axis=1)))


def whatever_the_wheel(inputs: SampledInputs, now: Operation) -> Points:
    """Return the running points with a wheel that is heavy enough for anything."""
    bare = replace(inputs, values={name: value for name, value in inputs.values.items() if name != "wheel_mass"})
    return find_points(replace(now, inputs=bare), reference=float(now.speed[0, 0]))


def lightest_wheel(inputs: SampledInputs, now: Operation) -> float | None:
    """Return the lightest wheel with which one engine runs at all, [kg]: carried at the highest speed it would keep.

    None where no speed has torque to spare, whatever the wheel, or where no wheel is known.
    """
    if "wheel_mass" not in inputs:
        return None
    points = whatever_the_wheel(inputs, now)
    if not points.runs[0]:
        return None
    share = float(least_speed(now)[0] / points.free_speed[0])
    return float(inputs["wheel_mass"][0]) * share**2


def _rows(
    search: Callable[[FloatArray, FloatArray], float | None], values: FloatArray, spare: FloatArray
) -> FloatArray:
    crossings = [search(row, left) for row, left in zip(values, spare, strict=True)]
    return np.array([np.nan if value is None else value for value in crossings])


def _quarter(inputs: SampledInputs) -> FloatArray:
    """Return the crank angle that makes a quarter turn between the volumes, (samples,) [rad]."""
    return np.asarray(np.pi / 2 - inputs["cylinder_angle"])


def _tried(
    inputs: SampledInputs, *, hot: FloatArray, cold: FloatArray, half_time: FloatArray
) -> tuple[SampledInputs, dict[str, slice]]:
    """Return every engine with one thing changed at a time, and where each kind of change stands in its block.

    The metals are held at these temperatures: the question is what they would have to be. A larger throw has its rod
    in proportion, and half of the friction, the piston's own, grows with it.
    """
    sizes = {"difference": len(DIFFERENCES), "leak": len(LEAKS), "throw": len(THROWS), "phase": 2 * len(PHASES)}
    parts, at = {}, 0
    for name, size in sizes.items():
        parts[name] = slice(at, at + size)
        at += size
    tried = inputs.repeated(at)

    def table(values: FloatArray) -> FloatArray:
        return np.repeat(values[:, None], at, axis=1)

    hot_metal, half_times, scale, phase = (
        table(hot), table(half_time), table(np.ones(inputs.size)), table(inputs["phase"])
    )  # fmt: skip
    hot_metal[:, parts["difference"]] = np.minimum(cold[:, None] + DIFFERENCES * (hot - cold)[:, None], 1400.0)
    half_times[:, parts["leak"]] = LEAKS * half_time[:, None]
    scale[:, parts["throw"]] = THROWS
    phase[:, parts["phase"]] = _quarter(inputs)[:, None] + np.concatenate([PHASES, -PHASES])
    times = scale.ravel()
    changed = leak_down.with_half_time(tried, half_times.ravel()).changed(
        hot_metal=hot_metal.ravel(),
        cold_metal=np.repeat(cold, at),
        phase=phase.ravel(),
        piston_throw=times * tried["piston_throw"],
        piston_rod=np.maximum(times, 1.0) * tried["piston_rod"],
        friction_torque=(0.5 + 0.5 * times) * tried["friction_torque"],
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
