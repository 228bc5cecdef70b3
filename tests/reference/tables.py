"""The tables of ``python -m tests.reference``, in Markdown."""

from __future__ import annotations

import math
import statistics
from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from model.quantities.units import from_si
from tests.reference.engines import QUANTITIES, NotJudged, engines
from tests.reference.exponents import APART, Exponent
from tests.reference.judged import Judged
from tests.reference.refit import Refit
from tests.reference.rules import RULES
from tests.reference.scores import designs, left_out, of_quantity, ranks, run_rows, run_scores, scores, unit

Row = Sequence[str]


def table(head: Row, rows: Iterable[Row]) -> list[str]:
    """Return the lines of a Markdown table."""
    return [f"| {' | '.join(row)} |" for row in (head, ["---"] * len(head), *rows)]


def words(quantity: str) -> str:
    """Return a quantity in words."""
    return quantity.replace("_", " ")


def measured_quantities(rows: Sequence[Judged]) -> list[str]:
    """Return the quantities that the rows hold, in the order of the table of engines."""
    return [quantity for quantity in QUANTITIES if of_quantity(rows, quantity)]


def score_table(rows: Sequence[Judged]) -> list[str]:
    """Return the model beside the rules, by quantity."""
    lines = []
    for quantity in measured_quantities(rows):
        for found in scores(rows, quantity):
            held = f", {found.held_off} off by ten or more" if found.held_off else ""
            lines.append([words(quantity), found.label, f"{found.by_design:.2f}", f"{found.by_point:.2f}",
                          f"{found.within_two} of {found.points}{held}", str(found.designs)])  # fmt: skip
    return table(["quantity", "way", "rms factor by design", "by point", "points within two", "designs"], lines)


def verdicts(rows: Sequence[Judged]) -> list[str]:
    """Return one line a quantity: whether the model beats the rules, by design, on the same rows."""
    lines = []
    for quantity in measured_quantities(rows):
        line = f"- *{words(quantity)}*: {_verdict(rows, quantity)}"
        known = [row for row in rows if engines()[row.engine]["role"] == "judge"]
        if len(of_quantity(known, quantity)) not in (0, len(of_quantity(rows, quantity))):
            line += f" Without designs of which a main size is assumed: {_verdict(known, quantity)}"
        lines.append(line)
    return lines


def _verdict(rows: Sequence[Judged], quantity: str) -> str:
    model, *others = scores(rows, quantity)
    rules = [x for x in others if not x.label.startswith("model")]
    count = f"{model.designs} design{'s' if model.designs > 1 else ''}"
    if not rules:
        return f"{model.by_design:.2f}, no rule to compare with ({count})."
    best = min(rules, key=lambda x: x.by_design)
    verdict = "the model **wins**" if model.by_design < best.by_design else "the model **loses**"
    return f"{verdict}, {model.by_design:.2f} against {best.by_design:.2f} ({best.label}; {count})."


def _mean_ratio(values: Iterable[float]) -> str:
    found = list(values)
    if min(found) <= 0:
        return "nil or less"
    return f"{math.exp(sum(map(math.log, found)) / len(found)):.2f}"


def _assumed(design: Sequence[Judged]) -> str:
    return "" if engines()[design[0].engine]["role"] == "judge" else " (a main size assumed)"


def design_table(rows: Sequence[Judged]) -> list[str]:
    """Return one line a design and quantity: predicted over measured, geometric mean of its points."""
    lines = []
    for quantity in measured_quantities(rows):
        rule = next((x for x in RULES.get(quantity, ()) if x.constant is not None), None)
        for name, group in designs(of_quantity(rows, quantity)).items():
            ratios = [row.ratio for row in group if row.ratio is not None]
            by_rule = "-"
            if rule and all(rule.yardstick in (row.yardsticks or {}) for row in group):
                by_rule = _mean_ratio(
                    (rule.constant or 1.0) * (row.yardsticks or {})[rule.yardstick] / row.measured.value
                    for row in group if row.measured
                )  # fmt: skip
            inside = sum(bool(row.inside) for row in group)
            known = " / ".join(sorted({engines()[row.engine]["geometry"] for row in group}))
            lines.append([words(quantity), name + _assumed(group), str(len(group)), _mean_ratio(ratios),
                          f"{by_rule} ({rule.label})" if rule and by_rule != "-" else "-", f"{inside} of {len(group)}",
                          "; ".join(sorted({row.given for row in group})), known])  # fmt: skip
    head = ["quantity", "design", "points", "model / measured", "first rule / measured", "inside", "given", "geometry"]
    return table(head, lines)


def exponent_table(found: Sequence[Exponent]) -> list[str]:
    """Return how gas power grows with the difference, by engine."""
    head = ["engine", "points", "measured", "by angle of the gate", "model", f"model, {APART} K less", "closed form"]
    return table(
        head,
        [
            [x.engine, str(x.points), f"{x.measured:.2f}", f"{x.least:.2f} to {x.most:.2f}", f"{x.model:.2f}",
             "-" if x.apart is None else f"{x.apart:.2f}", f"{x.closed:.2f}"]
            for x in found
        ],
    )  # fmt: skip


def loss_table(rows: Sequence[Judged]) -> list[str]:
    """Return what mechanisms took beside what the model's take; free speeds of an engine: its slowest and fastest."""
    lines = []
    for name in dict.fromkeys(row.engine for row in rows):
        own = [row for row in rows if row.engine == name and row.taken]
        free = sorted(
            (x for x in own if x.quantity == "free_running_speed"), key=lambda x: x.taken.speed if x.taken else 0
        )
        for row in [x for x in own if x not in free] + free[:: max(len(free) - 1, 1)]:
            lines.append(_loss_line(row))
    head = ["engine", "at", "gas work", "shaft", "lost", "of the gas work", "model's loss", "its 90 % range",
            "friction of it", "forced work"]  # fmt: skip
    return table(head, lines)


def _loss_line(row: Judged) -> list[str]:
    t = row.taken
    assert t is not None
    gas, by = (t.gas, " by the model") if t.measured_gas is None else (t.measured_gas, "")
    kilo = [f"{x / 1e3:.2f}" for x in (t.shaft, t.lost, t.middle, t.low, t.high, t.friction, t.forced)]
    speed = from_si(t.speed, *QUANTITIES["free_running_speed"])
    at = {"free_running_speed": "free", "shaft_power": "brake", "torque": "torque"}[row.quantity]
    return [row.engine, f"{speed:.0f} rpm, {at}", f"{gas / 1e3:.2f}{by}", kilo[0], kilo[1], f"{t.lost / gas:.0%}",
            kilo[2], f"{kilo[3]} to {kilo[4]}", kilo[5], kilo[6]]  # fmt: skip


def _number(quantity: str) -> Callable[[float | None], str]:
    return lambda value: "-" if value is None else f"{from_si(value, *QUANTITIES[quantity]):.3g}"


def point_table(rows: Sequence[Judged]) -> list[str]:
    """Return one line a measured value."""
    lines = []
    for row in rows:
        if row.measured is None:
            continue
        text = _number(row.quantity)
        unit = QUANTITIES[row.quantity][1]
        runs = "-" if row.runs is None else f"{row.runs:.0%}"
        lines.append([row.engine, f"{words(row.quantity)}, {unit}", text(row.measured.value), text(row.value),
                      f"{text(row.low)} to {text(row.high)}", "yes" if row.inside else "NO",
                      f"{row.rank or 0.0:.2f}", runs, row.given])  # fmt: skip
    head = ["engine", "quantity", "measured", "model", "90 % interval", "inside", "rank", "runs", "given"]
    return table(head, lines)


def run_tables(rows: Sequence[Judged]) -> list[str]:
    """Return the Brier scores, and the engines of which it is known whether they ran."""
    found = run_scores(rows)
    told = run_rows(rows)
    dead = [row for row in told if not row.ran]
    return [
        *table(["way", "Brier by design", "by point"],
               [[x.label, f"{x.by_design:.3f}", f"{x.by_point:.3f}"] for x in found]),
        "",
        f"{len(told)} conditions of {len(designs(told))} designs; {len(dead)} of them did not run. "
        "Nil is best, a tossed coin 0.25.",
        "",
        *table(["design", "points that ran", "did not", "predicted share that runs"],
               [[name, str(sum(x.ran for x in group)), str(sum(not x.ran for x in group)), _shares(group)]
                for name, group in designs(told).items()]),
    ]  # fmt: skip


def _shares(group: Sequence[Judged]) -> str:
    said = []
    for outcome, label in ((True, "where it ran"), (False, "where it did not")):
        shares = [row.runs for row in group if row.ran is outcome and row.runs is not None]
        if shares:
            low, high = min(shares), max(shares)
            said.append(f"{label} {low:.0%}" + (f" to {high:.0%}" if high > low else ""))
    return "; ".join(said)


def rank_table(rows: Sequence[Judged]) -> list[str]:
    """Return in which fifth of the samples the measured values lie."""
    lines = []
    for quantity in measured_quantities(rows):
        group = of_quantity(rows, quantity)
        found = sorted(row.rank for row in group if row.rank is not None)
        inside = sum(bool(row.inside) for row in group)
        lines.append([words(quantity), *map(str, ranks(group)), f"{found[0]:.2f} to {found[-1]:.2f}",
                      f"{inside} of {len(group)}"])  # fmt: skip
    head = ["quantity", "lowest fifth", "2", "3", "4", "highest fifth", "ranks", "inside the 90 % interval"]
    return table(head, lines)


def left_table(left: Sequence[NotJudged]) -> list[str]:
    """Return what is not predicted, with the reason."""
    found: dict[tuple[str, str], Counter[str]] = {}
    for x in left:
        found.setdefault((x.quantity, x.reason), Counter())[x.engine] += 1
    lines = [
        [words(quantity), ", ".join(f"{name} ({n})" if n > 1 else name for name, n in names.items()), reason]
        for (quantity, reason), names in found.items()
    ]
    return table(["quantity", "engine (values)", "no prediction, because"], lines)


def refit_tables(found: Sequence[Refit]) -> list[str]:
    """Return the model as it is beside the one in which each was chosen without the design."""
    lines, chosen = [], []
    for each in found:
        lines += [
            [each.heading, words(what), f"{now.by_design:.2f}", f"{left.by_design:.2f}", f"{now.by_point:.2f}",
             f"{left.by_point:.2f}", str(now.designs)]
            for what, now, left in each.scores
        ]  # fmt: skip
        if each.chosen:
            factors = ", ".join(f"{name} {factor:.2f}" for name, factor in each.chosen.items())
            chosen.append(f"- *{each.heading}*, factors that the others chose: {factors}.")
    head = ["chosen anew", "quantity", "by design: as it is", "without the design", "by point: as it is", "without",
            "designs"]  # fmt: skip
    return [*table(head, lines), "", *chosen]


def constant_table(rows: Sequence[Judged], quantity: str) -> list[str]:
    """Return each design's own constant of the rules of a quantity, and the one that the other designs give."""
    group, lines = of_quantity(rows, quantity), []
    for rule in RULES[quantity]:
        if not all(rule.yardstick in (row.yardsticks or {}) for row in group) or any(
            line[0] == rule.yardstick for line in lines
        ):
            continue
        sticks = {id(row): (row.yardsticks or {})[rule.yardstick] for row in group}
        own = {
            name: math.exp(statistics.fmean(math.log(x.measured.value / sticks[id(x)]) for x in of if x.measured))
            for name, of in designs(group).items()
        }
        fitted = left_out(group, unit(rule.yardstick), yardstick=True)
        for name, of in designs(group).items():
            others = fitted(of[0]) / (of[0].yardsticks or {})[rule.yardstick] if fitted else math.nan
            lines.append([rule.yardstick, name, f"{own[name]:.2g}", f"{others:.2g}"])
    return table(["yardstick", "design", "its own constant", "constant of the others"], lines)
