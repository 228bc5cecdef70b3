r"""The periodic state of a turn with finite heat exchange.

Hot and cold space are well stirred, each with a conductance to its wall; between them lies a gap or regenerator. With
``mu = R m`` the mass as [J/K], a step of the turn obeys, for each space,

    (p V)'/gamma + k p dV - k hA dt (Tw - T) - T* dmu + T_L leak = 0,      k = (gamma - 1)/gamma

where ``dmu`` flows in from the gap, at ``T* = T`` when it leaves the space and at the gap face's temperature when it
enters. Energy and mass are the states and volume steps are exact, so heats less work close to rounding. The face
temperatures of the gap are constants of the turn and follow from its effectiveness, so that it stores nothing.

All steps are linearised together (Newton); the affine maps of the steps are composed by a two-level scan, and the loop
is closed with the pressure condition and the two face temperatures. Batches of engines and speeds run side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

TOLERANCE = 1e-7
"""Largest scaled residual of a converged solve, checked after the last step; far below the 1e-3 asked of work."""
SMALL_STEP = 1e-5
"""Relative change below which the next residual is its square or so: Newton stops there."""
MAX_ITERATIONS = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turn:
    """What one turn needs; batch shape ``(n,)``, angles last."""

    volume_hot: FloatArray
    """(n, n_angles) volume of the hot space at evenly spaced angles, [m^3], > 0."""
    volume_cold: FloatArray
    """(n, n_angles) volume of the cold space, [m^3], > 0."""
    volume_gap: FloatArray
    """(n,) volume of the gap or regenerator, [m^3], >= 0."""
    conductance_hot: FloatArray
    """(n, n_angles) conductance from hot wall to gas over each step, [W/K], >= 0."""
    conductance_cold: FloatArray
    """(n, n_angles) conductance from cold wall to gas over each step, [W/K], >= 0."""
    effectiveness: FloatArray
    """(n,) effectiveness of the gap as a regenerator, [-], 0 to 1."""
    effectiveness_heater: FloatArray
    """(n,) effectiveness of a heater passage between gap and hot space, both ways, [-], 0 to 1."""
    effectiveness_cooler: FloatArray
    """(n,) the same on the cold side, [-]."""
    temperature_hot: FloatArray
    """(n,) hot metal, [K]."""
    temperature_cold: FloatArray
    """(n,) cold metal, [K]."""
    temperature_room: FloatArray
    """(n,) air of the room, that comes in by the leak, [K]."""
    pressure: FloatArray
    """(n,) pressure of the room; mean (or rms) of the turn, [Pa]."""
    leak: FloatArray
    """(n,) leak of the cold space: volume flow over pressure difference, [m^3/(s Pa)], >= 0."""
    speed: FloatArray
    """(n,) angular speed, [rad/s], > 0."""
    gas_constant: float = 287.05
    """Specific gas constant, [J/(kg K)]."""
    heat_capacity_ratio: FloatArray | float = 1.4
    """Ratio of heat capacities, [-]; scalar or (n,)."""
    rms: bool = True
    """Whether the room's pressure is the rms (a small leak both ways, laminar) or the mean of the turn's. With a leak it
    is the rms: only then does the leak over a turn come to nil."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """The periodic state; batch first, angles last."""

    pressure: FloatArray
    """(n, n_angles) at the angles, [Pa]."""
    temperature_hot: FloatArray
    """(n, n_angles) gas in the hot space, [K]."""
    temperature_cold: FloatArray
    """(n, n_angles) gas in the cold space, [K]."""
    face_hot: FloatArray
    """(n,) temperature at which the gap gives gas to the hot space, [K]."""
    face_cold: FloatArray
    """(n,) temperature at which the gap gives gas to the cold space, [K]."""
    flow_hot: FloatArray
    """(n, n_angles) mass that enters the hot space from the gap in each step, [kg]."""
    flow_cold: FloatArray
    """(n, n_angles) mass that enters the cold space from the gap in each step, [kg]."""
    work: FloatArray
    """(n,) indicated work of a turn, [J]."""
    heat_hot: FloatArray
    """(n,) heat from the hot wall into the gas in a turn, heater included, [J]."""
    heat_cold: FloatArray
    """(n,) heat from the cold wall into the gas in a turn (negative in an engine), [J]."""
    leak_enthalpy: FloatArray
    """(n,) enthalpy that the leak carries out in a turn, [J]."""
    mass: FloatArray
    """(n,) mass of gas inside, [kg]."""
    residual: FloatArray
    """(n,) largest scaled residual."""
    iterations: int
    """Newton iterations used."""
    converged: BoolArray
    """(n,) whether the tolerance was reached."""
    reason: tuple[str, ...]
    """Named reasons of those that did not converge (unique)."""


class _Scaled:
    """The turn in scaled form, angle first (n_angles, n): volumes by their mean, pressure by the room's, T by Tc."""

    def __init__(self, turn: Turn) -> None:
        self.vh, self.vc = np.ascontiguousarray(turn.volume_hot.T), np.ascontiguousarray(turn.volume_cold.T)
        self.n = self.vh.shape[0]
        self.volume = (self.vh + self.vc).mean(axis=0) + turn.volume_gap
        self.p0, self.t0 = turn.pressure, turn.temperature_cold
        self.vh, self.vc, self.vg = self.vh / self.volume, self.vc / self.volume, turn.volume_gap / self.volume
        self.vh1, self.vc1 = np.roll(self.vh, -1, axis=0), np.roll(self.vc, -1, axis=0)
        self.dvh, self.dvc = self.vh1 - self.vh, self.vc1 - self.vc
        self.wh, self.wc = turn.temperature_hot / self.t0, np.ones_like(self.t0)
        self.room = turn.temperature_room / self.t0
        gamma = np.broadcast_to(np.asarray(turn.heat_capacity_ratio, float), self.t0.shape)
        self.gi, self.k = 1 / gamma, (gamma - 1) / gamma
        self.dt = 2 * np.pi / self.n / turn.speed
        heat = self.k * self.dt * self.t0 / (self.p0 * self.volume)
        self.hh, self.hc = turn.conductance_hot.T * heat, turn.conductance_cold.T * heat
        self.leak = turn.leak * self.dt * self.p0 / self.volume / 2
        self.eh, self.ec, self.eps = turn.effectiveness_heater, turn.effectiveness_cooler, turn.effectiveness
        self.rms = turn.rms | (turn.leak > 0)

    def take(self, index: NDArray[np.intp], like: _Scaled) -> None:
        """Take a part of the batch of another."""
        for name, value in vars(like).items():
            part = value[..., index] if isinstance(value, np.ndarray) else value
            setattr(self, name, part)

    def part(self, index: NDArray[np.intp]) -> _Scaled:
        """Return a part of the batch."""
        copy = object.__new__(_Scaled)
        copy.take(index, self)
        return copy


@dataclass(slots=True, eq=False)
class _Unknowns:
    """Pressure and masses at the angles (n_angles, n), face temperatures (n,); scaled."""

    p: FloatArray
    mh: FloatArray
    mc: FloatArray
    fh: FloatArray
    fc: FloatArray

    def part(self, index: NDArray[np.intp]) -> _Unknowns:
        return _Unknowns(*(getattr(self, name)[..., index] for name in ("p", "mh", "mc", "fh", "fc")))

    def put(self, index: NDArray[np.intp], other: _Unknowns) -> None:
        for name in ("p", "mh", "mc", "fh", "fc"):
            getattr(self, name)[..., index] = getattr(other, name)


def _log_mean(a: FloatArray, b: FloatArray) -> FloatArray:
    ratio = a / b
    near = np.abs(ratio - 1) < 1e-6
    safe = np.where(near, 2.0, ratio)
    return np.where(near, (a + b) / 2, (a - b) / np.log(safe))


def _start(s: _Scaled) -> _Unknowns:
    """Begin with every space at a temperature between the walls' and the mean, at the isothermal pressure."""
    th, tc = s.wh, s.wc
    tg = _log_mean(th, tc)
    inverse = 1 / (s.vh / th + s.vc / tc + s.vg / tg)
    p = inverse / inverse.mean(axis=0)
    return _Unknowns(p, p * s.vh / th, p * s.vc / tc, th.copy(), tc.copy())


def _weights(s: _Scaled, u: _Unknowns) -> tuple[FloatArray, FloatArray]:
    """Weight of the later angle in a step's mean temperature: a half for slow change, towards one for stiff steps.

    (3 + z)/(6 + z) agrees with the exact mean of a decaying exponential to second order, so the scheme stays second
    order, and it does not ring where a thin layer follows its wall at once.
    """
    zh = s.hh / np.minimum(u.mh, np.roll(u.mh, -1, axis=0)) + np.abs(s.dvh) / np.minimum(s.vh, s.vh1)
    zc = s.hc / np.minimum(u.mc, np.roll(u.mc, -1, axis=0)) + np.abs(s.dvc) / np.minimum(s.vc, s.vc1)
    return (3 + zh) / (6 + zh), (3 + zc) / (6 + zc)


@dataclass(slots=True, eq=False)
class _Space:
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
) -> _Space:
    m1 = np.roll(m, -1, axis=0)
    t, t1 = p * v / m, p1 * v1 / m1
    w0 = 1 - w
    mean = w * t1 + w0 * t
    tp0, tp1 = w0 * t / p, w * t1 / p1
    tm0, tm1 = -w0 * t / m, -w * t1 / m1
    dmu = m1 - m
    if leak is not None:
        dmu = dmu + leak
    out = dmu < 0
    enters = face + eta * (wall - face)
    star = np.where(out, mean, enters)
    carried = np.where(out, dmu, 0.0)
    lost = h - carried
    half = 0.5 * k * dv
    r = gi * (p1 * v1 - p * v) + half * (p + p1) - h * (wall - mean) - star * dmu
    dp0, dp1 = half - gi * v + lost * tp0, half + gi * v1 + lost * tp1
    dm0, dm1 = lost * tm0 + star, lost * tm1 - star
    if leak is not None and leak_slope is not None:
        leaving = leak > 0
        at = np.where(leaving, mean, room)
        r = r + at * leak
        slope = (at - star) * leak_slope
        gone = np.where(leaving, leak, 0.0)
        dp0, dp1 = dp0 + slope + gone * tp0, dp1 + slope + gone * tp1
        dm0, dm1 = dm0 + gone * tm0, dm1 + gone * tm1
    dface = np.where(out, 0.0, -(1 - eta) * dmu)
    return _Space(r, dp0, dp1, dm0, dm1, dface, dmu, mean, out, tp0, tp1, tm0, tm1)


def _evaluate(s: _Scaled, u: _Unknowns, weights: tuple[FloatArray, FloatArray]) -> tuple[_Space, _Space, FloatArray]:
    """Return both spaces and the leak of each step."""
    p1 = np.roll(u.p, -1, axis=0)
    middle = 0.5 * (u.p + p1)
    leak = s.leak * (middle * middle - 1)
    slope = s.leak * middle
    hot = _space(
        p=u.p, p1=p1, m=u.mh, v=s.vh, v1=s.vh1, dv=s.dvh, h=s.hh, w=weights[0], wall=s.wh, face=u.fh, eta=s.eh,
        gi=s.gi, k=s.k, leak=None, leak_slope=None, room=s.room,
    )  # fmt: skip
    cold = _space(
        p=u.p, p1=p1, m=u.mc, v=s.vc, v1=s.vc1, dv=s.dvc, h=s.hc, w=weights[1], wall=s.wc, face=u.fc, eta=s.ec,
        gi=s.gi, k=s.k, leak=leak, leak_slope=slope, room=s.room,
    )  # fmt: skip
    return hot, cold, leak


def _closing(s: _Scaled, u: _Unknowns, hot: _Space, cold: _Space) -> tuple[FloatArray, FloatArray]:
    """Return residuals of the two face equations, (2, n), and their rows over the angles, (2, 3, n_angles, n).

    The derivative of each with respect to its own face temperature is one.
    """
    sums = []
    for space, eta, wall in ((hot, s.eh, s.wh), (cold, s.ec, s.wc)):
        gone = np.where(space.out, -space.dmu, 0.0)
        face = space.mean + eta * (wall - space.mean)
        total = np.maximum(gone.sum(axis=0), 1e-12)
        sums.append((gone, face, total, (gone * face).sum(axis=0) / total))
    (gone_h, face_h, mass_h, mean_h), (gone_c, face_c, mass_c, mean_c) = sums
    least = np.minimum(mass_h, mass_c)
    lack = 1 - s.eps
    share_h, share_c = lack * least / mass_h, lack * least / mass_c
    d = mean_h - mean_c
    residual = np.stack([u.fh - mean_h + share_h * d, u.fc - mean_c - share_c * d])
    hot_least = mass_h <= mass_c
    # d(face equation)/d(mean_h, mean_c, mass_h, mass_c)
    by_mass_h = np.where(hot_least, 0.0, -share_h * d / mass_h), np.where(hot_least, -lack * d / mass_c, 0.0)
    by_mass_c = np.where(hot_least, 0.0, lack * d / mass_h), np.where(hot_least, share_c * d / mass_c, 0.0)
    by_mean = (share_h - 1, -share_h), (-share_c, share_c - 1)
    rows = np.zeros((2, 3, *u.p.shape))
    leak_slope = s.leak * 0.5 * (u.p + np.roll(u.p, -1, axis=0))
    for equation in (0, 1):
        for side, (space, gone, face, total, mean, eta) in enumerate(
            ((hot, gone_h, face_h, mass_h, mean_h, s.eh), (cold, gone_c, face_c, mass_c, mean_c, s.ec))
        ):
            by_total = by_mass_h[equation] if side == 0 else by_mass_c[equation]
            per_mean = by_mean[equation][side] / total
            # gone = -dmu where it leaves; dmu = m1 - m, in the cold space + leak
            by_dmu = np.where(space.out, -(per_mean * (face - mean) + by_total), 0.0)
            by_temperature = per_mean * gone * (1 - eta)
            rows[equation, 0] += by_temperature * space.tp0 + np.roll(by_temperature * space.tp1, 1, axis=0)
            rows[equation, 1 + side] += (
                by_temperature * space.tm0 - by_dmu + np.roll(by_temperature * space.tm1 + by_dmu, 1, axis=0)
            )
            if side == 1:
                by_leak = by_dmu * leak_slope
                rows[equation, 0] += by_leak + np.roll(by_leak, 1, axis=0)
    return residual, rows


def _step_maps(s: _Scaled, u: _Unknowns, hot: _Space, cold: _Space, leak: FloatArray) -> FloatArray:
    """Return the affine map of every step, (3, 6, n_angles, n): next (p, mh, mc) over (p, mh, mc, fh, fc, 1)."""
    p1 = np.roll(u.p, -1, axis=0)
    tg = _log_mean(u.fh, u.fc)
    store = s.vg / tg
    dp = p1 - u.p
    slope = s.leak * 0.5 * (u.p + p1)
    by_gap = -0.5 * store / tg * dp
    rm = hot.dmu + cold.dmu + store * dp
    a, b = slope - store, slope + store
    # mc1 = -(a p + b p1 - mh - mc + mh1 + by_gap (fh + fc) + rm); put into the cold equation
    c1 = cold.m1
    e_p1, e_mh1 = cold.p1 - c1 * b, -c1
    det = hot.p1 * e_mh1 - hot.m1 * e_p1
    inv = -1 / det
    h_col = (hot.p0, hot.m0, 0.0, hot.face, 0.0, hot.r)
    c_col = (
        cold.p0 - c1 * a, c1, cold.m0 + c1, -c1 * by_gap, cold.face - c1 * by_gap, cold.r - c1 * rm,
    )  # fmt: skip
    m_col = (a, -1.0, -1.0, by_gap, by_gap, rm)
    maps = np.empty((3, 6, *u.p.shape))
    for column in range(6):
        h, c = h_col[column], c_col[column]
        maps[0, column] = inv * (h * e_mh1 - c * hot.m1)
        maps[1, column] = inv * (c * hot.p1 - h * e_p1)
        maps[2, column] = -(m_col[column] + b * maps[0, column] + maps[1, column])
    return maps


def _compose(later: FloatArray, earlier: FloatArray) -> FloatArray:
    """Compose affine maps (3, 6, ...): later after earlier; faces and constant pass through."""
    out = later[:, 0, None] * earlier[None, 0]
    out += later[:, 1, None] * earlier[None, 1]
    out += later[:, 2, None] * earlier[None, 2]
    out[:, 3:] += later[:, 3:]
    return np.asarray(out)


def _chunks(n: int) -> int:
    """Number of chunks of the scan: the divisor of n that lies nearest to sqrt(n)/1.4."""
    wanted = max(1.0, np.sqrt(n) / 1.4)
    return min((d for d in range(1, n + 1) if n % d == 0), key=lambda d: abs(d - wanted))


def _pressure_condition(s: _Scaled, u: _Unknowns) -> tuple[FloatArray, FloatArray]:
    """Return the residual of the pressure condition (n,) and its row over the angles (n_angles, n)."""
    middle = 0.5 * (u.p + np.roll(u.p, -1, axis=0))
    n = u.p.shape[0]
    square = (middle * middle).mean(axis=0) - 1
    by_square = (middle + np.roll(middle, 1, axis=0)) / n
    row = np.where(s.rms, by_square, 1 / n)
    return np.where(s.rms, square, middle.mean(axis=0) - 1), np.asarray(row, float)


def _residual(hot: _Space, cold: _Space, pressure: FloatArray, closing: FloatArray) -> FloatArray:
    """Return the largest scaled residual of each item."""
    return np.maximum.reduce(
        [np.abs(hot.r).max(axis=0), np.abs(cold.r).max(axis=0), np.abs(pressure), np.abs(closing).max(axis=0)]
    )


def _newton_step(
    s: _Scaled, u: _Unknowns, weights: tuple[FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray, BoolArray]:
    """Return changes of states (3, n_angles, n) and faces (2, n), the residual before (n,), where it is singular."""
    hot, cold, leak = _evaluate(s, u, weights)
    maps = _step_maps(s, u, hot, cold, leak)
    closing, rows = _closing(s, u, hot, cold)
    n, size = u.p.shape
    count = _chunks(n)
    length = n // count
    parts = maps.reshape(3, 6, count, length, size)
    local = np.empty((length + 1, 3, 6, count, size))
    local[0] = 0.0
    for i in range(3):
        local[0, i, i] = 1.0
    for j in range(length):
        local[j + 1] = _compose(parts[:, :, :, j], local[j])
    start = np.empty((count + 1, 3, 6, size))
    start[0] = local[0, :, :, 0]
    for c in range(count):
        start[c + 1] = _compose(local[length, :, :, c], start[c])
    whole = start[count]

    pressure, prow = _pressure_condition(s, u)
    functionals = np.zeros((3, 3, n, size))
    functionals[0, 0] = prow
    functionals[1:] = rows
    # pull each functional back to the first angle: sum over angles of row . local map . start of the chunk
    per_chunk = np.einsum("ficlb,likcb->fkcb", functionals.reshape(3, 3, count, length, size), local[:length])
    pulled = np.einsum("ficb,cikb->fkb", per_chunk[:, :3], start[:count])
    pulled[:, 3:] += per_chunk[:, 3:].sum(axis=2)

    system = np.zeros((size, 5, 5))
    right = np.zeros((size, 5))
    system[:, 0, :] = whole[0, :5].T
    system[:, 1, :] = whole[1, :5].T
    system[:, 0, 0] -= 1
    system[:, 1, 1] -= 1
    right[:, 0], right[:, 1] = -whole[0, 5], -whole[1, 5]
    system[:, 2:, :] = pulled[:, :5].transpose(2, 0, 1)
    right[:, 2] = -pulled[0, 5] - pressure
    right[:, 3:] = -(pulled[1:, 5] + closing).T
    system[:, 3, 3] += 1
    system[:, 4, 4] += 1
    residual = _residual(hot, cold, pressure, closing)
    singular: BoolArray = ~np.isfinite(system).all(axis=(1, 2)) | ~np.isfinite(right).all(axis=1)
    system[singular] = np.eye(5)
    right[singular] = 0.0
    system[~singular], bad = _guard(system[~singular])
    singular[np.flatnonzero(~singular)[bad]] = True
    x = np.linalg.solve(system, right[..., None])[..., 0].T  # (5, n)
    begin = np.empty((count, 3, size))
    begin[0] = x[:3]
    tail = np.concatenate([x[3:], np.ones((1, size))])
    for c in range(1, count):
        begin[c] = np.einsum("ikb,kb->ib", start[c, :, :3], x[:3]) + np.einsum("ikb,kb->ib", start[c, :, 3:], tail)
    change = np.einsum("likcb,ckb->iclb", local[:length, :, :3], begin)
    change += np.einsum("likcb,kb->iclb", local[:length, :, 3:], tail)
    return change.reshape(3, n, size), x[3:], residual, np.asarray(singular)


def _guard(system: FloatArray) -> tuple[FloatArray, NDArray[np.intp]]:
    """Replace singular systems by the identity; return them and where they were."""
    scale = np.abs(system).max(axis=2, keepdims=True)
    determinant = np.linalg.det(system / np.where(scale > 0, scale, 1.0))
    bad = np.flatnonzero(~(np.abs(determinant) > 1e-40))
    system[bad] = np.eye(5)
    return system, bad


def _iterate(s: _Scaled, u: _Unknowns, limit: int) -> tuple[_Unknowns, BoolArray, int, BoolArray]:
    """Newton with damping on the whole batch; items that have converged drop out.

    Returns the unknowns, which items did not settle, the iterations used, and which were singular.
    """
    size = u.p.shape[1]
    unsettled = np.ones(size, bool)
    singular = np.zeros(size, bool)
    active = np.arange(size)
    weights = _weights(s, _start(s))
    used = 0
    part, state, w = s, u, weights
    for _ in range(limit):
        used += 1
        change, faces, before, stuck = _newton_step(part, state, w)
        singular[active] = stuck
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            relative = np.maximum.reduce(
                [
                    np.abs(change[0] / state.p).max(axis=0),
                    np.abs(change[1] / state.mh).max(axis=0),
                    np.abs(change[2] / state.mc).max(axis=0),
                    np.abs(faces[0] / state.fh),
                    np.abs(faces[1] / state.fc),
                ]
            )
        relative = np.where(np.isfinite(relative) & ~stuck, relative, np.inf)
        damp = np.where(np.isinf(relative), 0.0, np.minimum(1.0, 0.5 / np.maximum(relative, 1e-300)))
        change = np.where(np.isfinite(change), change, 0.0)
        faces = np.where(np.isfinite(faces), faces, 0.0)
        state = _Unknowns(
            state.p + damp * change[0], state.mh + damp * change[1], state.mc + damp * change[2],
            state.fh + damp * faces[0], state.fc + damp * faces[1],
        )  # fmt: skip
        u.put(active, state)
        done = ((relative < SMALL_STEP) & (before < 1e-2)) | stuck
        unsettled[active[done]] = False
        if done.all():
            break
        if done.any():
            keep = np.flatnonzero(~done)
            active = active[keep]
            part, state = part.part(keep), state.part(keep)
            w = w[0][:, keep], w[1][:, keep]
    return u, unsettled, used, singular


def solve(turn: Turn, *, start: State | None = None) -> State:
    """Find the periodic state of every engine and speed of a batch.

    Parameters
    ----------
    turn : Turn
        Batch of turns.
    start : State, optional
        A state of the same batch to start from (a neighbour's, or the last one's).

    Returns
    -------
    State
        With `converged` and named reasons where an item has no solution (no heat can enter at all).
    """
    s = _Scaled(turn)
    u = _start(s) if start is None else _warm(s, turn, start)
    u, stuck, used, singular = _iterate(s, u, MAX_ITERATIONS)
    failed = np.flatnonzero(singular | stuck)
    if failed.size:
        used += _rescue(s, u, singular, failed)
    return _collect(turn, s, u, used, singular)


def _warm(s: _Scaled, turn: Turn, start: State) -> _Unknowns:
    p = start.pressure.T / s.p0
    mh = p * s.vh / (start.temperature_hot.T / s.t0)
    mc = p * s.vc / (start.temperature_cold.T / s.t0)
    return _Unknowns(p, mh, mc, start.face_hot / s.t0, start.face_cold / s.t0)


def _rescue(s: _Scaled, u: _Unknowns, singular: BoolArray, failed: NDArray[np.intp]) -> int:
    """Solve stubborn items again from a state of strong heat exchange, weakened in steps to the true one."""
    part = s.part(failed)
    true_h, true_c = part.hh, part.hc
    state = _start(part)
    used = 0
    for extra in (3.0, 1.0, 0.3, 0.1, 0.03, 0.01, 0.003, 0.001, 0.0):
        part.hh, part.hc = true_h + extra / part.n, true_c + extra / part.n
        state, _, more, stuck = _iterate(part, state, MAX_ITERATIONS)
        used += more
    u.put(failed, state)
    singular[failed] = stuck
    return used


def _collect(turn: Turn, s: _Scaled, u: _Unknowns, used: int, singular: BoolArray) -> State:
    hot, cold, leak = _evaluate(s, u, _weights(s, _start(s)))
    residual = _residual(hot, cold, _pressure_condition(s, u)[0], _closing(s, u, hot, cold)[0])
    p1 = np.roll(u.p, -1, axis=0)
    unit = s.p0 * s.volume
    work = (0.5 * (u.p + p1) * (s.dvh + s.dvc)).sum(axis=0) * unit
    heats = []
    for space, h, wall, face, eta in ((hot, s.hh, s.wh, u.fh, s.eh), (cold, s.hc, s.wc, u.fc, s.ec)):
        gone, come = np.where(space.out, -space.dmu, 0.0), np.where(space.out, 0.0, space.dmu)
        passed = eta * (gone * (wall - space.mean) + come * (wall - face))
        heats.append((h * (wall - space.mean) + passed).sum(axis=0) / s.k * unit)
    at = np.where(leak > 0, cold.mean, s.room)
    tg = _log_mean(u.fh, u.fc)
    mass = (u.mh + u.mc + s.vg / tg * u.p).mean(axis=0) * unit / s.t0 / turn.gas_constant
    per_kg = unit / s.t0 / turn.gas_constant
    converged = ~singular & (residual < TOLERANCE)
    degenerate = (turn.conductance_hot.max(axis=-1) + turn.conductance_cold.max(axis=-1) <= 0) & (
        turn.effectiveness_heater + turn.effectiveness_cooler <= 0
    )
    reasons = []
    if (degenerate & ~converged).any():
        reasons.append("no heat can reach the air: both conductances and both exchangers are nil")
    if (~converged & ~degenerate).any():
        reasons.append("the turn did not settle to a periodic state")
    return State(
        pressure=(u.p * s.p0).T,
        temperature_hot=(u.p * s.vh / u.mh * s.t0).T,
        temperature_cold=(u.p * s.vc / u.mc * s.t0).T,
        face_hot=u.fh * s.t0,
        face_cold=u.fc * s.t0,
        flow_hot=(hot.dmu * per_kg).T,
        flow_cold=(cold.dmu * per_kg).T,
        work=work,
        heat_hot=heats[0],
        heat_cold=heats[1],
        leak_enthalpy=(leak * at).sum(axis=0) / s.k * unit,
        mass=mass,
        residual=residual,
        iterations=used,
        converged=converged,
        reason=tuple(reasons),
    )
