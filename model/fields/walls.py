"""Walls, posts, displacer, mechanism; regenerator, heater and cooler. One declaration each, on the attribute; SI."""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.drive import Drive
from model.fields.field import Guess, quantity, words
from model.fields.vocabulary import (
    DISPLACER_MATERIALS,
    METALS,
    POST_MATERIALS,
    REGENERATORS,
    cranked,
    displaced,
    matrix,
    posted,
)
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

_MAT = "materials"


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls(Drive):
    """Walls, posts, displacer, mechanism; regenerator, heater and cooler."""

    hot_end_material: str | None = words(
        "Hot end", METALS, pane=_MAT, group="Walls", help="What the hot end is made of.", when=cranked
    )
    hot_end_thickness: Uncertain | None = quantity(
        "Hot end thickness",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 100),
        usual="1 to 3 mm (plates), 0.2 mm (cans)",
        pane=_MAT,
        group="Walls",
        drawn=0.05,
        drawn_at_least=0.02,
        when=cranked,
        help="Thickness of a flat hot end: a thin one breathes and eats pressure. Empty: 1 to 3 mm on a flat engine, "
        "stiff on a flame. Leave it empty for a can's ribbed bottom: it stands stiffer than flat sheet.",
        measure="Calliper at the edge, over a bare spot.",
    )
    cold_end_material: str | None = words(
        "Cold end", METALS, pane=_MAT, group="Walls", help="What the cold end is made of.", when=cranked
    )
    cold_end_thickness: Uncertain | None = quantity(
        "Cold end thickness",
        Kind.LENGTH,
        "mm",
        limits=(0.05, 100),
        usual="1 to 3 mm (plates), 0.2 mm (lids)",
        pane=_MAT,
        group="Walls",
        drawn=0.05,
        drawn_at_least=0.02,
        when=lambda b: cranked(b) and b.layout != "beta",
        help="Thickness of a flat cold end, as at the hot end. Blow into the engine: a lid that clicks is thin.",
        measure="Calliper at the edge, over a bare spot.",
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
    post_count: Uncertain | None = quantity(
        "Posts or screws",
        Kind.NUMBER,
        "",
        limits=(0, 200),
        drawn=0.0,
        usual="3 to 8 on a flat engine, 0 on a can",
        pane=_MAT,
        group="Posts and screws",
        when=cranked,
        help="Posts and screws that join the hot end to the cold end: heat runs along them. Empty: not known; none: 0.",
        measure="Count them.",
    )
    post_material: str | None = words(
        "Post material",
        POST_MATERIALS,
        pane=_MAT,
        group="Posts and screws",
        when=posted,
        help="What they are made of. Empty: steel, which carries two hundred times as much as nylon.",
    )
    post_diameter: Uncertain | None = quantity(
        "Post diameter",
        Kind.LENGTH,
        "mm",
        limits=(0.2, 100),
        usual="2.5 mm (M3), 3.3 mm (M4)",
        pane=_MAT,
        group="Posts and screws",
        guess=Guess(low=2.5, high=4),
        drawn=0.05,
        when=posted,
        help="Thickness of one. A thread counts as its stress area: M3 as 2.5 mm, M4 as 3.3 mm, M5 as 4.3 mm.",
        measure="Calliper.",
    )
    post_length: Uncertain | None = quantity(
        "Post length",
        Kind.LENGTH,
        "mm",
        limits=(0.5, 2000),
        usual="10 to 60 mm",
        pane=_MAT,
        group="Posts and screws",
        guess=Guess(low=15, high=50),
        drawn=0.05,
        when=posted,
        help="Free length of one between the hot end and the cold end.",
        measure="Ruler.",
    )
    posts: Uncertain | None = quantity(
        "Conduction by posts",
        Kind.CONDUCTANCE,
        "W/K",
        limits=(0, 100),
        usual="0 to 0.1 W/K",
        pane=_MAT,
        group="Posts and screws",
        when=cranked,
        help="Heat that posts and screws carry, in W for each K, where you know that. Else leave it empty: number, "
        "size and material say it.",
        measure="Sum of conductivity times area over length.",
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
        "Work that gets through",
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
        help="Time in which a small pressure in the closed chamber halves, piston held: of the chamber alone, as on a "
        "pressure sensor.",
        measure="Leave empty and write the U-tube's half-time in Results, with its hose: the water in it takes up air "
        "and makes it longer.",
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
        around=True,
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
        around=True,
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
        around=True,
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
