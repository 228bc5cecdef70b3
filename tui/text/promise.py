"""What was promised of a change and what came, side by side, as text. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from model.bench.kinds import kind_of
from model.bench.promise import GAINS, Kept, first_reading, kept, tally
from model.bench.quantities import QUANTITIES
from model.checks.seen_running import was_tried
from model.quantities.units import digits, from_si
from model.record import Project
from tui.text.figures import resolution, rounded


def promise_text(project: Project, number: int) -> str:
    """Return a mark's promise beside what came of it; empty where nothing was promised."""
    each = kept(project, number)
    if each is None:
        return ""
    promise = each.promise
    said = ", ".join(_gain(each, key) for key in ([each.key] if each.key else list(promise.gains)[:1]))
    said = said or f"runs {promise.runs}"
    begin = f"Promised for Mk {number} ({promise.change}): {said} over Mk {promise.since}"
    if each.within is None:
        first = first_reading_text(project, number)
        return f"Not tried yet. {begin}. {first}" if not was_tried(project, number) else f"{begin}. {first}"
    quantity = QUANTITIES[GAINS[each.key]]
    came = digits(from_si(each.came, quantity.kind, quantity.unit), 2)
    return f"{begin}; came {_signed(came)} {quantity.unit}, {'within' if each.within else 'outside'} its range."


def first_reading_text(project: Project, number: int) -> str:
    """Return which reading tells first whether a mark does better than the one before; empty where none would."""
    kind, since = first_reading(project, number)
    declared = kind_of(kind)
    if declared is None:
        return ""
    return f"First reading: {declared.label.lower()}, {f'as on Mk {since}' if since else 'on both marks'}."


def _gain(each: Kept, key: str) -> str:
    quantity, gain = QUANTITIES[GAINS[key]], each.promise.gains[key]
    middle, low, high = (from_si(x, quantity.kind, quantity.unit) for x in (gain.middle, gain.low, gain.high))
    step = resolution(low, high)
    span = f" ({rounded(low, step)} to {rounded(high, step)})" if step else ""
    return f"{_signed(digits(middle, 2))} {quantity.unit}{span}"


def _signed(text: str) -> str:
    return text if text.startswith("-") or text == "0" else f"+{text}"


def tally_text(projects: Iterable[Project]) -> str:
    """Return how many promises of a notebook came within their range; empty where none was held against readings."""
    held, within = tally(list(projects))
    many = "promise" if held == 1 else "promises"
    return f"Of {held} {many} in this notebook that were measured, {within} came within their range." if held else ""
