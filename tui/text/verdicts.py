"""What is said of an engine as a whole: whether it runs, as drawn or tested, and which test would tell most. Pure."""

from __future__ import annotations

from model.prediction.result import FirstTest, Gap, Prediction, Verdict
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text
from model.quantities.units import Kind, digits, from_si
from tui.text.figures import figure_text

FRICTION_AND_LEAK = ("rim_weight", "leak_down")
"""Tests of what no drawing tells; until they are done an engine runs as drawn, and no more is promised."""

NOTHING_TESTED = "nothing tested yet"
FAULTS = (0.1, 0.4)
"""Share of engines that a fault outside their drawing stops at first, between these; common practice, no source."""


def as_drawn(prediction: Prediction) -> bool:
    """Whether a prediction rests on a friction or a leak that nobody tested."""
    return any(key in prediction.untested for key in FRICTION_AND_LEAK)


def verdict_text(prediction: Prediction, chance: float | None = None, *, shown: bool = False) -> str:
    """Return whether it runs and how sure that is: ``Runs as drawn, 75 in 100``; `shown`: from what it has shown."""
    words = str(prediction.verdict).capitalize()
    chance = prediction.run_probability if chance is None else chance
    drawn = (
        " as drawn" if not shown and as_drawn(prediction) and prediction.verdict is not Verdict.NO_PREDICTION else ""
    )
    return words + drawn + ("" if chance is None else f", {chance_text(chance)}")


def first_test_text(prediction: Prediction, *, measured: bool) -> str:
    """Return which test would tell most, how long it takes and what it would mean; empty where none would.

    Parameters
    ----------
    measured : bool
        Whether anything was measured on the mark.
    """
    test = prediction.first_test
    if test is None or (test.alike and test.power_below <= 0 and test.power_above <= 0):
        return ""
    begin = "" if measured or not as_drawn(prediction) else f"{NOTHING_TESTED}; "
    first, second = outcomes_text(test)
    return f"{begin}{test.label} ({test.minutes:.0f} min) tells most: {first}, {second}"


def outcomes_text(test: FirstTest) -> tuple[str, str]:
    """Return what the outcomes of a test would mean: ``up to 53 g: 60 in 100``, ``more: 90 in 100``."""
    at = f"{digits(from_si(test.at, test.kind, test.unit), 2)} {test.unit}"
    if not test.alike:
        return f"up to {at}: {chance_text(test.below)}", f"more: {chance_text(test.above)}"
    unit = unit_for(Kind.POWER, "W", test.power_below, test.power_above)
    below, above = (
        f"{digits(from_si(power, Kind.POWER, unit), 2)} {unit}" for power in (test.power_below, test.power_above)
    )
    return f"up to {at}: {below}", f"more: {above}"


def faults_text(prediction: Prediction) -> str:
    """Return what faults that no drawing shows would take from a chance as drawn; empty where it is tested."""
    chance = prediction.run_probability
    if chance is None or not as_drawn(prediction):
        return ""
    few, many = (chance_text(chance * (1 - share)) for share in FAULTS)
    one, other = (f"{round(10 * share)} engines in ten" for share in FAULTS)
    return (
        "As drawn: nothing binds, leaks or stands at a wrong angle beyond the ranges taken. Such faults, which no "
        f"drawing shows, stop first engines: were it {one.replace('1 engines', 'one engine')}, {few} would run, were "
        f"it {other.replace('4', 'four')}, {many} (common practice, no source; published engines are mostly those "
        "that ran)."
    )


def shown_gap_text(gap: Gap) -> str:
    """Return a gap against what all else that was found promised: ``By all else that was found 57 rpm; gap ...``."""
    if gap.shown is None or gap.shown_gap is None:
        return ""
    return f"By all else that was found {figure_text(gap.shown)}; gap {figure_text(gap.shown_gap)}."


def sentence(text: str) -> str:
    """Return a text with a capital and a full stop; empty stays empty."""
    return f"{text[:1].upper()}{text[1:]}." if text else ""
