"""Exchange in a space against slabs solved by finite differences and against eddies followed in time."""

from __future__ import annotations

import numpy as np
import pytest

from model.physics.space import fresh_coefficient, layer_coefficient, stirring_kept


def slab(thickness: float, diffusivity: float, time: float, cells: int = 100) -> tuple[float, float]:
    """Warm a slab from 0, one face held at 1, the other insulated; mean temperature and heat into it over k/x."""
    dx = thickness / cells
    steps = int(np.ceil(time * diffusivity / dx**2 / 0.25))
    dt, temperature, into = time / steps, np.zeros(cells), 0.0
    for _ in range(steps):
        flow = np.empty(cells + 1)
        flow[0] = 2 * (1 - temperature[0])
        flow[1:-1] = temperature[:-1] - temperature[1:]
        flow[-1] = 0.0
        into = flow[0] * cells
        temperature = temperature + diffusivity * dt / dx**2 * (flow[:-1] - flow[1:])
    return float(temperature.mean()), float(into)


def test_a_calm_layer_takes_heat_as_a_slab_does_once_its_slowest_mode_is_left() -> None:
    """Heat over the difference of plate and mean, in k/x: 2.467 by finite differences, whatever formula says so."""
    mean, into = slab(0.004, 2.2e-5, 0.7)
    assert 0.5 < mean < 0.95
    assert float(layer_coefficient(conductivity=0.026, thickness=0.004)) == pytest.approx(
        into / (1 - mean) * 0.026 / 0.004, rel=0.01
    )


def test_fresh_air_takes_heat_as_a_deep_slab_does_over_half_a_turn() -> None:
    """Mean over the time of the flow into a body too deep to be felt, by finite differences."""
    k, a, speed = 0.026, 2.2e-5, 20.0
    deep = 0.02
    mean, _ = slab(deep, a, np.pi / speed, cells=200)
    taken = mean * deep * k / a / (np.pi / speed)
    assert float(fresh_coefficient(conductivity=k, diffusivity=a, speed=speed)) == pytest.approx(taken, rel=0.03)


@pytest.mark.parametrize("ratio", [0.3, 1.0, 3.0, 15.0])
def test_eddies_that_follow_a_jet_with_a_delay_leave_the_share_that_a_march_in_time_finds(ratio: float) -> None:
    """du/dt = (jet - u)/tau, jet on and off for a blow each, until it repeats itself."""
    steps, eddies = 300, 0.0
    for _ in range(int(20 / ratio) + 3):
        means = []
        for jet in (1.0, 0.0):
            total = 0.0
            for _ in range(steps):
                following = jet + (eddies - jet) * np.exp(-ratio / steps)
                total += 0.5 * (eddies + following)
                eddies = following
            means.append(total / steps)
    assert float(stirring_kept(blow_over_memory=ratio)) == pytest.approx(means[1] / means[0], rel=2e-3)
