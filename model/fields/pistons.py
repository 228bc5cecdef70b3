"""Layout, power piston and hot piston. One declaration each, on the attribute; SI."""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Guess, quantity, words
from model.fields.vocabulary import LAYOUTS, PISTON_KINDS, alpha, rubber, solid
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

_DIM = "dimensions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pistons:
    """Layout, power piston and hot piston."""

    layout: str | None = words("Layout", LAYOUTS, pane=_DIM, group="Engine", help="Which way the parts are arranged.")
    piston_kind: str | None = words(
        "Power piston is a",
        PISTON_KINDS,
        pane=_DIM,
        group="Power piston",
        when=lambda b: b.layout != "alpha",
        help="A sliding piston, or a rubber diaphragm with a stiff disc.",
    )
    piston_bore: Uncertain | None = quantity(
        "Piston bore",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 1000),
        usual="6 to 40 mm",
        pane=_DIM,
        group="Power piston",
        around=True,
        drawn_at_least=0.1,
        when=solid,
        help="Inside diameter of the power cylinder (in an alpha: of the cold cylinder).",
        measure="Calliper across the bore, or a thread round the piston: write 50 mm around.",
    )
    diaphragm_rim: Uncertain | None = quantity(
        "Diaphragm rim",
        Kind.LENGTH,
        "mm",
        limits=(2, 1000),
        usual="20 to 60 mm",
        pane=_DIM,
        group="Power piston",
        around=True,
        drawn_at_least=0.3,
        when=rubber,
        help="Diameter at which the rubber is held.",
        measure="Ruler across the opening under the rubber.",
    )
    diaphragm_disc: Uncertain | None = quantity(
        "Diaphragm disc",
        Kind.LENGTH,
        "mm",
        limits=(1, 1000),
        usual="half to three quarters of the rim",
        pane=_DIM,
        group="Power piston",
        around=True,
        drawn_at_least=0.3,
        when=rubber,
        help="Diameter of the stiff disc on the rubber.",
        measure="Ruler across the disc.",
    )
    diaphragm_stiffness: Uncertain | None = quantity(
        "Rubber's spring",
        Kind.STIFFNESS,
        "N/m",
        limits=(0, 1e5),
        usual="5 to 100 N/m",
        pane=_DIM,
        group="Power piston",
        guess=Guess(low=5, high=80),
        when=rubber,
        help="Force for each metre of travel that the rubber pushes back with.",
        measure="Link off, chamber open: grams on the disc over millimetres moved; 1 g/mm is 9.8 N/m.",
    )
    piston_throw: Uncertain | None = quantity(
        "Piston throw (half the stroke)",
        Kind.LENGTH,
        "mm",
        limits=(0.1, 500),
        usual="2 to 15 mm",
        pane=_DIM,
        group="Power piston",
        drawn_at_least=0.2,
        help="Crank radius: from the shaft's axis to the axis of the crank pin. The stroke is twice this.",
        measure="Half of the full travel of the piston, inner to outer dead centre.",
    )
    piston_rod: Uncertain | None = quantity(
        "Piston connecting rod",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="4 to 10 throws",
        pane=_DIM,
        group="Power piston",
        drawn_at_least=0.5,
        help="Length of the piston's connecting rod, pin to pin. Empty: long.",
        measure="Ruler, pin centre to pin centre.",
    )
    piston_length: Uncertain | None = quantity(
        "Piston length",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 500),
        usual="1 to 2 bores",
        pane=_DIM,
        group="Power piston",
        when=solid,
        help="Length of the sealing part of the piston.",
        measure="Calliper.",
    )
    piston_clearance: Uncertain | None = quantity(
        "Piston side clearance",
        Kind.LENGTH,
        "um",
        limits=(0.5, 1000),
        usual="5 to 25 um a side",
        pane=_DIM,
        group="Power piston",
        guess=Guess(low=5, high=30, source="references: piston fit 5-25 um, from memory"),
        when=solid,
        help="Gap between piston and bore on each side; it leaks with its third power.",
        measure="Hard to measure: a drop test or the U-tube (Results) tells it better. Leave empty.",
    )
    hot_bore: Uncertain | None = quantity(
        "Hot bore",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 1000),
        usual="8 to 40 mm",
        pane=_DIM,
        group="Hot piston",
        around=True,
        drawn_at_least=0.1,
        when=alpha,
        help="Inside diameter of the hot cylinder.",
        measure="Calliper across the bore.",
    )
    hot_throw: Uncertain | None = quantity(
        "Hot throw (half the stroke)",
        Kind.LENGTH,
        "mm",
        limits=(0.1, 500),
        usual="5 to 20 mm",
        pane=_DIM,
        group="Hot piston",
        drawn_at_least=0.2,
        when=alpha,
        help="Crank radius of the hot piston.",
        measure="Half of the full travel of the hot piston.",
    )
    hot_rod: Uncertain | None = quantity(
        "Hot connecting rod",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="4 to 10 throws",
        pane=_DIM,
        group="Hot piston",
        drawn_at_least=0.5,
        when=alpha,
        help="Pin to pin. Empty: long.",
        measure="Ruler.",
    )
