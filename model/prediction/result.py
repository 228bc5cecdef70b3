"""What a prediction is: figures with intervals and their why. Plain data, SI, no numpy; made by `predict`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from model.quantities.units import Kind


class Verdict(StrEnum):
    """What the model says of an engine."""

    RUNS = "runs"
    DOUBTFUL = "doubtful"
    DOES_NOT_RUN = "does not run"
    NO_PREDICTION = "no prediction"


RUNS_ABOVE, RUNS_NOT_BELOW = 0.8, 0.2
"""Probability to run above which the verdict is "runs", and below which it is "does not run"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Why a figure is what it is."""

    formula: str
    """The formula in words and signs."""
    inputs: tuple[tuple[str, str], ...] = ()
    """Inputs as label and text with unit."""
    source: str = ""
    """Where the formula comes from."""
    note: str = ""
    """Validity, and what was assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number with its interval and its why."""

    key: str
    """Stable key, e.g. ``shaft_power``."""
    label: str
    """Label for people."""
    kind: Kind
    """Kind of quantity."""
    unit: str
    """Unit to show it in (a symbol of `model.quantities.units.UNITS`)."""
    value: float | None
    """Best value, SI; None when there is none (an engine that does not run has no free-running speed)."""
    low: float | None = None
    """Lower end of the 90 % interval, SI; None until it is computed."""
    high: float | None = None
    """Upper end of the 90 % interval, SI."""
    why: Why = field(default_factory=lambda: Why(formula=""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing that an engine needs in order to run, against what it has."""

    key: str
    """``temperature_difference``, ``friction``, ``leak_half_time``, ``piston``."""
    label: str
    """In the words of the trade."""
    kind: Kind
    unit: str
    wants: float | None
    """What it needs, SI: the least (or the most, see `at_most`) with which it runs; None: no value would do."""
    has: float | None
    """What it has, measured or guessed, SI."""
    at_most: bool = False
    """Whether `wants` is an upper bound."""
    beyond: bool = False
    """Whether the bound lies beyond `wants`, the last value that was tried: even that one would do."""
    met: bool = False
    """Whether it is met."""
    why: Why = field(default_factory=lambda: Why(formula=""))


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstTest:
    """The one test that would tell most of an engine that is only drawn, and what each outcome would mean."""

    key: str
    label: str
    minutes: float
    at: float
    """Value of what it shows at which its outcomes part, SI."""
    kind: Kind
    unit: str
    below: float
    """Probability to run where it shows less than that, 0 to 1."""
    above: float
    """The same where it shows more."""
    alike: bool
    """Whether it runs, or does not, whatever the test shows: then it tells of the power."""
    power_below: float
    """Median best shaft power where it shows less, [W]."""
    power_above: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """Power at one speed; SI."""

    speed: float
    """rad/s."""
    indicated: float
    """Indicated power, W."""
    shaft: float
    """Shaft power, W."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """What an engine will do, and how sure that is."""

    verdict: Verdict
    reason: str = ""
    """Why there is no prediction, in a sentence that says what to do."""
    run_probability: float | None = None
    """Probability that it runs, 0 to 1; None before the interval is computed."""
    figures: Mapping[str, Figure] = field(default_factory=dict)
    """By key. Always present when there is a prediction: shaft_power, speed_at_best_power, free_running_speed (values
    None where it does not run), and at the stated speed: indicated_power, isothermal_power, shaft_power_there,
    hot_metal, cold_metal, hot_gas, cold_gas, heat_in, heat_out, pressure_swing. Others may follow."""
    at_speed: float | None = None
    """The stated speed, rad/s: that of best power, or where an engine that does not run comes nearest to it."""
    curve: tuple[CurvePoint, ...] = ()
    """Power over speed, ascending."""
    needs: tuple[Need, ...] = ()
    """What it needs against what it has, tightest first."""
    assumed: Mapping[str, str] = field(default_factory=dict)
    """Field name -> range that was taken because the field is empty or flagged, as text."""
    missing: tuple[str, ...] = ()
    """Names of fields without which there is no prediction."""
    widest: tuple[tuple[str, float], ...] = ()
    """Labels of the inputs that widen the interval most, with their share of the variance."""
    warnings: tuple[str, ...] = ()
    """What may go wrong, or does not count; sentences."""
    untried: tuple[str, ...] = ()
    """Formulas used outside the range of their source, one sentence each: behind Why, beside no figure."""
    untested: tuple[str, ...] = ()
    """Keys of `model.prediction.first_test.SHOWS` that rest on guesses: no reading and no field tells them."""
    first_test: FirstTest | None = None
    """Which test would tell most; None before the intervals, and where nothing is left to test."""
    has_interval: bool = False
    """Whether the intervals are computed (the value shows first)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """How far a measured value is from the prediction at its own temperatures and speed."""

    entry: str
    """Key of the diary entry."""
    reading: str
    """Key of the reading within it."""
    mark: int | None
    """Mark it was taken on."""
    day: str
    quantity: str
    """``speed`` or ``shaft_power``; before it runs ``work_of_heat``, ``heat_felt`` and what spin-downs tell."""
    measured: Figure
    predicted: Figure
    gap: Figure
    """Measured less predicted."""
    shown: Figure | None = None
    """Predicted from all that was found but at this visit; None where nothing else was, or it is not known yet."""
    shown_gap: Figure | None = None
    """Measured less that."""
    also: tuple[Figure, ...] = ()
    """What follows from it: indicated work and power of an engine that does not run."""
    note: str = ""
    """What could not be compared and why; what was assumed."""
    doubted: bool = False
    """Whether the reading is of a speed that cannot be."""
