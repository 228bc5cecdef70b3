"""Conduction, shuttle and radiation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from model.physics import conduction, radiation


def test_a_wall_conducts_as_its_area_and_length_say() -> None:
    """k A/L: 1 m2 of window glass, 0.78 W/(m K), 8 mm (Cengel 2007, Example 3-2, from memory): 97.5 W/K."""
    assert conduction.conductance(conductivity=0.78, area=1.0, length=0.008) == pytest.approx(97.5)


def test_conductances_in_series() -> None:
    """1/K adds behind: exact; nil when one is nil."""
    a, b = np.array([0.0, 1.0, 2.0, 0.0, 1e-300]), np.array([5.0, 1.0, 6.0, 0.0, 1.0])
    assert conduction.in_series(first=a, second=b) == pytest.approx([0.0, 0.5, 1.5, 0.0, 1e-300], rel=1e-12)


def test_the_constant_of_the_shuttle_loss_is_pi_over_eight() -> None:
    """Derived: displaced by x = S/2 sin a, wall and displacer differ by x dT/L and exchange (k/G) pi D of it.

    The displacer carries that difference along by x: the mean over the turn of (k/G) pi D dT/L x^2.
    """
    k, d, s, dt, gap, length = 0.027, 0.1, 0.006, 40.0, 1.5e-3, 0.012
    carried = quad(lambda a: (k / gap) * np.pi * d * dt / length * (s / 2 * np.sin(a)) ** 2, 0, 2 * np.pi)[0]
    ours = conduction.shuttle_loss(
        gas_conductivity=k, diameter=d, stroke=s, gap=gap, length=length, temperature_difference=dt
    )
    assert ours == pytest.approx(carried / (2 * np.pi), rel=1e-9)
    assert ours == pytest.approx(0.085, rel=0.005)


def test_radiation_agrees_with_incropera_9_4_and_cengel_9_1() -> None:
    """Incropera 2007, Example 9.4: 441 W/m at emissivity 0.85, 165/23 C; Cengel 2007, 9-1: black, 70/20 C, 553 W."""
    h = radiation.radiative_coefficient(emissivity=0.85, surface_temperature=438.15, room_temperature=296.15)
    assert h * np.pi * 0.1 * 142 == pytest.approx(441.0, rel=0.005)
    h = radiation.radiative_coefficient(emissivity=1.0, surface_temperature=343.15, room_temperature=293.15)
    assert h * np.pi * 0.08 * 6 * 50 == pytest.approx(553.3, rel=0.005)


def test_lid_radiates_as_worked() -> None:
    """66 mm lid at 90 C in a 20 C room: 0.19 W at emissivity 0.1, 1.75 W at 0.9."""
    for emissivity, watts in ((0.1, 0.194), (0.9, 1.75)):
        h = radiation.radiative_coefficient(emissivity=emissivity, surface_temperature=363.15, room_temperature=293.15)
        assert h * np.pi / 4 * 0.066**2 * 70 == pytest.approx(watts, rel=0.01)
