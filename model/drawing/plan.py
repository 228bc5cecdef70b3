"""What a drawing needs of an engine: lengths, and the travel of its parts at every degree. Plain data, no numpy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

DEGREES = 360
"""Places of a turn."""
UNSEEN = frozenset(
    {"piston_clearance", "gland_clearance", "diaphragm_stiffness", "wheel_mass", "displacer_mass", "matrix_porosity"}
)
"""Values of parts that are no length on the page: a part is not drawn otherwise because they are assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Plan:
    """An engine as the solver has it, at its middle values; SI. Equal to itself alone: a drawing is kept by it."""

    layout: str
    """``gamma``, ``beta``, ``alpha``; of an engine without a crank on its displacer ``gamma``."""
    words: Mapping[str, str]
    values: Mapping[str, float]
    """Lengths and angles by the names of their fields; those that are missing are stand-ins."""
    known: frozenset[str]
    """Names of the values that were typed or measured, or follow from such."""
    missing: tuple[str, ...] = ()
    """Names of the fields that lack for a part to be drawn, or for it to move."""
    hidden: frozenset[str] = frozenset()
    """Names of the values that are stand-ins: those that lack, and those taken to be as large."""
    left_out: tuple[str, ...] = ()
    """What is not drawn though the engine has it, and why; sentences."""
    first: tuple[float, ...] = ()
    """Travel of displacer or hot piston from the hot end, at each degree, [m]."""
    second: tuple[float, ...] = ()
    """Travel of the power piston (alpha: the cold one) from its inner dead centre, [m]."""
    between: tuple[float, ...] = ()
    """Of a beta in one bore: height of the room between displacer and piston, [m]; empty else."""
    volume_hot: tuple[float, ...] = ()
    """[m^3]"""
    volume_cold: tuple[float, ...] = ()
    volume_gap: float = 0.0
    crank_angle: float = 0.0
    """By which the displacer's crank goes ahead of the piston's, [rad]."""

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    def has(self, name: str) -> bool:
        """Whether the engine has such a value, be it assumed, and it is drawn."""
        return name in self.values and name not in self.hidden

    def assumes(self, *names: str) -> bool:
        """Whether any of these values is seen, and was neither typed nor measured."""
        return any(name in self.values and name not in self.known | UNSEEN for name in names)

    @property
    def travel(self) -> float:
        """Stroke of displacer or hot piston, [m]."""
        return max(self.first, default=0.0)

    @property
    def stroke(self) -> float:
        """Stroke of the power piston, [m]."""
        return max(self.second, default=0.0)
