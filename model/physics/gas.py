"""Properties of the working gas: viscosity, conductivity, specific heat, density, and what follows from them.

A `Gas` is a small frozen record of coefficients; `AIR` is the one that engines here run on. The laws are those of a
dilute gas (no dependence on pressure but in density). Called by every correlation that needs a gas; reads no table.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.physics.values import FloatArray, Values, as_array
from model.quantities.formula import declared

MOLAR_GAS_CONSTANT = 8.314462618
"""Molar gas constant, [J/(mol K)]; exact since the 2019 definition of the SI."""

ATMOSPHERE = 101325.0
"""Standard atmosphere, [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """The coefficients of one gas."""

    name: str
    """Its key: "air"."""
    molar_mass: float
    """Molar mass, [kg/mol]."""
    gas_constant: float
    """Specific gas constant, [J/(kg K)]."""
    viscosity_scale: float
    """Factor before the root of the temperature in the viscosity, [Pa s/K^0.5]."""
    viscosity_temperature: float
    """Scale of the temperature in the collision integral, [K]."""
    collision: tuple[float, ...]
    """Coefficients of the logarithm of the collision integral in powers of ln(T/scale), [-]."""
    eucken: tuple[float, float]
    """Conductivity over viscosity: factors of the specific heat at constant volume and of the gas constant,
    [-]."""
    conductivity_terms: tuple[tuple[float, float], ...]
    """Further terms of the conductivity: factor [W/(m K)] and power [-] of the temperature in K."""
    heat_polynomial: tuple[float, ...]
    """Specific heat over gas constant: coefficients of rising powers of the temperature in K."""
    heat_vibration: tuple[tuple[float, float], ...]
    """Specific heat over gas constant: weight [-] and temperature [K] of each Einstein term."""
    attraction: float
    """Constant a of van der Waals, [Pa m^6/mol^2]: the small rise of the specific heat at one atmosphere."""


def _gas(
    *,
    name: str,
    molar_mass: float,
    viscosity_scale: float,
    viscosity_temperature: float,
    collision: tuple[float, ...],
    eucken: tuple[float, float],
    conductivity_terms: tuple[tuple[float, float], ...] = (),
    heat_polynomial: tuple[float, ...],
    heat_vibration: tuple[tuple[float, float], ...] = (),
    attraction: float,
) -> Gas:
    return Gas(
        name=name,
        molar_mass=molar_mass,
        gas_constant=MOLAR_GAS_CONSTANT / molar_mass,
        viscosity_scale=viscosity_scale,
        viscosity_temperature=viscosity_temperature,
        collision=collision,
        eucken=eucken,
        conductivity_terms=conductivity_terms,
        heat_polynomial=heat_polynomial,
        heat_vibration=heat_vibration,
        attraction=attraction,
    )


_AIR_CRITICAL = 132.6312  # K, the maxcondentherm that [LemmonJacobsen2004] scales temperatures with

AIR = _gas(
    name="air",
    molar_mass=0.0289586,
    # [LemmonJacobsen2004], eq. 2: 0.0266958 sqrt(M T)/(sigma^2 Omega) in uPa s with sigma 0.360 nm, e/k 103.3
    # K
    viscosity_scale=0.0266958e-6 * 28.9586**0.5 / 0.360**2,
    viscosity_temperature=103.3,
    collision=(0.431, -0.4623, 0.08406, 0.005341, -0.00331),
    # the same, eq. 5: 1.308 eta + 1.405 tau^-1.1 - 1.036 tau^-0.3 in mW/(m K), eta in uPa s
    eucken=(0.0, 1308.0 * 0.0289586 / MOLAR_GAS_CONSTANT),
    conductivity_terms=((1.405e-3 * _AIR_CRITICAL**-1.1, 1.1), (-1.036e-3 * _AIR_CRITICAL**-0.3, 0.3)),
    # [LemmonEtAl2000], eq. 19; its two terms below 2e-4 of the whole under 1200 K are left out
    heat_polynomial=(3.490888032, 2.395525583e-6, 7.172111248e-9, -3.115413101e-13),
    heat_vibration=((0.791309509, 3364.011), (0.212236768, 2242.45)),
    attraction=0.1358,
)
"""Dry air."""


def _ideal_specific_heat(gas: Gas, temperature: FloatArray) -> FloatArray:
    total = np.full_like(temperature, gas.heat_polynomial[-1])
    for coefficient in reversed(gas.heat_polynomial[:-1]):
        total = total * temperature + coefficient
    for weight, vibration in gas.heat_vibration:
        x = vibration / temperature
        decay = np.exp(-x)
        total = total + weight * x * x * decay / (1.0 - decay) ** 2
    return gas.gas_constant * total


@declared(
    quantity="viscosity of the gas",
    formula="mu = C sqrt(T)/Omega, ln Omega = sum b_i (ln(T/T*))^i",
    source="LemmonJacobsen2004",
    where="eqs. 2-3 (air), from memory; helium: Petersen1970; hydrogen: MuznyEtAl2013",
    valid={"temperature": (200.0, 1500.0)},
    spread=0.01,
)
def viscosity(*, gas: Gas, temperature: Values) -> FloatArray:
    r"""Dynamic viscosity of a dilute gas.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.

    Returns
    -------
    array
        Dynamic viscosity, [Pa s].

    Notes
    -----
    Chapman and Enskog's form with a fitted collision integral, [LemmonJacobsen2004]; for helium the power law
    of [Petersen1970]; for hydrogen the dilute part of [MuznyEtAl2013]. Independent of pressure.

    Examples
    --------
    >>> f"{float(viscosity(gas=AIR, temperature=300.0)):.3e}"
    '1.852e-05'
    """
    t = as_array(temperature)
    x = np.log(t / gas.viscosity_temperature)
    total = np.full_like(x, gas.collision[-1])
    for coefficient in reversed(gas.collision[:-1]):
        total = total * x + coefficient
    return gas.viscosity_scale * np.sqrt(t) * np.exp(-total)


@declared(
    quantity="heat conductivity of the gas",
    formula="k = mu (A cv + B R) + sum n_i T^t_i",
    source="LemmonJacobsen2004",
    where="eq. 5 (air), from memory; helium and hydrogen: PolingEtAl2001, modified Eucken",
    valid={"temperature": (200.0, 1500.0)},
    spread=0.015,
)
def conductivity(*, gas: Gas, temperature: Values) -> FloatArray:
    r"""Thermal conductivity of a dilute gas.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.

    Returns
    -------
    array
        Thermal conductivity, [W/(m K)].

    Notes
    -----
    Air after [LemmonJacobsen2004]. Helium and hydrogen from the viscosity with the modified Eucken factors
    1.32 cv + 1.77 R of [PolingEtAl2001], exact for a monatomic gas and 1 to 3 % low for hydrogen.

    Examples
    --------
    >>> round(float(conductivity(gas=AIR, temperature=300.0)), 5)
    0.02635
    """
    t = as_array(temperature)
    of_heat, of_constant = gas.eucken
    per_viscosity: Values = of_constant * gas.gas_constant
    if of_heat:
        per_viscosity = per_viscosity + of_heat * (_ideal_specific_heat(gas, t) - gas.gas_constant)
    total = viscosity(gas=gas, temperature=t) * per_viscosity
    for factor, power in gas.conductivity_terms:
        total = total + factor * t**power
    return total


@declared(
    quantity="specific heat of the gas at constant pressure",
    formula="cp/R = sum c_i T^i + sum a_j E(theta_j/T) + 2 a p0/(R0 T)^2",
    source="LemmonEtAl2000",
    where="eq. 19 (air), from memory; hydrogen: LeachmanEtAl2009; last term van der Waals at one atmosphere",
    valid={"temperature": (200.0, 1200.0)},
    spread=0.001,
)
def specific_heat(*, gas: Gas, temperature: Values) -> FloatArray:
    r"""Specific heat at constant pressure, at one atmosphere.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.

    Returns
    -------
    array
        Specific heat at constant pressure, [J/(kg K)].

    Notes
    -----
    The ideal-gas part is that of [LemmonEtAl2000] for air, [LeachmanEtAl2009] for hydrogen and 5/2 R for
    helium. The last term, :math:`2 a p_0/(R_0 T)^2` with van der Waals' a, is the first effect of the gas not
    being ideal: a fifth of a per cent for air at 250 K.

    Examples
    --------
    >>> round(float(specific_heat(gas=AIR, temperature=300.0)), 1)
    1006.3
    """
    t = as_array(temperature)
    real = 2.0 * gas.attraction * ATMOSPHERE / (MOLAR_GAS_CONSTANT * t) ** 2
    return _ideal_specific_heat(gas, t) + gas.gas_constant * real


@declared(
    quantity="density of the gas",
    formula="rho = p/(R T)",
    source="CengelCimbala2006",
    where="ideal-gas law",
    valid={"temperature": (200.0, 1500.0), "pressure": (0.0, 1e6)},
    spread=0.002,
)
def density(*, gas: Gas, temperature: Values, pressure: Values) -> FloatArray:
    """Density of the gas by the ideal-gas law.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.
    pressure : float or array
        Absolute pressure, [Pa], >= 0.

    Returns
    -------
    array
        Density, [kg/m^3].

    Notes
    -----
    Source: [CengelCimbala2006]. Air at one atmosphere and 250 K is 0.1 % denser than this.

    Examples
    --------
    >>> round(float(density(gas=AIR, temperature=300.0, pressure=101325.0)), 3)
    1.176
    """
    return as_array(pressure) / (gas.gas_constant * as_array(temperature))


@declared(
    quantity="Prandtl number of the gas",
    formula="Pr = mu cp/k",
    source="IncroperaEtAl2007",
    where="definition",
    valid={"temperature": (200.0, 1200.0)},
    spread=0.02,
)
def prandtl(*, gas: Gas, temperature: Values) -> FloatArray:
    """Prandtl number: how fast the gas spreads momentum over how fast it spreads heat.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.

    Returns
    -------
    array
        Prandtl number, [-].

    Notes
    -----
    Definition as in [IncroperaEtAl2007].
    """
    t = as_array(temperature)
    flow = viscosity(gas=gas, temperature=t) * specific_heat(gas=gas, temperature=t)
    number: FloatArray = flow / conductivity(gas=gas, temperature=t)
    return number


@declared(
    quantity="ratio of the specific heats of the gas",
    formula="gamma = cp/(cp - R), ideal-gas part of cp",
    source="LemmonEtAl2000",
    where="ideal gas",
    valid={"temperature": (200.0, 1200.0)},
    spread=0.002,
)
def heat_capacity_ratio(*, gas: Gas, temperature: Values) -> FloatArray:
    """Specific heat at constant pressure over that at constant volume, of the ideal gas.

    Parameters
    ----------
    gas : Gas
        The gas.
    temperature : float or array
        Gas temperature, [K], > 0.

    Returns
    -------
    array
        Ratio of specific heats, [-], > 1.

    Notes
    -----
    Made from the ideal-gas part of the specific heat, [LemmonEtAl2000], so that it agrees with p = rho R T.

    Examples
    --------
    >>> round(float(heat_capacity_ratio(gas=AIR, temperature=300.0)), 3)
    1.4
    """
    cp: FloatArray = _ideal_specific_heat(gas, as_array(temperature))
    return cp / (cp - gas.gas_constant)
