"""Displacer, its gland, and the clearances at the ends. One declaration each, on the attribute; SI."""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Guess, quantity
from model.fields.pistons import Pistons
from model.fields.vocabulary import cranked, displaced
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

_DIM = "dimensions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Displacer(Pistons):
    """Displacer, its gland, and the clearances at the ends."""

    displacer_bore: Uncertain | None = quantity(
        "Displacer cylinder bore",
        Kind.LENGTH,
        "mm",
        limits=(2, 3000),
        usual="40 to 150 mm",
        pane=_DIM,
        group="Displacer",
        around=True,
        drawn_at_least=0.3,
        when=displaced,
        help="Inside diameter of the cylinder the displacer moves in.",
        measure="Ruler across the can, or a thread round it less the wall: write 210 mm around.",
    )
    displacer_diameter: Uncertain | None = quantity(
        "Displacer diameter",
        Kind.LENGTH,
        "mm",
        limits=(1, 3000),
        usual="bore less 2 to 6 mm",
        pane=_DIM,
        group="Displacer",
        around=True,
        drawn=0.0,
        drawn_at_least=0.3,
        when=displaced,
        help="Outside diameter of the displacer: with the bore it gives the side clearance, which may then stay empty.",
        measure="Calliper, or a thread round it: write 207 mm around.",
    )
    side_clearance: Uncertain | None = quantity(
        "Displacer side clearance",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 100),
        usual="1 to 3 mm",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=1, high=3),
        drawn_at_least=0.2,
        when=displaced,
        help="Gap between displacer and cylinder on each side; it is the heat exchanger of a can engine. Empty: "
        "half of bore less displacer diameter, where that is known.",
        measure="Strips of card that just fit.",
    )
    displacer_offcentre: Uncertain | None = quantity(
        "Displacer to one side",
        Kind.FRACTION,
        "%",
        limits=(0, 100),
        usual="20 to 80 %",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=20, high=80),
        when=displaced,
        help="0 % runs centred in its gap, 100 % touches one wall. An eccentric gap exchanges far less heat.",
        measure="Gap on one side against the other, from above with the lid off.",
    )
    displacer_length: Uncertain | None = quantity(
        "Displacer length",
        Kind.LENGTH,
        "mm",
        limits=(1, 3000),
        usual="2 to 3 strokes (cans), 1 to 2 (flat)",
        pane=_DIM,
        group="Displacer",
        drawn_at_least=0.5,
        when=displaced,
        help="Height of the displacer along its travel.",
        measure="Ruler.",
    )
    displacer_throw: Uncertain | None = quantity(
        "Displacer throw (half the stroke)",
        Kind.LENGTH,
        "mm",
        limits=(0.1, 1000),
        usual="3 to 20 mm",
        pane=_DIM,
        group="Displacer",
        drawn_at_least=0.2,
        when=displaced,
        help="Crank radius of the displacer; its stroke is twice this.",
        measure="Half of the displacer's full travel.",
    )
    displacer_rod: Uncertain | None = quantity(
        "Displacer connecting rod",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="4 to 10 throws",
        pane=_DIM,
        group="Displacer",
        drawn_at_least=0.5,
        when=displaced,
        help="Length of the displacer's link, pin to pin. Empty: long.",
        measure="Ruler.",
    )
    chamber_height: Uncertain | None = quantity(
        "Inside height",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="displacer + stroke + 2 mm",
        pane=_DIM,
        group="Displacer",
        drawn_at_least=0.5,
        when=displaced,
        help="Inside height of the displacer's cylinder, end to end: what displacer and stroke leave is the clearance.",
        measure="Depth of the open can with a ruler or calliper, lid's rim counted.",
    )
    gland_rod: Uncertain | None = quantity(
        "Displacer rod diameter",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 50),
        usual="1 to 3 mm",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=0.8, high=2),
        when=displaced,
        help="Rod that passes through the gland.",
        measure="Calliper.",
        around=True,
    )
    gland_clearance: Uncertain | None = quantity(
        "Gland clearance",
        Kind.LENGTH,
        "um",
        limits=(1, 1000),
        usual="20 to 100 um a side",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=15, high=90),
        when=displaced,
        help="Gap round the displacer rod on each side; it leaks with its third power.",
        measure="Next drill size up less the rod, halved. A U-tube half-time (Results) tells it better.",
    )
    gland_length: Uncertain | None = quantity(
        "Gland length",
        Kind.LENGTH,
        "mm",
        limits=(0.3, 500),
        usual="5 to 15 mm",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=5, high=15),
        when=displaced,
        help="Length of the bush that guides the rod.",
        measure="Ruler.",
    )
    displacer_mass: Uncertain | None = quantity(
        "Displacer mass",
        Kind.MASS,
        "g",
        limits=(0.01, 1e5),
        usual="5 to 50 g",
        pane=_DIM,
        group="Displacer",
        drawn=0.05,
        when=displaced,
        help="Displacer with its rod. The wheel must lift it once a turn, unless a counterweight does.",
        measure="Kitchen scale.",
    )
    end_clearance_hot: Uncertain | None = quantity(
        "End clearance, hot",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 200),
        usual="about 1 mm",
        pane=_DIM,
        group="Clearances",
        guess=Guess(low=0.7, high=3),
        drawn_at_least=0.3,
        when=cranked,
        help="Smallest distance between displacer (or hot piston) and the hot end.",
        measure="Push by hand to the end of travel and see how much further it would go.",
    )
    end_clearance_cold: Uncertain | None = quantity(
        "End clearance, cold",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 200),
        usual="about 1 mm",
        pane=_DIM,
        group="Clearances",
        guess=Guess(low=0.7, high=3),
        drawn_at_least=0.3,
        when=cranked,
        help="Smallest distance at the cold end: displacer to lid (beta: to the piston; alpha: piston to head).",
        measure="As at the hot end.",
    )
    dead_volume_hot: Uncertain | None = quantity(
        "More dead volume, hot",
        Kind.VOLUME,
        "ml",
        limits=(0, 1e6),
        usual="0 to 5 ml",
        pane=_DIM,
        group="Clearances",
        when=cranked,
        help="Hot space that nothing sweeps, beyond the end clearance.",
        measure="Fill it with water and weigh: write 5 g water.",
    )
    dead_volume_cold: Uncertain | None = quantity(
        "More dead volume, cold",
        Kind.VOLUME,
        "ml",
        limits=(0, 1e6),
        usual="1 to 10 ml",
        pane=_DIM,
        group="Clearances",
        when=cranked,
        help="Cold space that nothing sweeps: ports, corners, space under the piston.",
        measure="Fill it with water and weigh: write 5 g water.",
    )
