"""Volumes of the hot and the cold space over the turn, from the crank geometry.

The angle is that of the displacer's crank (alpha: the hot piston's), zero where it stands nearest to the hot end.
The power piston follows by the phase: all the air is hot first, the piston is fully out a quarter turn later.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array
from model.quantities.formula import declared


@declared(
    quantity="position of a piston on a crank",
    formula="x = sqrt((l + r)^2 - e^2) - r cos a - sqrt(l^2 - (r sin a - e)^2)",
    source="KhurmiGupta2005",
    where="slider-crank chain, crank offset by e",
)
def slider_position(
    *,
    angle: Values,
    throw: Values,
    rod_ratio: Values,
    offset_ratio: Values = 0.0,
) -> FloatArray:
    """Distance of a piston from its inner dead centre.

    Parameters
    ----------
    angle : array
        Crank angle from the line of the cylinder, [rad].
    throw : array
        Crank radius, [m], > 0.
    rod_ratio : array
        Throw over length of the connecting rod, [-], 0 to 1, below 1; 0 is an infinite rod, sine motion.
    offset_ratio : array
        Offset of the crank's axis from the line of the cylinder over the throw, [-], 0 to 1.

    Returns
    -------
    array
        Distance, from 0 at inner dead centre, [m].

    Examples
    --------
    >>> import numpy as np
    >>> float(slider_position(angle=np.array(np.pi), throw=0.01, rod_ratio=0.25))
    0.02
    """
    q, k = np.asarray(rod_ratio, float), np.asarray(offset_ratio, float)
    sine = np.sin(angle)
    # the difference of the two roots, free of a division by the ratio: sine motion is the limit q = 0
    a, b = (k * q / (1 + q)) ** 2, (q * (sine - k)) ** 2
    root = np.sqrt(np.maximum(1 - a, 0.0))
    oblique = q * ((sine - k) ** 2 - (k / (1 + q)) ** 2) / (root + np.sqrt(np.maximum(1 - b, 0.0)))
    return np.asarray(throw * (root - np.cos(angle) + oblique))


@declared(
    quantity="area with which a rubber diaphragm moves air",
    formula="A = pi/12 (D^2 + D d + d^2)",
    source="common practice, no source",
    where="cone between rim and disc: the rubber stays straight",
)
def diaphragm_area(*, rim_diameter: Values, disc_diameter: Values) -> FloatArray:
    """Effective area of a rubber diaphragm with a stiff disc: that of the cone it sweeps.

    Parameters
    ----------
    rim_diameter : float or array
        Where the rubber is held, [m], > 0.
    disc_diameter : float or array
        Of the stiff disc, [m], >= 0.

    Returns
    -------
    array
        Area, [m^2].
    """
    rim, disc = as_array(rim_diameter), as_array(disc_diameter)
    return np.asarray(np.pi / 12 * (rim * rim + rim * disc + disc * disc))
