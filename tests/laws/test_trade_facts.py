"""What every builder knows of such engines must come out of the balances. Common practice, no source, unless said."""

from __future__ import annotations

import numpy as np
import pytest

from model.cycle.periodic import solve
from tests.cycle.builds import Build, turn_of, volumes, without
from tests.cycle.closed_form import closed_form

ENGINES = {
    "can": Build(temperature_hot=650.0, temperature_cold=340.0, ntu_hot=1.5, ntu_cold=1.5, effectiveness=0.5),
    "flat": Build(
        swept_hot=300e-6, swept_cold=6e-6, dead_hot=60e-6, dead_cold=60e-6, dead_gap=20e-6, temperature_hot=350.0,
        temperature_cold=300.0, ntu_hot=3.0, ntu_cold=3.0, effectiveness=0.5, swing=0.6, harmonic=2,
    ),
    "even beta": Build(layout="beta", swept_cold=35e-6, temperature_hot=800.0, ntu_hot=5.0, ntu_cold=5.0),
    "two syringes": Build(layout="alpha", swept_hot=10e-6, swept_cold=10e-6, dead_hot=1e-6, dead_cold=1e-6,
                          dead_gap=2e-6, ntu_hot=8.0, ntu_cold=8.0, effectiveness=0.6),
}  # fmt: skip


def gas_torque(build: Build, angles: int = 360) -> np.ndarray:
    """Torque of the gas against the room over the turn, (p - p_room) dV per radian."""
    state = solve(turn_of([build], angles))
    assert state.converged.all()
    hot, cold = volumes(build, 2 * np.pi * np.arange(angles) / angles)
    total = hot + cold
    slope = (np.roll(total, -1) - np.roll(total, 1)) / (4 * np.pi / angles)
    return (state.pressure[0] - build.pressure) * slope


@pytest.mark.parametrize("name", ENGINES)
def test_a_quarter_turn_lead_is_near_the_best(name: str) -> None:
    """Within a quarter of the best lead's work, and the best lies between 60 and 130 degrees."""
    phases = np.radians(np.arange(10, 180, 5))
    state = solve(turn_of([without(ENGINES[name], phase=float(p)) for p in phases], 64))
    best = float(np.degrees(phases[np.argmax(state.work)]))
    assert 60 <= best <= 130
    quarter = float(state.work[np.argmin(np.abs(phases - np.pi / 2))])
    assert quarter > 0.75 * state.work.max() > 0


@pytest.mark.parametrize("name", ENGINES)
def test_gas_drives_about_half_of_the_turn_in_two_humps(name: str) -> None:
    torque = gas_torque(ENGINES[name])
    above = torque > torque.mean()
    assert 0.4 < above.mean() < 0.6
    humps = int((above & ~np.roll(above, 1)).sum())
    assert humps == 2
    assert torque.mean() > 0


@pytest.mark.parametrize("name", ENGINES)
def test_work_turns_into_loss_when_the_engine_is_forced_backwards(name: str) -> None:
    build = ENGINES[name]
    state = solve(turn_of([build, without(build, phase=-build.phase)], 64))
    assert state.work[0] > 0 > state.work[1]


@pytest.mark.parametrize("name", ENGINES)
def test_weak_heat_exchange_gives_less_than_the_closed_form(name: str) -> None:
    build = ENGINES[name]
    closed = closed_form(
        layout=build.layout, swept_hot=build.swept_hot, swept_cold=build.swept_cold, dead_hot=build.dead_hot,
        dead_cold=build.dead_cold, dead_gap=build.dead_gap, temperature_hot=build.temperature_hot,
        temperature_cold=build.temperature_cold,
        temperature_gap=(build.temperature_hot + build.temperature_cold) / 2,
        phase=build.phase, pressure_mean=build.pressure,
    )  # fmt: skip
    works = solve(turn_of([without(build, ntu_hot=n, ntu_cold=n) for n in (0.05, 0.2, 1.0)], 64)).work
    assert works[0] < works[1] < works[2] < float(closed.work)


def test_hotter_metal_gives_more_work_and_more_heat() -> None:
    builds = [without(ENGINES["can"], temperature_hot=t) for t in np.linspace(360, 1000, 12)]
    state = solve(turn_of(builds, 64))
    assert (np.diff(state.work) > 0).all()
    assert (np.diff(state.heat_hot) > 0).all()


@pytest.mark.parametrize("name", ENGINES)
def test_a_better_gap_needs_less_heat_for_the_same_work_at_full_exchange(name: str) -> None:
    shares = np.linspace(0, 1, 11)
    builds = [without(ENGINES[name], effectiveness=float(e), ntu_hot=1e3, ntu_cold=1e3, swing=0.0) for e in shares]
    state = solve(turn_of(builds, 64))
    assert (np.diff(state.heat_hot) < 0).all()
    np.testing.assert_allclose(state.work, state.work[-1], rtol=0.05)  # the gap's own air changes its temperature


def test_dead_volume_costs_work_at_full_heat_exchange() -> None:
    """The closed form's work grows with its d = B/S, and dead volume only adds to S."""
    builds = [without(ENGINES["can"], dead_gap=g * 1e-6, ntu_hot=1e3, ntu_cold=1e3) for g in (1, 3, 10, 30, 100)]
    assert (np.diff(solve(turn_of(builds, 64)).work) < 0).all()
