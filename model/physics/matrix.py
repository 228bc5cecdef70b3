"""Regenerator matrices: wire mesh, felt and steel wool, beds of grains, parallel foil. Friction, exchange,
geometry.

Friction factors are Darcy's; Reynolds numbers go with the mean velocity in the free area (approach velocity
over porosity) and the hydraulic diameter, but for `pressure_drop_ergun`, which keeps the form of its source.
The pressure drop of a matrix is `duct.duct_pressure_drop` with these. Owns no effectiveness (`regenerator`).
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared


@declared(
    quantity="width of the channels in a matrix of wire",
    formula="Dh = d phi/(1 - phi)",
    source="GedeonWood1996",
    where="four times gas volume over wire surface; exact for round wire",
    valid={"porosity": (0.05, 0.999)},
    spread=0.05,
)
def hydraulic_diameter(*, porosity: Values, wire_diameter: Values) -> FloatArray:
    """Hydraulic diameter of a matrix of round wire.

    Parameters
    ----------
    porosity : float or array
        Gas volume over bed volume, [-], 0 to 1, below 1.
    wire_diameter : float or array
        Wire or fibre diameter, [m], > 0.

    Returns
    -------
    array
        Hydraulic diameter, [m].

    Notes
    -----
    Definition as in [GedeonWood1996].

    Examples
    --------
    >>> round(float(hydraulic_diameter(porosity=0.75, wire_diameter=1e-4)), 6)
    0.0003
    """
    phi = np.clip(as_array(porosity), 0.0, 1.0 - 1e-6)
    return as_array(wire_diameter) * phi / (1.0 - phi)


@declared(
    quantity="surface of the wire in a matrix",
    formula="A = 4 V (1 - phi)/d",
    source="GedeonWood1996",
    where="exact for round wire",
    valid={"porosity": (0.05, 0.999)},
    spread=0.05,
)
def wetted_area(*, volume: Values, porosity: Values, wire_diameter: Values) -> FloatArray:
    """Surface of the wire in a matrix.

    Parameters
    ----------
    volume : float or array
        Volume of the bed, [m^3], >= 0.
    porosity : float or array
        Gas volume over bed volume, [-], 0 to 1.
    wire_diameter : float or array
        Wire or fibre diameter, [m], > 0.

    Returns
    -------
    array
        Wetted surface, [m^2].

    Notes
    -----
    Definition as in [GedeonWood1996].
    """
    solid = as_array(volume) * (1.0 - np.clip(as_array(porosity), 0.0, 1.0))
    return 4.0 * solid / as_array(wire_diameter)


@declared(
    quantity="porosity of a bed from its mass",
    formula="phi = 1 - m/(rho V)",
    source="GedeonWood1996",
    where="definition",
    spread=0.01,
)
def porosity_from_mass(*, mass: Values, solid_density: Values, volume: Values) -> FloatArray:
    """Porosity of a bed from what it weighs.

    Parameters
    ----------
    mass : float or array
        Mass of the fill, [kg], >= 0.
    solid_density : float or array
        Density of the solid, [kg/m^3], > 0.
    volume : float or array
        Volume of the bed, [m^3], > 0.

    Returns
    -------
    array
        Gas volume over bed volume, [-], 0 to 1.

    Notes
    -----
    Definition as in [GedeonWood1996].
    """
    return np.clip(1.0 - as_array(mass) / (as_array(solid_density) * as_array(volume)), 0.0, 1.0)


@declared(
    quantity="friction of the flow through woven mesh",
    formula="f = 129/Re + 2.91 Re^-0.103",
    source="GedeonWood1996",
    where="woven screen, oscillating flow; from memory",
    valid={"reynolds": (0.45, 6100.0), "porosity": (0.62, 0.78)},
    spread=0.15,
)
def friction_screen_gedeon_wood_1996(*, reynolds: Values) -> FloatArray:
    """Darcy friction factor of stacked woven mesh.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.

    Returns
    -------
    array
        Darcy friction factor, [-].

    Notes
    -----
    Source: [GedeonWood1996].

    Examples
    --------
    >>> round(float(friction_screen_gedeon_wood_1996(reynolds=-100.0)), 2)
    3.1
    """
    re = magnitude(reynolds)
    return 129.0 / re + 2.91 * re**-0.103


@declared(
    quantity="heat transfer in woven mesh",
    formula="Nu = (1 + 0.99 Pe^0.66) phi^1.79",
    source="GedeonWood1996",
    where="woven screen, oscillating flow; from memory",
    valid={"reynolds": (0.45, 6100.0), "porosity": (0.62, 0.78)},
    spread=0.2,
)
def nusselt_screen_gedeon_wood_1996(*, reynolds: Values, prandtl: Values, porosity: Values) -> FloatArray:
    """Nusselt number of stacked woven mesh.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.
    porosity : float or array
        Gas volume over bed volume, [-], 0 to 1.

    Returns
    -------
    array
        Nusselt number on the hydraulic diameter, [-].

    Notes
    -----
    Source: [GedeonWood1996]; Pe = Re Pr.

    Examples
    --------
    >>> round(float(nusselt_screen_gedeon_wood_1996(reynolds=0.0, prandtl=0.7, porosity=1.0)), 2)
    1.0
    """
    peclet = np.abs(as_array(reynolds)) * as_array(prandtl)
    return (1.0 + 0.99 * peclet**0.66) * as_array(porosity) ** 1.79


@declared(
    quantity="friction of the flow through felt or steel wool",
    formula="f = 192/Re + 4.53 Re^-0.067",
    source="GedeonWood1996",
    where="random fibre, oscillating flow; from memory",
    valid={"reynolds": (0.45, 1400.0), "porosity": (0.69, 0.96)},
    spread=0.2,
)
def friction_felt_gedeon_wood_1996(*, reynolds: Values) -> FloatArray:
    """Darcy friction factor of felt, steel wool and other random fibre.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.

    Returns
    -------
    array
        Darcy friction factor, [-].

    Notes
    -----
    Source: [GedeonWood1996].

    Examples
    --------
    >>> round(float(friction_felt_gedeon_wood_1996(reynolds=100.0)), 2)
    5.25
    """
    re = magnitude(reynolds)
    return 192.0 / re + 4.53 * re**-0.067


@declared(
    quantity="heat transfer in felt or steel wool",
    formula="Nu = (1 + 1.16 Pe^0.66) phi^2.61",
    source="GedeonWood1996",
    where="random fibre, oscillating flow; from memory",
    valid={"reynolds": (0.45, 1400.0), "porosity": (0.69, 0.96)},
    spread=0.25,
)
def nusselt_felt_gedeon_wood_1996(*, reynolds: Values, prandtl: Values, porosity: Values) -> FloatArray:
    """Nusselt number of felt, steel wool and other random fibre.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.
    porosity : float or array
        Gas volume over bed volume, [-], 0 to 1.

    Returns
    -------
    array
        Nusselt number on the hydraulic diameter, [-].

    Notes
    -----
    Source: [GedeonWood1996]; Pe = Re Pr.

    Examples
    --------
    >>> round(float(nusselt_felt_gedeon_wood_1996(reynolds=0.0, prandtl=0.7, porosity=1.0)), 2)
    1.0
    """
    peclet = np.abs(as_array(reynolds)) * as_array(prandtl)
    return (1.0 + 1.16 * peclet**0.66) * as_array(porosity) ** 2.61


@declared(
    quantity="friction of the flow through woven mesh, by another source",
    formula="f = 175/Re + 1.6",
    source="TanakaEtAl1990",
    where="oscillating flow; from memory",
    valid={"reynolds": (10.0, 2000.0), "porosity": (0.64, 0.96)},
    spread=0.2,
)
def friction_screen_tanaka_1990(*, reynolds: Values) -> FloatArray:
    """Darcy friction factor of stacked mesh after Tanaka and others.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.

    Returns
    -------
    array
        Darcy friction factor, [-].

    Notes
    -----
    Source: [TanakaEtAl1990].

    Examples
    --------
    >>> round(float(friction_screen_tanaka_1990(reynolds=100.0)), 2)
    3.35
    """
    return 175.0 / magnitude(reynolds) + 1.6


@declared(
    quantity="heat transfer in woven mesh, by another source",
    formula="Nu = 0.33 Re^0.67",
    source="TanakaEtAl1990",
    where="air, oscillating flow; from memory",
    valid={"reynolds": (10.0, 2000.0), "porosity": (0.64, 0.96)},
    spread=0.25,
)
def nusselt_screen_tanaka_1990(*, reynolds: Values) -> FloatArray:
    """Nusselt number of stacked mesh in air after Tanaka and others.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the hydraulic diameter, [-]; the sign does not matter.

    Returns
    -------
    array
        Nusselt number on the hydraulic diameter, [-]; nil at rest.

    Notes
    -----
    Source: [TanakaEtAl1990].

    Examples
    --------
    >>> round(float(nusselt_screen_tanaka_1990(reynolds=100.0)), 2)
    7.22
    """
    return 0.33 * np.abs(as_array(reynolds)) ** 0.67


@declared(
    quantity="pressure drop through a bed of grains",
    formula="dp/L = 150 mu v (1 - phi)^2/(phi^3 d^2) + 1.75 rho v |v| (1 - phi)/(phi^3 d)",
    source="Geankoplis2003",
    where="eq. 3.1-20; Ergun 1952",
    valid={"porosity": (0.3, 0.6)},
    spread=0.2,
)
def pressure_drop_ergun(
    *,
    porosity: Values,
    grain_diameter: Values,
    length: Values,
    viscosity: Values,
    density: Values,
    approach_velocity: Values,
) -> FloatArray:
    """Pressure drop through a bed of grains.

    Parameters
    ----------
    porosity : float or array
        Gas volume over bed volume, [-], 0 to 1, above 0.
    grain_diameter : float or array
        Diameter of the grains, [m], > 0.
    length : float or array
        Depth of the bed along the flow, [m], >= 0.
    viscosity : float or array
        Dynamic viscosity, [Pa s], >= 0.
    density : float or array
        Mean gas density, [kg/m^3], > 0.
    approach_velocity : float or array
        Velocity in the empty cross-section; the sign gives the direction, [m/s].

    Returns
    -------
    array
        Pressure drop in the direction of positive velocity, [Pa].

    Notes
    -----
    Source: [Geankoplis2003].
    """
    phi, d, v = as_array(porosity), as_array(grain_diameter), as_array(approach_velocity)
    solid = 1.0 - phi
    slow = 150.0 * as_array(viscosity) * v * (solid / d) ** 2
    fast = 1.75 * as_array(density) * v * np.abs(v) * solid / d
    return (slow + fast) * as_array(length) / phi**3


@declared(
    quantity="friction of the flow between parallel foils",
    formula="f = 96/Re",
    source="ShahLondon1978",
    where="developed laminar flow, exact",
    valid={"reynolds": (0.0, 1500.0)},
    spread=0.1,
)
def friction_parallel_foil(*, reynolds: Values) -> FloatArray:
    """Darcy friction factor of a foil matrix with even gaps.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on twice the gap, [-]; the sign does not matter.

    Returns
    -------
    array
        Darcy friction factor, [-].

    Notes
    -----
    Source: [ShahLondon1978]. Uneven gaps lower it as they lower the exchange
    (`duct.effectiveness_eccentric_gap`).

    Examples
    --------
    >>> round(float(friction_parallel_foil(reynolds=96.0)), 6)
    1.0
    """
    return 96.0 / magnitude(reynolds)


@declared(
    quantity="heat transfer between parallel foils",
    formula="Nu = 8.235",
    source="ShahLondon1978",
    where="developed laminar flow, even heat flux on both walls, as a balanced regenerator has; exact",
    valid={"reynolds": (0.0, 1500.0)},
    spread=0.1,
)
def nusselt_parallel_foil(*, reynolds: Values) -> FloatArray:
    """Nusselt number of a foil matrix with even gaps.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on twice the gap, [-]; gives only the shape of the answer.

    Returns
    -------
    array
        Nusselt number on twice the gap, [-].

    Notes
    -----
    Source: [ShahLondon1978]. In a balanced regenerator the temperature rises evenly along the foil, which is
    the case of even flux (8.235) and not that of even temperature (7.541).

    Examples
    --------
    >>> float(nusselt_parallel_foil(reynolds=10.0))
    8.235
    """
    return np.full_like(as_array(reynolds), 8.235)
