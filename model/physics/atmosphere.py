"""The air around the engine: pressure by height.

Owns only the standard atmosphere; the weather's pressure is a reading and comes from elsewhere.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array
from model.quantities.formula import declared


@declared(
    quantity="standard pressure at a height above the sea",
    formula="p = 101325 (1 - 0.0065 H/288.15)^5.25588",
    source="ISO2533",
    where="troposphere, geopotential height",
    valid={"altitude": (-2000.0, 11000.0)},
    spread=0.01,
)
def standard_pressure(*, altitude: Values) -> FloatArray:
    r"""Pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array
        Geopotential height above the sea, [m]; within 1 m of the surveyed height up to 2500 m.

    Returns
    -------
    array
        Absolute pressure, [Pa].

    Notes
    -----
    .. math:: p = p_0 (1 - L H/T_0)^{g M/(R L)}

    Source: [ISO2533]. Weather moves the true pressure by about 1 % either way. Above the troposphere the form
    is carried on with the temperature held at its value at 11 km, so that it stays above zero.

    Examples
    --------
    >>> round(float(standard_pressure(altitude=2000.0)), 1)
    79495.2
    """
    height = as_array(altitude)
    below = np.minimum(height, 11000.0)
    temperature = 288.15 - 0.0065 * below
    # g/(R L) and g/R with g 9.80665 m/s2 and R 287.05287 J/(kg K), the constants of the standard
    pressure = 101325.0 * (temperature / 288.15) ** (9.80665 / (287.05287 * 0.0065))
    return pressure * np.exp(-9.80665 / 287.05287 * (height - below) / 216.65)
