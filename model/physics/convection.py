"""Heat from a surface to the air around it: still air about plates and cylinders, and air blown along or
across.

Nusselt numbers as their sources give them, and one coefficient for the outside of an engine in a room. Owns
no duct (`duct`) and no radiation (`radiation`).
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from model.physics import gas as gases
from model.physics.values import FloatArray, Values, as_array, magnitude, smooth_step
from model.quantities.formula import declared

GRAVITY = 9.80665
"""Standard acceleration of free fall, [m/s^2]."""


class Orientation(StrEnum):
    """How a surface stands in the room."""

    VERTICAL = "vertical"
    """A vertical wall; the length is its height."""
    UP = "up"
    """A level plate that faces up; the length is area over perimeter."""
    DOWN = "down"
    """A level plate that faces down; the length is area over perimeter."""
    CYLINDER = "cylinder"
    """A level cylinder or wire; the length is its diameter."""


@declared(
    quantity="Rayleigh number of still air at a surface",
    formula="Ra = g beta |Ts - Troom| L^3/(nu alpha)",
    source="IncroperaEtAl2007",
    where="eq. 9.25",
    spread=0.02,
)
def rayleigh_number(
    *,
    temperature_difference: Values,
    temperature_film: Values,
    length: Values,
    kinematic_viscosity: Values,
    diffusivity: Values,
) -> FloatArray:
    """Rayleigh number: how strongly warmed gas rises.

    Parameters
    ----------
    temperature_difference : float or array
        Surface less room, [K]; the sign does not matter.
    temperature_film : float or array
        Mean of surface and room, whose inverse is the expansion of an ideal gas, [K], > 0.
    length : float or array
        Characteristic length of the surface, [m], > 0.
    kinematic_viscosity : float or array
        Viscosity over density at the film temperature, [m^2/s], > 0.
    diffusivity : float or array
        Conductivity over density and specific heat at the film temperature, [m^2/s], > 0.

    Returns
    -------
    array
        Rayleigh number, [-].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 9.25.
    """
    lift = GRAVITY * np.abs(as_array(temperature_difference)) / as_array(temperature_film)
    return lift * as_array(length) ** 3 / (as_array(kinematic_viscosity) * as_array(diffusivity))


@declared(
    quantity="heat transfer from a vertical wall to still air",
    formula="Nu = (0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))^2",
    source="ChurchillChu1975",
    where="eq. 9; IncroperaEtAl2007 eq. 9.26",
    valid={"rayleigh": (0.1, 1e12)},
    spread=0.1,
)
def nusselt_vertical_plate_churchill_chu_1975(*, rayleigh: Values, prandtl: Values) -> FloatArray:
    """Mean Nusselt number of a vertical plate in still gas, any Rayleigh number.

    Parameters
    ----------
    rayleigh : float or array
        Rayleigh number on the height, [-], >= 0.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Nusselt number on the height, [-].

    Notes
    -----
    Source: [ChurchillChu1975]. Also serves a vertical cylinder thick against its boundary layer; a can of 66
    mm by 115 mm gives some 6 % more than this.

    Examples
    --------
    >>> round(float(nusselt_vertical_plate_churchill_chu_1975(rayleigh=1.814e9, prandtl=0.69)), 1)
    147.1
    """
    shape = (1.0 + (0.492 / as_array(prandtl)) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.825 + 0.387 * np.abs(as_array(rayleigh)) ** (1.0 / 6.0) / shape) ** 2


@declared(
    quantity="heat transfer from a vertical wall to still air, laminar",
    formula="Nu = 0.68 + 0.670 Ra^(1/4)/(1 + (0.492/Pr)^(9/16))^(4/9)",
    source="ChurchillChu1975",
    where="IncroperaEtAl2007 eq. 9.27",
    valid={"rayleigh": (0.0, 1e9)},
    spread=0.05,
)
def nusselt_vertical_plate_laminar_churchill_chu_1975(*, rayleigh: Values, prandtl: Values) -> FloatArray:
    """Mean Nusselt number of a vertical plate in still gas, laminar: the better one for anything can-sized.

    Parameters
    ----------
    rayleigh : float or array
        Rayleigh number on the height, [-], >= 0.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Nusselt number on the height, [-].

    Notes
    -----
    Source: [ChurchillChu1975].

    Examples
    --------
    >>> round(float(nusselt_vertical_plate_laminar_churchill_chu_1975(rayleigh=0.0, prandtl=0.7)), 2)
    0.68
    """
    shape = (1.0 + (0.492 / as_array(prandtl)) ** (9.0 / 16.0)) ** (4.0 / 9.0)
    return 0.68 + 0.670 * np.abs(as_array(rayleigh)) ** 0.25 / shape


@declared(
    quantity="heat transfer from a level plate to still air",
    formula="hot face up: the greater of 0.54 Ra^(1/4) and 0.15 Ra^(1/3); hot face down: 0.27 Ra^(1/4)",
    source="McAdams1954",
    where="IncroperaEtAl2007 eqs. 9.30 to 9.32",
    valid={"rayleigh": (1e4, 1e11)},
    spread=0.15,
)
def nusselt_horizontal_plate_mcadams(*, rayleigh: Values, hot_face_up: bool | FloatArray) -> FloatArray:
    """Mean Nusselt number of a level plate in still gas.

    Parameters
    ----------
    rayleigh : float or array
        Rayleigh number on area over perimeter, [-], >= 0.
    hot_face_up : bool or array
        True where a hot face looks up or a cold face looks down; False where the warm gas is held under the
        plate.

    Returns
    -------
    array
        Nusselt number on area over perimeter, [-].

    Notes
    -----
    Source: [McAdams1954]. Books switch from 0.54 Ra^(1/4) to 0.15 Ra^(1/3) at 1e7, a jump of 6 %; here the
    greater of the two is taken, which crosses without a jump at 4.7e6.

    Examples
    --------
    >>> round(float(nusselt_horizontal_plate_mcadams(rayleigh=1e5, hot_face_up=True)), 2)
    9.6
    """
    ra = np.abs(as_array(rayleigh))
    quarter = ra**0.25
    up = np.maximum(0.54 * quarter, 0.15 * np.cbrt(ra))
    return np.where(hot_face_up, up, 0.27 * quarter)


@declared(
    quantity="heat transfer from a level cylinder to still air",
    formula="Nu = (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2",
    source="ChurchillChu1975b",
    where="IncroperaEtAl2007 eq. 9.34",
    valid={"rayleigh": (1e-5, 1e12)},
    spread=0.1,
)
def nusselt_horizontal_cylinder_churchill_chu(*, rayleigh: Values, prandtl: Values) -> FloatArray:
    """Mean Nusselt number of a level cylinder in still gas.

    Parameters
    ----------
    rayleigh : float or array
        Rayleigh number on the diameter, [-], >= 0.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Nusselt number on the diameter, [-].

    Notes
    -----
    Source: [ChurchillChu1975b].

    Examples
    --------
    >>> round(float(nusselt_horizontal_cylinder_churchill_chu(rayleigh=1.867e6, prandtl=0.7241)), 2)
    17.39
    """
    shape = (1.0 + (0.559 / as_array(prandtl)) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.60 + 0.387 * np.abs(as_array(rayleigh)) ** (1.0 / 6.0) / shape) ** 2


@declared(
    quantity="heat transfer from a cylinder to air blown across it",
    formula="Nu = 0.3 + 0.62 Re^(1/2) Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4) (1 + (Re/282000)^(5/8))^(4/5)",
    source="ChurchillBernstein1977",
    where="IncroperaEtAl2007 eq. 7.54",
    valid={"peclet": (0.2, 1e7)},
    spread=0.15,
)
def nusselt_cylinder_cross_flow_churchill_bernstein(*, reynolds: Values, prandtl: Values) -> FloatArray:
    """Mean Nusselt number of a cylinder in cross flow.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the diameter and the approach velocity, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Nusselt number on the diameter, [-].

    Notes
    -----
    Source: [ChurchillBernstein1977].

    Examples
    --------
    >>> round(float(nusselt_cylinder_cross_flow_churchill_bernstein(reynolds=6071.0, prandtl=0.70)), 1)
    40.6
    """
    re = np.abs(as_array(reynolds))
    pr = as_array(prandtl)
    base = 0.62 * np.sqrt(re) * np.cbrt(pr) / (1.0 + (0.4 / pr) ** (2.0 / 3.0)) ** 0.25
    return 0.3 + base * (1.0 + (re / 282000.0) ** 0.625) ** 0.8


@declared(
    quantity="heat transfer from a plate to air blown along it",
    formula="Nu = 0.664 Re^(1/2) Pr^(1/3)",
    source="IncroperaEtAl2007",
    where="eq. 7.30, mean over the length",
    valid={"reynolds": (1e3, 5e5), "prandtl": (0.6, 50.0)},
    spread=0.1,
)
def nusselt_flat_plate_laminar(*, reynolds: Values, prandtl: Values) -> FloatArray:
    """Mean Nusselt number of a flat plate under a laminar stream.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the length, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Mean Nusselt number on the length, [-].

    Notes
    -----
    Source: [IncroperaEtAl2007], eq. 7.30.

    Examples
    --------
    >>> round(float(nusselt_flat_plate_laminar(reynolds=9597.0, prandtl=0.687)), 1)
    57.4
    """
    return 0.664 * np.sqrt(np.abs(as_array(reynolds))) * np.cbrt(as_array(prandtl))


@declared(
    quantity="heat transfer from the outside of the engine to the room",
    formula="h = Nu k/L, air at the mean of surface and room",
    source="IncroperaEtAl2007",
    where="chapter 9",
    valid={"surface_temperature": (220.0, 1300.0)},
    spread=0.2,
)
def still_air_coefficient(
    *,
    surface_temperature: Values,
    room_temperature: Values,
    length: Values,
    orientation: Orientation | str,
    pressure: Values = gases.ATMOSPHERE,
) -> FloatArray:
    """Heat transfer coefficient between a surface and still room air, without radiation.

    Parameters
    ----------
    surface_temperature : float or array
        Surface temperature, [K], > 0.
    room_temperature : float or array
        Temperature of the room's air, [K], > 0.
    length : float or array
        Height of a wall, area over perimeter of a level plate, or diameter of a level cylinder, [m], > 0.
    orientation : Orientation or str
        How the surface stands.
    pressure : float or array
        Absolute pressure of the room, [Pa], > 0.

    Returns
    -------
    array
        Heat transfer coefficient, [W/(m^2 K)], >= 0; nil for a level plate without a temperature difference.

    Raises
    ------
    ValueError
        The orientation is none of those of `Orientation`.

    Notes
    -----
    Source: [IncroperaEtAl2007], chapter 9, with air at the film temperature. A plate colder than the room
    swaps the faces: its cold face down behaves like a hot face up. A wall turns from the laminar to the
    general form between Rayleigh numbers of 3e8 and 3e9. A room is never quite still; the spread allows for
    it.

    Examples
    --------
    >>> lid = still_air_coefficient(surface_temperature=363.15, room_temperature=293.15,
    ...                             length=0.066 / 4, orientation="up")
    >>> round(float(lid), 1)
    11.0
    """
    facing = Orientation(orientation)
    surface, room = as_array(surface_temperature), as_array(room_temperature)
    film = 0.5 * (surface + room)
    density = gases.density(gas=gases.AIR, temperature=film, pressure=pressure)
    conductivity = gases.conductivity(gas=gases.AIR, temperature=film)
    diffusivity = conductivity / (density * gases.specific_heat(gas=gases.AIR, temperature=film))
    kinematic = gases.viscosity(gas=gases.AIR, temperature=film) / density
    rayleigh = rayleigh_number(
        temperature_difference=surface - room,
        temperature_film=film,
        length=length,
        kinematic_viscosity=kinematic,
        diffusivity=diffusivity,
    )
    prandtl = kinematic / diffusivity
    if facing is Orientation.VERTICAL:
        nusselt = nusselt_vertical_plate_laminar_churchill_chu_1975(rayleigh=rayleigh, prandtl=prandtl)
        general = nusselt_vertical_plate_churchill_chu_1975(rayleigh=rayleigh, prandtl=prandtl)
        turbulent = smooth_step(np.log10(np.maximum(rayleigh, 1.0)), low=8.5, high=9.5)
        nusselt = nusselt + turbulent * (general - nusselt)
    elif facing is Orientation.CYLINDER:
        nusselt = nusselt_horizontal_cylinder_churchill_chu(rayleigh=rayleigh, prandtl=prandtl)
    else:
        rises = (surface >= room) == (facing is Orientation.UP)
        nusselt = nusselt_horizontal_plate_mcadams(rayleigh=rayleigh, hot_face_up=rises)
    return nusselt * conductivity / magnitude(length)
