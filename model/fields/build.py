"""The fields of a build: dimensions, materials, heat source. One declaration each, on the attribute.

A value is None when the builder does not know it or does not apply; `model.fields.guesses` fills it with a range.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Choice, Guess, quantity, words
from model.uncertain import Uncertain
from model.units import Kind

LAYOUTS = (
    Choice(key="gamma", label="gamma", help="displacer and power piston in two bores: most cans and flat engines"),
    Choice(key="beta", label="beta", help="displacer and power piston in one bore"),
    Choice(key="alpha", label="alpha", help="two pistons, one hot and one cold"),
    Choice(key="rocking", label="rocking test tube", help="test tube and marbles, no crank on the displacer"),
    Choice(key="ringbom", label="Ringbom", help="the displacer is moved by the pressure, not by a crank"),
)
HEAT_SOURCES = (
    Choice(key="candle", label="candle", help="tea-light or candle"),
    Choice(key="spirit", label="spirit lamp", help="alcohol burner"),
    Choice(key="gas", label="gas flame", help="camping or kitchen gas flame"),
    Choice(key="water", label="hot water", help="a mug or bath of hot water"),
    Choice(key="electric", label="electric", help="resistor or hot plate"),
    Choice(key="sun", label="sun", help="lens or mirror"),
    Choice(key="hand", label="hand", help="the warmth of a hand"),
)
COLD_SIDES = (
    Choice(key="air", label="still air"),
    Choice(key="fins", label="fins", help="fins in still air"),
    Choice(key="fan", label="fan", help="a fan or the draught of the wheel"),
    Choice(key="jacket", label="water jacket", help="standing or running water"),
    Choice(key="ice", label="ice", help="ice or ice water"),
)
METALS = (
    Choice(key="tinplate", label="tinplate"),
    Choice(key="aluminium", label="aluminium"),
    Choice(key="steel", label="steel"),
    Choice(key="stainless", label="stainless steel"),
    Choice(key="copper", label="copper"),
    Choice(key="brass", label="brass"),
    Choice(key="borosilicate", label="borosilicate glass"),
    Choice(key="soda_lime", label="soda-lime glass"),
    Choice(key="acrylic", label="acrylic"),
    Choice(key="polycarbonate", label="polycarbonate"),
    Choice(key="card", label="card"),
    Choice(key="wood", label="wood"),
)
DISPLACER_MATERIALS = (
    Choice(key="balsa", label="balsa"),
    Choice(key="eps", label="polystyrene foam"),
    Choice(key="cork", label="cork"),
    Choice(key="aluminium", label="aluminium can", help="thin closed can"),
    Choice(key="tinplate", label="tin can", help="thin closed can"),
    Choice(key="stainless", label="stainless can", help="thin closed can"),
    Choice(
        key="steel_wool",
        label="steel wool",
        help="the displacer is a roll of steel wool: air goes through it",
    ),
    Choice(key="card", label="card"),
    Choice(key="borosilicate", label="glass", help="closed glass tube or marbles"),
)
PISTON_KINDS = (
    Choice(key="piston", label="piston", help="a solid piston or syringe plunger"),
    Choice(key="diaphragm", label="diaphragm", help="rubber sheet with a stiff disc"),
)
REGENERATORS = (
    Choice(key="none", label="none", help="the side clearance alone"),
    Choice(key="steel_wool", label="steel wool"),
    Choice(key="mesh", label="wire mesh"),
    Choice(key="foil", label="foil"),
)

CRANKED = ("gamma", "beta", "alpha")


def cranked(build: Build) -> bool:
    """Whether this layout can be predicted."""
    return build.layout in CRANKED or build.layout is None


def displaced(build: Build) -> bool:
    """Whether the build has a displacer on a crank."""
    return build.layout in ("gamma", "beta", None)


def alpha(build: Build) -> bool:
    """Whether the build has two pistons."""
    return build.layout == "alpha"


def rubber(build: Build) -> bool:
    """Whether the power piston is a diaphragm."""
    return build.piston_kind == "diaphragm" and build.layout != "alpha"


def solid(build: Build) -> bool:
    """Whether the power piston slides in a bore."""
    return not rubber(build)


def matrix(build: Build) -> bool:
    """Whether there is a regenerator of wire or foil."""
    return build.regenerator not in (None, "none")


_DIM, _MAT, _HEAT = "dimensions", "materials", "heat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One state of an engine as parsed from the builder's texts; SI."""

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
        "Bore",
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
        "Throw (half the stroke)",
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
        "Connecting rod",
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
        "Side clearance",
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
    displacer_bore: Uncertain | None = quantity(
        "Cylinder bore",
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
    side_clearance: Uncertain | None = quantity(
        "Side clearance",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 100),
        usual="1 to 3 mm",
        pane=_DIM,
        group="Displacer",
        guess=Guess(low=1, high=3),
        drawn_at_least=0.2,
        when=displaced,
        help="Gap between displacer and cylinder on each side; it is the heat exchanger of a can engine.",
        measure="Half of bore less displacer diameter; or strips of card that just fit.",
    )
    displacer_offcentre: Uncertain | None = quantity(
        "Off centre",
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
        "Throw (half the stroke)",
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
        "Connecting rod",
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
        help="Displacer with its rod.",
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
        help="Mass of the flywheel. Empty: taken as heavy enough.",
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
        help="Inside diameter of the passage between the spaces (alpha) or to the power piston (gamma).",
        measure="Largest drill that fits.",
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
    regenerator: str | None = words(
        "Regenerator",
        REGENERATORS,
        pane=_MAT,
        group="Regenerator",
        when=cranked,
        help="Heat store in the displacer or in the passage; a can engine often has none but its side clearance.",
    )
    matrix_length: Uncertain | None = quantity(
        "Matrix length",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 1000),
        usual="10 to 60 mm",
        pane=_MAT,
        group="Regenerator",
        guess=Guess(low=10, high=40),
        when=matrix,
        help="Length of the matrix along the flow.",
        measure="Ruler.",
    )
    matrix_diameter: Uncertain | None = quantity(
        "Matrix diameter",
        Kind.LENGTH,
        "mm",
        limits=(1, 2000),
        usual="10 to 100 mm",
        pane=_MAT,
        group="Regenerator",
        around=True,
        when=matrix,
        help="Diameter of the matrix across the flow.",
        measure="Ruler.",
    )
    matrix_porosity: Uncertain | None = quantity(
        "Matrix porosity",
        Kind.FRACTION,
        "%",
        limits=(5, 99.9),
        usual="90 to 98 % (wool), 60 to 75 % (mesh)",
        pane=_MAT,
        group="Regenerator",
        guess=Guess(low=88, high=98),
        when=matrix,
        help="Share of the matrix that is air.",
        measure="1 less mass over (density times volume): 10 g of wool in 40 ml is 97 %.",
    )
    matrix_wire: Uncertain | None = quantity(
        "Wire or foil thickness",
        Kind.LENGTH,
        "um",
        limits=(2, 5000),
        usual="20 to 100 um",
        pane=_MAT,
        group="Regenerator",
        guess=Guess(low=25, high=80),
        when=matrix,
        help="Diameter of the wire, or thickness of the foil.",
        measure="Micrometer; fine wool is 25 to 40 um.",
    )
    heater_tubes: Uncertain | None = quantity(
        "Heater tubes",
        Kind.NUMBER,
        "",
        limits=(1, 1000),
        drawn=0.0,
        usual="none in can engines",
        pane=_MAT,
        group="Heater and cooler",
        when=cranked,
        help="Heated tubes between hot space and regenerator. Empty: none.",
        measure="Count them.",
    )
    heater_bore: Uncertain | None = quantity(
        "Heater tube bore",
        Kind.LENGTH,
        "mm",
        limits=(0.2, 100),
        usual="2 to 6 mm",
        pane=_MAT,
        group="Heater and cooler",
        guess=Guess(low=2, high=6),
        when=lambda b: cranked(b) and b.heater_tubes is not None,
        help="Inside diameter of one tube.",
        measure="Largest drill that fits.",
    )
    heater_length: Uncertain | None = quantity(
        "Heater tube length",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="30 to 200 mm",
        pane=_MAT,
        group="Heater and cooler",
        guess=Guess(low=30, high=150),
        when=lambda b: cranked(b) and b.heater_tubes is not None,
        help="Heated length of one tube.",
        measure="Ruler.",
    )
    cooler_tubes: Uncertain | None = quantity(
        "Cooler tubes",
        Kind.NUMBER,
        "",
        limits=(1, 1000),
        drawn=0.0,
        usual="none in can engines",
        pane=_MAT,
        group="Heater and cooler",
        when=cranked,
        help="Cooled tubes between regenerator and cold space. Empty: none.",
        measure="Count them.",
    )
    cooler_bore: Uncertain | None = quantity(
        "Cooler tube bore",
        Kind.LENGTH,
        "mm",
        limits=(0.2, 100),
        usual="2 to 6 mm",
        pane=_MAT,
        group="Heater and cooler",
        guess=Guess(low=2, high=6),
        when=lambda b: cranked(b) and b.cooler_tubes is not None,
        help="Inside diameter of one tube.",
        measure="Largest drill that fits.",
    )
    cooler_length: Uncertain | None = quantity(
        "Cooler tube length",
        Kind.LENGTH,
        "mm",
        limits=(1, 5000),
        usual="30 to 200 mm",
        pane=_MAT,
        group="Heater and cooler",
        guess=Guess(low=30, high=150),
        when=lambda b: cranked(b) and b.cooler_tubes is not None,
        help="Cooled length of one tube.",
        measure="Ruler.",
    )
    hot_end_material: str | None = words(
        "Hot end", METALS, pane=_MAT, group="Walls", help="What the hot end is made of.", when=cranked
    )
    cold_end_material: str | None = words(
        "Cold end", METALS, pane=_MAT, group="Walls", help="What the cold end is made of.", when=cranked
    )
    wall_material: str | None = words(
        "Cylinder wall",
        METALS,
        pane=_MAT,
        group="Walls",
        when=cranked,
        help="What joins the hot end to the cold end: heat runs along it.",
    )
    wall_thickness: Uncertain | None = quantity(
        "Wall thickness",
        Kind.LENGTH,
        "mm",
        limits=(0.02, 50),
        usual="0.1 to 2 mm",
        pane=_MAT,
        group="Walls",
        drawn=0.1,
        when=cranked,
        help="Thickness of the wall between hot and cold.",
        measure="Calliper at a cut edge.",
    )
    posts: Uncertain | None = quantity(
        "Conduction by posts",
        Kind.CONDUCTANCE,
        "W/K",
        limits=(0, 100),
        usual="0 to 0.1 W/K",
        pane=_MAT,
        group="Walls",
        when=cranked,
        help="Heat that posts and screws between hot and cold carry, in W for each K.",
        measure="Sum of conductivity times area over length; nylon screws count for nothing.",
    )
    displacer_material: str | None = words(
        "Displacer",
        DISPLACER_MATERIALS,
        pane=_MAT,
        group="Displacer",
        when=displaced,
        help="What the displacer is made of: light, stiff, a poor conductor, and it must stand the heat.",
    )
    displacer_skin: Uncertain | None = quantity(
        "Displacer wall",
        Kind.LENGTH,
        "mm",
        limits=(0.02, 50),
        usual="0.1 mm (can)",
        pane=_MAT,
        group="Displacer",
        guess=Guess(low=0.08, high=0.25),
        when=lambda b: displaced(b) and b.displacer_material in ("aluminium", "tinplate", "stainless", "card"),
        help="Wall thickness of a hollow displacer.",
        measure="Calliper at a cut edge.",
    )
    friction_torque: Uncertain | None = quantity(
        "Friction torque",
        Kind.TORQUE,
        "mN m",
        limits=(0, 1e6),
        usual="0.1 to 3 mN m",
        pane=_MAT,
        group="Mechanism",
        drawn=0.15,
        help="Torque to turn it slowly by hand with the chamber open, at any speed. Empty: guessed from the size.",
        measure="Grams at the rim that just turn it: 1 g at 60 mm is 0.59 mN m (Results: grams on the rim).",
    )
    speed_drag: Uncertain | None = quantity(
        "Drag for each rpm",
        Kind.DRAG,
        "mN m/rpm",
        limits=(0, 1e4),
        usual="0 to 0.005 mN m each rpm",
        pane=_MAT,
        group="Mechanism",
        help="Torque that grows with speed, mN m for each rpm: air on the wheel, oil.",
        measure="From a spin-down: how much steeper the start is than the end.",
    )
    effectiveness: Uncertain | None = quantity(
        "Mechanism effectiveness",
        Kind.FRACTION,
        "%",
        limits=(10, 100),
        usual="75 to 96 %",
        pane=_MAT,
        group="Mechanism",
        guess=Guess(low=75, high=96, source="Senft2007, range from memory"),
        help="Share of work that gets through crank and piston when they carry it; lost again on the way back.",
        measure="Not at home. Leave empty.",
    )
    leak_half_time: Uncertain | None = quantity(
        "Leak-down half-time",
        Kind.TIME,
        "s",
        limits=(0.01, 1e6),
        usual="over 10 turns is good",
        pane=_MAT,
        group="Mechanism",
        drawn=0.1,
        help="Time in which a small pressure in the closed chamber halves, U-tube on, piston held.",
        measure="Water U-tube: time from 4 cm to 2 cm of level difference (Results: U-tube half-time).",
    )
    heat_source: str | None = words("Heat source", HEAT_SOURCES, pane=_HEAT, group="Hot side", help="What heats it.")
    heat_released: Uncertain | None = quantity(
        "Heat released",
        Kind.POWER,
        "W",
        limits=(0, 1e5),
        usual="30 to 42 W a tea-light",
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
        usual="10 to 45 % of a flame",
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


PANES = (("dimensions", "Dimensions"), ("materials", "Materials"), ("heat", "Heat source"))
"""Panes of the form in order: key and title."""
