"""The figures that need neither a heat balance nor a turn with losses: volumes and the closed form. Data only."""

from __future__ import annotations

from model.quantities.figure_spec import FigureSpec
from model.quantities.units import Kind

_MOVES = ("piston_bore", "diaphragm_rim", "diaphragm_disc", "piston_throw", "displacer_bore", "displacer_throw",
          "hot_bore", "hot_throw", "phase")  # fmt: skip
_DEAD = ("piston_rod", "displacer_rod", "hot_rod", "piston_offset", "side_clearance", "displacer_length",
         "chamber_height", "gland_rod", "end_clearance_hot", "end_clearance_cold", "dead_volume_hot",
         "dead_volume_cold", "tube_bore", "tube_length")  # fmt: skip
VOLUMES: dict[str, FigureSpec] = {
    "swept_piston": FigureSpec(
        label="Power piston sweeps",
        kind=Kind.VOLUME,
        unit="ml",
        formula="area x stroke, pistons together",
        source="derived here",
        inputs=("piston_bore", "diaphragm_rim", "diaphragm_disc", "piston_throw", "piston_beam", "piston_count"),
    ),
    "swept_displacer": FigureSpec(
        label="Displacer moves",
        kind=Kind.VOLUME,
        unit="ml",
        formula="area x stroke of the displacer (alpha: of the hot piston)",
        source="derived here",
        inputs=("displacer_bore", "displacer_throw", "displacer_beam", "hot_bore", "hot_throw"),
    ),
    "compression_ratio": FigureSpec(
        label="Compression ratio",
        kind=Kind.NUMBER,
        unit="",
        formula="largest volume of all the air over the smallest, from the crank's positions",
        source="derived here",
        inputs=(*_MOVES, *_DEAD),
    ),
    "isothermal_work": FigureSpec(
        label="Closed form, a turn",
        kind=Kind.ENERGY,
        unit="mJ",
        formula="air of each space at its metal's temperature, no losses: W = sum of p dV",
        source="Schmidt1871",
        inputs=(*_MOVES, *_DEAD, "hot_metal", "cold_metal"),
        note="The air never reaches the metal's temperature; measured small engines made 10 to 60 % of this.",
    ),
}
"""Key of a figure -> what it is."""
