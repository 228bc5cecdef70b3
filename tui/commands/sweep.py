"""``quarterturn sweep FILE[:MARK] FIELD [VALUES]``: an engine at seven to nine values of one field."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from model.fields import Build, fields_of
from model.fields import show as written
from model.quantities.units import from_si
from tui.commands.changes import effect_json, outcome_json, outcome_text
from tui.commands.common import file_and_mark, json_argument, marked_file_argument, show, show_json
from tui.commands.progress import doing
from tui.text.probabilities import bar
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.changes.result import Bound, Row, Step

BAR = 12
"""Cells of the bar that stands for the power."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    marked_file_argument(parser)
    parser.add_argument(
        "field", metavar="FIELD", help="a field with a number, as it is called in the file; or wheel, leak, piston"
    )
    parser.add_argument("values", metavar="VALUE", nargs="*", help="values as in the form; else round the present one")
    json_argument(parser, "one object with every value")


def run(options: argparse.Namespace) -> int:
    """Try the values and print."""
    _, project, mark = file_and_mark(options.file)
    with doing("Trying each value on the engines that this build could be"):
        from model.changes.sweep import sweep

        *_, row = sweep(project, mark, options.field, options.values or None)
    if options.json:
        show_json({"project": sanitise(project.name), "mark": mark, **_json(row)})
        return 0
    show("\n".join([f"{sanitise(project.name)}, Mk {mark}: {row.label}", *row_lines(row)]))
    return 0


def row_lines(row: Row) -> list[str]:
    """Return a row as a table with a bar for the power, the present value marked."""
    if row.reason:
        return [row.reason]
    field = fields_of(Build)[row.field]
    powers = [step.outcome.power.middle if step.outcome.power else 0.0 for step in row.steps]
    top = max([*powers, 1e-12])
    texts = [_told(step, written(row.now, field, significant=2)) for step in row.steps]
    width = max(map(len, texts))
    lines = []
    for number, (step, text, power) in enumerate(zip(row.steps, texts, powers, strict=True)):
        sign = ">" if step.present else "*" if number == row.best else " "
        curve = f"[{bar(power / top, BAR)}]" if step.outcome.solved else " " * (BAR + 2)
        lines.append(f"{sign} {text:<{width}}  {curve}  {outcome_text(step.outcome)}")
    note = "> where it stands, * best" + ("" if row.learned else "; nothing was measured: it stands on the drawing")
    return [*lines, note, *([row.sentence] if row.sentence else [])]


def _told(step: Step, now: str) -> str:
    return sanitise(now if step.present and not step.text else step.text)


def _json(row: Row) -> dict[str, Any]:
    def number(value: float) -> float:
        return float(f"{from_si(value, row.kind, row.unit):.6g}")

    def bound(item: Bound) -> dict[str, Any]:
        ends = {"value": number(item.at.middle), "low": number(item.at.low), "high": number(item.at.high)}
        return {"at_most": item.at_most, "beyond": item.beyond, **ends}

    return {
        "field": row.field,
        "label": row.label,
        "unit": row.unit,
        "now": None if row.now is None else number(row.now.value),
        "guessed": row.guessed,
        "steps": [
            {
                "value": number(step.value),
                "text": sanitise(step.text),
                "present": step.present,
                "outcome": outcome_json(step.outcome),
                "effect": effect_json(step.effect, running=row.running),
            }
            for step in row.steps
        ],
        "best": row.best,
        "bounds": [bound(item) for item in row.bounds],
        "sentence": sanitise(row.sentence),
        "running": row.running,
        "learned": row.learned,
        "engines": row.engines,
        "reason": sanitise(row.reason),
    }


__all__ = ["arguments", "row_lines", "run"]
