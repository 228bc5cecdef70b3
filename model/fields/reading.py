"""The fields of readings: what was measured at the bench, with its conditions. One declaration each.

Which kind of reading asks for which of them is declared with the kind (`model.bench.kinds`).
"""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Choice, Guess, free_text, quantity, words
from model.fields.vocabulary import COLD_SIDES, HEAT_SOURCES
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

DIRECTIONS = (
    Choice(key="forward", label="displacer ahead", help="the way in which the displacer goes ahead"),
    Choice(key="backward", label="the other way"),
    Choice(key="either", label="either way"),
)
BOUNCES = (Choice(key="yes", label="yes"), Choice(key="weak", label="weak"), Choice(key="no", label="no"))
STOPS = (Choice(key="same", label="same angle each time"), Choice(key="random", label="anywhere"))
CHANGES_TRIED = (
    Choice(key="ice", label="ice above, boiling water or flame below"),
    Choice(key="other_way", label="the other way round"),
    Choice(key="shorter_throw", label="piston throw halved"),
)
OUTCOMES = (
    Choice(key="ran", label="ran"),
    Choice(key="longer", label="coasted longer"),
    Choice(key="same", label="no change"),
)
WARMTHS = (Choice(key="cold", label="cold"), Choice(key="hot", label="hot"))
CLOSED, OPENED, UNLINKED, PISTON_OFF = "closed", "opened", "unlinked", "piston_off"
STANDINGS = (
    Choice(key=CLOSED, label="whole and closed", help="friction and what the air takes or gives, together"),
    Choice(key=OPENED, label="opened, all linked", help="lid off or a joint open 1 mm, no compression: friction alone"),
    Choice(key=UNLINKED, label="opened, displacer unlinked", help="friction of piston, crank and bearings alone"),
    Choice(key=PISTON_OFF, label="opened, piston unlinked", help="friction of displacer, crank and bearings alone"),
)
"""How an engine stands for a spin-down, with ever less to slow it; an empty field is the first."""

WHAT, WHEN = "What was measured", "Conditions"
"""Headings of the form."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFields:
    """What can be written down in a reading; SI. `model.bench.kinds` says which kind asks for which field."""

    kind: str | None = words("Reading", (), group=WHAT, help="What was measured.")
    """The words that it takes are the kinds, which are declared from these fields: see `ReadingValues`."""
    turns: Uncertain | None = quantity(
        "Turns counted",
        Kind.COUNT,
        "turns",
        limits=(0, 1e7),
        drawn=0.0,
        drawn_at_least=0.5,
        group=WHAT,
        by_kind=True,
        usual="20 to 200 turns",
        help="Whole turns counted. For free turns: turns until it stops.",
        measure="A stripe on the wheel; spokes or two stripes double the count.",
    )
    time: Uncertain | None = quantity(
        "Time",
        Kind.TIME,
        "s",
        limits=(0.01, 1e6),
        drawn=0.0,
        drawn_at_least=0.3,
        group=WHAT,
        by_kind=True,
        usual="10 to 60 s",
        help="Time for those turns (speed, free turns), for the fall (drop), or to half the level (U-tube).",
        measure="Stopwatch; starting and stopping by hand costs about 0.3 s.",
    )
    run_time: Uncertain | None = quantity(
        "Ran for",
        Kind.TIME,
        "min",
        limits=(0.01, 1e5),
        drawn=0.0,
        drawn_at_least=0.5,
        group=WHAT,
        by_kind=True,
        usual="10 to 60 min on a mug",
        help="From its first turns until it stopped by itself, without a load, as the water cooled or the ice melted.",
        measure="Clock: note when it begins to turn and when it stands still.",
    )
    tachometer: Uncertain | None = quantity(
        "Tachometer",
        Kind.ROTATION,
        "rpm",
        limits=(0, 1e5),
        drawn=0.005,
        drawn_at_least=0.5,
        group=WHAT,
        by_kind=True,
        usual="30 to 1000 rpm",
        help="Speed as shown by a tachometer or sensor, instead of turns and time.",
        measure="One stripe only.",
    )
    force_tight: Uncertain | None = quantity(
        "Larger force",
        Kind.FORCE,
        "g",
        limits=(0, 1e7),
        drawn=0.02,
        drawn_at_least=0.5,
        group=WHAT,
        by_kind=True,
        usual="1 to 200 g",
        help="Force on the tight side of the brake (a hanging weight, or the scale that reads more).",
        measure="Read both forces and the speed at the same moment.",
    )
    force_slack: Uncertain | None = quantity(
        "Smaller force",
        Kind.FORCE,
        "g",
        limits=(0, 1e7),
        drawn=0.02,
        drawn_at_least=0.5,
        group=WHAT,
        by_kind=True,
        usual="0 to 50 g",
        help="Force on the slack side; 0 for an arm on a scale.",
        measure="Spring balance or scale.",
    )
    radius: Uncertain | None = quantity(
        "Radius",
        Kind.LENGTH,
        "mm",
        limits=(0.1, 5000),
        drawn_at_least=0.2,
        group=WHAT,
        usual="5 to 100 mm",
        by_kind=True,
        help="Brake: drum radius plus half the rope, or the arm. Grams on the rim: where the weight hangs.",
        measure="Ruler from the shaft's axis.",
    )
    weight: Uncertain | None = quantity(
        "Weight",
        Kind.MASS,
        "g",
        limits=(0, 1e6),
        drawn=0.05,
        drawn_at_least=0.1,
        group=WHAT,
        usual="0.5 to 20 g",
        by_kind=True,
        help="Grams at the rim that just turn it; the mass of the piston that drops; or the grams on the disc.",
        measure="Kitchen scale.",
    )
    fall: Uncertain | None = quantity(
        "Fall",
        Kind.LENGTH,
        "mm",
        limits=(0.1, 5000),
        drawn_at_least=0.5,
        group=WHAT,
        usual="10 to 40 mm",
        by_kind=True,
        help="How far the piston fell in that time.",
        measure="Ruler.",
    )
    bounce: str | None = words(
        "Springs back",
        BOUNCES,
        group=WHAT,
        by_kind=True,
        help="Turned by hand to mid compression and let go: does it spring back?",
    )
    warmth: str | None = words(
        "Engine was",
        WARMTHS,
        group=WHAT,
        by_kind=True,
        help="Free turns hot less free turns cold is the earliest sign that the heat does something.",
    )
    stood: str | None = words(
        "Engine stood",
        STANDINGS,
        group=WHAT,
        by_kind=True,
        help="Whole and closed when empty. Opened less unlinked is the displacer, its rod and gland.",
        measure="Open it cold. The same wheel each time; flick as hard.",
    )
    swing: Uncertain | None = quantity(
        "Pressure swing",
        Kind.PRESSURE,
        "cm water",
        limits=(0, 1000),
        drawn=0.05,
        drawn_at_least=0.2,
        group=WHAT,
        by_kind=True,
        usual="1 to 60 cm water",
        help="Highest less lowest level, both legs together, of a water U-tube on the chamber.",
        measure="Hose of 2 mm; vent while it warms and cools, close it only for the swing; a water trap before it.",
    )
    hose: Uncertain | None = quantity(
        "Hose bore",
        Kind.LENGTH,
        "mm",
        limits=(0, 20),
        drawn_at_least=0.1,
        group=WHAT,
        by_kind=True,
        usual="2 to 6 mm",
        guess=Guess(low=2, high=4, source="the 2 mm asked for, or air line of 4 mm: common practice, no source"),
        help="Inside, of the U-tube: its water takes up air, the wider the more. 0: a pressure sensor.",
        measure="The largest drill whose shank goes in, or as printed on the hose.",
        around=True,
    )
    stops: str | None = words(
        "It stops",
        STOPS,
        group=WHAT,
        by_kind=True,
        help="The same angle each time: balance or a tight spot. Anywhere: too little energy.",
    )
    angle: Uncertain | None = quantity(
        "Displacer leads by",
        Kind.ANGLE,
        "deg",
        limits=(-360, 360),
        drawn=0.0,
        drawn_at_least=4,
        group=WHAT,
        by_kind=True,
        usual="80 to 110 deg",
        help="Angle by which the displacer's crank goes ahead of the piston's in the direction you turn it.",
        measure="Photo along the shaft; minus when it follows.",
    )
    travel: Uncertain | None = quantity(
        "Travel",
        Kind.LENGTH,
        "mm",
        limits=(0.01, 2000),
        drawn_at_least=0.3,
        group=WHAT,
        by_kind=True,
        usual="5 to 40 mm",
        help="Full stroke of the displacer; or how far the grams pushed the disc.",
        measure="Ruler.",
    )
    trial: str | None = words("Tried", CHANGES_TRIED, group=WHAT, by_kind=True, help="The one thing that was changed.")
    outcome: str | None = words("It then", OUTCOMES, group=WHAT, by_kind=True, help="What it did with that change.")
    direction: str | None = words(
        "Direction",
        DIRECTIONS,
        group=WHEN,
        by_kind=True,
        help="Which way it turned.",
    )
    minutes: Uncertain | None = quantity(
        "Since lighting",
        Kind.TIME,
        "min",
        limits=(0, 1e5),
        drawn=0.0,
        drawn_at_least=0.5,
        group=WHEN,
        usual="2 to 30 min",
        help="Minutes since the flame was lit.",
        by_source={
            "water": {"label": "Since pouring", "help": "Minutes since the hot water was poured."},
            **{
                source: {"label": "Since heating", "help": "Minutes since the heat came on."}
                for source in ("electric", "sun", "hand")
            },
        },
        measure="Clock.",
    )
    hot_metal: Uncertain | None = quantity(
        "Hot metal",
        Kind.TEMPERATURE,
        "C",
        limits=(-50, 1200),
        drawn=0.01,
        drawn_at_least=2,
        group=WHEN,
        usual="40 to 450 C",
        help="Temperature of the hot metal at that moment.",
        measure="Wire under a screw; an infra-red gun only on matt paint or tape.",
    )
    cold_metal: Uncertain | None = quantity(
        "Cold metal",
        Kind.TEMPERATURE,
        "C",
        limits=(-50, 600),
        drawn=0.01,
        drawn_at_least=1.5,
        group=WHEN,
        usual="15 to 80 C",
        help="Temperature of the cold metal at that moment.",
        measure="Wire; or matt tape.",
    )
    room_temperature: Uncertain | None = quantity(
        "Room",
        Kind.TEMPERATURE,
        "C",
        limits=(-40, 60),
        drawn=0.0,
        drawn_at_least=1,
        group=WHEN,
        usual="15 to 25 C",
        help="Air of the room.",
        measure="Thermometer away from the flame.",
    )
    heat_source: str | None = words("Heat", HEAT_SOURCES, group=WHEN, help="What heated it.")
    cold_side: str | None = words("Cold side", COLD_SIDES, group=WHEN, help="What cooled it.")
    mark: str | None = free_text("Mark", group=WHEN, help="Number of the mark; empty: the entry's.")
    note: str | None = free_text("Remark", group=WHEN, help="Anything else about this reading.")


CONDITIONS = ("minutes", "hot_metal", "cold_metal", "room_temperature", "heat_source", "cold_side", "direction")
"""Fields that describe the moment; last time's are offered, unconfirmed."""
HOT_CONDITIONS = ("minutes", "hot_metal", "cold_metal", "heat_source")
"""Those of them that an engine at rest and cold has not."""
