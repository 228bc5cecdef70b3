"""Volumes of the hot and the cold space over the turn, from the crank geometry.

The angle is that of the displacer's crank (alpha: the hot piston's), zero where it stands nearest to the hot end.
The power piston follows by the phase: all the air is hot first, the piston is fully out a quarter turn later.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.why import declared

FloatArray = NDArray[np.float64]


@declared(
    quantity="position of a piston on a crank",
    formula="x = r (1 - cos a) + l - sqrt(l^2 - r^2 sin^2 a)",
    source="KhurmiGupta2005",
    where="slider-crank chain",
)
def slider_position(*, angle: FloatArray, throw: FloatArray | float, rod_ratio: FloatArray | float) -> FloatArray:
    """Distance of a piston from its inner dead centre.

    Parameters
    ----------
    angle : array
        Crank angle from inner dead centre, [rad].
    throw : array
        Crank radius, [m], > 0.
    rod_ratio : array
        Throw over length of the connecting rod, [-], 0 (infinite rod, sine motion) to below 1.

    Returns
    -------
    array
        Distance, between 0 and twice the throw, [m].

    Examples
    --------
    >>> import numpy as np
    >>> float(slider_position(angle=np.array(np.pi), throw=0.01, rod_ratio=0.25))
    0.02
    """
    ratio = np.asarray(rod_ratio, float)
    sine = np.sin(angle)
    # l - sqrt(l^2 - r^2 sin^2) without dividing by the ratio: r q sin^2 / (1 + sqrt(1 - q^2 sin^2))
    oblique = ratio * sine**2 / (1 + np.sqrt(1 - (ratio * sine) ** 2))
    return np.asarray(throw * (1 - np.cos(angle) + oblique))


def diaphragm_area(*, rim_diameter: FloatArray | float, disc_diameter: FloatArray | float) -> FloatArray:
    """Effective area of a rubber diaphragm with a stiff disc: that of the cone it sweeps, [m^2].

    pi/12 (D^2 + D d + d^2).

    Geometry of a truncated cone; common practice, no source, for the rubber staying straight between disc and rim.
    """
    rim, disc = np.asarray(rim_diameter, float), np.asarray(disc_diameter, float)
    return np.asarray(np.pi / 12 * (rim * rim + rim * disc + disc * disc))
