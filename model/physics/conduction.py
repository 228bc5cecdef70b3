"""Heat that runs along walls, posts and plates, and what a moving displacer carries from hot to cold.

Heat is positive from hot to cold, that is with a positive temperature difference.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared


@declared(
    quantity="heat conductance of a wall, a post or a plate",
    formula="K = k A/L",
    source="IncroperaEtAl2007",
    where="eq. 3.6",
    spread=0.0,
)
def conductance(*, conductivity: Values, area: Values, length: Values) -> FloatArray:
    """Heat conductance of a straight path of even section.

    Parameters
    ----------
    conductivity : float or array
        Thermal conductivity, [W/(m K)], >= 0.
    area : float or array
        Section across the flow of heat, [m^2], >= 0.
    length : float or array
        Length along the flow of heat: thickness of a plate, height of a wall, [m], > 0.

    Returns
    -------
    array
        Conductance, [W/K].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 3.6.

    Examples
    --------
    >>> round(float(conductance(conductivity=160.0, area=1e-4, length=0.016)), 6)
    1.0
    """
    return as_array(conductivity) * as_array(area) / magnitude(length)


@declared(
    quantity="length of a wall that gives off heat as hot as its root",
    formula="L' = tanh(m L)/m, m = sqrt(h/(k t))",
    source="IncroperaEtAl2007",
    where="eq. 3.76 and table 3.4, adiabatic tip; one face gives off heat",
    spread=0.1,
)
def fin_length(*, length: Values, coefficient: Values, conductivity: Values, thickness: Values) -> FloatArray:
    """Length of a wall at its root's temperature that gives off as much as a wall that cools along its length.

    Parameters
    ----------
    length : float or array
        Length of the wall, [m], > 0.
    coefficient : float or array
        Heat transfer coefficient on one face, [W/(m^2 K)], > 0.
    conductivity : float or array
        Thermal conductivity, [W/(m K)], >= 0.
    thickness : float or array
        Thickness, or section over the girth that gives off heat, [m], > 0.

    Returns
    -------
    array
        Length, [m], at most `length`; nil for a wall that does not conduct.

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 3.76 and table 3.4: adiabatic tip.

    Examples
    --------
    A long rod of stainless steel, 5 mm thick, 100 W/(m^2 K), 75 K (Incropera's example 3.9, from memory: 1.56 W):

    >>> long = fin_length(length=1.0, coefficient=100.0, conductivity=14.0, thickness=0.005 / 4)
    >>> round(float(100.0 * np.pi * 0.005 * long * 75.0), 2)
    1.56
    """
    root = np.sqrt(as_array(conductivity) * magnitude(thickness) / magnitude(coefficient))
    return np.asarray(root * np.tanh(magnitude(length) / np.maximum(root, 1e-9)))


@declared(
    quantity="conductances one behind the other",
    formula="1/K = 1/K1 + 1/K2",
    source="IncroperaEtAl2007",
    where="section 3.1.2",
    spread=0.0,
)
def in_series(*, first: Values, second: Values) -> FloatArray:
    """Conductance of two paths one behind the other.

    Parameters
    ----------
    first : float or array
        Conductance of the first, [W/K], >= 0.
    second : float or array
        Conductance of the second, [W/K], >= 0.

    Returns
    -------
    array
        Conductance of both, [W/K]; nil when either is nil.

    Notes
    -----
    Source: [IncroperaEtAl2007], section 3.1.2. Paths side by side simply add.

    Examples
    --------
    >>> float(in_series(first=2.0, second=2.0)), float(in_series(first=0.0, second=0.0))
    (1.0, 0.0)
    """
    a, b = as_array(first), as_array(second)
    low, high = np.minimum(a, b), np.maximum(a, b)
    return low / (1.0 + low / np.maximum(high, 1e-300))


@declared(
    quantity="heat that the moving displacer carries",
    formula="Q = (pi/8) k D S^2 dT/(G L)",
    source="ZimmermanLongsworth1971",
    where="sine motion, thick walls; from memory; the constant derived here",
    valid={"stroke_over_length": (0.0, 1.0)},
    spread=0.3,
)
def shuttle_loss(
    *,
    gas_conductivity: Values,
    diameter: Values,
    stroke: Values,
    gap: Values,
    length: Values,
    temperature_difference: Values,
) -> FloatArray:
    r"""Heat that a displacer picks up at the hot end of its stroke and gives off at the cold end.

    Parameters
    ----------
    gas_conductivity : float or array
        Conductivity of the gas in the gap, [W/(m K)], > 0.
    diameter : float or array
        Displacer diameter, [m], > 0.
    stroke : float or array
        Full stroke, [m], >= 0.
    gap : float or array
        Radial gap, [m], > 0.
    length : float or array
        Length of displacer over which the temperature falls, [m], > 0.
    temperature_difference : float or array
        Hot end less cold end, [K].

    Returns
    -------
    array
        Heat flow, [W], positive from hot to cold.

    Notes
    -----
    Shifted by x a displacer stands against a wall :math:`x\,\Delta T/L` colder, and its own surface carries
    the difference along: perimeter times :math:`k/G` times :math:`\Delta T/L` times the mean square
    displacement :math:`S^2/8`. Source: [ZimmermanLongsworth1971]. Walls that store little heat shuttle less:
    an upper bound.

    Examples
    --------
    >>> loss = shuttle_loss(gas_conductivity=0.027, diameter=0.1, stroke=0.006, gap=0.0015, length=0.012,
    ...                     temperature_difference=40.0)
    >>> round(float(loss), 3)
    0.085
    """
    side = as_array(gas_conductivity) * as_array(diameter) / magnitude(gap)
    return (np.pi / 8.0) * side * as_array(stroke) ** 2 * as_array(temperature_difference) / magnitude(length)
