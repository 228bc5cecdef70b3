"""Heat released by what is burnt, given off by hot water, taken by ice, or brought by the sun and a wire.

Released is not captured: how much of it gets into the engine is another figure. Owns no heating value (`fuels.toml`).
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared

FUSION_OF_ICE = 333.6e3
"""Heat of fusion of ice at 273.15 K, [J/kg]; [CRC], from memory."""


@declared(
    quantity="heat released by a flame",
    formula="Q = m LHV/t",
    source="Rajput2005",
    where="chapter 17, fuel power",
    spread=0.05,
)
def heat_released(*, mass_burnt: Values, time: Values, heating_value: Values) -> FloatArray:
    """Mean heat released by a fuel that was weighed before and after.

    Parameters
    ----------
    mass_burnt : float or array
        Mass burnt, [kg], >= 0.
    time : float or array
        Time taken, [s], > 0.
    heating_value : float or array
        Lower heating value, [J/kg], > 0.

    Returns
    -------
    array
        Heat released, [W]; what reaches the engine is a part of it.

    Notes
    -----
    Source: [Rajput2005]. Spirit also evaporates unburnt, wax is also lost as soot: the engine sees less.

    Examples
    --------
    >>> round(float(heat_released(mass_burnt=3.5e-3, time=3600.0, heating_value=43.5e6)))
    42
    """
    return as_array(mass_burnt) * as_array(heating_value) / magnitude(time)


@declared(
    quantity="heat given off by water that cools",
    formula="Q = m c (T1 - T2)",
    source="CRC",
    where="c 4190 J/(kg K), mean from 20 to 95 C",
    valid={"temperature_start": (273.15, 373.15), "temperature_end": (273.15, 373.15)},
    spread=0.01,
)
def water_cooling_heat(*, mass: Values, temperature_start: Values, temperature_end: Values) -> FloatArray:
    """Heat given off by a cup of water between two temperatures.

    Parameters
    ----------
    mass : float or array
        Mass of water, [kg], >= 0.
    temperature_start : float or array
        Temperature at the start, [K].
    temperature_end : float or array
        Temperature at the end, [K].

    Returns
    -------
    array
        Heat, [J]; to the room and to the engine together.

    Notes
    -----
    Source: [CRC]. The specific heat of water stays within 0.3 % of 4190 between 10 and 90 C.

    Examples
    --------
    >>> round(float(water_cooling_heat(mass=0.15, temperature_start=363.15, temperature_end=323.15)) / 1000, 1)
    25.1
    """
    return as_array(mass) * 4190.0 * (as_array(temperature_start) - as_array(temperature_end))


@declared(
    quantity="heat taken up by ice that melts",
    formula="Q = m L",
    source="CRC",
    where="heat of fusion of water; from memory",
    spread=0.01,
)
def melting_heat(*, mass: Values) -> FloatArray:
    """Heat that melts a mass of ice at its melting point.

    Parameters
    ----------
    mass : float or array
        Mass of ice, [kg], >= 0.

    Returns
    -------
    array
        Heat, [J].

    Notes
    -----
    Source: [CRC].

    Examples
    --------
    >>> round(float(melting_heat(mass=0.1)))
    33360
    """
    return as_array(mass) * FUSION_OF_ICE


@declared(
    quantity="electric heat",
    formula="P = U^2/R",
    source="CRC",
    where="Joule's law",
    spread=0.02,
)
def resistor_heat(*, voltage: Values, resistance: Values) -> FloatArray:
    """Heat of a resistor.

    Parameters
    ----------
    voltage : float or array
        Voltage, [V]; the sign does not matter.
    resistance : float or array
        Resistance, [ohm], > 0.

    Returns
    -------
    array
        Heat, [W].

    Notes
    -----
    Joule's law; units as in [CRC].

    Examples
    --------
    >>> float(resistor_heat(voltage=5.0, resistance=5.0))
    5.0
    """
    return as_array(voltage) ** 2 / magnitude(resistance)


@declared(
    quantity="sunlight caught by a lens or a mirror",
    formula="Q = G pi D^2/4",
    source="IncroperaEtAl2007",
    where="definition of irradiation, section 12.3",
    valid={"irradiance": (0.0, 1361.0)},
    spread=0.1,
)
def sun_heat(*, irradiance: Values, diameter: Values) -> FloatArray:
    """Sunlight through a round opening that faces the sun.

    Parameters
    ----------
    irradiance : float or array
        Direct sunlight, about 1000 on a clear noon, [W/m^2], >= 0.
    diameter : float or array
        Diameter of lens or mirror, [m], >= 0.

    Returns
    -------
    array
        Power of the light, [W], before what lens and surface lose.

    Notes
    -----
    Source: [IncroperaEtAl2007].

    Examples
    --------
    >>> round(float(sun_heat(irradiance=1000.0, diameter=0.1)), 2)
    7.85
    """
    return as_array(irradiance) * 0.25 * np.pi * as_array(diameter) ** 2
