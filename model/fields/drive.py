"""Crank, wheel, passage, and uncommon drives. One declaration each, on the attribute; SI."""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.displacer import Displacer
from model.fields.field import Guess, quantity
from model.fields.vocabulary import displaced
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

_DIM = "dimensions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive(Displacer):
    """Crank, wheel, passage, and uncommon drives."""

    phase: Uncertain | None = quantity(
        "Crank angle",
        Kind.ANGLE,
        "deg",
        limits=(-360, 360),
        usual="80 to 110 deg",
        pane=_DIM,
        group="Crank",
        guess=Guess(low=80, high=100),
        drawn=0.0,
        drawn_at_least=3,
        help="Angle by which the displacer's crank (alpha: the hot piston's) goes ahead of the power piston's crank.",
        measure="Photo along the shaft; a bent wire is seldom at 90 deg.",
    )
    cylinder_angle: Uncertain | None = quantity(
        "Angle between cylinders",
        Kind.ANGLE,
        "deg",
        limits=(-180, 180),
        usual="0 or 90 deg",
        pane=_DIM,
        group="Crank",
        guess=Guess(low=0, high=0),
        drawn=0.0,
        drawn_at_least=1,
        when=lambda b: b.layout in ("gamma", "alpha", None),
        help="From the displacer's (alpha: hot) cylinder to the piston's, in the direction of turn; 0 side by side.",
        measure="Protractor. With both rods on one crank pin, this makes the phase and the crank angle is 0.",
    )
    wheel_mass: Uncertain | None = quantity(
        "Wheel mass",
        Kind.MASS,
        "g",
        limits=(0.1, 1e6),
        usual="30 to 300 g",
        pane=_DIM,
        group="Wheel",
        drawn=0.03,
        help="Mass of the flywheel. Empty: a compact disc to a steel disc of 3 mm.",
        measure="Kitchen scale.",
    )
    wheel_diameter: Uncertain | None = quantity(
        "Wheel diameter",
        Kind.LENGTH,
        "mm",
        limits=(5, 5000),
        usual="80 to 200 mm",
        pane=_DIM,
        group="Wheel",
        guess=Guess(low=80, high=140),
        around=True,
        help="Outer diameter of the flywheel.",
        measure="Ruler.",
    )
    tube_bore: Uncertain | None = quantity(
        "Passage bore",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 300),
        usual="4 to 10 mm",
        pane=_DIM,
        group="Passage",
        when=lambda b: b.layout in ("gamma", "alpha", None),
        help="Inside diameter of the passage between the spaces (alpha) or to each power piston (gamma).",
        measure="Largest drill that fits.",
        around=True,
    )
    tube_length: Uncertain | None = quantity(
        "Passage length",
        Kind.LENGTH,
        "mm",
        limits=(0, 3000),
        usual="5 to 100 mm",
        pane=_DIM,
        group="Passage",
        when=lambda b: b.layout in ("gamma", "alpha", None),
        help="Length of that passage.",
        measure="Ruler.",
    )
    piston_offset: Uncertain | None = quantity(
        "Crank offset",
        Kind.LENGTH,
        "mm",
        limits=(-500, 500),
        usual="0 mm",
        pane=_DIM,
        group="Uncommon drives",
        drawn_at_least=0.2,
        help="Distance of the crank's axis from the line of the cylinder. Empty: in line.",
        measure="Ruler, square to the cylinder.",
    )
    piston_beam: Uncertain | None = quantity(
        "Beam ratio, piston",
        Kind.NUMBER,
        "",
        limits=(0.05, 20),
        usual="0.5 to 2",
        pane=_DIM,
        group="Uncommon drives",
        help="Travel of the piston over travel of the crank pin, with a beam or bell crank between. Empty: 1.",
        measure="Arm on the piston's side over arm on the crank's side.",
    )
    piston_count: Uncertain | None = quantity(
        "Equal pistons",
        Kind.NUMBER,
        "",
        limits=(1, 12),
        drawn=0.0,
        usual="1",
        pane=_DIM,
        group="Uncommon drives",
        when=lambda b: b.layout != "alpha",
        help="Equal power pistons that move together on one displacer. Empty: 1.",
        measure="Count them.",
    )
    displacer_beam: Uncertain | None = quantity(
        "Beam ratio, displacer",
        Kind.NUMBER,
        "",
        limits=(0.05, 20),
        usual="0.5 to 2",
        pane=_DIM,
        group="Uncommon drives",
        when=displaced,
        help="Travel of the displacer over travel of its crank pin, with a beam or bell crank. Empty: 1.",
        measure="Arm on the displacer's side over arm on the crank's side.",
    )
