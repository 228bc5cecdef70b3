"""Heat by radiation between grey surfaces, and how it falsifies a thermometer.

Heat is positive from the first surface to the second.
"""

from __future__ import annotations

from model.physics.values import FloatArray, Values, as_array
from model.quantities.constants import STEFAN_BOLTZMANN
from model.quantities.formula import declared


@declared(
    quantity="radiation of a surface to the room",
    formula="h = eps sigma (T1 + T2)(T1^2 + T2^2)",
    source="IncroperaEtAl2007",
    where="eq. 1.9",
    valid={"emissivity": (0.0, 1.0)},
    spread=0.05,
)
def radiative_coefficient(*, emissivity: Values, surface_temperature: Values, room_temperature: Values) -> FloatArray:
    """Radiative heat transfer coefficient of a small surface in a large room.

    Parameters
    ----------
    emissivity : float or array
        Emissivity of the surface, [-], 0 to 1.
    surface_temperature : float or array
        Surface temperature, [K], > 0.
    room_temperature : float or array
        Temperature of the room's walls, [K], > 0.

    Returns
    -------
    array
        Heat transfer coefficient, [W/(m^2 K)].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 1.9. The spread is that of the law; that of the emissivity comes on top.

    Examples
    --------
    >>> h = radiative_coefficient(emissivity=0.9, surface_temperature=363.15, room_temperature=293.15)
    >>> round(float(h), 2)
    7.3
    """
    a, b = as_array(surface_temperature), as_array(room_temperature)
    return as_array(emissivity) * STEFAN_BOLTZMANN * (a + b) * (a * a + b * b)
