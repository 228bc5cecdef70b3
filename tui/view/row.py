"""A row of values as lines: a table of what the engine does at each, its sentence, and a small curve. Pure.

Nothing is told by colour alone: ``>`` stands at the row under the cursor, ``now`` beside the present value.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.changes.values import bare_text
from model.curves.chart import Axis
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text, percent_text
from model.quantities.units import Kind, digits, from_si
from tui.state.prototype import Asked
from tui.text.figures import NONE, resolution, rounded
from tui.view.lines import Line, beside, cut, fitted, wrapped
from tui.view.plot import value_plot

if TYPE_CHECKING:
    from model.changes.result import Row, Step
    from model.quantities.ranges import Range

POWER, SPEED, CHANCE = 20, 9, 15
"""Cells of the columns."""
CURVE = 5
"""Least lines of a curve."""
STANDS_ON = ("It stands on the drawing: nothing is measured yet.", "It stands on what the engine has shown.")
NARROW = 76
"""Columns below which the power has no interval."""


def row_lines(
    asked: Asked[Row], *, learning: str, title: str, at: int, width: int, height: int, plain: bool
) -> list[Line]:
    """Return title, sentence, table and curve, as far as they fit into so many lines."""
    row = asked.answer if asked.of == asked.wanted else None
    done = f" {percent_text(asked.share)}" if asked.share else ""
    age = f"computing{done}" if asked.pending else "" if asked.failure else "up to date"
    lines: list[Line] = [beside(((cut(title, width - 16), "name"),), ((age, "aside"),), width)]
    if asked.failure:
        return [*lines, *wrapped(f"! {asked.failure}", width, role="flag", rest="  ")]
    if row is None:
        first = f" First it is learnt from what was found{learning}." if learning else ""
        return [*lines, *wrapped(f"The engine is being asked at seven to nine values.{first} Esc ends it.", width)]
    if row.reason:
        return [*lines, *wrapped(row.reason, width, rest="  ")]
    said = wrapped(row.sentence, width, role="strong", rest="  ") if row.sentence else []
    foot = wrapped(STANDS_ON[row.learned], width, role="aside")
    table = table_lines(row, at=at, width=width)
    left = height - len(lines) - len(said) - len(foot) - len(table)
    curve = curve_of(row, width=min(width, 70), height=min(9, left - 1), plain=plain)
    return [*lines, *said, *table, *([(), *curve] if curve else []), *foot]


def table_lines(row: Row, *, at: int, width: int) -> list[Line]:
    """Return one line for each value, under a line of titles."""
    first = min(18, max(len(_bare(step)) for step in row.steps) + 7)
    wide = width >= NARROW
    power = POWER if wide else 10
    steps = [step.outcome.power for step in row.steps if step.outcome.power]
    unit = unit_for(Kind.POWER, "W", *(each.middle for each in steps))
    titles = f"   {'value'.ljust(first)}{f'power {unit}'.ljust(power)}{'speed'.ljust(SPEED)}{'runs'.ljust(CHANCE)}"
    lines: list[Line] = [((cut(f"{titles}in its way", width), "aside"),)]
    for index, step in enumerate(row.steps):
        here = index == at
        name = fitted(f"{_bare(step)}{'  now' if step.present else ''}", first)
        figures = _power(step, unit, wide).ljust(power) + _speed(step).ljust(SPEED) + _chance(step).ljust(CHANCE)
        way = " ".join(step.outcome.in_the_way)
        room = width - 3 - first - power - SPEED - CHANCE
        best = " *" if index == row.best else "  "
        lines.append((
            (">" if here else " ", "here"), (best, "strong"), (name, "here" if here else ""),
            (figures, "strong" if here else ""), (cut(way, max(0, room)), "flag" if way else ""),
        ))  # fmt: skip
    return lines


def _bare(step: Step) -> str:
    return bare_text(step.text)[:12]


def _power(step: Step, unit: str, wide: bool) -> str:
    power = step.outcome.power
    return NONE if power is None else range_text(power, Kind.POWER, unit, wide=wide)


def _speed(step: Step) -> str:
    speed = step.outcome.best_speed
    return NONE if speed is None else f"{digits(from_si(speed.middle, Kind.ROTATION, 'rpm'), 2)} rpm"


def _chance(step: Step) -> str:
    return chance_text(step.outcome.runs) if step.outcome.solved else NONE


def range_text(value: Range, kind: Kind, unit: str, *, wide: bool = True) -> str:
    """Return middle and ends without their unit: ``4.2 (3 to 9)``; the digits follow the ends."""
    middle, low, high = (from_si(x, kind, unit) for x in (value.middle, value.low, value.high))
    step = resolution(low, high)
    middle_text = digits(middle, 2) if middle else "0"
    return f"{middle_text} ({rounded(low, step)} to {rounded(high, step)})" if wide and step else middle_text


def curve_of(row: Row, *, width: int, height: int, plain: bool) -> list[Line]:
    """Return power over the values as a small curve, ``x`` at the present one; nothing where there is no room."""
    points = [(step.value, step.outcome.power.middle) for step in row.steps if step.outcome.power]
    if height < CURVE or len(points) < 2 or not any(power > 0 for _, power in points):
        return []
    present = [(step.value, step.outcome.power.middle) for step in row.steps if step.present and step.outcome.power]
    axis = Axis(label=row.field, kind=row.kind, unit=row.unit)
    return value_plot(points, present, axis, width=width, height=height, plain=plain)
