"""How fast the error falls with the number of angles: order about two, and a thousandth at a coarse grid."""

from __future__ import annotations

import numpy as np
import pytest

from model.cycle.periodic import State, solve
from tests.cycle.builds import Build, turn_of, volumes

GRIDS = [32, 64, 128, 256, 512, 1024]
COARSE = 64
"""The grid that is used where only a thousandth is asked."""


def engines(count: int) -> list[Build]:
    """Builds within the limits of engines: strong and weak exchange, any layout, leaks, passages."""
    rng = np.random.default_rng(12)
    found = []
    for _ in range(count):
        layout = str(rng.choice(["alpha", "beta", "gamma"]))
        found.append(
            Build(
                layout=layout,
                swept_cold=40e-6 * (rng.uniform(0.6, 1.5) if layout != "gamma" else 10 ** rng.uniform(-1.3, 0)),
                dead_hot=40e-6 * 10 ** rng.uniform(-1.3, -0.3),
                dead_cold=40e-6 * 10 ** rng.uniform(-1.3, -0.3),
                dead_gap=40e-6 * 10 ** rng.uniform(-1.5, 0),
                temperature_hot=rng.uniform(340, 900),
                phase=rng.uniform(1.2, 2.0),
                ntu_hot=10 ** rng.uniform(-1, 2),
                ntu_cold=10 ** rng.uniform(-1, 2),
                swing=rng.uniform(0, 0.8),
                effectiveness=rng.uniform(0.2, 1.0),
                effectiveness_heater=float(rng.choice([0.0, rng.uniform(0, 1)])),
                leak=float(rng.choice([0.0, 0.01])),
            )
        )
    return found


def work_scale(builds: list[Build], state: State) -> np.ndarray:
    """The work or a fifth of pressure swing times volume swing, whichever is more, [J]."""
    angle = np.linspace(0, 2 * np.pi, 200)
    swing = np.array([np.ptp(sum(volumes(b, angle))) for b in builds]) * np.ptp(state.pressure, axis=1)
    return np.maximum(np.abs(state.work), 0.2 * swing)


@pytest.fixture(scope="module")
def errors() -> np.ndarray:
    """Error of the work at each grid but the last two, (grids, builds), against Richardson's limit of the last two.

    In units of `work_scale`.
    """
    builds = engines(150)
    states = [solve(turn_of(builds, n)) for n in GRIDS]
    assert all(s.converged.all() for s in states)
    limit = (4 * states[-1].work - states[-2].work) / 3
    scale = work_scale(builds, states[-1])
    return np.abs(np.array([s.work for s in states[:-2]]) - limit) / scale


def test_order_of_convergence_is_about_two(errors: np.ndarray) -> None:
    """Least-squares slope of log error over log angles, of the middle and of the bad end of 150 builds.

    Flow that turns within a step puts a kink there, so single builds scatter; the quantiles do not.
    """
    steps = np.log(1 / np.array(GRIDS[:-2]))
    for share in (50, 75, 95):
        slope = np.polyfit(steps, np.log(np.percentile(errors, share, axis=1)), 1)[0]
        assert 1.7 < slope < 2.4


def test_coarse_grid_keeps_a_thousandth(errors: np.ndarray) -> None:
    at = errors[GRIDS.index(COARSE)]
    assert np.percentile(at, 95) < 1e-3
    assert at.max() < 2e-3


def test_fine_grid_keeps_half_a_thousandth_everywhere(errors: np.ndarray) -> None:
    assert errors[GRIDS.index(128)].max() < 5e-4
