"""Regenerator matrices: wire mesh, felt and steel wool, parallel foil. Friction, exchange, geometry.

Friction factors are Darcy's; Reynolds numbers go with the mean velocity in the free area (approach velocity
over porosity) and the hydraulic diameter. Owns no effectiveness (`regenerator`).
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
