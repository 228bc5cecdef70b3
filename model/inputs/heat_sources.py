"""What an unnamed source of heat gives, from the size of the hot end: sun, flame, resistor, hot water, a hand.

Every guess grows with the area that is heated, so that a plate of half a metre in the sun gets what falls on it. What
was typed stands. Ranges say where they come from; "practice" is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from model.inputs.from_measures import heat_of_tealights
from model.inputs.materials import hottest
from model.quantities.constants import STEFAN_BOLTZMANN
from model.quantities.uncertain import Uncertain, between

FLAMES = ("candle", "spirit", "gas")
SUNSHINE = (600.0, 1000.0)
"""W/m^2 on a surface that faces the sun: hazy to clear; 1000 W/m^2 is that of [ASTMG173] and of standard tests."""
CONCENTRATED = 10.0
"""A lens or mirror of an unknown size catches up to so many times the plate's area (practice)."""
SMALL_LENS = 50.0
"""What a lens that is held by hand brings at most, whatever the size of the hot end, [W]: 0.07 m^2 (practice)."""
ABSORBED = (0.4, 0.9)
"""Share of the sun that gets in: lens or window 0.8 to 0.95, black paint 0.9 to 0.97, half of it off focus or grey."""
SPIRIT = (50.0, 200.0)
"""W, a spirit lamp: 7 to 27 g an hour at 26.8 MJ/kg (practice; one of a teaching engine: 167 W)."""
GAS_LEAST, GAS_MOST = 200.0, 1500.0
"""W, the smallest flame that a torch holds and a camping burner (practice)."""
FIRING = (20e3, 100e3)
"""W/m^2 of gas burnt under a wide hot end: household burners, 1.2 to 3 kW under pans of 18 to 26 cm, burn 50 to 60e3 of
bottom (EN 30-2-1, from memory); half to twice as much."""
FLUX = (15e3, 60e3)
"""W/m^2 from a flame into cold metal: half of what burners burn under their pans, give or take a factor of two."""
CAUGHT = {"candle": (0.2, 0.45), "spirit": (0.2, 0.5), "gas": (0.3, 0.6)}
"""Largest share of a flame that a wide bottom takes: household gas burners at least 0.52 (EN 30-2-1, from memory),
spirit stoves 0.33 to 0.53 under a pot (one builder's measurement); an open can in a bare flame less (from memory)."""
FLAME_HEIGHT = 0.05
"""How far up a hot end a flame laps, at most, [m] (practice)."""
STILL_AIR = 7.9
"""Convection to still air, [W/(m^2 K)]: the middle of what the hot end loses by."""
BLACK = 0.8
"""Emissivity of a hot end with its heater (practice)."""
FACE = {**dict.fromkeys(FLAMES, (0.7, 0.95)), "sun": (0.8, 0.97), "electric": (0.1, 0.95)}
"""Emissivity of the hot end's outer face: soot (from memory); black paint, without which the sun hardly gets in; a
heater's back, from covered or bare metal to rubber or film (practice)."""
HOTTEST = 873.15
"""A home-made engine's hot end at its hottest, [K] (practice)."""
INTO_METAL = (0.6, 0.95)
"""Share of a resistor's heat that gets in, its back not insulated or well (practice)."""
TEMPERATURE = {"water": (338.0, 366.0), "hand": (303.0, 307.0)}
"""K; hot water in a mug, skin (hand: from memory)."""
CONTACT = {"water": (100.0, 500.0), "hand": (20.0, 80.0)}
"""W/(m^2 K) from hot water (mostly by condensing steam) or a hand to a plate (practice)."""
PALM = 0.018
"""One hand with its fingers, [m^2]: a hundredth of the skin of a grown person of 1.8 m^2 (the rule of palms, from
memory)."""


MUG = 0.0057
"""Mouth of a mug, [m^2]: 85 mm (practice)."""
DEPTH = (30.0, 60.0)
"""Hot water under a plate that is wider than a mug, [kg/m^2]: 30 to 60 mm deep, a mug's 180 to 300 g (practice)."""


def complete_bath(words: Mapping[str, str], values: dict[str, Uncertain]) -> None:
    """Fill in the mass of hot water under a plate that no mug carries."""
    if words.get("heat_source") == "water" and plate(values) > MUG:
        values.setdefault("water_mass", between(*(deep * plate(values) for deep in DEPTH)))


def complete_source(words: Mapping[str, str], values: dict[str, Uncertain]) -> None:
    """Fill in what the source sets free and how much of it gets in, or its temperature and contact, where not typed."""
    source, v = words.get("heat_source", ""), values
    if source in TEMPERATURE:
        v.setdefault("source_temperature", between(*TEMPERATURE[source]))
    # with the hot metal measured, what the source sets free matters to nothing but a sum nobody asked for
    if "hot_metal" in v:
        return
    if source in FLAMES:
        v.setdefault("heat_released", between(*_flame(source, v)))
        v.setdefault("heat_caught", between(*_caught(source, v)))
    elif source == "electric":
        v.setdefault("heat_released", between(*_resistor(words, v)))
        v.setdefault("heat_caught", between(*INTO_METAL))
    elif source == "sun":
        v.setdefault("heat_released", between(*_sun(v)))
        v.setdefault("heat_caught", between(*ABSORBED))


def contact(words: Mapping[str, str], values: Mapping[str, Uncertain]) -> Uncertain | None:
    """Return the coefficient from water or a hand over the whole plate, [W/(m^2 K)]; less where it outgrows a hand."""
    source = words.get("heat_source", "")
    if source not in CONTACT:
        return None
    low, high = CONTACT[source]
    share = min(PALM / plate(values), 1.0) if source == "hand" else 1.0
    return between(low * share, high * share)


def plate(values: Mapping[str, Uncertain]) -> float:
    """Return the area of the hot end's flat face, [m^2]."""
    return math.pi / 4 * _bore(values) ** 2


def heated(values: Mapping[str, Uncertain]) -> float:
    """Return the face and as much of the side as the hot space sweeps and a flame laps, [m^2]."""
    if "hot_throw" in values:
        travel = 2 * values["hot_throw"].value
    else:
        travel = 2 * values["displacer_throw"].value * values["displacer_beam"].value
    return plate(values) + math.pi * _bore(values) * min(travel, FLAME_HEIGHT)


def _bore(values: Mapping[str, Uncertain]) -> float:
    return values["hot_bore" if "hot_bore" in values else "displacer_bore"].value


def _flame(source: str, values: Mapping[str, Uncertain]) -> tuple[float, float]:
    if source == "candle":
        return heat_of_tealights(values)
    if source == "spirit":
        return SPIRIT
    area = heated(values)
    return max(GAS_LEAST, FIRING[0] * area), max(GAS_MOST, FIRING[1] * area)


def _caught(source: str, values: Mapping[str, Uncertain]) -> tuple[float, float]:
    """Return between which shares of a flame get in: all that a wide bottom takes, less where the flame is wider.

    s = m (1 - exp(-q A/(m Q))): q A of a flame Q much larger than the metal, m of one much smaller.
    """
    area, released = heated(values), max(values["heat_released"].value, 1.0)
    low, high = (
        most * -math.expm1(-flux * area / (most * released)) for flux, most in zip(FLUX, CAUGHT[source], strict=True)
    )
    return low, high


def _resistor(words: Mapping[str, str], values: Mapping[str, Uncertain]) -> tuple[float, float]:
    """Return what holds the bare hot end, in still air, at a quarter to the whole of what its materials stand."""
    room = values["room_temperature"].value
    top = min(hottest(words[part] for part in ("hot_end_material", "wall_material", "displacer_material")), HOTTEST)
    low, high = (_standing(room + share * (top - room), room) * heated(values) for share in (0.25, 1.0))
    return low, high


def _standing(temperature: float, room: float) -> float:
    """Return what still air and radiation take from a hot end, [W/m^2] [IncroperaEtAl2007, chapter 1]."""
    return STILL_AIR * (temperature - room) + BLACK * STEFAN_BOLTZMANN * (temperature**4 - room**4)


def _sun(values: Mapping[str, Uncertain]) -> tuple[float, float]:
    """Return what falls on lens or mirror, or, its size unknown, on the bare plate to a large mirror."""
    if "lens_area" in values:
        caught = values["lens_area"].value
        return SUNSHINE[0] * caught, SUNSHINE[1] * caught
    bare = plate(values)
    return SUNSHINE[0] * bare, max(SUNSHINE[1] * CONCENTRATED * bare, SMALL_LENS)
