"""Leaks: printed examples, the home tests, and that they undo one another."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from model.physics import leak


def test_piston_leak_agrees_with_fox_example_8_1() -> None:
    """Fox, McDonald and Pritchard 2004, Example 8.1: D 25 mm, h 5 um, L 15 mm, 20 to 1 MPa, mu 0.018: 57.6 mm3/s."""
    g = leak.annular_conductance_by_viscosity(diameter=0.025, radial_clearance=5e-6, length=0.015, viscosity=0.018)
    assert g * 19e6 * 1e9 == pytest.approx(57.6, rel=0.005)


def test_model_size_piston_agrees_with_the_worked_figure() -> None:
    """D 16 mm, h 15 um, L 20 mm, 5 kPa of air: 0.191 ml/s, worked with the viscosity of warm air (1.85e-5)."""
    g = leak.annular_conductance(diameter=0.016, radial_clearance=15e-6, length=0.02, temperature=300.0)
    assert g * 5e3 * 1e6 == pytest.approx(0.191, rel=0.005)


def test_a_touching_piston_leaks_two_and_a_half_times_as_much() -> None:
    """Shah and London 1978; common knowledge of hydraulics."""
    common = {"diameter": 0.016, "radial_clearance": 15e-6, "length": 0.02, "temperature": 300.0}
    ratio = leak.annular_conductance(eccentricity=1.0, **common) / leak.annular_conductance(**common)
    assert ratio == pytest.approx(2.5, rel=1e-12)


def test_half_time_agrees_with_the_filling_equation() -> None:
    """dm/dt = -G p dp/(R T) in a chamber at room temperature, marched by scipy from 300 Pa; linear to 0.3 %."""
    conductance, volume, room = 2e-10, 2e-4, 101325.0
    run = solve_ivp(
        lambda _, p: -conductance * 0.5 * (p + room) * (p - room) / volume,
        (0.0, 100.0),
        [room + 300.0],
        events=lambda _, p: p[0] - room - 150.0,
        rtol=1e-9,
        atol=1e-6,
    )
    ours = leak.half_time_from_conductance(conductance=conductance, volume=volume, pressure=room)
    assert ours == pytest.approx(run.t_events[0][0], rel=0.003)


@given(t=st.floats(1e-3, 1e6), volume=st.floats(1e-7, 1.0), n=st.floats(1, 1.67))
def test_half_time_and_conductance_undo_each_other(t: float, volume: float, n: float) -> None:
    g = leak.conductance_from_half_time(half_time=t, volume=volume, pressure=1e5, heat_capacity_ratio=n)
    back = leak.half_time_from_conductance(conductance=g, volume=volume, pressure=1e5, heat_capacity_ratio=n)
    assert back == pytest.approx(t, rel=1e-9)


def test_syringe_drop_agrees_with_the_trade() -> None:
    """10 ml glass syringe, plunger 18 g: about 0.9 kPa; 40 mm in 30 s = 0.25 ml/s, in 2 s = 3.8 ml/s (estimates).

    A 15.5 mm bore makes the 0.25 ml/s; common practice, no source.
    """
    bore = 0.0155
    pressure = 0.018 * 9.80665 / (np.pi / 4 * bore**2)
    assert pressure == pytest.approx(900, rel=0.05)
    slow, fast = leak.conductance_from_drop(mass=0.018, bore=bore, fall=0.04, time=np.array([30.0, 2.0]))
    assert slow * pressure * 1e6 == pytest.approx(0.25, rel=0.02)
    assert fast * pressure * 1e6 == pytest.approx(3.8, rel=0.02)


def test_a_drop_finds_the_conductance_of_a_known_clearance() -> None:
    """Time of fall worked from the conductance by hand: G dp = A v, dp = m g/A."""
    g = leak.annular_conductance(diameter=0.016, radial_clearance=20e-6, length=0.03, temperature=293.15)
    area = np.pi / 4 * 0.016**2
    speed = g * (0.02 * 9.80665 / area) / area
    found = leak.conductance_from_drop(mass=0.02, bore=0.016, fall=0.04, time=0.04 / speed)
    assert found == pytest.approx(float(g), rel=1e-12)


def test_orifice_agrees_with_cengel_example_8_10() -> None:
    """Cengel and Cimbala 2006, Example 8-10: methanol, 3 cm hole in 4 cm pipe, 11 cm of mercury: 3.09e-3 m3/s."""
    dp = (13600 - 788.4) * 9.81 * 0.11
    flow = leak.orifice_flow(diameter=0.03, pressure_difference=dp, density=788.4, diameter_ratio=0.75)
    assert flow == pytest.approx(3.09e-3, rel=0.005)
    assert flow / (np.pi / 4 * 0.04**2) == pytest.approx(2.46, rel=0.005)


def test_orifice_agrees_with_iso_5167() -> None:
    """ISO 5167 by fluids 1.3: D 73.66 mm, d 50 mm, 200/183 kPa, water: 7.70234 kg/s; with its own discharge 0.6139.

    The standard's expansibility is 0.9711 of a gas of exponent 1.33, which this law leaves out.
    """
    flow = fluids.differential_pressure_meter_solver(
        D=0.07366, D2=0.05, P1=200e3, P2=183e3, rho=999.1, mu=0.0011, k=1.33, meter_type="ISO 5167 orifice", taps="D"
    )
    assert flow == pytest.approx(7.70233804, rel=1e-6)
    discharge, expansion = fluids.differential_pressure_meter_C_epsilon(
        D=0.07366,
        D2=0.05,
        m=flow,
        P1=200e3,
        P2=183e3,
        rho=999.1,
        mu=0.0011,
        k=1.33,
        meter_type="ISO 5167 orifice",
        taps="D",
    )
    ours = leak.orifice_flow(
        diameter=0.05,
        pressure_difference=17e3,
        density=999.1,
        discharge_coefficient=discharge,
        diameter_ratio=0.05 / 0.07366,
    )
    assert ours * 999.1 * expansion == pytest.approx(flow, rel=1e-6)


def test_no_leak_no_difference_and_reversal() -> None:
    assert leak.annular_conductance(diameter=0.01, radial_clearance=0.0, length=0.01, temperature=300.0) == 0.0
    assert np.isfinite(leak.half_time_from_conductance(conductance=0.0, volume=1e-4, pressure=1e5))
    flow = leak.orifice_flow(diameter=1e-3, pressure_difference=np.array([-50.0, 0.0, 50.0]), density=1.2)
    assert flow[1] == 0.0 and flow[0] == -flow[2] < 0
