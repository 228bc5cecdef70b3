"""Conduction, shuttle, radiation and fins."""

from __future__ import annotations

import ht
import numpy as np
import pytest
from scipy.integrate import quad

from model.physics import conduction, fins, radiation


@pytest.mark.parametrize(
    ("thickness", "k", "watts"), [(0.2e-3, 52.0, 10.8), (0.2e-3, 16.2, 3.36), (0.1e-3, 160.0, 16.6)]
)
def test_can_walls_agree_with_worked_figures(thickness: float, k: float, watts: float) -> None:
    """66 mm can, 60 mm high, 300 K: steel 10.8 W, 304 3.36 W, 0.1 mm aluminium 16.6 W (k A dT/L by hand)."""
    area = conduction.tube_wall_area(inside_diameter=0.066, thickness=thickness)
    loss = conduction.wall_conduction(conductivity=k, area=area, length=0.06, temperature_difference=300.0)
    assert loss == pytest.approx(watts, rel=0.005)
    back = conduction.wall_conduction(conductivity=k, area=area, length=0.06, temperature_difference=-300.0)
    assert back == -loss


def test_conductances_in_series_and_side_by_side() -> None:
    """1/K adds behind, K adds beside: exact; nil when one is nil."""
    a, b = np.array([0.0, 1.0, 2.0, 0.0, 1e-300]), np.array([5.0, 1.0, 6.0, 0.0, 1.0])
    assert conduction.in_series(first=a, second=b) == pytest.approx([0.0, 0.5, 1.5, 0.0, 1e-300], rel=1e-12)
    assert conduction.in_parallel(first=a, second=b) == pytest.approx(a + b, rel=1e-15)


def test_a_thin_sleeve_is_a_plate_and_a_thick_one_agrees_with_ht() -> None:
    """ht 1.2 `R_cylinder`; a sleeve of 1 % agrees with k A/L at its mean diameter to 1e-4."""
    common = {"conductivity": 0.2, "length": 0.1, "inside_diameter": 0.05}
    thin = conduction.sleeve_conductance(outside_diameter=0.0505, **common)
    assert thin == pytest.approx(0.2 * np.pi * 0.05025 * 0.1 / 0.00025, rel=1e-4)
    thick = conduction.sleeve_conductance(outside_diameter=0.1, **common)
    assert thick == pytest.approx(1 / ht.conduction.R_cylinder(0.05, 0.1, 0.2, 0.1), rel=1e-9)
    disc = conduction.disc_conductance(conductivity=0.2, thickness=0.1, inner_diameter=0.05, outer_diameter=0.1)
    assert disc == thick


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


def test_radiative_exchange_agrees_with_ht() -> None:
    """ht 1.2 `radiation.q_rad` for black against a room (its constant is older by 1.3e-6); two grey surfaces;
    mirrors."""
    black = radiation.radiative_exchange(
        temperature_first=400.0, temperature_second=305.0, emissivity_first=1.0, emissivity_second=1.0
    )
    assert black == pytest.approx(ht.radiation.q_rad(emissivity=1, T=400, T2=305), rel=1e-5)
    grey = radiation.radiative_exchange(
        temperature_first=400.0, temperature_second=305.0, emissivity_first=0.2, emissivity_second=0.4
    )
    assert grey / black == pytest.approx(1 / (1 / 0.2 + 1 / 0.4 - 1), rel=1e-12)
    mirror = radiation.radiative_exchange(
        temperature_first=400.0, temperature_second=305.0, emissivity_first=0.0, emissivity_second=0.0
    )
    assert mirror == 0.0


def test_thermocouple_agrees_with_lienhard() -> None:
    """Lienhard, A Heat Transfer Textbook, 2008, ch. 1: 28.4 C black; at 0.4 the stated equation gives 23.5 C."""
    t = radiation.thermocouple_reading(
        gas_temperature=293.15, wall_temperature=373.15, emissivity=np.array([1.0, 0.4, 0.0]), coefficient=75.0
    )
    assert t - 273.15 == pytest.approx([28.4, 23.5, 20.0], abs=0.05)
    tau = radiation.bead_time_constant(diameter=1e-3, density=9300.0, specific_heat=180.0, coefficient=250.0)
    assert tau == pytest.approx(1.116, rel=0.001)


def test_a_bead_satisfies_its_own_balance_in_flame_and_frost() -> None:
    gas = np.array([250.0, 300.0, 1500.0, 1500.0])
    wall = np.array([1300.0, 300.0, 300.0, 1400.0])
    for h in (0.0, 5.0, 500.0):
        t = radiation.thermocouple_reading(gas_temperature=gas, wall_temperature=wall, emissivity=0.9, coefficient=h)
        left, right = h * (t - gas), 0.9 * 5.670374e-8 * (wall**4 - t**4)
        assert left == pytest.approx(right, rel=1e-4, abs=1e-3 * (h + 5))
        assert np.all(t >= np.minimum(gas, wall) - 1e-6) and np.all(t <= np.maximum(gas, wall) + 1e-6)


def test_rod_agrees_with_incropera_example_3_9() -> None:
    """Incropera 2007, Example 3.9 (number from memory): 5 mm rod, h 100, 75 K: copper 8.3, aluminium 5.6, stainless 1.6
    W."""
    heat = fins.rod_heat(
        diameter=0.005,
        length=10.0,
        conductivity=np.array([398.0, 180.0, 14.0]),
        coefficient=100.0,
        temperature_difference=75.0,
    )
    assert heat == pytest.approx([8.33, 5.60, 1.56], rel=0.005)


def test_finned_cylinder_agrees_with_incropera() -> None:
    """Incropera 2007, Example 3.10 (number from memory): 690 W with eff 0.95 read from a chart, 236 W bare; 704.7 W in
    closed form."""
    fin_area = 5 * 2 * np.pi * (0.048**2 - 0.025**2)
    bare = 2 * np.pi * 0.025 * (0.15 - 5 * 0.006)
    common = {"coefficient": 50.0, "bare_area": bare, "fin_area": fin_area, "temperature_difference": 200.0}
    assert fins.finned_heat(fin_efficiency=0.95, **common) == pytest.approx(690, rel=0.005)
    assert 50.0 * 2 * np.pi * 0.025 * 0.15 * 200 == pytest.approx(236, rel=0.005)
    eta = fins.fin_efficiency_annular(
        inner_diameter=0.05, outer_diameter=0.09, thickness=0.006, conductivity=186.0, coefficient=50.0
    )
    assert eta == pytest.approx(ht.fin_efficiency_Kern_Kraus(0.05, 0.096, 0.006, 186, 50), rel=0.005)
    assert fins.finned_heat(fin_efficiency=eta, **common) == pytest.approx(704.7, rel=0.005)


@pytest.mark.parametrize("h", [2.0, 20.0, 60.0])
def test_ring_fins_agree_with_the_exact_form_of_ht(h: float) -> None:
    """ht 1.2 `fin_efficiency_Kern_Kraus` (Bessel functions): within 1.5 % for fins of small engines."""
    for outer in (0.04, 0.06, 0.1):
        eta = fins.fin_efficiency_annular(
            inner_diameter=0.03, outer_diameter=outer, thickness=1e-3, conductivity=160.0, coefficient=h
        )
        assert eta == pytest.approx(ht.fin_efficiency_Kern_Kraus(0.03, outer + 1e-3, 1e-3, 160, h), rel=0.015)


def test_a_fin_without_height_or_air_counts_whole() -> None:
    """Exact limits; a wide ring with a small root is a straight fin."""
    for h, length in ((0.0, 0.02), (50.0, 0.0)):
        eta = fins.fin_efficiency_straight(length=length, thickness=1e-3, conductivity=160.0, coefficient=h)
        assert eta == pytest.approx(1.0, abs=1e-4)
        eta = fins.fin_efficiency_annular(
            inner_diameter=0.05, outer_diameter=0.05 + 2 * length, thickness=1e-3, conductivity=160.0, coefficient=h
        )
        assert eta == pytest.approx(1.0, abs=1e-4)
    straight = fins.fin_efficiency_straight(length=0.02, thickness=1e-3, conductivity=16.0, coefficient=30.0)
    ring = fins.fin_efficiency_annular(
        inner_diameter=20.0, outer_diameter=20.04, thickness=1e-3, conductivity=16.0, coefficient=30.0
    )
    # the correction of the tip counts t/2 in both, the ring's roundness 0.1 %
    assert ring == pytest.approx(float(straight), rel=0.002)
