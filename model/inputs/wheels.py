"""A wheel that nobody weighed: a range by its size and by the stroke that it carries. Imports no numpy."""

from __future__ import annotations

from collections.abc import Mapping

from model.quantities.uncertain import Uncertain, between
from model.quantities.wheel import moment_of_inertia

SIZE = 0.12
"""Diameter of the wheels that are told next, [m]; others weigh as the square of theirs."""
LIGHT, HEAVY = 0.014, 0.27
"""The lightest compact disc by its standard [ECMA130], [kg]; a steel disc of 3 mm: common practice, no source."""
CARRIED, CARRIED_ALPHA = 0.1, 0.3
"""Energy that a turn takes up and gives back, over room pressure times the piston's swept volume, by this model: of a
displacer engine 0.002 to 0.2, of an alpha 0.15 to 0.33, over the measured engines and the starts."""
BORE, THROW = 0.1, 0.01
"""Bore and throw up to which a wheel is as wide as its field guesses, [m]; above, in proportion to the larger: common
practice, no source."""
PIN_SPEED = 0.3
"""Speed of the crank pin at which a small engine works best, [m/s]; common practice, no source."""
TO_SPARE = 10.0
"""Builders of large engines fit a wheel that carries the stroke at that speed, up to ten times; common practice, no
source."""
PRESSURE = 101325.0


def usual_size(guess: Uncertain, *, bore: float, throw: float) -> Uncertain:
    """Return the diameter of a wheel that nobody measured, [m]: `guess` on a small engine, wider on a larger one."""
    return guess.scaled(max(1.0, bore / BORE, throw / THROW))


def usual_wheel(values: Mapping[str, Uncertain], *, swept: float, alpha: bool) -> Uncertain:
    """Return the mass of a wheel that nobody weighed, [kg]: by its size and by what it carries; hardly any too light.

    Parameters
    ----------
    values : mapping
        With ``wheel_diameter`` and ``piston_throw``, SI.
    swept : float
        Swept volume of the power piston, [m^3].
    alpha : bool
        Whether there are two pistons.
    """
    wide, throw = values["wheel_diameter"].value, values["piston_throw"].value
    speed = PIN_SPEED / throw
    carried = CARRIED_ALPHA if alpha else CARRIED
    carrying = carried * PRESSURE * swept / (moment_of_inertia(mass=1.0, diameter=wide) * speed**2)
    by_size = (wide / SIZE) ** 2
    return between(max(LIGHT * by_size, carrying), max(HEAVY * by_size, TO_SPARE * carrying))
