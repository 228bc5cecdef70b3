"""Fins: how much of their surface counts, and rods that carry heat out into the air."""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared


def _slenderness(coefficient: Values, conductivity: Values, thickness: Values) -> FloatArray:
    return np.sqrt(2.0 * np.abs(as_array(coefficient)) / (as_array(conductivity) * magnitude(thickness)))


@declared(
    quantity="share of a straight fin's surface that counts",
    formula="eta = tanh(m Lc)/(m Lc), m = sqrt(2 h/(k t)), Lc = L + t/2",
    source="IncroperaEtAl2007",
    where="eq. 3.89",
    spread=0.03,
)
def fin_efficiency_straight(
    *, length: Values, thickness: Values, conductivity: Values, coefficient: Values
) -> FloatArray:
    """Efficiency of a straight fin of even thickness.

    Parameters
    ----------
    length : float or array
        Height of the fin from its root, [m], >= 0.
    thickness : float or array
        Thickness of the fin, [m], > 0.
    conductivity : float or array
        Conductivity of the fin, [W/(m K)], > 0.
    coefficient : float or array
        Heat transfer coefficient, [W/(m^2 K)], >= 0.

    Returns
    -------
    array
        Heat given off over that of a fin all at root temperature, [-], 0 to 1.

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 3.89, tip by the corrected length.

    Examples
    --------
    >>> round(float(fin_efficiency_straight(length=0.02, thickness=1e-3, conductivity=160.0, coefficient=10.0)), 3)
    0.983
    """
    long = as_array(length) + 0.5 * as_array(thickness)
    x = magnitude(_slenderness(coefficient, conductivity, thickness) * long)
    return np.tanh(x) / x


@declared(
    quantity="share of a ring fin's surface that counts",
    formula="eta = tanh(m r1 phi)/(m r1 phi), phi = (r2c/r1 - 1)(1 + 0.35 ln(r2c/r1))",
    source="Schmidt1949",
    where="r2c = r2 + t/2; from memory",
    valid={"radius_ratio": (1.0, 8.0), "efficiency": (0.5, 1.0)},
    spread=0.03,
)
def fin_efficiency_annular(
    *,
    inner_diameter: Values,
    outer_diameter: Values,
    thickness: Values,
    conductivity: Values,
    coefficient: Values,
) -> FloatArray:
    """Efficiency of a ring fin of even thickness.

    Parameters
    ----------
    inner_diameter : float or array
        Diameter at the root, [m], > 0.
    outer_diameter : float or array
        Diameter at the tip, [m], >= inner diameter.
    thickness : float or array
        Thickness of the fin, [m], > 0.
    conductivity : float or array
        Conductivity of the fin, [W/(m K)], > 0.
    coefficient : float or array
        Heat transfer coefficient, [W/(m^2 K)], >= 0.

    Returns
    -------
    array
        Heat given off over that of a fin all at root temperature, [-], 0 to 1.

    Notes
    -----
    Source: [Schmidt1949], an approximation without Bessel functions, within 1 % for fins that are any good.

    Examples
    --------
    >>> eta = fin_efficiency_annular(inner_diameter=0.05, outer_diameter=0.09, thickness=0.006,
    ...                              conductivity=186.0, coefficient=50.0)
    >>> round(float(eta), 2)
    0.98
    """
    root = 0.5 * as_array(inner_diameter)
    ratio = np.maximum((0.5 * (as_array(outer_diameter) + as_array(thickness))) / root, 1.0)
    phi = (ratio - 1.0) * (1.0 + 0.35 * np.log(ratio))
    x = magnitude(_slenderness(coefficient, conductivity, thickness) * root * phi)
    return np.tanh(x) / x


@declared(
    quantity="heat given off by a finned surface",
    formula="Q = h (Ab + eta Af) dT",
    source="IncroperaEtAl2007",
    where="section 3.6.5",
    spread=0.1,
)
def finned_heat(
    *,
    coefficient: Values,
    bare_area: Values,
    fin_area: Values,
    fin_efficiency: Values,
    temperature_difference: Values,
) -> FloatArray:
    """Heat given off by a surface with fins.

    Parameters
    ----------
    coefficient : float or array
        Heat transfer coefficient, [W/(m^2 K)], >= 0.
    bare_area : float or array
        Surface between the fins, [m^2], >= 0.
    fin_area : float or array
        Surface of the fins, both sides and tip, [m^2], >= 0.
    fin_efficiency : float or array
        Share of the fin surface that counts, [-], 0 to 1.
    temperature_difference : float or array
        Root less air, [K].

    Returns
    -------
    array
        Heat flow to the air, [W].

    Notes
    -----
    Source: [IncroperaEtAl2007], section 3.6.5.
    """
    area = as_array(bare_area) + as_array(fin_efficiency) * as_array(fin_area)
    return as_array(coefficient) * area * as_array(temperature_difference)


@declared(
    quantity="heat given off by a long rod",
    formula="Q = sqrt(h P k A) dT tanh(m L), m = sqrt(4 h/(k D))",
    source="IncroperaEtAl2007",
    where="eqs. 3.76 and 3.80, Example 3.9",
    spread=0.1,
)
def rod_heat(
    *,
    diameter: Values,
    length: Values,
    conductivity: Values,
    coefficient: Values,
    temperature_difference: Values,
) -> FloatArray:
    """Heat that a rod or a post carries off into the air along its length.

    Parameters
    ----------
    diameter : float or array
        Diameter of the rod, [m], > 0.
    length : float or array
        Length of the rod, its far end giving off nothing, [m], >= 0.
    conductivity : float or array
        Conductivity of the rod, [W/(m K)], > 0.
    coefficient : float or array
        Heat transfer coefficient, [W/(m^2 K)], >= 0.
    temperature_difference : float or array
        Root less air, [K].

    Returns
    -------
    array
        Heat flow into the rod, [W].

    Notes
    -----
    Source: [IncroperaEtAl2007], eqs. 3.76 (far end insulated) and 3.80 (endless rod).
    """
    d, k, h = as_array(diameter), as_array(conductivity), np.abs(as_array(coefficient))
    strength = np.sqrt(h * k * d**3) * (0.5 * np.pi)
    reach: FloatArray = np.tanh(np.sqrt(4.0 * h / (k * magnitude(d))) * as_array(length))
    return strength * reach * as_array(temperature_difference)
