"""Brakes, wheels, gas springs and fuel: printed examples."""

from __future__ import annotations

import numpy as np
import pytest

from model.physics import brake, fuel, gas_spring


def test_rope_brake_agrees_with_rajput() -> None:
    """Rajput, Internal Combustion Engines, 2005, ch. 17: (a) 2.51 kW; (b) 28.62 % on 4.2 kg/h; (c) 63.59 %."""
    a = brake.rope_brake_power(
        force_tight=200.0, force_slack=30.0, drum_diameter=0.6, rope_diameter=0.026, speed=450 / 60
    )
    assert a == pytest.approx(2510, rel=0.005)
    b = brake.rope_brake_power(
        force_tight=400.0, force_slack=50.0, drum_diameter=0.75, rope_diameter=0.05, speed=1000 / 60
    )
    released = fuel.heat_released(mass_burnt=4.2, time=3600.0, heating_value=43.9e6)
    assert b / released == pytest.approx(0.2862, rel=0.005)
    c = brake.rope_brake_power(
        force_tight=1370.0, force_slack=145.0, drum_diameter=1.2, rope_diameter=0.02, speed=420 / 60
    )
    assert c / 51680 == pytest.approx(0.6359, rel=0.005)


def test_prony_agrees_with_ramalingam_and_kongtragool() -> None:
    """Ramalingam, Thermal Engineering, Ex. 7.1: 971.2 N m, 152.5 kW. Kongtragool and Wongwises 2008: 2.91 N m, 6.1
    W."""
    assert brake.prony_power(force=110 * 9.81, arm=0.9, speed=25.0) == pytest.approx(152.5e3, rel=0.005)
    assert brake.prony_power(force=2.91, arm=1.0, speed=20 / 60) == pytest.approx(6.1, rel=0.005)


def test_lifting_and_capstan_agree_with_worked_figures() -> None:
    """50 g by 0.5 m in 4 s = 0.0613 W; mu 0.25: 2.19 over half a turn, 4.81 over a whole one."""
    assert brake.lifting_power(mass=0.05, height=0.5, time=4.0) == pytest.approx(0.0613, rel=0.001)
    ratio = brake.capstan_ratio(friction_coefficient=0.25, wrap_angle=np.array([0.0, np.pi, 2 * np.pi]))
    assert ratio == pytest.approx([1.0, 2.19, 4.81], rel=0.003)
    assert np.isfinite(brake.capstan_ratio(friction_coefficient=1.0, wrap_angle=1e6))


def test_suspensions_agree_with_khurmi_and_gupta() -> None:
    """Khurmi and Gupta, Theory of Machines, 2005: 4.9 k 107 mm, I 0.017; 4.10 k 267 mm printed, 267.98 unrounded."""
    two = brake.gyration_radius_bifilar(
        distance_first=0.12, distance_second=0.12, string_length=1.25, frequency=20 / 40
    )
    assert two == pytest.approx(0.107, rel=0.005)
    assert 1.5 * two**2 == pytest.approx(0.01718, rel=0.005)
    three = brake.gyration_radius_trifilar(string_radius=0.25, string_length=2.5, frequency=50 / 170)
    assert three == pytest.approx(0.268, rel=0.005)


def test_coast_down_agrees_with_tayal() -> None:
    """Tayal, Engineering Mechanics, Ex. 22.1: 300 N disc, r 0.5 m, 1500 rpm to rest in 120 s: 1500 turns, 5.004 N m."""
    omega = 1500 * 2 * np.pi / 60
    inertia = brake.inertia_of_disc(mass=300 / 9.81, diameter=1.0)
    assert brake.coast_down_torque(inertia=inertia, angular_speed=omega, time=120.0) == pytest.approx(5.004, rel=0.001)
    assert brake.coast_down_turns(angular_speed=omega, time=120.0) == pytest.approx(1500.0, rel=1e-9)


def test_flywheels_agree_with_khurmi_and_gupta() -> None:
    """Khurmi and Gupta 2005: 16.12 dE 1204 N m, Cs 6.1 %; 16.8 dE 11.78 N m, 12 kg, k 80 mm, 600 rpm: Cs 3.9 %."""
    inertia = 500 * 0.4**2
    omega = 150 * 2 * np.pi / 60
    speed = brake.coefficient_of_fluctuation(energy=1204.17, inertia=inertia, angular_speed=omega)
    assert speed == pytest.approx(0.0610, rel=0.005)
    energy = brake.flywheel_energy_fluctuation(inertia=inertia, angular_speed=omega, coefficient_of_speed=0.0610)
    assert energy == pytest.approx(1204, rel=0.005)
    small = brake.coefficient_of_fluctuation(energy=11.78, inertia=12 * 0.08**2, angular_speed=600 * 2 * np.pi / 60)
    assert small == pytest.approx(0.0389, rel=0.005)


def test_rings_agree_with_the_integral_of_r_squared() -> None:
    """I = integral of r^2 dm over the disc, summed here in rings; exact in the limit."""
    edges = np.linspace(0.0075, 0.06, 20001)
    middle, area = 0.5 * (edges[1:] + edges[:-1]), np.pi * np.diff(edges**2)
    summed = 0.016 * np.sum(middle**2 * area) / np.sum(area)
    assert brake.inertia_of_ring(mass=0.016, outer_diameter=0.12, inner_diameter=0.015) == pytest.approx(
        summed, rel=1e-6
    )
    assert brake.inertia_of_ring(mass=1.0, outer_diameter=1.0, inner_diameter=0.0) == brake.inertia_of_disc(
        mass=1.0, diameter=1.0
    )


def test_rest_and_reversal_stay_finite() -> None:
    omega = np.array([-10.0, 0.0, 10.0])
    cs = brake.coefficient_of_fluctuation(energy=1.0, inertia=0.01, angular_speed=omega)
    assert np.all(np.isfinite(cs)) and cs[0] == cs[2]
    power = brake.rope_brake_power(force_tight=1.0, force_slack=2.0, drum_diameter=0.1, speed=1.0)
    assert power < 0


def test_gas_spring_agrees_with_swift() -> None:
    """Air, 1 atm, 300 K, swing 5 kPa, 5 Hz: 0.66 W/m2 (Swift 2002, from memory, recomputed)."""
    loss = gas_spring.gas_spring_loss_boundary_layer(
        pressure_amplitude=5e3,
        pressure_mean=101325.0,
        angular_speed=2 * np.pi * 5,
        heat_capacity_ratio=1.4,
        conductivity=0.0263,
        density=1.177,
        specific_heat=1006.0,
        area=1.0,
    )
    assert loss == pytest.approx(0.66, rel=0.01)


@pytest.mark.parametrize(("gamma", "constant"), [(1.4, 287.05), (5 / 3, 2077.0)])
def test_the_two_gas_spring_forms_differ_by_a_known_factor(gamma: float, constant: float) -> None:
    """With p1 = gamma p Vd/(2 V) and an ideal gas the ratio is gamma/(2 (gamma - 1)): 1.75 for air. Algebra, exact."""
    pressure, temperature, omega, k = 2e5, 350.0, 20.0, 0.03
    swing = 0.05
    layer = gas_spring.gas_spring_loss_boundary_layer(
        pressure_amplitude=gamma * pressure * swing,
        pressure_mean=pressure,
        angular_speed=omega,
        heat_capacity_ratio=gamma,
        conductivity=k,
        density=pressure / (constant * temperature),
        specific_heat=constant * gamma / (gamma - 1),
        area=0.01,
    )
    other = gas_spring.gas_spring_hysteresis_urieli_berchowitz_1984(
        swept_volume=2 * swing * 1e-4,
        volume_mean=1e-4,
        pressure_mean=pressure,
        angular_speed=-omega,
        heat_capacity_ratio=gamma,
        conductivity=k,
        wall_temperature=temperature,
        area=0.01,
    )
    assert other / layer == pytest.approx(gamma / (2 * (gamma - 1)), rel=1e-9)


def test_a_gas_spring_at_rest_loses_nothing() -> None:
    loss = gas_spring.gas_spring_loss_boundary_layer(
        pressure_amplitude=0.0,
        pressure_mean=1e5,
        angular_speed=np.array([0.0, 10.0]),
        heat_capacity_ratio=1.4,
        conductivity=0.026,
        density=1.2,
        specific_heat=1006.0,
        area=1.0,
    )
    assert np.all(loss == 0.0)


def test_candles_and_cups_agree_with_worked_figures() -> None:
    """Tea-light 3.0 / 3.5 g/h x 43.5 MJ/kg = 36 / 42 W; 150 g of water from 90 to 50 C = 25.1 kJ (CoolProp)."""
    import CoolProp.CoolProp as reference

    heat = fuel.heat_released(mass_burnt=np.array([3.0e-3, 3.5e-3, 0.0]), time=3600.0, heating_value=43.5e6)
    assert heat == pytest.approx([36, 42, 0], rel=0.01)
    ours = fuel.water_cooling_heat(mass=0.15, temperature_start=363.15, temperature_end=323.15)
    enthalpy = [reference.PropsSI("H", "T", t, "P", 101325, "Water") for t in (363.15, 323.15)]
    assert ours == pytest.approx(0.15 * (enthalpy[0] - enthalpy[1]), rel=0.003)
    assert ours == pytest.approx(25.1e3, rel=0.003)


def test_lens_ice_and_wire_agree_with_known_figures() -> None:
    """10 cm lens at 1000 W/m2: 7.9 W (from memory); 1 kg of ice 334 kJ (CRC, from memory); 5 V on 5 ohm 5 W."""
    assert fuel.sun_heat(irradiance=1000.0, diameter=0.1) == pytest.approx(7.9, rel=0.01)
    assert fuel.melting_heat(mass=1.0) == pytest.approx(334e3, rel=0.005)
    assert fuel.resistor_heat(voltage=np.array([-5.0, 0.0]), resistance=5.0) == pytest.approx([5.0, 0.0])
