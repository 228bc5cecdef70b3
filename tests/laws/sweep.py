"""Many random builds, run by hand: ``python -m tests.laws.sweep [20000] [seed]``.

Every solve must end converged or with a named reason, without a warning of numpy, without a number that is none; the
stubborn ones are solved once more alone and timed. Prints what it found; exits with 1 if a promise is broken.
"""

from __future__ import annotations

import sys
import time
import warnings

import numpy as np

from model.cycle import periodic
from model.cycle.periodic import solve
from tests.cycle.builds import random_builds, turn_of

BATCH = 250
ANGLES = 64


def main(count: int, seed: int) -> int:
    """Solve, count, time; return the exit code."""
    warnings.simplefilter("error")
    builds = random_builds(count, seed=seed)
    failed, stubborn, closure, reasons = [], [], 0.0, set()
    began = time.process_time()
    for first in range(0, count, BATCH):
        part = builds[first : first + BATCH]
        state = solve(turn_of(part, ANGLES))
        good = state.converged
        for values in (state.work, state.heat_hot, state.heat_cold, state.pressure, state.temperature_hot):
            if not np.isfinite(values[good]).all():
                print(f"not a number among builds {first} to {first + BATCH}")
                return 1
        left = np.abs(state.heat_hot + state.heat_cold - state.work - state.leak_enthalpy)
        scale = np.abs(state.heat_hot) + np.abs(state.heat_cold) + np.abs(state.work)
        closure = max(closure, float(np.max(left[good] / scale[good])))
        failed += [first + int(i) for i in np.flatnonzero(~good)]
        reasons |= set(state.reason)
        if state.iterations > periodic.MAX_ITERATIONS:
            stubborn += [first + i for i in range(len(part))]
    spent = time.process_time() - began
    times = []
    for i in stubborn:
        turn = turn_of([builds[i]], ANGLES)
        start = time.process_time()
        solve(turn)
        times.append(time.process_time() - start)
    print(f"builds {count}, seed {seed}, angles {ANGLES}: {spent:.1f} s, {spent / count * 1e6:.0f} us each in batches")
    print(f"not converged {len(failed)} ({len(failed) / count:.3%}), reasons {sorted(reasons)}")
    print(f"largest heats less work less leak, relative: {closure:.1e}")
    if times:
        at = np.percentile(np.array(times) * 1e3, [50, 99, 100])
        print(f"alone, {len(times)}: {at[0]:.1f} ms middle, {at[1]:.1f} 99 %, {at[2]:.1f} most, of processor time")
    return 0 if (not failed or reasons) and len(failed) <= max(1, count // 2000) and closure < 1e-6 else 1


if __name__ == "__main__":
    given = [int(a) for a in sys.argv[1:]]
    sys.exit(main(*(given + [20_000, 1][len(given) :])))
