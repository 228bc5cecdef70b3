"""What gets past a piston, a gland or a pinhole, and the three home tests that measure it.

A leak is a conductance: volume flow at the mean pressure over pressure difference, [m^3/(s Pa)]. Positive
flow goes with positive pressure difference, both ways alike. Owns no settling of the mean pressure
(`model.cycle`).
"""

from __future__ import annotations

import numpy as np

from model.physics import gas as gases
from model.physics.duct import eccentric_flow_factor
from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared

WATER_COLUMN = 9806.65
"""Pressure of a metre of water as the unit has it (1000 kg/m^3, standard gravity), [Pa/m]."""


@declared(
    quantity="leak past a piston or through a gland",
    formula="G = pi D h^3 (1 + 1.5 e^2)/(12 mu L)",
    source="FoxMcDonald",
    where="eq. 8.6c and Example 8.1; eccentricity: ShahLondon1978",
    valid={"radial_clearance": (2e-6, 3e-4), "eccentricity": (0.0, 1.0)},
    spread=0.1,
)
def annular_conductance_by_viscosity(
    *,
    diameter: Values,
    radial_clearance: Values,
    length: Values,
    viscosity: Values,
    eccentricity: Values = 0.0,
) -> FloatArray:
    """Leak conductance of a thin annulus for any fluid.

    Parameters
    ----------
    diameter : float or array
        Diameter of the bore, [m], > 0.
    radial_clearance : float or array
        Half the difference of the diameters, [m], >= 0.
    length : float or array
        Length of the fit along the axis, [m], > 0.
    viscosity : float or array
        Dynamic viscosity, [Pa s], > 0.
    eccentricity : float or array
        Distance of the axes over the radial clearance, [-], 0 centred to 1 touching.

    Returns
    -------
    array
        Volume flow over pressure difference, [m^3/(s Pa)].

    Notes
    -----
    Source: [FoxMcDonald], laminar flow in a gap thin against the diameter. The cube makes the clearance
    decide: 10 % more clearance, a third more leak. Below 5 um air slips at the walls and leaks some 10 %
    more.
    """
    width = np.pi * as_array(diameter) * eccentric_flow_factor(eccentricity=eccentricity)
    return width * as_array(radial_clearance) ** 3 / (12.0 * as_array(viscosity) * magnitude(length))


@declared(
    quantity="leak of the gas past a piston or through a gland",
    formula="G = pi D h^3 (1 + 1.5 e^2)/(12 mu L)",
    source="FoxMcDonald",
    where="eq. 8.6c, with the viscosity of the gas at its temperature",
    valid={"radial_clearance": (2e-6, 3e-4), "eccentricity": (0.0, 1.0)},
    spread=0.1,
)
def annular_conductance(
    *,
    diameter: Values,
    radial_clearance: Values,
    length: Values,
    temperature: Values,
    eccentricity: Values = 0.0,
    gas: gases.Gas = gases.AIR,
) -> FloatArray:
    """Leak conductance of a thin annulus: volume flow at mean pressure over pressure difference.

    Parameters
    ----------
    diameter : float or array
        Diameter of the bore, [m], > 0.
    radial_clearance : float or array
        Half the difference of the diameters, [m], >= 0.
    length : float or array
        Length of the fit along the axis, [m], > 0.
    temperature : float or array
        Gas temperature in the gap, [K], > 0.
    eccentricity : float or array
        Distance of the axes over the radial clearance, [-], 0 centred to 1 touching.
    gas : Gas
        The gas.

    Returns
    -------
    array
        Volume flow over pressure difference, [m^3/(s Pa)].

    Notes
    -----
    Source: [FoxMcDonald]; see `annular_conductance_by_viscosity`.

    Examples
    --------
    >>> conductance = annular_conductance(diameter=0.016, radial_clearance=15e-6, length=0.02, temperature=293.15)
    >>> round(float(conductance) * 5e3 * 1e6, 3)  # ml/s at 5 kPa
    0.194
    """
    return annular_conductance_by_viscosity(
        diameter=diameter,
        radial_clearance=radial_clearance,
        length=length,
        viscosity=gases.viscosity(gas=gas, temperature=temperature),
        eccentricity=eccentricity,
    )


@declared(
    quantity="time in which the pressure difference halves",
    formula="t = ln 2 V/(n G p)",
    source="derived here",
    where="m = p V/(R T): dp falls as exp(-n G p t/V), n 1 when the chamber keeps the room's temperature",
    spread=0.1,
)
def half_time_from_conductance(
    *, conductance: Values, volume: Values, pressure: Values, heat_capacity_ratio: Values = 1.0
) -> FloatArray:
    """Half-time of a leaking chamber of fixed volume.

    Parameters
    ----------
    conductance : float or array
        Leak conductance, [m^3/(s Pa)], >= 0.
    volume : float or array
        Volume of gas in the chamber and all that hangs on it, [m^3], > 0.
    pressure : float or array
        Mean absolute pressure, [Pa], > 0.
    heat_capacity_ratio : float or array
        1 for a chamber that stays at room temperature; the gas's own ratio for a leak faster than its heat,
        [-], >= 1.

    Returns
    -------
    array
        Half-time, [s]; very large without a leak.

    Notes
    -----
    The mass in the chamber changes by G p dp/(R T) a second. What gives way to the pressure counts as p C more
    volume (`u_tube_compliance`).
    """
    rate = np.maximum(as_array(conductance) * as_array(pressure) * as_array(heat_capacity_ratio), 1e-300)
    halves: FloatArray = np.log(2.0) * np.minimum(as_array(volume) / rate, 1e30)
    return halves


@declared(
    quantity="leak from the time in which the pressure difference halves",
    formula="G = ln 2 V/(n p t)",
    source="derived here",
    where="inverse of half_time_from_conductance",
    spread=0.1,
)
def conductance_from_half_time(
    *, half_time: Values, volume: Values, pressure: Values, heat_capacity_ratio: Values = 1.0
) -> FloatArray:
    """Leak conductance from a leak-down test.

    Parameters
    ----------
    half_time : float or array
        Time in which the pressure difference halves, [s], > 0.
    volume : float or array
        Volume of gas in the chamber, tube and gauge, [m^3], > 0.
    pressure : float or array
        Mean absolute pressure, [Pa], > 0.
    heat_capacity_ratio : float or array
        1 for a chamber that stays at room temperature, [-], >= 1.

    Returns
    -------
    array
        Leak conductance, [m^3/(s Pa)].

    Notes
    -----
    Derived here, the inverse of `half_time_from_conductance`.

    Examples
    --------
    >>> g = conductance_from_half_time(half_time=10.0, volume=2e-4, pressure=101325.0)
    >>> round(float(half_time_from_conductance(conductance=g, volume=2e-4, pressure=101325.0)), 6)
    10.0
    """
    rest = as_array(pressure) * as_array(heat_capacity_ratio) * magnitude(half_time)
    conductance: FloatArray = np.log(2.0) * as_array(volume) / rest
    return conductance


@declared(
    quantity="volume that a water U-tube takes up for a pressure",
    formula="C = pi d^2/(8 rho g)",
    source="derived here",
    where="two upright limbs of one bore, read slowly; adds p C to the air of the chamber",
    spread=0.0,
)
def u_tube_compliance(*, bore: Values) -> FloatArray:
    """Return the air that a water U-tube takes up for each pascal.

    Parameters
    ----------
    bore : float or array
        Inside diameter of its hose, [m], >= 0.

    Returns
    -------
    array
        Volume over pressure, [m^3/Pa].

    Notes
    -----
    Derived here: dp holds a level difference h = dp/(rho g), for which each limb moves h/2, so that pi d^2/4 h/2 of air
    follows. rho g is that of the unit "cm water", 9806.65 Pa a metre. Wetting and the hose's own air are left out.

    Examples
    --------
    >>> round(float(u_tube_compliance(bore=2e-3)) * 1e5 * 1e6, 1)  # ml beside the air of a chamber
    16.0
    """
    compliance: FloatArray = np.pi * as_array(bore) ** 2 / (8.0 * WATER_COLUMN)
    return compliance
