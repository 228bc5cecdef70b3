"""Hot side, cold side, room. One declaration each, on the attribute; SI."""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Guess, quantity, words
from model.fields.vocabulary import COLD_SIDES, HEAT_SOURCES
from model.fields.walls import Walls
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

_HEAT = "heat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat(Walls):
    """Hot side, cold side, room."""

    heat_source: str | None = words("Heat source", HEAT_SOURCES, pane=_HEAT, group="Hot side", help="What heats it.")
    tealights: Uncertain | None = quantity(
        "Tea-lights",
        Kind.NUMBER,
        "",
        limits=(1, 100),
        drawn=0.0,
        usual="1 to 4",
        pane=_HEAT,
        group="Hot side",
        when=lambda b: b.heat_source == "candle",
        help="How many tea-lights burn under it. Empty: one.",
        measure="Count them.",
    )
    lens_area: Uncertain | None = quantity(
        "Lens or mirror",
        Kind.AREA,
        "cm2",
        limits=(1, 1e6),
        drawn=0.05,
        usual="50 to 100 cm2 a hand lens, 1000 to 5000 cm2 a mirror",
        pane=_HEAT,
        group="Hot side",
        when=lambda b: b.heat_source == "sun",
        help="Area that catches the sun and throws it on the hot end. Without a lens, write the hot end's own. Empty: "
        "from the bare hot end to ten times its area.",
        measure="Ruler: of a round lens, diameter squared times 0.785.",
    )
    heat_released: Uncertain | None = quantity(
        "Heat released",
        Kind.POWER,
        "W",
        limits=(0, 1e5),
        usual="30 to 42 W a tea-light",
        by_source={
            "spirit": {"usual": "50 to 200 W a spirit lamp, 7 to 27 g an hour"},
            "gas": {"usual": "200 to 1500 W a gas flame, 60 kW on each m2 of a wide hot end"},
            "electric": {
                "usual": "2 to 10 W a flat engine, 20 to 200 W a hot one",
                "measure": "Volts times amperes, while it is on.",
            },
            "sun": {
                "usual": "600 to 1000 W on each m2 of lens, mirror or bare hot end",
                "measure": "Area that catches the sun times 600 to 1000 W/m2, hazy to clear.",
            },
        },
        pane=_HEAT,
        group="Hot side",
        drawn=0.15,
        when=lambda b: b.heat_source in ("candle", "spirit", "gas", "electric", "sun", None),
        help="Heat set free by the source, whether it gets in or not.",
        measure="Weigh before and after: 1 g of wax an hour is 12 W, 1 g of spirit an hour 7.4 W.",
    )
    heat_caught: Uncertain | None = quantity(
        "Share that gets in",
        Kind.FRACTION,
        "%",
        limits=(0.1, 100),
        usual="10 to 50 % of a flame, 40 to 90 % of the sun",
        pane=_HEAT,
        group="Hot side",
        when=lambda b: b.heat_source in ("candle", "spirit", "gas", "electric", "sun", None),
        help="Share of the released heat that enters the hot end while it is cold.",
        measure="Heat a known mass of water in the same can with the same flame for ten minutes.",
    )
    source_temperature: Uncertain | None = quantity(
        "Water or hand temperature",
        Kind.TEMPERATURE,
        "C",
        limits=(0, 120),
        usual="60 to 95 C water, 32 C hand",
        pane=_HEAT,
        group="Hot side",
        drawn=0.0,
        drawn_at_least=1.5,
        when=lambda b: b.heat_source in ("water", "hand"),
        help="Temperature of the water or the hand, not of the metal.",
        measure="Kitchen thermometer in the water.",
    )
    water_mass: Uncertain | None = quantity(
        "Hot water",
        Kind.MASS,
        "g",
        limits=(1, 1e6),
        usual="150 to 300 g a mug",
        pane=_HEAT,
        group="Hot side",
        guess=Guess(low=180, high=300),
        drawn=0.05,
        when=lambda b: b.heat_source == "water",
        help="Mass of hot water: how long it lasts.",
        measure="Weigh the mug full and empty; 1 ml is 1 g.",
    )
    hot_metal: Uncertain | None = quantity(
        "Hot metal, measured",
        Kind.TEMPERATURE,
        "C",
        limits=(-50, 1200),
        usual="40 to 90 C flat, 150 to 450 C flame",
        pane=_HEAT,
        group="Hot side",
        drawn=0.01,
        drawn_at_least=2,
        help="Temperature of the hot metal while it runs, if measured. Empty: worked out from the heat that gets in.",
        measure="Thermocouple wire under a screw; an infra-red gun only on matt paint or tape.",
    )
    cold_side: str | None = words("Cold side", COLD_SIDES, pane=_HEAT, group="Cold side", help="What cools it.")
    ice_mass: Uncertain | None = quantity(
        "Ice",
        Kind.MASS,
        "g",
        limits=(1, 1e6),
        usual="50 to 150 g",
        pane=_HEAT,
        group="Cold side",
        guess=Guess(low=50, high=150),
        drawn=0.1,
        when=lambda b: b.cold_side == "ice",
        help="Mass of ice: how long it lasts.",
        measure="Kitchen scale.",
    )
    cold_area: Uncertain | None = quantity(
        "Cooling surface",
        Kind.AREA,
        "cm2",
        limits=(0.1, 1e6),
        usual="50 to 500 cm2",
        pane=_HEAT,
        group="Cold side",
        drawn=0.1,
        help="Outer surface that gives off the heat, with fins.",
        measure="Ruler.",
    )
    cold_metal: Uncertain | None = quantity(
        "Cold metal, measured",
        Kind.TEMPERATURE,
        "C",
        limits=(-50, 600),
        usual="20 to 80 C",
        pane=_HEAT,
        group="Cold side",
        drawn=0.01,
        drawn_at_least=1.5,
        help="Temperature of the cold metal while it runs, if measured. Empty: worked out from the cooling.",
        measure="Thermocouple wire; or a finger: 50 C can be touched for a second or two.",
    )
    room_temperature: Uncertain | None = quantity(
        "Room",
        Kind.TEMPERATURE,
        "C",
        limits=(-40, 60),
        usual="15 to 25 C",
        pane=_HEAT,
        group="Room",
        drawn=0.0,
        drawn_at_least=1,
        guess=Guess(low=16, high=24),
        help="Air temperature of the room.",
        measure="Thermometer.",
    )
    altitude: Uncertain | None = quantity(
        "Altitude",
        Kind.LENGTH,
        "m",
        limits=(-430, 6000),
        usual="0 to 1500 m",
        pane=_HEAT,
        group="Room",
        drawn=0.0,
        drawn_at_least=20,
        help="Height of the place above the sea; stands in for the air pressure.",
        measure="A map.",
    )
    room_pressure: Uncertain | None = quantity(
        "Air pressure",
        Kind.PRESSURE,
        "hPa",
        limits=(400, 1100),
        usual="950 to 1030 hPa",
        pane=_HEAT,
        group="Room",
        drawn=0.003,
        help="Pressure of the air where the engine stands, not reduced to sea level.",
        measure="A telephone's barometer; about 12 hPa less for each 100 m of height.",
    )
