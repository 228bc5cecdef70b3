"""The periodic state of a turn with finite heat exchange.

All steps are linearised together (Newton); the affine maps of the steps are composed by a two-level scan, and the loop
is closed with the pressure condition and the two face temperatures. Batches of engines and speeds run side by side,
and no item's result depends on its neighbours. The balances themselves stand in `steps`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.checkpoint import checkpoint
from model.cycle.scan import Scan, solve_small
from model.cycle.steps import (
    Scaled,
    Unknowns,
    closing_of,
    evaluate,
    fill_maps,
    isothermal_start,
    log_mean,
    pressure_condition,
    residual_of,
    warm_start,
    weights_of,
)  # fmt: skip
from model.cycle.turn import State, Turn
from model.physics.values import BoolArray, FloatArray

__all__ = ["State", "Turn", "solve"]

TOLERANCE = 1e-7
"""Largest scaled residual of a converged solve, checked after the last step; far below the 1e-3 asked of work."""
CLOSE = 1e-12
"""Residual above which a turn that stopped is gone on with: the stiffest leave some 1e5 times that in the heats."""
SMALL_STEP = 1e-5
"""Relative change below which the next residual is its square or so: Newton stops there."""
TINY_STEP = 1e-9
"""The same for the few that stopped too early."""
ROUGH_STEP = 5e-2
"""The same where a percent or so of the heats is enough: the metals still move."""
MAX_ITERATIONS = 10
"""Newton steps before the slower way: hardly any item needs more that does not need very many more."""
STEP_ITERATIONS = 10
"""The same for one step of the slower way."""
RESCUE_STEPS = 12
"""Steps of the slower way at most: a hopeless item must not hold up the others for long."""
RESCUE_ITERATIONS = 80
"""Newton steps of the slower way in all, for the same reason."""
PROBES = 6
"""Stubborn items that are tried first: where none of them gives way, the others of the batch are left as they are."""
BEGINNINGS = np.array([0.01, 0.1, 1.0, 10.0, 100.0, 1000.0])
"""Extra heat exchange with which the slower way may begin, scaled, per turn; the least that settles is taken."""
LENGTHS = np.array([0.0, 1e-2, 0.1, 0.3, 0.5, 0.7, 0.85])
"""What may be left of the extra after a step; the least that settles is taken."""
LEAST_EXTRA = 1e-4
"""Below this the extra is left away."""


def _newton_step(
    s: Scaled, u: Unknowns, weights: tuple[FloatArray, FloatArray], scan: Scan
) -> tuple[FloatArray, FloatArray, FloatArray, BoolArray]:
    """Return changes of states (3, n_angles, n) and faces (2, n), the residual before (n,), where it is singular."""
    steps = evaluate(s, u, weights)
    fill_maps(s, u, steps, scan)
    rows = np.zeros((3, 3, *u.p.shape))
    closing = closing_of(s, u, steps, rows[1:])
    pressure, rows[0, 0] = pressure_condition(s, u)
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
    return change, free[3:], residual_of(steps, pressure, closing), singular


def _relative(change: FloatArray, faces: FloatArray, u: Unknowns) -> FloatArray:
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


def _moved(u: Unknowns, change: FloatArray, faces: FloatArray, relative: FloatArray) -> Unknowns:
    """Step so far that nothing changes by more than half of itself; not at all where the step is no number."""
    damp = np.minimum(1.0, 0.5 / np.maximum(relative, 1e-300))
    if not damp.all():
        bad = damp == 0
        change[..., bad] = 0.0
        faces[..., bad] = 0.0
    return Unknowns(
        u.p + damp * change[0], u.mh + damp * change[1], u.mc + damp * change[2],
        u.fh + damp * faces[0], u.fc + damp * faces[1],
    )  # fmt: skip


def _iterate(s: Scaled, u: Unknowns, limit: int, small: float = SMALL_STEP) -> tuple[Unknowns, BoolArray, int]:
    """Newton with damping on the whole batch; items that have settled or got stuck drop out.

    Returns the unknowns, which items settled, and the iterations used.
    """
    size = u.p.shape[1]
    settled = np.zeros(size, bool)
    active = np.arange(size)
    w = weights_of(s, isothermal_start(s))
    part, state, scan = s, u, Scan(*u.p.shape)
    used = 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        while active.size and used < limit:
            used += 1
            checkpoint()
            change, faces, before, singular = _newton_step(part, state, w, scan)
            relative = np.where(singular, np.inf, _relative(change, faces, state))
            state = _moved(state, change, faces, relative)
            u.put(active, state)
            done = (relative < small) & (before < 1e-2)
            settled[active[done]] = True
            done |= np.isinf(relative)
            if done.any():
                keep = np.flatnonzero(~done)
                active = active[keep]
                part, state, scan = part.part(keep), state.part(keep), Scan(u.p.shape[0], keep.size)
                w = w[0][:, keep], w[1][:, keep]
    return u, settled, used


def solve(turn: Turn, *, start: State | None = None, rough: bool = False, effort: int = RESCUE_ITERATIONS) -> State:
    """Find the periodic state of every engine and speed of a batch.

    Parameters
    ----------
    turn : Turn
        Batch of turns.
    start : State, optional
        A state of the same batch to start from (a neighbour's, or the last one's).
    rough : bool
        Stop as soon as a percent or so is reached; `converged` then tells no more than that.
    effort : int
        Newton steps of the slower way at most, for the items that need it.

    Returns
    -------
    State
        With `converged` and named reasons where an item has no solution (no heat can enter at all).
    """
    s = Scaled(turn)
    u = isothermal_start(s) if start is None else warm_start(s, turn, start)
    u, settled, used = _iterate(s, u, MAX_ITERATIONS, ROUGH_STEP if rough else SMALL_STEP)
    failed = np.flatnonzero(~settled)
    every = slice(None, None, -(-failed.size // PROBES) or 1)
    probe = failed[every]
    if failed.size:
        used += _rescue(s, u, settled, probe, effort)
    if settled[probe].any() and failed.size > probe.size:
        used += _rescue(s, u, settled, np.delete(failed, every), effort)
    state = _collect(turn, s, u, used, settled, np.inf if rough else TOLERANCE)
    unsettled = np.flatnonzero(settled & (state.residual > CLOSE))
    if not unsettled.size:
        return state
    # a small step across a kink, where a flow turns round, leaves more than its square
    part, settled[unsettled], more = _iterate(s.part(unsettled), u.part(unsettled), MAX_ITERATIONS, TINY_STEP)
    u.put(unsettled, part)
    return _collect(turn, s, u, used + more, settled, TOLERANCE)


def _rescue(s: Scaled, u: Unknowns, settled: BoolArray, failed: NDArray[np.intp], effort: int) -> int:
    """Solve stubborn items again: begin with strong heat exchange and little leak, and go to the true ones in steps.

    Every step tries several lengths at once, since a few small items cost hardly more than one, and keeps the longest
    that settles; where none does, the next ones are shorter.
    """
    whole = s.part(failed)
    extra = np.ones(failed.size)
    fine = np.ones(failed.size)
    best = isothermal_start(whole)
    used, unsettled, shares = 0, np.arange(failed.size), BEGINNINGS
    for _ in range(RESCUE_STEPS):
        tries = np.repeat(unsettled, shares.size)
        tried = (extra[unsettled, None] * shares ** fine[unsettled, None]).ravel()
        tried[tried < LEAST_EXTRA] = 0.0
        part = whole.part(tries)
        part.hh, part.hc = part.hh + tried / whole.n, part.hc + tried / whole.n
        part.leak = part.leak / (1 + tried)
        state, good, more = _iterate(part, best.part(tries), STEP_ITERATIONS)
        used += more
        good = good.reshape(unsettled.size, shares.size)
        hit = np.flatnonzero(good.any(axis=1))
        chosen = hit * shares.size + good[hit].argmax(axis=1)
        best.put(unsettled[hit], state.part(chosen))
        extra[unsettled[hit]] = tried[chosen]
        fine[unsettled] = np.where(good.any(axis=1), np.minimum(1.0, 2 * fine[unsettled]), fine[unsettled] / 3)
        settled[failed[unsettled[hit]]] = tried[chosen] == 0
        if shares is BEGINNINGS:
            unsettled, shares = unsettled[hit], LENGTHS
        unsettled = unsettled[~settled[failed[unsettled]]]
        if not unsettled.size or used >= effort:
            break
    u.put(failed, best)
    return used


def _collect(turn: Turn, s: Scaled, u: Unknowns, used: int, settled: BoolArray, tolerance: float) -> State:
    steps = evaluate(s, u, weights_of(s, isothermal_start(s)))
    hot, cold, leak = steps.hot, steps.cold, steps.leak
    residual = np.full(turn.speed.shape, np.nan)
    if np.isfinite(tolerance) or not settled.all():
        closing = closing_of(s, u, steps, np.empty((2, 3, *u.p.shape)))
        residual = residual_of(steps, pressure_condition(s, u)[0], closing)
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
    tg = log_mean(u.fh, u.fc)
    per_kg = unit / s.t0 / turn.gas_constant
    mass = (u.mh + u.mc + (s.vg / tg + s.sh + s.sc) * u.p).mean(axis=0) * per_kg
    converged = settled & (np.isinf(tolerance) | (residual < tolerance))
    degenerate = (turn.conductance_hot.max(axis=-1) + turn.conductance_cold.max(axis=-1) <= 0) & (
        turn.effectiveness_heater + turn.effectiveness_cooler <= 0
    )
    vh, vc = s.spaces(u.p)
    return State(
        pressure=(u.p * s.p0).T,
        temperature_hot=(u.p * vh / u.mh * s.t0).T,
        temperature_cold=(u.p * vc / u.mc * s.t0).T,
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
        reason=_reasons(converged, degenerate),
    )


def _reasons(converged: BoolArray, degenerate: BoolArray) -> tuple[str, ...]:
    """Return named reasons of those that did not converge."""
    reasons = []
    if (degenerate & ~converged).any():
        reasons.append("no heat can reach the air: both conductances and both exchangers are nil")
    if (~converged & ~degenerate).any():
        reasons.append("the turn did not settle to a periodic state")
    return tuple(reasons)
