"""What is known of a mark: plain data, SI, no numpy; made by `learn`."""

from __future__ import annotations

from dataclasses import dataclass

from model.prediction.result import Prediction
from model.quantities.phrases import percent_text
from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One thing about a build that is not known exactly, before and after what was found."""

    key: str
    """Name of the input."""
    label: str
    kind: Kind
    unit: str
    before: tuple[float, float, float]
    """Middle and ends of the 90 % interval from dimensions, tables and guesses, SI."""
    after: tuple[float, float, float]
    """The same given all that was found."""
    origin: str
    """``guessed``, ``drawn``, ``typed as measured``, ``measured on Mk 2``, ``carried from Mk 1``."""
    since: str = ""
    """What was done to it since, for what is carried: ``taken apart``."""

    @property
    def narrowed(self) -> float:
        """Width after over width before, 1 where nothing was learned."""
        before, after = self.before[2] - self.before[1], self.after[2] - self.after[1]
        return after / before if before > 0 else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """A reading or tick that took part."""

    mark: int
    entry: str
    reading: str
    """Empty for a tick."""
    text: str
    """As typed, with mark and day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What was to be expected at a reading from all that was found but at its own visit; SI."""

    entry: str
    reading: str
    value: float
    """Free-running speed, or shaft power at the speed of a brake; nil where it would not run."""
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """What this mark does over what the mark before does, from the same engines; middle and ends of 90 %."""

    before: int
    """The mark before."""
    power: tuple[float, float, float] | None
    """Of the shaft powers, where both run in nearly all engines."""
    speed: tuple[float, float, float] | None
    """Of the free-running speeds."""
    friction: tuple[float, float, float]

    @property
    def words(self) -> str:
        """Say it: ``a quarter less power than Mk 2 (20 to 25 % less)``."""
        if self.power is None:
            return ""
        middle, low, high = self.power
        if low <= 1 <= high:
            return f"about the power of Mk {self.before} ({_share(low)} to {_share(high)})"
        than = "the power of" if middle >= TIMES else "power than"
        return f"{_share(middle)} {than} Mk {self.before} ({_share(low)} to {_share(high)})"


TIMES = 2.0
"""Ratio from which it is told as so many times."""


def _share(ratio: float) -> str:
    """Return a ratio as a builder says it: ``24 % less``, ``a third more``, ``2.1 times as much``.

    Examples
    --------
    >>> _share(0.76), _share(1.2), _share(2.14)
    ('24 % less', '20 % more', '2.1 times')
    """
    if ratio >= TIMES:
        return f"{ratio:.1f} times"
    return f"{percent_text(abs(1 - ratio))} {'less' if ratio < 1 else 'more'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """What a mark has shown."""

    mark: int
    prediction: Prediction
    """From what it has shown; without a reading, that of the drawing."""
    unknowns: tuple[Unknown, ...] = ()
    """Those that matter, most narrowed first."""
    readings: tuple[Took, ...] = ()
    """What took part."""
    contradictions: tuple[str, ...] = ()
    """Facts that fit badly what all the others say, in sentences with a remedy."""
    effective: float = 0.0
    """How many different engines carry the figures."""
    airs: float = 0.0
    """How many different solved turns of the air are among them."""
    expected: tuple[Expected, ...] = ()
    """Of its readings, each from all but its own visit; worked out after the rest (`expect`)."""
    ratio: Ratio | None = None
    """Against the mark before; None for the first."""
    note: str = ""
    """What limits it: few engines left, readings left out."""
    first_look: bool = False
    """Whether it only weighs the engines of before by what is new: the whole is still worked out."""

    @property
    def learned(self) -> bool:
        """Whether anything took part."""
        return bool(self.readings)


__all__ = ["Expected", "Knowledge", "Ratio", "Took", "Unknown"]
