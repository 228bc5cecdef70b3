r"""The periodic state of a turn with finite heat exchange.

Hot and cold space are well stirred, each with a conductance to its wall; between them lies a gap or regenerator. With
``mu = R m`` the mass as [J/K], a step of the turn obeys, for each space,

    (p V)'/gamma + k p dV - k hA dt (Tw - T) - T* dmu + T_L leak = 0,      k = (gamma - 1)/gamma

where ``dmu`` flows in from the gap, at ``T* = T`` when it leaves the space and at the gap face's temperature when it
enters. Energy and mass are the states and volume steps are exact, so heats less work close to rounding. The face
temperatures of the gap are constants of the turn and follow from its effectiveness, so that it stores nothing. Heater
and cooler may hold air of their own, at their metal's temperature, between the gap and their space.

All steps are linearised together (Newton); the affine maps of the steps are composed by a two-level scan, and the loop
is closed with the pressure condition and the two face temperatures. Batches of engines and speeds run side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.cycle.scan import Scan, solve_small

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

TOLERANCE = 1e-7
"""Largest scaled residual of a converged solve, checked after the last step; far below the 1e-3 asked of work."""
SMALL_STEP = 1e-5
"""Relative change below which the next residual is its square or so: Newton stops there."""
MAX_ITERATIONS = 10
"""Newton steps before the slower way: hardly any item needs more that does not need very many more."""
STEP_ITERATIONS = 12
"""The same for one step of the slower way."""
RESCUE_STEPS = 24
"""Steps of the slower way at most: a hopeless item must not hold up the others for long."""
FIRST_EXTRA, LEAST_EXTRA, MOST_EXTRA = 0.3, 1e-4, 1e4
"""Extra heat exchange at which the slower way begins, below which it leaves it away, and up to which it looks for a
beginning: scaled, per turn."""


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
    """(n,) leak of the cold space: volume flow over pressure difference, [m^3/(s Pa)], >= 0. Laminar: the mass flow is
    leak (p^2 - p_room^2) / (2 R T), T the cold metal's."""
    speed: FloatArray
    """(n,) angular speed, [rad/s], > 0."""
    volume_heater: FloatArray | None = None
    """(n,) volume between gap and hot space that stays at the hot metal's temperature, [m^3], >= 0. Exact with a heater
    of effectiveness one; with less, the air that it stores is still taken at the metal's temperature."""
    volume_cooler: FloatArray | None = None
    """(n,) the same on the cold side, [m^3], >= 0."""
    gas_constant: float = 287.05
    """Specific gas constant, [J/(kg K)]."""
    heat_capacity_ratio: FloatArray | float = 1.4
    """Ratio of heat capacities, [-]; scalar or (n,)."""
    rms: bool = True
    """Whether the room's pressure is the rms (a small leak both ways, laminar) or the mean of the turn's. With a leak
    it is the rms: only then does the leak over a turn come to nil."""


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
        heater, cooler = (
            np.zeros_like(turn.volume_gap) if v is None else v for v in (turn.volume_heater, turn.volume_cooler)
        )
        self.volume = (self.vh + self.vc).mean(axis=0) + turn.volume_gap + heater + cooler
        self.p0, self.t0 = turn.pressure, turn.temperature_cold
        self.vh, self.vc, self.vg = self.vh / self.volume, self.vc / self.volume, turn.volume_gap / self.volume
        self.vh1, self.vc1 = np.roll(self.vh, -1, axis=0), np.roll(self.vc, -1, axis=0)
        self.dvh, self.dvc = self.vh1 - self.vh, self.vc1 - self.vc
        self.bh, self.bc = _bend(self.dvh), _bend(self.dvc)
        self.wh, self.wc = turn.temperature_hot / self.t0, np.ones_like(self.t0)
        self.sh, self.sc = heater / self.volume / self.wh, cooler / self.volume
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


def _bend(dv: FloatArray) -> FloatArray:
    """Return the weight of a step's pressure change in its work, from how the volume's path bends there.

    The trapezium rule misses h^3/12 (p' V'' - p'' V') of a step's work; over a whole turn, by parts, that is
    h^3/6 p' V'', of which V'' is known.
    """
    return np.asarray((np.roll(dv, -1, axis=0) - np.roll(dv, 1, axis=0)) / 12)


def _log_mean(a: FloatArray, b: FloatArray) -> FloatArray:
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


def _start(s: _Scaled) -> _Unknowns:
    """Begin with every space at a temperature between the walls' and the mean, at the isothermal pressure."""
    th, tc = s.wh, s.wc
    tg = _log_mean(th, tc)
    inverse = 1 / (s.vh / th + s.vc / tc + s.vg / tg + s.sh + s.sc)
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
    lost = h - np.minimum(dmu, 0.0)
    half, turn = 0.5 * k * dv, k * bend
    early, late = half - turn, half + turn
    r = gi * (p1 * v1 - p * v) + early * p + late * p1 - h * (wall - mean) - star * dmu
    dp0, dp1 = early - gi * v + lost * tp0, late + gi * v1 + lost * tp1
    dm0, dm1 = lost * tm0 + star, lost * tm1 - star
    if leak is not None and leak_slope is not None:
        leaving = leak > 0
        at = np.where(leaving, mean, room)
        r = r + at * leak
        slope = (at - star) * leak_slope
        gone = np.maximum(leak, 0.0)
        dp0, dp1 = dp0 + slope + gone * tp0, dp1 + slope + gone * tp1
        dm0, dm1 = dm0 + gone * tm0, dm1 + gone * tm1
    dface = (eta - 1) * np.maximum(dmu, 0.0)
    return _Space(r, dp0, dp1, dm0, dm1, dface, dmu, mean, out, tp0, tp1, tm0, tm1)


class _Steps(NamedTuple):
    """All steps of a turn: both spaces, what leaks out and its slope over either pressure, pressures at both ends."""

    hot: _Space
    cold: _Space
    leak: FloatArray
    slope: FloatArray
    p1: FloatArray
    dp: FloatArray


def _evaluate(s: _Scaled, u: _Unknowns, weights: tuple[FloatArray, FloatArray]) -> _Steps:
    p1 = np.roll(u.p, -1, axis=0)
    middle = 0.5 * (u.p + p1)
    leak = s.leak * (middle * middle - 1)
    slope = s.leak * middle
    hot = _space(
        p=u.p, p1=p1, m=u.mh, v=s.vh, v1=s.vh1, dv=s.dvh, bend=s.bh, h=s.hh, w=weights[0], wall=s.wh, face=u.fh,
        eta=s.eh, gi=s.gi, k=s.k, leak=None, leak_slope=None, room=s.room,
    )  # fmt: skip
    cold = _space(
        p=u.p, p1=p1, m=u.mc, v=s.vc, v1=s.vc1, dv=s.dvc, bend=s.bc, h=s.hc, w=weights[1], wall=s.wc, face=u.fc,
        eta=s.ec, gi=s.gi, k=s.k, leak=leak, leak_slope=slope, room=s.room,
    )  # fmt: skip
    return _Steps(hot, cold, leak, slope, p1, p1 - u.p)


@dataclass(slots=True, eq=False)
class _Outflow:
    """What a side gives to the gap in a turn, and how that changes with pressure and mass at the angles."""

    into_gap: FloatArray
    """(n_angles, n) flow from the gap, negative where the side gives."""
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
    *, space: _Space, eta: FloatArray, wall: FloatArray, store: FloatArray, dp: FloatArray, slope: FloatArray | float
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
        flow, face, mass, mean,
        mass_by_p=_spread(-gives * at, -gives * at_next),
        mass_by_m=_spread(gives.copy(), -gives),
        mean_by_p=_spread(by_t * space.tp0 - excess * at, by_t * space.tp1 - excess * at_next),
        mean_by_m=_spread(by_t * space.tm0 + excess, by_t * space.tm1 - excess),
    )  # fmt: skip


def _closing(s: _Scaled, u: _Unknowns, steps: _Steps, rows: FloatArray) -> FloatArray:
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


def _step_maps(s: _Scaled, u: _Unknowns, steps: _Steps, scan: Scan) -> None:
    """Fill in the affine map of every step: next (p, mh, mc) over (p, mh, mc, fh, fc, 1)."""
    hot, cold, dp = steps.hot, steps.cold, steps.dp
    tg = _log_mean(u.fh, u.fc)
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


def _pressure_condition(s: _Scaled, u: _Unknowns) -> tuple[FloatArray, FloatArray]:
    """Return the residual of the pressure condition (n,) and its row over the angles (n_angles, n)."""
    middle = 0.5 * (u.p + np.roll(u.p, -1, axis=0))
    n = u.p.shape[0]
    square = (middle * middle).mean(axis=0) - 1
    by_square = (middle + np.roll(middle, 1, axis=0)) / n
    row = np.where(s.rms, by_square, 1 / n)
    return np.where(s.rms, square, middle.mean(axis=0) - 1), np.asarray(row, float)


def _residual(steps: _Steps, pressure: FloatArray, closing: FloatArray) -> FloatArray:
    """Return the largest scaled residual of each item."""
    spaces = [np.abs(space.r).max(axis=0) for space in (steps.hot, steps.cold)]
    return np.asarray(np.maximum.reduce([*spaces, np.abs(pressure), np.abs(closing).max(axis=0)]))


def _newton_step(
    s: _Scaled, u: _Unknowns, weights: tuple[FloatArray, FloatArray], scan: Scan
) -> tuple[FloatArray, FloatArray, FloatArray, BoolArray]:
    """Return changes of states (3, n_angles, n) and faces (2, n), the residual before (n,), where it is singular."""
    steps = _evaluate(s, u, weights)
    _step_maps(s, u, steps, scan)
    rows = np.zeros((3, 3, *u.p.shape))
    closing = _closing(s, u, steps, rows[1:])
    pressure, rows[0, 0] = _pressure_condition(s, u)
    whole = scan.compose()
    pulled = scan.pull(rows)

    size = u.p.shape[1]
    system = np.empty((size, 5, 5))
    right = np.empty((size, 5))
    system[:, :2, :] = whole[:2, :5].transpose(2, 0, 1)
    system[:, 2:, :] = pulled[:, :5].transpose(2, 0, 1)
    for row, column, own in ((0, 0, -1.0), (1, 1, -1.0), (3, 3, 1.0), (4, 4, 1.0)):
        system[:, row, column] += own
    right[:, :2] = -whole[:2, 5].T
    right[:, 2] = -pulled[0, 5] - pressure
    right[:, 3:] = -(pulled[1:, 5] + closing).T
    free, singular = solve_small(system, right)
    change = scan.states(free)
    return change, free[3:], _residual(steps, pressure, closing), singular


def _relative(change: FloatArray, faces: FloatArray, u: _Unknowns) -> FloatArray:
    """Return the largest relative change of each item, infinite where it is no number."""
    largest = np.maximum.reduce(
        [
            np.abs(change[0] / u.p).max(axis=0),
            np.abs(change[1] / u.mh).max(axis=0),
            np.abs(change[2] / u.mc).max(axis=0),
            np.abs(faces[0] / u.fh),
            np.abs(faces[1] / u.fc),
        ]
    )
    return np.asarray(np.where(np.isfinite(largest), largest, np.inf))


def _moved(u: _Unknowns, change: FloatArray, faces: FloatArray, relative: FloatArray) -> _Unknowns:
    """Step so far that nothing changes by more than half of itself; not at all where the step is no number."""
    damp = np.minimum(1.0, 0.5 / np.maximum(relative, 1e-300))
    if not damp.all():
        bad = damp == 0
        change[..., bad] = 0.0
        faces[..., bad] = 0.0
    return _Unknowns(
        u.p + damp * change[0], u.mh + damp * change[1], u.mc + damp * change[2],
        u.fh + damp * faces[0], u.fc + damp * faces[1],
    )  # fmt: skip


def _iterate(s: _Scaled, u: _Unknowns, limit: int) -> tuple[_Unknowns, BoolArray, int]:
    """Newton with damping on the whole batch; items that have settled or got stuck drop out.

    Returns the unknowns, which items settled, and the iterations used.
    """
    size = u.p.shape[1]
    settled = np.zeros(size, bool)
    active = np.arange(size)
    w = _weights(s, _start(s))
    part, state, scan = s, u, Scan(*u.p.shape)
    used = 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        while active.size and used < limit:
            used += 1
            change, faces, before, singular = _newton_step(part, state, w, scan)
            relative = np.where(singular, np.inf, _relative(change, faces, state))
            state = _moved(state, change, faces, relative)
            u.put(active, state)
            done = (relative < SMALL_STEP) & (before < 1e-2)
            settled[active[done]] = True
            done |= np.isinf(relative)
            if done.any():
                keep = np.flatnonzero(~done)
                active = active[keep]
                part, state, scan = part.part(keep), state.part(keep), Scan(u.p.shape[0], keep.size)
                w = w[0][:, keep], w[1][:, keep]
    return u, settled, used


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
    u, settled, used = _iterate(s, u, MAX_ITERATIONS)
    failed = np.flatnonzero(~settled)
    if failed.size:
        used += _rescue(s, u, settled, failed)
    return _collect(turn, s, u, used, settled)


def _warm(s: _Scaled, turn: Turn, start: State) -> _Unknowns:
    p = start.pressure.T / s.p0
    mh = p * s.vh / (start.temperature_hot.T / s.t0)
    mc = p * s.vc / (start.temperature_cold.T / s.t0)
    return _Unknowns(p, mh, mc, start.face_hot / s.t0, start.face_cold / s.t0)


def _rescue(s: _Scaled, u: _Unknowns, settled: BoolArray, failed: NDArray[np.intp]) -> int:
    """Solve stubborn items again: begin with strong heat exchange and little leak, and go to the true ones in steps.

    Each item finds its own steps: longer after a success, shorter after a failure.
    """
    whole = s.part(failed)
    n = whole.n
    extra = np.full(failed.size, FIRST_EXTRA)
    factor = np.full(failed.size, 0.1)
    best = _start(whole)
    used, left, begun = 0, np.arange(failed.size), np.zeros(failed.size, bool)
    for _ in range(RESCUE_STEPS):
        part = whole.part(left)
        tried = np.where(begun[left], extra[left] * factor[left], extra[left])
        tried = np.where(tried < LEAST_EXTRA, 0.0, tried)
        part.hh, part.hc = part.hh + tried / n, part.hc + tried / n
        part.leak = part.leak / (1 + tried)
        state, good, more = _iterate(part, best.part(left), STEP_ITERATIONS)
        used += more
        hit = left[good]
        best.put(hit, state.part(np.flatnonzero(good)))
        settled[failed[hit]] = tried[good] == 0
        factor[hit] = np.where(begun[hit], np.maximum(factor[hit] ** 1.5, 1e-3), factor[hit])
        extra[hit], begun[hit] = tried[good], True
        missed = left[~good]
        factor[missed] = np.where(begun[missed], np.sqrt(factor[missed]), factor[missed])
        extra[missed] = np.where(begun[missed], extra[missed], 10 * extra[missed])
        left = left[~settled[failed[left]] & (factor[left] < 0.97) & (extra[left] < MOST_EXTRA)]
        if not left.size:
            break
    u.put(failed, best)
    return used


def _collect(turn: Turn, s: _Scaled, u: _Unknowns, used: int, settled: BoolArray) -> State:
    steps = _evaluate(s, u, _weights(s, _start(s)))
    hot, cold, leak = steps.hot, steps.cold, steps.leak
    closing = _closing(s, u, steps, np.empty((2, 3, *u.p.shape)))
    residual = _residual(steps, _pressure_condition(s, u)[0], closing)
    unit = s.p0 * s.volume
    work = 0.5 * (u.p + steps.p1) * (s.dvh + s.dvc) + steps.dp * (s.bh + s.bc)
    heats = []
    for space, h, wall, face, eta, store in (
        (hot, s.hh, s.wh, u.fh, s.eh, s.sh),
        (cold, s.hc, s.wc, u.fc, s.ec, s.sc),
    ):
        flow = space.dmu + store * steps.dp
        enters = face + eta * (wall - face)
        at_space = np.where(space.out, space.mean, enters)
        leaves = np.where(space.out, space.mean + eta * (wall - space.mean), wall)
        at_gap = np.where(flow < 0, leaves, face)
        passed = at_space * space.dmu - at_gap * flow
        heats.append((h * (wall - space.mean) + passed).sum(axis=0) / s.k * unit)
    at = np.where(leak > 0, cold.mean, s.room)
    tg = _log_mean(u.fh, u.fc)
    mass = (u.mh + u.mc + (s.vg / tg + s.sh + s.sc) * u.p).mean(axis=0) * unit / s.t0 / turn.gas_constant
    per_kg = unit / s.t0 / turn.gas_constant
    converged = settled & (residual < TOLERANCE)
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
        work=work.sum(axis=0) * unit,
        heat_hot=heats[0],
        heat_cold=heats[1],
        leak_enthalpy=(leak * at).sum(axis=0) / s.k * unit,
        mass=mass,
        residual=residual,
        iterations=used,
        converged=converged,
        reason=tuple(reasons),
    )
