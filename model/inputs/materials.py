"""What the model needs to know of the materials that the fields offer; from the tables. No numpy."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache

from model.tables import Material, materials


@cache
def _material(word: str) -> Material:
    return materials()[word]


def conductivity_of(word: str) -> tuple[float, float]:
    """Return the conductivity of a material of the fields, [W/(m K)], and its relative standard uncertainty."""
    return _material(word).conductivity, _material(word).conductivity_spread


def volumetric_capacity_of(word: str) -> float:
    """Return density times specific heat, [J/(m^3 K)]."""
    entry = _material(word)
    return entry.density * entry.specific_heat


def effusivity_of(word: str) -> float:
    """Return the effusivity sqrt(k rho c), [W s^0.5/(m^2 K)]: how much heat a surface takes up in a short time."""
    return math.sqrt(_material(word).conductivity * volumetric_capacity_of(word))


def emissivity_of(word: str) -> tuple[float, float]:
    """Return the total emissivity of a surface, [-], and its relative standard uncertainty."""
    return _material(word).emissivity, _material(word).emissivity_spread


def elasticity_of(word: str) -> tuple[float, float]:
    """Return the modulus of elasticity [Pa] and Poisson's ratio; a modulus of nil where none is known."""
    entry = _material(word)
    return entry.modulus, entry.poisson


def too_hot(word: str, temperature: float) -> str:
    """Return a sentence when a material does not stand a temperature [K], else an empty text."""
    entry = _material(word)
    if temperature <= entry.temperature_max:
        return ""
    return (
        f"{entry.name} stands {entry.temperature_max - 273.15:.0f} C for long, and here it would be at "
        f"{temperature - 273.15:.0f} C: take another material, or less heat."
    )


def hottest(words: Iterable[str]) -> float:
    """Return what all of these materials stand for long, [K]."""
    return min(_material(word).temperature_max for word in words)


def is_metal(word: str) -> bool:
    """Whether a material conducts so well that a thin wall of it has one temperature through its thickness."""
    return _material(word).conductivity > 5
