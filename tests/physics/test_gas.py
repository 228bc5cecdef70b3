"""Gas properties against a reference library and printed tables."""

from __future__ import annotations

import CoolProp.CoolProp as reference
import numpy as np
import pytest

from model.physics import gas as gases
from model.physics.atmosphere import standard_pressure

TEMPERATURES = np.array([250.0, 300.0, 350.0, 400.0, 500.0, 600.0, 700.0, 800.0, 900.0, 1000.0])
ATMOSPHERE = 101325.0


def looked_up(fluid: str, quantity: str, temperatures: np.ndarray = TEMPERATURES) -> np.ndarray:
    return np.array([reference.PropsSI(quantity, "T", t, "P", ATMOSPHERE, fluid) for t in temperatures])


def test_air_agrees_with_coolprop_from_250_to_1000_kelvin() -> None:
    """CoolProp 8 (Lemmon and others, 2000 and 2004) at 101 325 Pa; tolerances cp 0.2 %, rho 0.3 %, k 2 %."""
    air = gases.AIR
    cp = gases.specific_heat(gas=air, temperature=TEMPERATURES)
    rho = gases.density(gas=air, temperature=TEMPERATURES, pressure=ATMOSPHERE)
    k = gases.conductivity(gas=air, temperature=TEMPERATURES)
    assert cp == pytest.approx(looked_up("Air", "C"), rel=0.002)
    assert rho == pytest.approx(looked_up("Air", "D"), rel=0.003)
    assert k == pytest.approx(looked_up("Air", "L"), rel=0.02)


def test_viscosity_of_air_agrees_with_coolprop() -> None:
    """CoolProp 8 at 101 325 Pa; 0.6 % to 600 K, 2 % to 1000 K."""
    ours, theirs = gases.viscosity(gas=gases.AIR, temperature=TEMPERATURES), looked_up("Air", "V")
    cool = TEMPERATURES <= 600
    assert ours[cool] == pytest.approx(theirs[cool], rel=0.006)
    assert ours == pytest.approx(theirs, rel=0.02)


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


@pytest.mark.parametrize(
    ("gas", "fluid", "viscosity", "conductivity"),
    [(gases.HELIUM, "Helium", 0.006, 0.018), (gases.HYDROGEN, "Hydrogen", 0.001, 0.03)],
)
def test_helium_and_hydrogen_agree_with_coolprop(
    gas: gases.Gas, fluid: str, viscosity: float, conductivity: float
) -> None:
    """CoolProp 8. The conductivities by Eucken's factors run up to 1.7 % (helium, 250 K) and 2.6 % (hydrogen) low."""
    assert gases.viscosity(gas=gas, temperature=TEMPERATURES) == pytest.approx(looked_up(fluid, "V"), rel=viscosity)
    assert gases.conductivity(gas=gas, temperature=TEMPERATURES) == pytest.approx(
        looked_up(fluid, "L"), rel=conductivity
    )
    assert gases.specific_heat(gas=gas, temperature=TEMPERATURES) == pytest.approx(looked_up(fluid, "C"), rel=0.001)
    rho = gases.density(gas=gas, temperature=TEMPERATURES, pressure=ATMOSPHERE)
    assert rho == pytest.approx(looked_up(fluid, "D"), rel=0.001)


def test_ratio_of_specific_heats_of_the_ideal_gas() -> None:
    """Air 1.400 at 300 K and 1.336 at 1000 K (Incropera Table A.4's cp with R 287.05); 5/3 for a monatomic gas."""
    assert gases.heat_capacity_ratio(gas=gases.AIR, temperature=300.0) == pytest.approx(1.400, rel=0.001)
    assert gases.heat_capacity_ratio(gas=gases.AIR, temperature=1000.0) == pytest.approx(
        1141 / (1141 - 287.05), rel=0.002
    )
    assert gases.heat_capacity_ratio(gas=gases.HELIUM, temperature=400.0) == pytest.approx(5 / 3, rel=1e-12)


def test_a_scalar_answers_as_its_place_in_an_array() -> None:
    for f in (gases.viscosity, gases.conductivity, gases.specific_heat, gases.prandtl, gases.heat_capacity_ratio):
        together = f(gas=gases.AIR, temperature=TEMPERATURES)
        alone = [float(f(gas=gases.AIR, temperature=t)) for t in TEMPERATURES]
        assert together == pytest.approx(alone, rel=1e-14)


def test_properties_stay_finite_far_outside_their_range() -> None:
    t = np.array([20.0, 100.0, 2000.0, 4000.0])
    for gas in gases.GASES.values():
        for f in (gases.viscosity, gases.conductivity, gases.specific_heat):
            values = f(gas=gas, temperature=t)
            assert np.all(np.isfinite(values)) and np.all(values > 0)


def test_standard_pressure_agrees_with_iso_2533() -> None:
    """ISO 2533 / ICAO / US 1976 at geopotential height; within 1 Pa. 11 km: 22 632 Pa, 20 km: 5475 Pa, from memory."""
    height = np.array([0.0, 500.0, 1000.0, 1500.0, 2000.0, 3000.0, 11000.0])
    printed = np.array([101325.0, 95460.8, 89874.6, 84556.0, 79495.2, 70108.5, 22632.0])
    assert standard_pressure(altitude=height) == pytest.approx(printed, abs=1.0)
    assert standard_pressure(altitude=20000.0) == pytest.approx(5475.0, rel=0.001)


def test_standard_pressure_below_the_sea_and_in_space_is_finite() -> None:
    values = standard_pressure(altitude=np.array([-430.0, 0.0, 60000.0]))
    assert np.all(np.diff(values) < 0) and np.all(values > 0)
