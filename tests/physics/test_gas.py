"""Gas properties against a reference library and printed tables."""

from __future__ import annotations

import numpy as np
import pytest

from model.physics import gas as gases
from tests.running.still_air import CONDUCTIVITY, DENSITY, PRANDTL, VISCOSITY
from tests.running.still_air import TEMPERATURES as STILL_AIR

TEMPERATURES = np.array([250.0, 300.0, 350.0, 400.0, 500.0, 600.0, 700.0, 800.0, 900.0, 1000.0])
ATMOSPHERE = 101325.0


def looked_up(fluid: str, quantity: str, temperatures: np.ndarray = TEMPERATURES) -> np.ndarray:
    import CoolProp.CoolProp as reference  # four seconds to load: here, and in one test alone

    return np.array([reference.PropsSI(quantity, "T", t, "P", ATMOSPHERE, fluid) for t in temperatures])


def test_air_agrees_with_coolprop_from_250_to_1000_kelvin() -> None:
    """CoolProp 8 (Lemmon and others, 2000 and 2004) at 101 325 Pa; cp 0.2 %, rho 0.3 %, k 2 %, mu 0.6 % to 600 K.

    What other tests have of it in a table, to its last digit.
    """
    air = gases.AIR
    cp = gases.specific_heat(gas=air, temperature=TEMPERATURES)
    rho = gases.density(gas=air, temperature=TEMPERATURES, pressure=ATMOSPHERE)
    k = gases.conductivity(gas=air, temperature=TEMPERATURES)
    assert cp == pytest.approx(looked_up("Air", "C"), rel=0.002)
    assert rho == pytest.approx(looked_up("Air", "D"), rel=0.003)
    assert k == pytest.approx(looked_up("Air", "L"), rel=0.02)
    ours, theirs = gases.viscosity(gas=gases.AIR, temperature=TEMPERATURES), looked_up("Air", "V")
    cool = TEMPERATURES <= 600
    assert ours[cool] == pytest.approx(theirs[cool], rel=0.006)
    assert ours == pytest.approx(theirs, rel=0.02)
    for quantity, values in (("L", CONDUCTIVITY), ("V", VISCOSITY), ("D", DENSITY), ("PRANDTL", PRANDTL)):
        at = np.array(STILL_AIR)
        assert np.array(values) == pytest.approx(looked_up("Air", quantity, at), rel=1e-4)


def test_air_agrees_with_incropera_table_a4() -> None:
    """Incropera et al., Fundamentals of Heat and Mass Transfer, 2007, Table A.4 (from memory but for 350 and 400 K).

    Its cp, mu and k are rounded to 0.3 % and run up to 2 % from CoolProp; its densities are those at 100 kPa and are
    left out.
    """
    t = np.array([250.0, 300.0, 350.0, 400.0, 500.0, 600.0, 800.0, 1000.0])
    mu = np.array([159.6, 184.6, 208.2, 230.1, 270.1, 305.8, 369.8, 424.4]) * 1e-7
    k = np.array([22.3, 26.3, 30.0, 33.8, 40.7, 46.9, 57.3, 66.7]) * 1e-3
    pr = np.array([0.720, 0.707, 0.700, 0.690, 0.684, 0.685, 0.709, 0.726])
    assert gases.viscosity(gas=gases.AIR, temperature=t) == pytest.approx(mu, rel=0.021)
    assert gases.conductivity(gas=gases.AIR, temperature=t) == pytest.approx(k, rel=0.022)
    assert gases.prandtl(gas=gases.AIR, temperature=t) == pytest.approx(pr, rel=0.035)


def test_ratio_of_specific_heats_of_the_ideal_gas() -> None:
    """Air 1.400 at 300 K and 1.336 at 1000 K (Incropera Table A.4's cp with R 287.05)."""
    assert gases.heat_capacity_ratio(gas=gases.AIR, temperature=300.0) == pytest.approx(1.400, rel=0.001)
    assert gases.heat_capacity_ratio(gas=gases.AIR, temperature=1000.0) == pytest.approx(
        1141 / (1141 - 287.05), rel=0.002
    )


def test_a_scalar_answers_as_its_place_in_an_array() -> None:
    for f in (gases.viscosity, gases.conductivity, gases.specific_heat, gases.prandtl, gases.heat_capacity_ratio):
        together = f(gas=gases.AIR, temperature=TEMPERATURES)
        alone = [float(f(gas=gases.AIR, temperature=t)) for t in TEMPERATURES]
        assert together == pytest.approx(alone, rel=1e-14)


def test_properties_stay_finite_far_outside_their_range() -> None:
    t = np.array([20.0, 100.0, 2000.0, 4000.0])
    for f in (gases.viscosity, gases.conductivity, gases.specific_heat):
        values = f(gas=gases.AIR, temperature=t)
        assert np.all(np.isfinite(values)) and np.all(values > 0)
