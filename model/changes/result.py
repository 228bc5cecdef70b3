"""What changes do to an engine: plain data, SI, no numpy; made by `compare` and `sweep`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Middle and ends of the 90 % interval over the engines."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a build does on its next visit, over the engines that it could be; SI.

    Where something is in its way (`in_the_way`), there may be no figures: then `solved` is false.
    """

    solved: bool
    runs: float = 0.0
    """Chance to run, 0 to 1."""
    power: Range | None = None
    """Best shaft power, [W]; nil for engines that do not run."""
    best_speed: Range | None = None
    """Speed of best power, [rad/s]; of those that run, None where fewer than half do."""
    free_speed: Range | None = None
    """Free-running speed, [rad/s]; the same."""
    spare: Range | None = None
    """Largest torque left at any speed at which the wheel carries it, [N m]; negative: so much is missing."""
    least_difference: Range | None = None
    """Least difference of the metals with which it runs, [K]; None until asked for."""
    in_the_way: tuple[str, ...] = ()
    """What cannot be or hits, in sentences: "The displacer hits both ends: 0.4 mm are missing at each."."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """A change against the build as it is, engine by engine; SI, after less before."""

    power: Range
    """[W]."""
    best_speed: Range | None
    """[rad/s]; of engines that run before and after."""
    free_speed: Range | None
    least_difference: Range | None
    """[K]; less is better."""
    spare: Range
    """[N m]."""
    runs: float
    """Chance to run after less before."""
    helps: float
    """Chance that it helps: more power, or for an engine that does not run more torque to spare."""
    sure: float
    """The gain that is sure: nine engines in ten gain more, [W] of power, or [N m] of spare torque."""
    times: Range | None = None
    """Power after over power before, of engines that run before and after."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A mark as it is, and other builds on the same engines."""

    mark: int
    now: Outcome
    others: Mapping[str, Outcome] = field(default_factory=dict)
    """By the names they were asked with."""
    effects: Mapping[str, Effect] = field(default_factory=dict)
    """Against `now`, where both were solved."""
    engines: int = 0
    """How many engines carry it."""
    learned: bool = False
    """Whether readings or ticks took part; else it stands on the drawing."""
    running: bool = True
    """Whether it runs as it is, more likely than not: then power ranks, else torque to spare."""
    reason: str = ""
    """Why there is nothing: what is missing, in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One value of a row."""

    value: float
    """SI."""
    text: str
    """As a builder writes it: ``6 mm``; it can be typed into the field as it stands."""
    present: bool
    """Whether the build stands here; of a range that was guessed, its middle."""
    outcome: Outcome
    effect: Effect | None
    """Against the present value; None for it, and where there are no figures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """Where along a row an engine begins or ceases to run, over the engines."""

    at_most: bool
    """Whether it runs below it; else above."""
    at: Range
    """SI."""
    beyond: bool
    """Whether most engines run to the end of the row, so that the bound lies beyond it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """An engine at seven to nine values of one field."""

    mark: int
    field: str
    label: str
    kind: Kind
    unit: str
    now: Uncertain | None
    """What the field is taken as, typed or guessed; None where it is empty and nothing is guessed for it."""
    guessed: bool
    """Whether nobody typed it."""
    steps: tuple[Step, ...] = ()
    """Ascending."""
    best: int | None = None
    """Index of the value with most power (of an engine that does not run: most torque to spare)."""
    bounds: tuple[Bound, ...] = ()
    """Within which values it runs: "how big a wheel", "how much may it leak", "how large a piston"."""
    sentence: str = ""
    """The row in one sentence."""
    engines: int = 0
    learned: bool = False
    running: bool = True
    reason: str = ""
    """Why there is no row, in a sentence."""


__all__ = ["Bound", "Comparison", "Effect", "Outcome", "Range", "Row", "Step"]
