"""What changes do to an engine: plain data, SI, no numpy; made by the modules beside it.

`compare.compare` -> `Comparison`; `sweep.sweep` -> `Row`; `advice.advice` -> `Advice`, at once from a few
engines and then the whole; `breakdown.breakdowns` -> a `Breakdown` for each brake or free-running reading;
`aim.aim` -> `Aim`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from model.quantities.ranges import Range
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind


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
    texts: Mapping[str, str] = field(default_factory=dict)
    """Field -> text of what is typed to take it: with what follows, such as clearances that a longer throw takes up."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A change that the builder can make, solved on the engines of the mark; or two of them together."""

    key: str
    words: str
    """What to do, with its size: ``longer piston throw: 3 mm to 3.8 mm``."""
    short: str = ""
    """What to do in few words, without its size."""
    size: str = ""
    """How far: ``3 mm to 3.8 mm``; empty where it says itself."""
    parts: tuple[str, ...]
    """Keys of the changes in it: its own, or those of two that are made together."""
    texts: Mapping[str, str]
    """Field -> text of what the mark becomes; empty where only what nobody can type changes, such as friction."""
    hours: float
    """At the bench; common practice, no source."""
    needs: str
    """Things needed."""
    caution: str
    """What can hurt, with whom to ask; empty where nothing does."""
    source: str
    """Where the size of the step comes from."""
    outcome: Outcome
    effect: Effect
    group: int = 0
    """Options of one group cannot be told apart by what is known; 0 is the best group, cheapest first in each."""
    only_together: bool = False
    """Whether two are told as one because neither does it alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPossible:
    """A change that cannot be made on this build, or is refused, and why."""

    key: str
    words: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to change next, best first."""

    mark: int
    now: Outcome
    options: tuple[Option, ...] = ()
    """Those that help, by the gain that is sure: best first."""
    others: tuple[Option, ...] = ()
    """Those that do not help, or no more than by chance."""
    not_possible: tuple[NotPossible, ...] = ()
    tells_apart: str = ""
    """The reading that would tell the options of the best group apart, in a sentence; empty where it holds but one."""
    sentence: str = ""
    """The one best thing to do, with what it brings."""
    engines: int = 0
    learned: bool = False
    """Whether readings or ticks took part; else the list stands on the drawing, which `note` says."""
    running: bool = True
    """Whether it runs as it is: then power ranks, else how much nearer it comes to running."""
    whole: bool = True
    """Whether nothing more follows; a first list stands on fewer engines and holds no pairs."""
    note: str = ""
    """What limits it: nothing measured, readings that contradict each other."""
    reason: str = ""
    """Why there is none, in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One step from the ideal turn down to what was measured."""

    key: str
    """``exchange``, ``clearance``, ``flow``, ``leak``, ``giving``, ``crank``, ``friction``, ``drag``, ``unexplained``;
    two joined by ``+`` where these readings cannot tell them apart."""
    label: str
    short: str = ""
    """The label in a word or two."""
    power: Range
    """What it takes, [W]; negative: it gives."""
    orders: tuple[float, float] | None
    """Least and most over the orders in which losses can be counted, [W]; None where the order does not matter."""
    known: str
    """``guessed``, ``measured``, ``carried`` or ``learned``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Breakdown:
    """The gap of one reading taken apart: from the ideal turn, at its own speed and metals, to the measured shaft."""

    mark: int
    entry: str
    reading: str
    told: str
    """The reading, as typed, with its day."""
    speed: float = 0.0
    """[rad/s]."""
    difference: Range | None = None
    """Of the metals, [K]."""
    ideal: Range | None = None
    """Isothermal turn with the real geometry, [W]."""
    losses: tuple[Loss, ...] = ()
    """From `ideal` down; the last is ``unexplained``. Middles add up to `measured`, and so do those of every engine."""
    predicted: Range | None = None
    """Shaft power by the prediction without this reading, [W]."""
    measured: Range | None = None
    """[W]; nil where it runs free."""
    drawn: Range | None = None
    """Shaft power as drawn, at the same speed and metals, where anything was learned, [W]."""
    verdict: str = ""
    """``agrees``, ``short``, ``better`` or ``cannot tell``."""
    sentence: str = ""
    engines: int = 0
    reason: str = ""
    """Why it cannot be taken apart, in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What would have to change for an engine to do something."""

    mark: int
    goal: str
    """As understood: ``run with hot water of 50 C``, ``150 rpm``, ``20 mW``."""
    now: float = 0.0
    """Chance that it does it as it is, 0 to 1."""
    ways: tuple[tuple[Option, float], ...] = ()
    """Changes and pairs with which it does, with the chance; least work first."""
    nearest: tuple[Option, float] | None = None
    """Where no way does it more likely than not: what comes nearest, with its chance."""
    short_by: float | None = None
    """How much the nearest lacks in the middle of the engines, in the goal's unit, SI."""
    sentence: str = ""
    reason: str = ""


__all__ = [
    "Advice",
    "Aim",
    "Bound",
    "Breakdown",
    "Comparison",
    "Effect",
    "Loss",
    "NotPossible",
    "Option",
    "Outcome",
    "Row",
    "Step",
]
