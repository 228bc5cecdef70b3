"""Running points of a batch: best power, free-running speed, and whether the wheel carries it round."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from model.physics.values import BoolArray, FloatArray
from model.quantities.wheel import moment_of_inertia
from model.running.samples import SampledInputs

DENSE = 240
"""Points of the fine grid on which a torque curve is searched."""
STALL_SHARE = 0.5
"""Share of the energy between the fastest and the slowest moment that lies below the mean: the wheel, whose mean energy
is I w^2/2, just gets round when it holds that much. Between 0.50 and 0.51 on can, cup and drum; derived here."""


LOOKS = 4
"""How often the least speed is looked for: each time what is left of the error falls by the slope of the energy."""


class Torques(Protocol):
    """What a batch does at ascending speeds, (samples, speeds): an `Operation`, or what was put together of several."""

    @property
    def inputs(self) -> SampledInputs:
        """The engines."""

    @property
    def speed(self) -> FloatArray:
        """[rad/s]."""

    @property
    def torque(self) -> FloatArray:
        """Left at the shaft, [N m]."""

    @property
    def fluctuation(self) -> FloatArray:
        """Energy that the wheel takes up and gives back within a turn, [J]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Points:
    """Running points, each (samples,); SI."""

    runs: BoolArray
    """Whether there is a speed that it keeps and at which the wheel carries it."""
    best_power: FloatArray
    """Highest shaft power, [W]; where it does not run, the (negative) power at the reference speed."""
    best_speed: FloatArray
    """Speed of best power, [rad/s]; NaN where it does not run."""
    free_speed: FloatArray
    """Free-running speed, [rad/s]; NaN where it does not run."""
    spare_torque: FloatArray
    """Largest torque left at any speed at which the wheel carries it, [N m]; negative where it does not run."""
    least_speed: FloatArray
    """Speed below which the wheel does not carry it round, [rad/s]."""


def inertia(inputs: SampledInputs) -> FloatArray:
    """Return the moment of inertia of the wheel, (samples,) [kg m^2]."""
    return np.asarray(moment_of_inertia(mass=inputs["wheel_mass"], diameter=inputs["wheel_diameter"]))


def least_speed(operation: Torques) -> FloatArray:
    """Return the speed below which the wheel does not carry the engine round, (samples,) [rad/s].

    Nil when the wheel is not known: it is taken as heavy enough. Else it must hold at least the energy that the turn
    takes up and gives back at that speed: found by going there, as the energy falls a little with speed.
    """
    if "wheel_mass" not in operation.inputs:
        return np.zeros(operation.inputs.size)
    unbalance = 2 * operation.inputs["unbalance"] if "unbalance" in operation.inputs else 0.0
    heavy, speed = inertia(operation.inputs), np.log(operation.speed)
    least = operation.speed[:, 0]
    for _ in range(LOOKS):
        carried = smooth(speed, operation.fluctuation, np.log(least)[:, None])[:, 0] + unbalance
        least = np.sqrt(2 * STALL_SHARE * np.maximum(carried, 1e-15) / heavy)
    return np.asarray(least)


def find_points(operation: Torques, *, reference: float) -> Points:
    """Search the torque curves of a batch.

    Parameters
    ----------
    operation : Torques
        The batch at ascending speeds, (samples, speeds).
    reference : float
        Speed at which the shortfall of an engine that does not run is told, [rad/s].
    """
    speed, torque = operation.speed, operation.torque
    least = least_speed(operation)
    fine = np.geomspace(speed[:, 0], speed[:, -1], DENSE, axis=1)
    curve = smooth(np.log(speed), torque, np.log(fine))
    allowed = fine >= least[:, None]
    keeps = (curve > 0) & allowed
    runs = keeps.any(axis=1)
    rows = np.arange(len(fine))
    best_speed, best_power = _peak(fine, np.where(allowed, curve * fine, -np.inf))
    last = np.where(runs, DENSE - 1 - keeps[:, ::-1].argmax(axis=1), 0)
    following = np.minimum(last + 1, DENSE - 1)
    here, there = curve[rows, last], curve[rows, following]
    share = np.where(here > there, here / np.where(here > there, here - there, 1.0), 0.0)
    free = fine[rows, last] + np.clip(share, 0.0, 1.0) * (fine[rows, following] - fine[rows, last])
    at = np.full((len(fine), 1), np.log(reference))
    shortfall = smooth(np.log(speed), torque, at)[:, 0] * reference
    return Points(
        runs=np.asarray(runs),
        best_power=np.where(runs, np.maximum(best_power, 0.0), np.minimum(shortfall, 0.0)),
        best_speed=np.where(runs, best_speed, np.nan),
        free_speed=np.where(runs, free, np.nan),
        spare_torque=np.where(allowed, curve, -np.inf).max(axis=1, initial=-1e9),
        least_speed=least,
    )


def _peak(speed: FloatArray, power: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return where rows are highest, and how high: the vertex of the parabola through the three points at the top."""
    rows = np.arange(len(power))
    top = power.argmax(axis=1)
    inner = np.clip(top, 1, power.shape[1] - 2)
    left, here, right = (power[rows, inner + step] for step in (-1, 0, 1))
    with np.errstate(invalid="ignore"):  # where the wheel carries it at no speed all is minus infinity
        bend = 2 * here - left - right
        round_ = (top == inner) & np.isfinite(left) & np.isfinite(right) & (bend > 0)
        shift = np.where(round_, (right - left) / np.where(round_, 2 * bend, 1.0), 0.0)
        rise = np.where(round_, (right - left) * shift / 4, 0.0)
    ratio = speed[:, 1] / speed[:, 0]
    return np.asarray(speed[rows, top] * ratio**shift), np.asarray(power[rows, top] + rise)


def smooth(x: FloatArray, y: FloatArray, at: FloatArray) -> FloatArray:
    """Interpolate rows by cubic Hermite pieces whose slopes never overshoot (harmonic mean of the neighbours').

    Parameters
    ----------
    x, y : array (n, k)
        Ascending points and values.
    at : array (n, m)
        Where to interpolate; held within the points.

    Returns
    -------
    array (n, m)

    Notes
    -----
    Source: [FritschButland1984].
    """
    at = np.clip(at, x[:, :1], x[:, -1:])
    tangent = _tangents(np.diff(x, axis=1), y)
    piece = np.clip((x[:, None, :] <= at[:, :, None]).sum(axis=2) - 1, 0, x.shape[1] - 2)
    rows = np.arange(len(x))[:, None]
    h = np.diff(x, axis=1)[rows, piece]
    first, last = (y[rows, piece], tangent[rows, piece] * h), (y[rows, piece + 1], tangent[rows, piece + 1] * h)
    return _pieces((at - x[rows, piece]) / h, first, last)


def smooth_alike(x: FloatArray, y: FloatArray, at: FloatArray) -> FloatArray:
    """Return the same where all rows have the same points (k,) and places (m,): several times as fast."""
    at = np.clip(at, x[0], x[-1])
    tangent = _tangents(np.diff(x)[None], y)
    piece = np.clip((x[None] <= at[:, None]).sum(axis=1) - 1, 0, len(x) - 2)
    h = np.diff(x)[piece]
    first, last = (y[:, piece], tangent[:, piece] * h), (y[:, piece + 1], tangent[:, piece + 1] * h)
    return _pieces((at - x[piece]) / h, first, last)


def _tangents(step: FloatArray, y: FloatArray) -> FloatArray:
    slope = np.diff(y, axis=1) / step
    left, right = slope[:, :-1], slope[:, 1:]
    same = left * right > 0
    inner = np.where(same, 2 * left * right / np.where(same, left + right, 1.0), 0.0)
    return np.concatenate([slope[:, :1], inner, slope[:, -1:]], axis=1)


def _pieces(t: FloatArray, first: tuple[FloatArray, FloatArray], last: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Return values within pieces from 0 to 1, from value and slope at their ends."""
    (y0, m0), (y1, m1) = first, last
    left = (1 - t) ** 2
    return np.asarray(y0 * ((1 + 2 * t) * left) + m0 * (t * left) + y1 * (t**2 * (3 - 2 * t)) + m1 * (t**2 * (t - 1)))
