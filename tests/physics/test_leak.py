"""Leaks: printed examples, the home tests, and that they undo one another."""

from __future__ import annotations

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


def test_no_clearance_leaks_nothing_and_no_leak_lasts() -> None:
    assert leak.annular_conductance(diameter=0.01, radial_clearance=0.0, length=0.01, temperature=300.0) == 0.0
    assert np.isfinite(leak.half_time_from_conductance(conductance=0.0, volume=1e-4, pressure=1e5))
