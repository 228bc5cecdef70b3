"""A chart as plain data, SI; no numpy. Made by `model.curves.curves`, drawn by screens, sheets and `export`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from model.quantities.units import Kind

Values = tuple[float, ...]


class Stroke(Enum):
    """How a line is drawn, so that lines are told apart without colour."""

    WHOLE = "whole"
    BROKEN = "broken"
    DOTTED = "dotted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """What is counted along an axis."""

    label: str
    kind: Kind
    unit: str
    """Unit to show it in; values are SI."""
    nil: bool = False
    """Whether nil is always shown."""
    whole: bool = False
    """Whether there is nothing between whole numbers: marks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """A line through places, with an interval where it has one; no number leaves a gap."""

    label: str
    x: Values
    y: Values
    low: Values = ()
    """Lower ends of the 90 % interval; empty: none."""
    high: Values = ()
    stroke: Stroke = Stroke.WHOLE


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """What was measured: places, each with the name of its reading, and with an interval where it is known."""

    label: str
    x: Values
    y: Values
    low: Values = ()
    high: Values = ()
    names: tuple[str, ...] = ()
    """What each is, as typed by the builder where it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A part of the turn, from one angle to another, [rad], ascending; driven by the air, or carried by the wheel."""

    begin: float
    end: float
    driven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place along the x axis that has a name: where it stalls; with an interval where it is known."""

    label: str
    x: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A part of a whole, with its interval."""

    label: str
    value: float
    low: float | None = None
    high: float | None = None
    level: int = 0
    """0: a stage on the way; 1: what is lost there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """One chart."""

    key: str
    title: str
    short: str
    """Its name where there is little room."""
    x: Axis
    y: Axis
    series: tuple[Series, ...] = ()
    points: tuple[Points, ...] = ()
    arcs: tuple[Arc, ...] = ()
    marks: tuple[Mark, ...] = ()
    bars: tuple[Bar, ...] = ()
    """In place of all the others: quantities one below the other, along the x axis."""
    along: Axis | None = None
    """Where the line closes on itself: what its places are counted by."""
    places: Values = ()
    """Their values along that."""
    says: str = ""
    """What is to be read off it, in a sentence."""
    note: str = ""
    """What it holds for, and what it stands on."""
    lacks: str = ""
    """Why there is nothing to draw, in a sentence that says what to do."""

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        numbers = [y for line in self.series for y in line.y] + [y for cloud in self.points for y in cloud.y]
        return not self.bars and not any(map(math.isfinite, numbers))


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """All charts of a mark, as far as they are worked out."""

    charts: tuple[Chart, ...] = ()
    learned: bool = False
    """Whether they stand on what the engine has shown, not on the drawing alone."""
    reason: str = ""
    """Why there is none, in a sentence that says what to do."""
