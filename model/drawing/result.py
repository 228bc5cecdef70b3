"""An engine as it is looked at: its plan, what touches, and what the air does over a turn. Plain data, no numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from model.drawing.contacts import Contact
from model.drawing.plan import DEGREES, Plan
from model.errors import Problem


class Moment(NamedTuple):
    """The air at one angle; SI."""

    pressure: float
    """Above the room's, [Pa]."""
    hot: float
    """Air in the hot space, [K]."""
    cold: float
    torque: float
    """Of the air about the shaft, [N m]."""
    driven: bool
    """Whether that is above its mean over the turn, so that the air drives; else the wheel carries the turn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedTurn:
    """A turn at one speed."""

    speed: float
    """[rad/s]"""
    moments: tuple[Moment, ...]
    """At every degree."""
    settled: bool
    """Whether the turn came to a periodic state."""

    def arcs(self) -> tuple[tuple[int, int, bool], ...]:
        """Return the parts of a turn that are driven or carried: from a degree to before another, in order.

        The last goes on over nil where the turn begins within an arc; a turn that is all alike is one arc.
        """
        driven = [moment.driven for moment in self.moments]
        starts = [d for d in range(DEGREES) if driven[d] != driven[d - 1]]
        if not starts:
            return ((0, DEGREES, driven[0]),)
        ends = [*starts[1:], starts[0] + DEGREES]
        return tuple((start, end, driven[start]) for start, end in zip(starts, ends, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineView:
    """What is known of an engine to look at it."""

    plan: Plan
    contacts: tuple[Contact, ...]
    turn: SolvedTurn | None = None
    """None until it is solved, and where it cannot be."""
    unsolved: str = ""
    """Why there can be no turn, in words; empty where there is one, or it may still come."""
    problems: tuple[Problem, ...] = ()
    """Why no engine can be built so."""
