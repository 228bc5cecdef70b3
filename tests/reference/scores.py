"""How far predictions lie off: by point, and by design, so that four specimens of one drum do not count four times."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tests.reference.judged import Judged
from tests.reference.rules import RULES

FARTHEST = 10.0
"""A value that is nil, negative or farther off than this factor counts as this factor off."""
Prediction = Callable[[Judged], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """One way to predict a quantity, on the same measured values as the others."""

    label: str
    constant: float | None
    """What its yardstick is multiplied by; None for the model, and where it is fitted without each design."""
    points: int
    designs: int
    within_two: int
    """Points within a factor two."""
    by_point: float
    """rms factor: exp of the root mean square of ln(predicted/measured)."""
    by_design: float
    """The same of the designs' mean ln(predicted/measured)."""
    held_off: int
    """Points that count as `FARTHEST` off."""


def of_quantity(rows: Iterable[Judged], quantity: str) -> list[Judged]:
    """Rows of a quantity that was measured as a number."""
    return [row for row in rows if row.quantity == quantity and row.measured is not None]


def log_ratio(predicted: float, measured: float) -> float:
    """Return ln(predicted/measured), held within `FARTHEST`."""
    bound = math.log(FARTHEST)
    if predicted <= 0:
        return -bound
    return min(max(math.log(predicted / measured), -bound), bound)


def designs(rows: Sequence[Judged]) -> dict[str, list[Judged]]:
    """Rows by design, in the order of the table."""
    found: dict[str, list[Judged]] = defaultdict(list)
    for row in rows:
        found[row.design].append(row)
    return dict(found)


def _measured(row: Judged) -> float:
    assert row.measured is not None
    return row.measured.value


def score(label: str, rows: Sequence[Judged], predict: Prediction, *, constant: float | None = None) -> Score:
    """Score one way to predict."""
    logs = {id(row): log_ratio(predict(row), _measured(row)) for row in rows}
    means = [sum(logs[id(row)] for row in group) / len(group) for group in designs(rows).values()]
    return Score(
        label=label,
        constant=constant,
        points=len(rows),
        designs=len(means),
        within_two=sum(abs(value) <= math.log(2) + 1e-12 for value in logs.values()),
        by_point=_rms_factor(list(logs.values())),
        by_design=_rms_factor(means),
        held_off=sum(abs(value) >= math.log(FARTHEST) for value in logs.values()),
    )


def _rms_factor(logs: Sequence[float]) -> float:
    return math.exp(math.sqrt(sum(value**2 for value in logs) / len(logs)))


def left_out(rows: Sequence[Judged], predict: Prediction, *, yardstick: bool = False) -> Prediction | None:
    """Return the prediction times a constant that is fitted, for each row, to the designs that are not the row's.

    The constant makes the mean over those designs of their mean ln(predicted/measured) nil; None with one design alone.
    A yardstick without its constant may lie farther off than `FARTHEST`, and is never nil.
    """

    def off(row: Judged) -> float:
        value, measured = predict(row), _measured(row)
        return math.log(value / measured) if yardstick else log_ratio(value, measured)

    means = {name: sum(map(off, group)) / len(group) for name, group in designs(rows).items()}
    if len(means) < 2:
        return None

    def fitted(row: Judged) -> float:
        others = [value for name, value in means.items() if name != row.design]
        return predict(row) * math.exp(-sum(others) / len(others))

    return fitted


def model_value(row: Judged) -> float:
    """The model's best value."""
    return row.value or 0.0


def scores(rows: Sequence[Judged], quantity: str) -> list[Score]:
    """Return the model and every rule of a quantity, each as it is and with its constant fitted without the design.

    A rule stands on every row of the model or not at all: on fewer it would not be the same trial.
    """
    group = of_quantity(rows, quantity)
    found = [score("model", group, model_value)]
    found += _fitted("model", group, model_value)
    yardsticks_fitted = set()
    for rule in RULES.get(quantity, ()):
        if not all(rule.yardstick in (row.yardsticks or {}) for row in group):
            continue

        def predict(row: Judged, name: str = rule.yardstick, constant: float = rule.constant or 1.0) -> float:
            return constant * (row.yardsticks or {})[name]

        if rule.constant is not None:
            found.append(score(rule.label, group, predict, constant=rule.constant))
        if rule.yardstick not in yardsticks_fitted:
            yardsticks_fitted.add(rule.yardstick)
            found += _fitted(_bare(rule.label, rule.yardstick), group, unit(rule.yardstick), yardstick=True)
    return found


def unit(yardstick: str) -> Prediction:
    """Return a yardstick without a constant."""
    return lambda row: (row.yardsticks or {})[yardstick]


def _bare(label: str, yardstick: str) -> str:
    return yardstick if yardstick in ("closed form", "West", "Beale", "closed box") else label


def _fitted(label: str, group: Sequence[Judged], predict: Prediction, *, yardstick: bool = False) -> list[Score]:
    fitted = left_out(group, predict, yardstick=yardstick)
    return [score(f"{label}, constant fitted without the design", group, fitted)] if fitted else []


@dataclass(frozen=True, slots=True, kw_only=True)
class RunScore:
    """Runs or does not: Brier score, the mean of (probability - outcome) squared; nil is best, 0.25 a tossed coin."""

    label: str
    by_point: float
    by_design: float


def run_rows(rows: Iterable[Judged]) -> list[Judged]:
    """One row for each engine and condition of which it is known whether it ran, and of which the model says something.

    Values of one point share their probability; where metals were tried at several points, each counts.
    """
    found: dict[tuple[str, float, bool], Judged] = {}
    for row in rows:
        if row.runs is not None:
            found.setdefault((row.engine, row.runs, row.ran), row)
    return list(found.values())


def run_scores(rows: Iterable[Judged]) -> list[RunScore]:
    """Return the model, "always runs", and the share of the other designs' points that ran."""
    told = run_rows(rows)
    by_design = designs(told)
    rates = {name: sum(row.ran for row in group) / len(group) for name, group in by_design.items()}

    def others(row: Judged) -> float:
        rest = [rate for name, rate in rates.items() if name != row.design]
        return sum(rest) / len(rest)

    ways: list[tuple[str, Prediction]] = [
        ("model", lambda row: row.runs if row.runs is not None else 0.5),
        ("always runs", lambda row: 1.0),
        ("share of the other designs that ran", others),
    ]
    return [_run_score(label, told, by_design, predict) for label, predict in ways]


def _run_score(label: str, told: list[Judged], by_design: dict[str, list[Judged]], predict: Prediction) -> RunScore:
    def off(row: Judged) -> float:
        return (predict(row) - row.ran) ** 2

    means = [sum(map(off, group)) / len(group) for group in by_design.values()]
    return RunScore(label=label, by_point=sum(map(off, told)) / len(told), by_design=sum(means) / len(means))


def ranks(rows: Sequence[Judged]) -> list[int]:
    """Return how many measured values lie in each fifth of the samples; an honest interval fills them alike."""
    found = [0] * 5
    for row in rows:
        if row.rank is not None:
            found[min(int(row.rank * 5), 4)] += 1
    return found
