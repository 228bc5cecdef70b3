"""Simple starts for a new prototype: about eight numbers each, invented, to be changed by the builder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """One start."""

    key: str
    """One letter, its key on the screen."""
    label: str
    """What it is like."""
    help: str
    """What it is made of and what heats it."""
    texts: Mapping[str, str]
    """Field name -> text, in the grammar of the form."""


STARTS = (
    Start(
        key="1",
        label="Can and rubber",
        help="A food can over a tea-light, a foam or thin can displacer, a rubber diaphragm, a wire crank.",
        texts=MappingProxyType(
            {
                "layout": "gamma",
                "piston_kind": "diaphragm",
                "diaphragm_rim": "38 mm",
                "diaphragm_disc": "24 mm",
                "piston_throw": "5 mm",
                "displacer_bore": "72 mm",
                "side_clearance": "2 mm",
                "displacer_length": "60 mm",
                "displacer_throw": "10 mm",
                "displacer_material": "aluminium",
                "hot_end_material": "tinplate",
                "wall_material": "tinplate",
                "heat_source": "candle",
                "cold_side": "air",
            }
        ),
    ),
    Start(
        key="2",
        label="Flat, over a cup",
        help="Two metal plates, a foam displacer in a clear ring, a small piston, over a mug of hot water.",
        texts=MappingProxyType(
            {
                "layout": "gamma",
                "piston_kind": "piston",
                "piston_bore": "14 mm",
                "piston_throw": "3 mm",
                "displacer_bore": "110 mm",
                "side_clearance": "2 mm",
                "displacer_length": "10 mm",
                "displacer_throw": "4 mm",
                "displacer_material": "eps",
                "hot_end_material": "aluminium",
                "cold_end_material": "aluminium",
                "wall_material": "acrylic",
                "heat_source": "water",
                "source_temperature": "80 C",
                "cold_side": "air",
            }
        ),
    ),
    Start(
        key="3",
        label="Two syringes",
        help="Two glass syringes on one crank, joined by a short tube; one over a spirit lamp.",
        texts=MappingProxyType(
            {
                "layout": "alpha",
                "piston_bore": "16 mm",
                "piston_throw": "9 mm",
                "hot_bore": "16 mm",
                "hot_throw": "9 mm",
                "phase": "90 deg",
                "tube_bore": "4 mm",
                "tube_length": "60 mm",
                "hot_end_material": "borosilicate",
                "wall_material": "borosilicate",
                "heat_source": "spirit",
                "cold_side": "air",
            }
        ),
    ),
)
"""The starts in the order offered."""

TOLD_INSTEAD: Mapping[str, tuple[str, ...]] = {"displacer_diameter": ("side_clearance",)}
"""Field -> fields of a start that it tells by itself: what a start brought gives way to what a builder measured."""


def given_way(name: str, texts: Mapping[str, str]) -> tuple[str, ...]:
    """Return the fields whose text is still that of a start and gives way to what was typed into another.

    Examples
    --------
    >>> given_way("displacer_diameter", {**STARTS[1].texts, "displacer_diameter": "100 mm"})
    ('side_clearance',)
    >>> given_way("displacer_diameter", {**STARTS[1].texts, "side_clearance": "4.9 mm"})
    ()
    """
    layout = texts.get("layout", "")
    brought = {item for start in STARTS if start.texts["layout"] == layout for item in start.texts.items()}
    return tuple(each for each in TOLD_INSTEAD.get(name, ()) if (each, texts.get(each, "")) in brought)
