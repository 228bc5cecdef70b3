"""How much of the temperature swing a regenerator gives back, and what the heat capacity of its walls takes
away.

A blow is the gas that passes one way in one turn. Called with the transfer units of one blow, whatever the
matrix or gap they come from; owns no Nusselt number.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared


@declared(
    quantity="how much of the swing walls of small heat capacity give back",
    formula="a = eps/(1 + C^-1.47/(12.6 + 7.8/NTU^2)), eps_C = (a^-6.7 + C^-6.7)^(-1/6.7)",
    source="derived here",
    where="fit to the exact periodic solution of the balanced regenerator of Hausen1983; "
    "for C > 1.5 as KaysLondon1984, eps (1 - 1/(9 C^1.93))",
    valid={"ntu": (0.3, 50.0), "capacity_ratio": (0.03, float("inf"))},
    spread=0.03,
)
def effectiveness_with_wall_capacity(*, ntu: Values, capacity_ratio: Values) -> FloatArray:
    r"""Effectiveness of a balanced regenerator whose walls warm and cool with each blow.

    Parameters
    ----------
    ntu : float or array
        Transfer units of one blow, h A/(m cp), [-], >= 0.
    capacity_ratio : float or array
        Heat capacity of the walls that take part over that of the gas of one blow, [-], >= 0.

    Returns
    -------
    array
        Temperature change of the gas over the difference of its two inlets, [-]; no more than the capacity
        ratio.

    Notes
    -----
    The usual correction, :math:`1 - 1/(9 C^{1.93})` of [KaysLondon1984], turns negative below C = 0.32. Walls
    that store little can give back no more than they hold, :math:`\varepsilon \le C`. The form here joins the
    two and stays within 5 % of the exact periodic solution from NTU 0.3 to 50 and C from 0.03 up.

    Examples
    --------
    >>> [round(float(effectiveness_with_wall_capacity(ntu=4.0, capacity_ratio=c)), 2) for c in (0.0, 0.1, 100.0)]
    [0.0, 0.1, 0.67]
    """
    units = np.maximum(as_array(ntu), 1e-6)
    capacity = np.maximum(as_array(capacity_ratio), 1e-6)
    swing = capacity**-1.47 / (12.6 + 7.8 / units**2)
    reached = units / (units + 2.0) / (1.0 + swing)
    # (a^-n + C^-n)^(-1/n) written with the smaller over the larger, which cannot overflow
    low, high = np.minimum(reached, capacity), np.maximum(reached, capacity)
    return low * (1.0 + (low / high) ** 6.7) ** (-1.0 / 6.7)


@declared(
    quantity="how much conduction along a regenerator lowers its transfer units",
    formula="N' = N (1 + l N tanh(x)/x)/(1 + l N), x^2 = N^2 + N/l, N = NTU/2, l = k A/(L C)",
    source="derived here",
    where="exact for equal steady streams and insulated ends; the limit for large N is that of Kroeger 1967",
    spread=0.05,
)
def units_with_conduction(*, ntu: Values, conduction: Values) -> FloatArray:
    """Transfer units that a regenerator without conduction along its wall would need to do as well.

    Parameters
    ----------
    ntu : float or array
        Transfer units of one blow, [-], >= 0.
    conduction : float or array
        Conductance of the wall from end to end over the mean heat capacity flow of one direction (half of that of a
        blow), [-], >= 0.

    Returns
    -------
    array
        Transfer units of one blow, [-].

    Notes
    -----
    With d = Th - Tc the balances give d'' = (N_s^2 + 2 N_s/l) d - 2 N_s/l d(0), N_s = 2 N, and d(0) = d(1) where the
    ends are insulated; effectiveness = 1 - d(0). A regenerator is such an exchanger with half of its units.

    Examples
    --------
    >>> [round(float(units_with_conduction(ntu=4.0, conduction=c)), 2) for c in (0.0, 0.1, 1.0)]
    [4.0, 3.47, 2.41]
    """
    half, share = 0.5 * as_array(ntu), as_array(conduction)
    along = share * half
    x = np.sqrt(half * (half + 1 / np.maximum(share, 1e-9)))
    ends = np.tanh(x) / np.maximum(x, 1e-9)
    return 2 * half * (1 + along * ends) / (1 + along)


@declared(
    quantity="depth of a wall that swings with the gas",
    formula="d = sqrt(2 alpha/omega)",
    source="CarslawJaeger1959",
    where="section 2.6",
    spread=0.0,
)
def thermal_penetration(*, diffusivity: Values, angular_speed: Values) -> FloatArray:
    """Depth to which a swinging temperature enters a wall or a gas.

    Parameters
    ----------
    diffusivity : float or array
        Conductivity over density and specific heat, [m^2/s], >= 0.
    angular_speed : float or array
        Angular speed of the swing; the sign does not matter, [rad/s].

    Returns
    -------
    array
        Depth where the swing has fallen to 37 %, [m]; very large at rest.

    Notes
    -----
    Source: [CarslawJaeger1959]. A wall thinner than this takes part as a whole.

    Examples
    --------
    >>> round(float(thermal_penetration(diffusivity=1.3e-5, angular_speed=31.4)) * 1000, 2)
    0.91
    """
    return np.sqrt(2.0 * as_array(diffusivity) / magnitude(angular_speed))
