"""The heat exchange in the spaces chosen without the design that it is tried on.

Its middle was chosen on all measured engines together; this tells what of the fit is left when each design is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.running.operate import operate
from model.running.samples import central
from tests.reference.engines import AT_A_SPEED, QUANTITIES, build_of, engines, read, reason_against, speed_of, wanted
from tests.reference.judged import Judged, inputs_of, value_at
from tests.reference.scores import Score, designs, model_value, of_quantity, score

FACTORS = np.geomspace(0.4, 4.0, 11)
"""Factors on the model's heat exchange in the spaces that are tried; the model's own middle is the root of 1.4."""
POWERS = ("indicated_power", "shaft_power")
"""What the factor is chosen by, as it was."""
TRIED = (*POWERS, *(what for what in AT_A_SPEED if what not in POWERS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """What is left when each design is left out."""

    chosen: dict[str, float]
    """Factor by design, chosen on the powers of the others."""
    scores: list[tuple[str, Score, Score]]
    """Quantity, the model as it is, and with the factor chosen without the design."""


def _swept(full: Sequence[Judged]) -> list[tuple[Judged, list[Judged]]]:
    """Each row that belongs to a speed, with what it becomes for each factor."""
    rows = iter(full)
    found = []
    for engine in engines().values():
        for point in engine["point"]:
            for what, text in wanted(point):
                if reason_against(engine, point, what):
                    continue
                row, speed = next(rows), speed_of(point)
                if what not in TRIED or speed is None:
                    continue
                assert row.measured == read(*QUANTITIES[what], text)
                model_inputs = inputs_of(build_of(engine, point))
                many = central(model_inputs.words, model_inputs.values).repeated(len(FACTORS))
                done = operate(many.changed(exchange_factor=FACTORS), np.full((len(FACTORS), 1), speed))
                found.append((row, [replace(row, value=float(value)) for value in value_at(done, what)]))
    return found


def refit(full: Sequence[Judged]) -> Refit:
    """Choose the factor without each design, by the powers of the others; `full` is all that `judge` tells."""
    swept = _swept(full)
    by_factor = [[values[number] for _, values in swept] for number in range(len(FACTORS))]
    chosen, left = {}, []
    for name in designs([row for row, _ in swept]):
        best = choose(by_factor, without=name)
        chosen[name] = float(FACTORS[best])
        left += [row for row in by_factor[best] if row.design == name]
    now = [row for row, _ in swept]
    return Refit(
        chosen=chosen,
        scores=[
            (what, score("", of_quantity(now, what), model_value), score("", of_quantity(left, what), model_value))
            for what in TRIED
            if of_quantity(now, what)
        ],
    )


def choose(by_factor: Sequence[Sequence[Judged]], *, without: str) -> int:
    """Return the number of the factor whose powers are nearest, by design, to those measured on the other designs.

    Engines whose main sizes are guessed have no say: the guess would be what is fitted.
    """
    return int(np.argmin([_by_design(row for row in rows if row.design != without) for rows in by_factor]))


def _by_design(rows: Iterable[Judged]) -> float:
    powers = [row for row in rows if row.quantity in POWERS and engines()[row.engine]["role"] == "judge"]
    return score("", powers, model_value).by_design
