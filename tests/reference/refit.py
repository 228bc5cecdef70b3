"""What was chosen after looking at these engines, chosen anew without the design that it is tried on.

Heat exchange and metal beside the clearance: a factor on both, by the powers of the other designs. Friction: its middle
by least squares of ln(what rubbed/what was guessed) on the other designs, on all and on those alone of which the work
of the air was measured, for elsewhere the model's error on the air stands in it. Soft parts and lasting eddies: the
drums alone taught them, so that the drums go without.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from model.physics.values import FloatArray
from model.running.operate import operate
from model.running.points import find_points
from model.running.samples import SampledInputs, central
from model.running.shaft import friction
from tests.reference.engines import AT_A_SPEED, build_of, engines, reason_against, speed_of, wanted
from tests.reference.judged import PIN_SPEEDS, Judged, inputs_of, value_at
from tests.reference.scores import Score, designs, log_ratio, model_value, of_quantity, score

FACTORS = np.geomspace(0.4, 4.0, 11)
"""Factors on the model's heat exchange in the spaces that are tried; the model's own middle is the root of 1.4."""
BESIDE = np.array([0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0])
"""Factors on the shares of the clearance that lie beside hot and cold metal that are tried."""
POWERS = ("indicated_power", "shaft_power")
"""What the factor is chosen by, as it was."""
TRIED = (*POWERS, *(what for what in AT_A_SPEED if what not in POWERS))
SPEEDS = {"speed_at_best_power": "best_speed", "free_running_speed": "free_speed"}
BEFORE = {"soft_parts": 1e-6, "stirring_lasts": 1.0}
"""What was known without the drums: nothing gives, and eddies die in a turnover of their own."""
Change = Callable[[SampledInputs], SampledInputs]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """What is left of the model when each design is left out."""

    heading: str
    chosen: dict[str, float]
    """Factor by design, chosen on the others; empty where there is none."""
    scores: list[tuple[str, Score, Score]]
    """Quantity, the model as it is, and as it is chosen without the design."""


def refits(full: Sequence[Judged]) -> list[Refit]:
    """Choose each anew; `full` is all that `judge` tells."""
    measured = [row for row in full if row.taken and row.taken.measured_gas is not None]
    return [
        _by_powers("Heat exchange in the spaces", full, FACTORS, lambda many: many.changed(exchange_factor=FACTORS)),
        _by_powers("Metal beside the clearance", full, BESIDE, _beside),
        _friction("Friction, by all designs", full, full),
        _friction("Friction, where the gas work was measured", full, measured),
        _drums(full),
    ]


def _beside(many: SampledInputs) -> SampledInputs:
    if "hot_beside" not in many:
        return many
    return many.changed(hot_beside=BESIDE * many["hot_beside"], cold_beside=BESIDE * many["cold_beside"])


def placed(full: Sequence[Judged]) -> Iterator[tuple[Judged, dict[str, Any], dict[str, Any]]]:
    """Yield each row with its engine and its point."""
    rows = iter(full)
    for engine in engines().values():
        for point in engine["point"]:
            for what, _ in wanted(point):
                if not reason_against(engine, point, what):
                    yield next(rows), engine, point


def swept(
    full: Sequence[Judged], count: int, change: Change, keep: Callable[[Judged], bool] = lambda row: True
) -> list[tuple[Judged, list[Judged]]]:
    """Return each row to keep that belongs to a speed, with what it becomes in each of `count` changed engines."""
    found = []
    for row, engine, point in placed(full):
        speed = speed_of(point)
        if row.quantity not in TRIED or speed is None or not keep(row):
            continue
        model_inputs = inputs_of(build_of(engine, point))
        many = change(central(model_inputs.words, model_inputs.values).repeated(count))
        done = operate(many, np.full((count, 1), speed))
        found.append((row, [replace(row, value=float(value)) for value in value_at(done, row.quantity)]))
    return found


def _by_powers(heading: str, full: Sequence[Judged], factors: FloatArray, change: Change) -> Refit:
    found = swept(full, len(factors), change)
    by_factor = [[values[number] for _, values in found] for number in range(len(factors))]
    chosen, left = {}, []
    for name in designs([row for row, _ in found]):
        best = choose(by_factor, without=name)
        chosen[name] = float(factors[best])
        left += [row for row in by_factor[best] if row.design == name]
    return Refit(heading=heading, chosen=chosen, scores=_scores([row for row, _ in found], left))


def _scores(now: Sequence[Judged], left: Sequence[Judged]) -> list[tuple[str, Score, Score]]:
    return [
        (what, score("", of_quantity(now, what), model_value), score("", of_quantity(left, what), model_value))
        for what in (*TRIED, *SPEEDS)
        if of_quantity(now, what)
    ]


def choose(by_factor: Sequence[Sequence[Judged]], *, without: str) -> int:
    """Return the number of the factor whose powers are nearest, by design, to those measured on the other designs.

    Engines whose main sizes are guessed have no say: the guess would be what is fitted.
    """
    return int(np.argmin([_by_design(row for row in rows if row.design != without) for rows in by_factor]))


def _by_design(rows: Iterable[Judged]) -> float:
    powers = [row for row in rows if row.quantity in POWERS and engines()[row.engine]["role"] == "judge"]
    return score("", powers, model_value).by_design


def friction_factor(rows: Sequence[Judged], *, without: str) -> float:
    """Return what the guessed friction would be multiplied by, by what rubbed in the other designs.

    The mean over designs of their mean ln(rubbed/guessed); engines whose main sizes are guessed have no say.
    """
    told = [row for row in rows if row.taken and row.design != without and engines()[row.engine]["role"] == "judge"]
    means = [
        sum(log_ratio(row.taken.rubbed, row.taken.friction) for row in group if row.taken) / len(group)
        for group in designs(told).values()
    ]
    return math.exp(sum(means) / len(means))


def _friction(heading: str, full: Sequence[Judged], told: Sequence[Judged]) -> Refit:
    now, left = [], []
    chosen: dict[str, float] = {}
    for row, engine, point in placed(full):
        if row.quantity not in ("shaft_power", "torque", *SPEEDS) or row.measured is None:
            continue
        if row.design not in chosen:
            chosen[row.design] = friction_factor(told, without=row.design)
        more = chosen[row.design] - 1
        now.append(row)
        if row.quantity in SPEEDS:
            model_inputs = inputs_of(build_of(engine, point))
            one = central(model_inputs.words, model_inputs.values)
            left.append(replace(row, value=_speed(one, row.quantity, more)))
        elif row.taken and row.value is not None:
            torque = more * row.taken.friction * row.taken.swept / (2 * math.pi)
            left.append(
                replace(row, value=row.value - torque * (row.taken.speed if row.quantity == "shaft_power" else 1.0))
            )
    return Refit(heading=heading, chosen=chosen, scores=_scores(now, left))


def _speed(one: SampledInputs, what: str, more: float) -> float:
    found = operate(one, PIN_SPEEDS[None] / one.column("piston_throw"))
    found = replace(found, torque=found.torque - more * friction(one, found.speed))
    points = find_points(found, reference=float(found.speed[0, 5]))
    values: FloatArray = np.nan_to_num(getattr(points, SPEEDS[what]))
    return float(values[0])


def _drums(full: Sequence[Judged]) -> Refit:
    def before(one: SampledInputs) -> SampledInputs:
        return one.changed(**{name: np.array([value]) for name, value in BEFORE.items() if name in one})

    found = swept(full, 1, before, lambda row: row.design == "flat_drum")
    return Refit(
        heading="Soft parts and lasting eddies, without what the drums' own pressure told",
        chosen={},
        scores=_scores([row for row, _ in found], [values[0] for _, values in found]),
    )
