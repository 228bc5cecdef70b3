"""Heat by radiation between grey surfaces, and how it falsifies a thermometer.

Heat is positive from the first surface to the second.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared

STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan-Boltzmann constant, [W/(m^2 K^4)]; exact since the 2019 definition of the SI."""


@declared(
    quantity="radiation of a surface to the room",
    formula="h = eps sigma (T1 + T2)(T1^2 + T2^2)",
    source="IncroperaEtAl2007",
    where="eq. 1.9",
    valid={"emissivity": (0.0, 1.0)},
    spread=0.05,
)
def radiative_coefficient(*, emissivity: Values, surface_temperature: Values, room_temperature: Values) -> FloatArray:
    """Radiative heat transfer coefficient of a small surface in a large room.

    Parameters
    ----------
    emissivity : float or array
        Emissivity of the surface, [-], 0 to 1.
    surface_temperature : float or array
        Surface temperature, [K], > 0.
    room_temperature : float or array
        Temperature of the room's walls, [K], > 0.

    Returns
    -------
    array
        Heat transfer coefficient, [W/(m^2 K)].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 1.9. The spread is that of the law; that of the emissivity comes on top.

    Examples
    --------
    >>> h = radiative_coefficient(emissivity=0.9, surface_temperature=363.15, room_temperature=293.15)
    >>> round(float(h), 2)
    7.3
    """
    a, b = as_array(surface_temperature), as_array(room_temperature)
    return as_array(emissivity) * STEFAN_BOLTZMANN * (a + b) * (a * a + b * b)


@declared(
    quantity="radiation between two surfaces that face each other",
    formula="q = sigma (T1^4 - T2^4)/(1/eps1 + 1/eps2 - 1)",
    source="IncroperaEtAl2007",
    where="eq. 13.19",
    valid={"emissivity_first": (0.01, 1.0), "emissivity_second": (0.01, 1.0)},
    spread=0.05,
)
def radiative_exchange(
    *,
    temperature_first: Values,
    temperature_second: Values,
    emissivity_first: Values,
    emissivity_second: Values,
) -> FloatArray:
    """Heat by radiation between two large parallel surfaces, per area.

    Parameters
    ----------
    temperature_first : float or array
        Temperature of the first surface, [K], >= 0.
    temperature_second : float or array
        Temperature of the second surface, [K], >= 0.
    emissivity_first : float or array
        Emissivity of the first surface, [-], 0 to 1.
    emissivity_second : float or array
        Emissivity of the second surface, [-], 0 to 1.

    Returns
    -------
    array
        Heat flow per area from the first to the second, [W/m^2].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 13.19.

    Examples
    --------
    >>> q = radiative_exchange(temperature_first=400.0, temperature_second=300.0,
    ...                        emissivity_first=1.0, emissivity_second=1.0)
    >>> round(float(q))
    992
    """
    a, b = as_array(temperature_first) ** 2, as_array(temperature_second) ** 2
    one, two = as_array(emissivity_first), as_array(emissivity_second)
    # eps1 eps2/(eps1 + eps2 - eps1 eps2) instead of the book's form: nil, not undefined, for a mirror
    factor = one * two / np.maximum(one + two - one * two, 1e-12)
    return STEFAN_BOLTZMANN * factor * (a - b) * (a + b)


@declared(
    quantity="reading error of a bead that sees walls of another temperature",
    formula="h (T - Tgas) = eps sigma (Twall^4 - T^4)",
    source="Lienhard",
    where="chapter 1, thermocouple examples",
    valid={"emissivity": (0.0, 1.0)},
    spread=0.2,
)
def thermocouple_reading(
    *, gas_temperature: Values, wall_temperature: Values, emissivity: Values, coefficient: Values
) -> FloatArray:
    """Temperature that a small bead takes between gas and walls.

    Parameters
    ----------
    gas_temperature : float or array
        Temperature of the gas, [K], > 0.
    wall_temperature : float or array
        Temperature of the walls that the bead sees, [K], > 0.
    emissivity : float or array
        Emissivity of the bead, [-], 0 to 1.
    coefficient : float or array
        Heat transfer coefficient between gas and bead, [W/(m^2 K)], >= 0.

    Returns
    -------
    array
        Temperature of the bead, [K], between gas and walls.

    Notes
    -----
    Source: [Lienhard]. Solved by Newton's rule from the warmer of the two; the left side rises and bends one
    way, so ten steps reach the last digit.

    Examples
    --------
    >>> t = thermocouple_reading(gas_temperature=293.15, wall_temperature=373.15, emissivity=1.0, coefficient=75.0)
    >>> round(float(t) - 273.15, 1)
    28.4
    """
    gas, wall = as_array(gas_temperature), as_array(wall_temperature)
    glow = as_array(emissivity) * STEFAN_BOLTZMANN
    h = magnitude(coefficient)
    bead = np.maximum(gas, wall)
    for _ in range(10):
        excess = h * (bead - gas) + glow * (bead**4 - wall**4)
        bead = bead - excess / (h + 4.0 * glow * bead**3)
    return bead


@declared(
    quantity="time constant of a thermometer bead",
    formula="tau = rho c D/(6 h)",
    source="Lienhard",
    where="chapter 1, sphere with small Biot number",
    spread=0.2,
)
def bead_time_constant(*, diameter: Values, density: Values, specific_heat: Values, coefficient: Values) -> FloatArray:
    """Time in which a bead makes 63 % of a step in temperature.

    Parameters
    ----------
    diameter : float or array
        Diameter of the bead, [m], > 0.
    density : float or array
        Density of the bead, [kg/m^3], > 0.
    specific_heat : float or array
        Specific heat of the bead, [J/(kg K)], > 0.
    coefficient : float or array
        Heat transfer coefficient, [W/(m^2 K)], > 0.

    Returns
    -------
    array
        Time constant, [s].

    Notes
    -----
    Source: [Lienhard].

    Examples
    --------
    >>> round(float(bead_time_constant(diameter=1e-3, density=9300.0, specific_heat=180.0, coefficient=250.0)), 3)
    1.116
    """
    heat = as_array(density) * as_array(specific_heat) * as_array(diameter)
    return heat / (6.0 * magnitude(coefficient))
