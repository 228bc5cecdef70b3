"""What was promised of a change when its mark was begun, and what came: held against each other by readings alone.

A promise stands with its mark as texts (`model.store.format`): ``change`` in words, ``since`` the mark that it was
promised against, gains as ``4.1 (2 to 6.3) mW`` and chances in words. Kept as they were written; no model is asked.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from model.bench.quantities import QUANTITIES, Measured
from model.bench.reading import measured_of, values_of
from model.quantities.ranges import Range
from model.quantities.units import UnitError, digits, find_unit, from_si
from model.record import Project

GAINS = {"power": "shaft_power", "speed": "speed"}
"""Key of a promised gain -> key of the quantity that it is of."""
READ_BY = {"shaft_power": "brake", "speed": "speed"}
"""Quantity -> kind of reading that measures it."""
FIVE = 1.645
"""Standard deviations beyond which one in twenty lies, normally distributed."""
_GAIN = re.compile(r"([+-]?[\d.e-]+) \(([+-]?[\d.e-]+) to ([+-]?[\d.e-]+)\) (\w+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What was promised of the change with which a mark began."""

    change: str
    """In words."""
    since: int
    """Number of the mark that it was promised against."""
    gains: Mapping[str, Range] = field(default_factory=dict)
    """By key of `GAINS`; one that cannot be read is left out."""
    runs: str = ""
    """Chance to run, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A promise and what came of it."""

    promise: Promise
    key: str = ""
    """Which gain was measured on both marks; empty where none was."""
    came: float = math.nan
    """Best measured on the mark less best measured on the one before, SI."""
    spread: float = 0.0
    """Its standard uncertainty."""

    @property
    def within(self) -> bool | None:
        """Whether what came lies within what was promised, as far as it was measured; None where nothing was."""
        gain = self.promise.gains.get(self.key)
        if gain is None:
            return None
        return gain.low - FIVE * self.spread <= self.came <= gain.high + FIVE * self.spread


def gain_text(gain: Range, key: str) -> str:
    """Return a gain as it stands in the file.

    Examples
    --------
    >>> gain_text(Range(middle=0.0041, low=0.002, high=0.00632), "power")
    '4.1 (2 to 6.32) mW'
    """
    quantity = QUANTITIES[GAINS[key]]
    middle, low, high = (
        digits(from_si(value, quantity.kind, quantity.unit), 3) for value in (gain.middle, gain.low, gain.high)
    )
    return f"{middle} ({low} to {high}) {quantity.unit}"


def read_gain(text: str, key: str) -> Range | None:
    """Read a gain; None where the text is none.

    Examples
    --------
    >>> read_gain("4.1 (2 to 6.32) mW", "power")
    Range(middle=0.0041, low=0.002, high=0.00632)
    >>> read_gain("a lot", "power")
    """
    found = _GAIN.fullmatch(text.strip())
    if found is None:
        return None
    try:
        unit = find_unit(found[4], QUANTITIES[GAINS[key]].kind)
        middle, low, high = (round(float(number) * unit.factor, 12) for number in found.group(1, 2, 3))
    except (UnitError, ValueError):
        return None
    return Range(middle=middle, low=low, high=high) if low <= high and math.isfinite(low + middle + high) else None


def promise_of(project: Project, number: int) -> Promise | None:
    """Return what was promised of the change of a mark; None where nothing was, or the mark before is not there."""
    texts = project.marks[number].promise if number in project.marks else {}
    since = texts.get("since", "")
    if not texts or not since.isdecimal() or int(since) not in project.marks:
        return None
    gains = {key: gain for key in GAINS if (gain := read_gain(texts.get(key, ""), key)) is not None}
    return Promise(change=texts.get("change", ""), since=int(since), gains=gains, runs=texts.get("runs", ""))


def kept(project: Project, number: int) -> Kept | None:
    """Return the promise of a mark with what came: the first of its gains that was measured on both marks."""
    promise = promise_of(project, number)
    if promise is None:
        return None
    for key in promise.gains:
        now, before = (_best(project, mark, GAINS[key]) for mark in (number, promise.since))
        if now is not None and before is not None:
            spread = math.hypot(now.spread, before.spread)
            return Kept(promise=promise, key=key, came=now.value - before.value, spread=spread)
    return Kept(promise=promise)


def first_reading(project: Project, number: int) -> tuple[str, int]:
    """Return the kind of reading that tells first whether a mark does better, and the mark that has one to compare.

    The kind that the mark before was measured by; else that of what was promised, and 0. Empty where neither is.
    """
    promise = promise_of(project, number)
    since = promise.since if promise else max((mark for mark in project.marks if mark < number), default=0)
    wanted = [GAINS[key] for key in promise.gains] if promise and promise.gains else list(GAINS.values())
    for quantity in wanted:
        if _best(project, since, quantity) is not None:
            return READ_BY[quantity], since
    return (READ_BY[wanted[0]], 0) if promise else ("", 0)


def tally(projects: list[Project]) -> tuple[int, int]:
    """Return how many promises of some projects were held against readings, and how many came within their range."""
    held = [
        each.within
        for project in projects
        for number in project.marks
        if (each := kept(project, number)) is not None and each.within is not None
    ]
    return len(held), sum(held)


def _best(project: Project, number: int, quantity: str) -> Measured | None:
    found = [measured_of(values_of(reading)) for _, reading in project.readings_of(number)]
    known = [each for each in found if each is not None and each.quantity == quantity]
    return max(known, key=lambda each: each.value, default=None)
