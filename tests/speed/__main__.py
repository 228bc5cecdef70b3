"""How fast the turn is solved, as ratios in one run, by hand: ``OMP_NUM_THREADS=1 python -m tests.speed``.

(a) the power curve of 25 speeds at 128 angles against marching the same balances with scipy's solve_ivp to the same
thousandth of work; (b) 300 samples at the coarsest grid that keeps a thousandth; (c) growth with speeds and samples.
Times are the least of several runs in processor time of one core; nothing here passes or fails. ``--quick`` marches
five speeds instead of 25 and scales up.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable

import numpy as np

from model.cycle.periodic import Turn, solve
from tests.cycle.builds import Build, turn_of, without
from tests.cycle.march import TURN, Marcher, shoot
from tests.laws.test_convergence import engines, work_scale

ANGLES = 128
THOUSANDTH = 1e-3


def least(action: Callable[[], object], runs: int) -> float:
    """Least processor time of some runs after one to warm up, [ms]."""
    action()
    times = []
    for _ in range(runs):
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times) * 1e3


def curve(count: int = 25) -> list[Build]:
    """One gamma engine at many speeds: the faster, the less heat is exchanged in a turn."""
    engine = Build(temperature_hot=600.0, temperature_cold=330.0, effectiveness=0.5, swing=0.5, leak=2e-3)
    return [without(engine, speed=float(w), ntu_hot=30 / w, ntu_cold=30 / w) for w in np.linspace(4.0, 100.0, count)]


def marched(build: Build, work: float, method: str, rtol: float, limit: int = 1000) -> tuple[float, int]:
    """Turn after turn until work and faces stand still to two millionths; error of the work, turns."""
    marcher = Marcher(build, method=method, rtol=rtol, atol=rtol * 1e-2, max_step=TURN)
    state, faces, last = [1.0, marcher.wall_hot, 1.0], (marcher.wall_hot, 1.0), 0.0
    while marcher.turns < limit:
        end, _ = marcher.turn(state, faces)
        now = end[3] * marcher.unit
        moved = max(abs(a / b - 1) for a, b in zip(marcher.faces_after(end), faces, strict=True))
        if abs(now - last) < 2e-6 * abs(now) and moved < 2e-6:
            return abs(now / work - 1), marcher.turns
        last, faces, state = now, marcher.faces_after(end), marcher.again(end)
    return abs(last / work - 1), marcher.turns


def curve_against_marching(quick: bool) -> None:
    builds = curve()
    turn = turn_of(builds, ANGLES)
    ours = least(lambda: solve(turn), 20)
    chosen = builds[::6] if quick else builds
    judges = [shoot(b).work for b in chosen]
    works = solve(turn_of(chosen, ANGLES)).work
    print(f"(a) {len(builds)} speeds, {ANGLES} angles: {ours:.1f} ms, error of work at most "
          f"{np.max(np.abs(works / judges - 1)):.1e}, {solve(turn).iterations} steps of Newton")  # fmt: skip
    start = time.process_time()
    turns = sum(shoot(b).turns for b in chosen) / len(chosen)
    spent = (time.process_time() - start) * 1e3 * len(builds) / len(chosen)
    print(f"    shooting for the turn that returns, LSODA: {spent:.0f} ms, {turns:.0f} turns each, "
          f"{spent / ours:.0f} times as long")  # fmt: skip
    for method, rtol in (("RK45", 1e-5), ("LSODA", 1e-6)):
        start = time.process_time()
        found = [marched(b, w, method, rtol) for b, w in zip(chosen, judges, strict=True)]
        spent = (time.process_time() - start) * 1e3 * len(builds) / len(chosen)
        error, turns = max(e for e, _ in found), sum(t for _, t in found) / len(found)
        fair = "" if error < THOUSANDTH else "  (misses the thousandth)"
        print(f"    marching, {method} at {rtol:g}: {spent:8.0f} ms, {turns:.0f} turns each, error {error:.1e}, "
              f"{spent / ours:6.0f} times as long{fair}")  # fmt: skip


def samples_at_the_coarsest_grid() -> None:
    builds = engines(300)
    finest = solve(turn_of(builds, 512))
    fine, scale = (4 * finest.work - solve(turn_of(builds, 256)).work) / 3, work_scale(builds, finest)
    for angles in (24, 32, 40, 48, 64):
        turn = turn_of(builds, angles)
        work = solve(turn).work
        error = np.abs(work - fine) / scale
        middle, most = np.percentile(error, [50, 95])
        print(f"(b) 300 samples, {angles} angles: {least(lambda turn=turn: solve(turn), 8):6.1f} ms, "
              f"error of work {middle:.1e} in the middle, {most:.1e} at 95 %")  # fmt: skip


def growth() -> None:
    for name, many in (("speeds", curve), ("samples", engines)):
        turns: list[tuple[int, Turn]] = [(n, turn_of(many(n), 64)) for n in (1, 10, 30, 100, 300, 1000)]
        row = [(n, least(lambda turn=turn: solve(turn), 6)) for n, turn in turns]
        print(f"(c) {name}, 64 angles: " + ", ".join(f"{n}: {ms:.1f} ms ({ms / n * 1e3:.0f} us each)" for n, ms in row))


def main() -> None:
    """Print the table."""
    if os.environ.get("OMP_NUM_THREADS") != "1":
        print("OMP_NUM_THREADS is not 1: linear algebra may use other cores, and the times are not those of one")
    print(f"numpy {np.__version__}, load of the machine {os.getloadavg()[0]:.1f}")
    curve_against_marching("--quick" in sys.argv)
    samples_at_the_coarsest_grid()
    growth()


if __name__ == "__main__":
    main()
