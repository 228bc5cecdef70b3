r"""The balances of every step of a turn, with their derivatives.

Hot and cold space are well stirred, each with a conductance to its wall; between them lies a gap or regenerator. With
``mu = R m`` the mass as [J/K], a step of the turn obeys, for each space,

    (p V)'/gamma + k p dV - k hA dt (Tw - T) - T* dmu + T_L leak = 0,      k = (gamma - 1)/gamma

where ``dmu`` flows in from the gap, at ``T* = T`` when it leaves the space and at the gap face's temperature when it
enters. Energy and mass are the states and volume steps are exact, so heats less work close to rounding. The face
temperatures of the gap are constants of the turn and follow from its effectiveness, so that it stores nothing. Heater
and cooler may hold air of their own, at their metal's temperature, between the gap and their space. Walls may give:
``V = V(angle) + C (p - p_room)``; their work ``C/2 d(p^2)`` is exact in a step and nil over the turn.

Everything is scaled: volumes by their mean, pressure by the room's, temperature by the cold metal's; arrays have the
angle first and the batch last. Knows the equations; how they are solved stands in `periodic`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.cycle.scan import Scan
from model.cycle.turn import State, Turn
from model.physics.values import BoolArray, FloatArray


class Scaled:
    """The turn in scaled form, angle first (n_angles, n): volumes by their mean, pressure by the room's, T by Tc."""

    def __init__(self, turn: Turn) -> None:
        self.vh, self.vc = np.ascontiguousarray(turn.volume_hot.T), np.ascontiguousarray(turn.volume_cold.T)
        self.n = self.vh.shape[0]
        heater, cooler = (
            np.zeros_like(turn.volume_gap) if v is None else v for v in (turn.volume_heater, turn.volume_cooler)
        )
        self.volume = (self.vh + self.vc).mean(axis=0) + turn.volume_gap + heater + cooler
        self.p0, self.t0 = turn.pressure, turn.temperature_cold
        self.vh, self.vc, self.vg = self.vh / self.volume, self.vc / self.volume, turn.volume_gap / self.volume
        self.vh1, self.vc1 = following(self.vh), following(self.vc)
        self.dvh, self.dvc = self.vh1 - self.vh, self.vc1 - self.vc
        self.bh, self.bc = _bend(self.dvh), _bend(self.dvc)
        self.wh, self.wc = turn.temperature_hot / self.t0, np.ones_like(self.t0)
        self.sh, self.sc = heater / self.volume / self.wh, cooler / self.volume
        self.soft_h, self.soft_c = (
            None if c is None else c * self.p0 / self.volume for c in (turn.compliance_hot, turn.compliance_cold)
        )
        self.room = turn.temperature_room / self.t0
        gamma = np.broadcast_to(np.asarray(turn.heat_capacity_ratio, float), self.t0.shape)
        self.gi, self.k = 1 / gamma, (gamma - 1) / gamma
        self.dt = 2 * np.pi / self.n / turn.speed
        heat = self.k * self.dt * self.t0 / (self.p0 * self.volume)
        self.hh, self.hc = turn.conductance_hot.T * heat, turn.conductance_cold.T * heat
        self.leak = turn.leak * self.dt * self.p0 / self.volume / 2
        self.eh, self.ec, self.eps = turn.effectiveness_heater, turn.effectiveness_cooler, turn.effectiveness
        self.rms = turn.rms | (turn.leak > 0)

    def take(self, index: NDArray[np.intp], like: Scaled) -> None:
        """Take a part of the batch of another."""
        for name, value in vars(like).items():
            part = value[..., index] if isinstance(value, np.ndarray) else value
            setattr(self, name, part)

    def spaces(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the volumes of hot and cold space at a pressure, walls that give included."""
        return _given(self.vh, self.soft_h, p), _given(self.vc, self.soft_c, p)

    def part(self, index: NDArray[np.intp]) -> Scaled:
        """Return a part of the batch."""
        copy = object.__new__(Scaled)
        copy.take(index, self)
        return copy


@dataclass(slots=True, eq=False)
class Unknowns:
    """Pressure and masses at the angles (n_angles, n), face temperatures (n,); scaled."""

    p: FloatArray
    mh: FloatArray
    mc: FloatArray
    fh: FloatArray
    fc: FloatArray

    def part(self, index: NDArray[np.intp]) -> Unknowns:
        return Unknowns(*(getattr(self, name)[..., index] for name in ("p", "mh", "mc", "fh", "fc")))

    def put(self, index: NDArray[np.intp], other: Unknowns) -> None:
        for name in ("p", "mh", "mc", "fh", "fc"):
            getattr(self, name)[..., index] = getattr(other, name)


def _given(v: FloatArray, soft: FloatArray | None, p: FloatArray) -> FloatArray:
    return v if soft is None else v + soft * (p - 1)


def following(values: FloatArray) -> FloatArray:
    """Return the values at the next angle, (n_angles, ...); `np.roll` costs several times as much."""
    return np.concatenate((values[1:], values[:1]))


def _held(v: FloatArray, soft: FloatArray | None, p: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the volume at a pressure and the slope of p V over p."""
    return (v, v) if soft is None else (v + soft * (p - 1), v + soft * (2 * p - 1))


def _with_walls(
    r: FloatArray,
    dp0: FloatArray,
    dp1: FloatArray,
    soft: FloatArray | None,
    k: FloatArray,
    p: FloatArray,
    p1: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Add the work on walls that give to the residual of a space and to its slopes over either pressure."""
    if soft is None:
        return r, dp0, dp1
    by, by1 = k * soft * p, k * soft * p1
    return r + 0.5 * (by1 * p1 - by * p), dp0 - by, dp1 + by1


def _bend(dv: FloatArray) -> FloatArray:
    """Return the weight of a step's pressure change in its work, from how the volume's path bends there.

    The trapezium rule misses h^3/12 (p' V'' - p'' V') of a step's work; over a whole turn, by parts, that is
    h^3/6 p' V'', of which V'' is known.
    """
    return np.asarray((np.roll(dv, -1, axis=0) - np.roll(dv, 1, axis=0)) / 12)


def log_mean(a: FloatArray, b: FloatArray) -> FloatArray:
    ratio = a / b
    near = np.abs(ratio - 1) < 1e-6
    safe = np.where(near, 2.0, ratio)
    return np.where(near, (a + b) / 2, (a - b) / np.log(safe))


def _log_mean_slopes(a: FloatArray, b: FloatArray, mean: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the derivatives of the log mean over both; the limit is a half each."""
    ratio = a / b
    near = np.abs(ratio - 1) < 1e-4
    log = np.log(np.where(near, 2.0, ratio))
    return np.where(near, 0.5, (1 - mean / a) / log), np.where(near, 0.5, (mean / b - 1) / log)


def isothermal_start(s: Scaled) -> Unknowns:
    """Begin with every space at a temperature between the walls' and the mean, at the isothermal pressure."""
    th, tc = s.wh, s.wc
    tg = log_mean(th, tc)
    inverse = 1 / (s.vh / th + s.vc / tc + s.vg / tg + s.sh + s.sc)
    p = inverse / inverse.mean(axis=0)
    for soft, at in ((s.soft_h, th), (s.soft_c, tc)):
        if soft is not None:
            p = 1 + (p - 1) / (1 + soft / at * inverse.mean(axis=0))
    vh, vc = s.spaces(p)
    return Unknowns(p, p * vh / th, p * vc / tc, th.copy(), tc.copy())


def warm_start(s: Scaled, turn: Turn, start: State) -> Unknowns:
    p = start.pressure.T / s.p0
    vh, vc = s.spaces(p)
    mh = p * vh / (start.temperature_hot.T / s.t0)
    mc = p * vc / (start.temperature_cold.T / s.t0)
    return Unknowns(p, mh, mc, start.face_hot / s.t0, start.face_cold / s.t0)


def weights_of(s: Scaled, u: Unknowns) -> tuple[FloatArray, FloatArray]:
    """Weight of the later angle in a step's mean temperature: a half for slow change, towards one for stiff steps.

    (3 + z)/(6 + z) agrees with the exact mean of a decaying exponential to second order, so the scheme stays second
    order, and it does not ring where a thin layer follows its wall at once.
    """
    zh = s.hh / np.minimum(u.mh, following(u.mh)) + np.abs(s.dvh) / np.minimum(s.vh, s.vh1)
    zc = s.hc / np.minimum(u.mc, following(u.mc)) + np.abs(s.dvc) / np.minimum(s.vc, s.vc1)
    return (3 + zh) / (6 + zh), (3 + zc) / (6 + zc)


@dataclass(slots=True, eq=False)
class Space:
    """A space over all steps: residual, its derivatives, and what the closing equations need."""

    r: FloatArray
    p0: FloatArray
    p1: FloatArray
    m0: FloatArray
    m1: FloatArray
    face: FloatArray
    dmu: FloatArray
    mean: FloatArray
    out: BoolArray
    tp0: FloatArray
    tp1: FloatArray
    tm0: FloatArray
    tm1: FloatArray


def _space(
    *,
    p: FloatArray,
    p1: FloatArray,
    m: FloatArray,
    v: FloatArray,
    v1: FloatArray,
    dv: FloatArray,
    bend: FloatArray,
    h: FloatArray,
    w: FloatArray,
    wall: FloatArray,
    face: FloatArray,
    eta: FloatArray,
    gi: FloatArray,
    k: FloatArray,
    leak: FloatArray | None,
    leak_slope: FloatArray | None,
    room: FloatArray,
    soft: FloatArray | None,
) -> Space:
    m1 = following(m)
    (v, by), (v1, by1) = _held(v, soft, p), _held(v1, soft, p1)
    t, t1 = p * v / m, p1 * v1 / m1
    w0 = 1 - w
    mean = w * t1 + w0 * t
    tp0, tp1 = w0 * by / m, w * by1 / m1
    tm0, tm1 = -w0 * t / m, -w * t1 / m1
    dmu = m1 - m
    if leak is not None:
        dmu = dmu + leak
    out = dmu < 0
    star = np.where(out, mean, face + eta * (wall - face))
    lost = h - np.minimum(dmu, 0.0)
    half, turn = 0.5 * k * dv, k * bend
    early, late = half - turn, half + turn
    r = gi * (p1 * v1 - p * v) + early * p + late * p1 - h * (wall - mean) - star * dmu
    dp0, dp1 = early - gi * by + lost * tp0, late + gi * by1 + lost * tp1
    r, dp0, dp1 = _with_walls(r, dp0, dp1, soft, k, p, p1)
    dm0, dm1 = lost * tm0 + star, lost * tm1 - star
    if leak is not None and leak_slope is not None:
        leaving = leak > 0
        at = np.where(leaving, mean, room)
        r = r + at * leak
        slope = (at - star) * leak_slope
        gone = np.maximum(leak, 0.0)
        dp0, dp1 = dp0 + slope + gone * tp0, dp1 + slope + gone * tp1
        dm0, dm1 = dm0 + gone * tm0, dm1 + gone * tm1
    return Space(r, dp0, dp1, dm0, dm1, (eta - 1) * np.maximum(dmu, 0.0), dmu, mean, out, tp0, tp1, tm0, tm1)


class Steps(NamedTuple):
    """All steps of a turn: both spaces, what leaks out and its slope over either pressure, pressures at both ends."""

    hot: Space
    cold: Space
    leak: FloatArray
    slope: FloatArray
    p1: FloatArray
    dp: FloatArray


def evaluate(s: Scaled, u: Unknowns, weights: tuple[FloatArray, FloatArray]) -> Steps:
    p1 = following(u.p)
    middle = 0.5 * (u.p + p1)
    leak = s.leak * (middle * middle - 1)
    slope = s.leak * middle
    hot = _space(
        p=u.p, p1=p1, m=u.mh, v=s.vh, v1=s.vh1, dv=s.dvh, bend=s.bh, h=s.hh, w=weights[0], wall=s.wh, face=u.fh,
        eta=s.eh, gi=s.gi, k=s.k, leak=None, leak_slope=None, room=s.room, soft=s.soft_h,
    )  # fmt: skip
    cold = _space(
        p=u.p, p1=p1, m=u.mc, v=s.vc, v1=s.vc1, dv=s.dvc, bend=s.bc, h=s.hc, w=weights[1], wall=s.wc, face=u.fc,
        eta=s.ec, gi=s.gi, k=s.k, leak=leak, leak_slope=slope, room=s.room, soft=s.soft_c,
    )  # fmt: skip
    return Steps(hot, cold, leak, slope, p1, p1 - u.p)


@dataclass(slots=True, eq=False)
class _Outflow:
    """What a side gives to the gap in a turn, and how that changes with pressure and mass at the angles."""

    face: FloatArray
    """(n_angles, n) temperature at which it gives."""
    mass: FloatArray
    mean: FloatArray
    mass_by_p: FloatArray
    mass_by_m: FloatArray
    mean_by_p: FloatArray
    mean_by_m: FloatArray


def _spread(at: FloatArray, at_next: FloatArray) -> FloatArray:
    """Gather coefficients of the states at both ends of the steps by angle; changes and returns the first."""
    at[1:] += at_next[:-1]
    at[0] += at_next[-1]
    return at


def _outflow(
    *, space: Space, eta: FloatArray, wall: FloatArray, store: FloatArray, dp: FloatArray, slope: FloatArray | float
) -> _Outflow:
    flow = space.dmu + store * dp
    gives = (flow < 0).astype(float)
    gone = np.maximum(-flow, 0.0)
    face = np.where(space.out, space.mean + eta * (wall - space.mean), wall)
    mass = np.maximum(gone.sum(axis=0), 1e-12)
    mean = (gone * face).sum(axis=0) / mass
    excess = gives * ((face - mean) / mass)
    by_t = np.where(space.out, gone, 0.0) * ((1 - eta) / mass)
    at, at_next = slope - store, slope + store
    return _Outflow(
        face, mass, mean,
        mass_by_p=_spread(-gives * at, -gives * at_next),
        mass_by_m=_spread(gives.copy(), -gives),
        mean_by_p=_spread(by_t * space.tp0 - excess * at, by_t * space.tp1 - excess * at_next),
        mean_by_m=_spread(by_t * space.tm0 + excess, by_t * space.tm1 - excess),
    )  # fmt: skip


def closing_of(s: Scaled, u: Unknowns, steps: Steps, rows: FloatArray) -> FloatArray:
    """Return residuals of the two face equations, (2, n); fill in their rows over the angles, (2, 3, n_angles, n).

    The derivative of each with respect to its own face temperature is one.
    """
    hot = _outflow(space=steps.hot, eta=s.eh, wall=s.wh, store=s.sh, dp=steps.dp, slope=0.0)
    cold = _outflow(space=steps.cold, eta=s.ec, wall=s.wc, store=s.sc, dp=steps.dp, slope=steps.slope)
    least = np.minimum(hot.mass, cold.mass)
    lack = 1 - s.eps
    share_h, share_c = lack * least / hot.mass, lack * least / cold.mass
    d = hot.mean - cold.mean
    hot_least = hot.mass <= cold.mass
    # d(face equation)/d(mean_h, mean_c, mass_h, mass_c)
    for row, by in (
        (rows[0], (share_h - 1, -share_h, np.where(hot_least, 0.0, -share_h * d / hot.mass),
                   np.where(hot_least, 0.0, lack * d / hot.mass))),
        (rows[1], (-share_c, share_c - 1, np.where(hot_least, -lack * d / cold.mass, 0.0),
                   np.where(hot_least, share_c * d / cold.mass, 0.0))),
    ):  # fmt: skip
        row[0] = by[0] * hot.mean_by_p + by[1] * cold.mean_by_p + by[2] * hot.mass_by_p + by[3] * cold.mass_by_p
        row[1] = by[0] * hot.mean_by_m + by[2] * hot.mass_by_m
        row[2] = by[1] * cold.mean_by_m + by[3] * cold.mass_by_m
    return np.stack([u.fh - hot.mean + share_h * d, u.fc - cold.mean - share_c * d])


def fill_maps(s: Scaled, u: Unknowns, steps: Steps, scan: Scan) -> None:
    """Fill in the affine map of every step: next (p, mh, mc) over (p, mh, mc, fh, fc, 1)."""
    hot, cold, dp = steps.hot, steps.cold, steps.dp
    tg = log_mean(u.fh, u.fc)
    store = s.vg / tg + s.sh + s.sc
    of_gap = -s.vg / tg**2 * dp
    by_fh, by_fc = (of_gap * slope for slope in _log_mean_slopes(u.fh, u.fc, tg))
    rm = hot.dmu + cold.dmu + store * dp
    a, b = steps.slope - store, steps.slope + store
    # mc1 = -(a p + b p1 - mh - mc + mh1 + by_fh fh + by_fc fc + rm); put into the cold equation
    c1 = cold.m1
    e_p1, e_mh1 = cold.p1 - c1 * b, -c1
    inv = -1 / (hot.p1 * e_mh1 - hot.m1 * e_p1)
    hh, hm, ce, ch = inv * e_mh1, inv * hot.m1, inv * hot.p1, inv * e_p1
    h_col = (hot.p0, hot.m0, None, hot.face, None, hot.r)
    c_col = (cold.p0 - c1 * a, c1, cold.m0 + c1, -c1 * by_fh, cold.face - c1 * by_fc, cold.r - c1 * rm)
    m_col = (a, -1.0, -1.0, by_fh, by_fc, rm)
    for column in range(6):
        h, c = h_col[column], c_col[column]
        p_next, m_next = -c * hm, c * ce
        if h is not None:
            p_next += h * hh
            m_next -= h * ch
        scan.maps[0, column] = scan.fold(p_next)
        scan.maps[1, column] = scan.fold(m_next)
        scan.maps[2, column] = scan.fold(-(m_col[column] + b * p_next + m_next))


def pressure_condition(s: Scaled, u: Unknowns) -> tuple[FloatArray, FloatArray]:
    """Return the residual of the pressure condition (n,) and its row over the angles (n_angles, n)."""
    middle = 0.5 * (u.p + following(u.p))
    n = u.p.shape[0]
    square = (middle * middle).mean(axis=0) - 1
    by_square = (middle + np.concatenate((middle[-1:], middle[:-1]))) / n
    row = np.where(s.rms, by_square, 1 / n)
    return np.where(s.rms, square, middle.mean(axis=0) - 1), np.asarray(row, float)


def residual_of(steps: Steps, pressure: FloatArray, closing: FloatArray) -> FloatArray:
    """Return the largest scaled residual of each item."""
    spaces = [np.abs(space.r).max(axis=0) for space in (steps.hot, steps.cold)]
    return np.asarray(np.maximum.reduce([*spaces, np.abs(pressure), np.abs(closing).max(axis=0)]))
