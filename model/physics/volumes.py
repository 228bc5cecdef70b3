"""Volumes of the hot and the cold space over the turn, from the crank geometry.

The angle is that of the displacer's crank (alpha: the hot piston's), zero where it stands nearest to the hot end.
The power piston follows by the phase: all the air is hot first, the piston is fully out a quarter turn later.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.quantities.formula import declared

FloatArray = NDArray[np.float64]


@declared(
    quantity="position of a piston on a crank",
    formula="x = sqrt((l + r)^2 - e^2) - r cos a - sqrt(l^2 - (r sin a - e)^2)",
    source="KhurmiGupta2005",
    where="slider-crank chain, crank offset by e",
)
def slider_position(
    *,
    angle: FloatArray,
    throw: FloatArray | float,
    rod_ratio: FloatArray | float,
    offset_ratio: FloatArray | float = 0.0,
) -> FloatArray:
    """Distance of a piston from its inner dead centre.

    Parameters
    ----------
    angle : array
        Crank angle from the line of the cylinder, [rad].
    throw : array
        Crank radius, [m], > 0.
    rod_ratio : array
        Throw over length of the connecting rod, [-], 0 (infinite rod, sine motion) to below 1.
    offset_ratio : array
        Offset of the crank's axis from the line of the cylinder over the throw, [-].

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


def diaphragm_area(*, rim_diameter: FloatArray | float, disc_diameter: FloatArray | float) -> FloatArray:
    """Effective area of a rubber diaphragm with a stiff disc: that of the cone it sweeps, [m^2].

    pi/12 (D^2 + D d + d^2).

    Geometry of a truncated cone; common practice, no source, for the rubber staying straight between disc and rim.
    """
    rim, disc = np.asarray(rim_diameter, float), np.asarray(disc_diameter, float)
    return np.asarray(np.pi / 12 * (rim * rim + rim * disc + disc * disc))
