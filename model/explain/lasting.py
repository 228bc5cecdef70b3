"""How long an engine takes to warm up and how long it lasts, as figures: slower than a prediction, asked for apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from model.bench.reading import values_of
from model.explain.as_drawn import AsDrawn
from model.explain.cache import Cache, key_of
from model.fields import Build
from model.inputs.model_inputs import ModelInputs
from model.prediction.figures import figure
from model.prediction.predict import predict
from model.prediction.result import Figure, Gap, Prediction, Why
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.running.overtime import History, over_time
from model.running.samples import SampledInputs, central, drawn
from model.running.spread import interval

SAMPLES = 24
"""Samples of an interval; each follows its metals over time."""
BATCH = 6
"""Samples that are followed together: each is run at a dozen differences, and more need more memory."""
RUN_TIME = "run_time"
"""Kind of the reading that is held against it, and its quantity."""
_RUN_TIMES: Cache[tuple[float, NDArray[np.float64]]] = Cache(40)


def lasting(
    project: Project, *, mark: int, prediction: Prediction, build: Build | None = None, samples: int = SAMPLES
) -> dict[str, Figure]:
    """Return the figures ``warm_up`` and ``run_time`` of a mark; nothing where it does not run or never ends.

    Parameters
    ----------
    project : Project
        The prototype.
    mark : int
        Number of the mark.
    prediction : Prediction
        The mark's prediction: its stated speed is the running speed.
    build : Build, optional
        What is known of it, when that is not what its texts say.
    samples : int
        Samples of the interval.
    """
    if prediction.at_speed is None or mark not in project.marks:
        return {}
    model_inputs = AsDrawn(project, mark, build=build).inputs()
    if model_inputs.missing or model_inputs.problems or not model_inputs.values:
        return {}
    best = over_time(central(model_inputs.words, model_inputs.values), speed=prediction.at_speed)
    tried = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=1)
    parts = list(_histories(tried, speed=prediction.at_speed))
    figures = {}
    for key in ("warm_up", "run_time"):
        value, spread = float(getattr(best, key)[0]), np.concatenate([getattr(part, key) for part in parts])
        if np.isfinite(value) and np.isfinite(spread).mean() > 0.5:
            low, high = _ends(spread)
            figures[key] = figure(key, value, model_inputs, low=min(low, value), high=max(high, value))
    return figures


def run_time_gap(
    project: Project, number: int, entry: Entry, reading: Reading, *, samples: int = SAMPLES, seed: int = 1
) -> Gap | None:
    """Return how long an engine ran against how long it should have; None where the reading does not say it.

    Parameters
    ----------
    project : Project
        The prototype.
    number : int
        Mark of the reading.
    entry : Entry
        Its entry.
    reading : Reading
        A reading of the kind ``run_time``; its metal temperatures are of a moment, and count for nothing here.
    samples : int
        Samples of the intervals, `SAMPLES` at most; one or none: values alone.
    seed : int
        Seed of the samples.
    """
    values = values_of(reading)
    if values.run_time is None:
        return None
    ran = values.run_time
    conditions = replace(values, hot_metal=None, cold_metal=None)
    model_inputs = AsDrawn(project, number, visit=entry.key).under(conditions)
    best, many, note = None, np.empty(0), "the mark is not complete enough for a prediction"
    if model_inputs.values and not (model_inputs.missing or model_inputs.problems):
        key = (key_of(model_inputs), samples > 1, seed)
        best, many = _RUN_TIMES.get(key, lambda: _ran_for(model_inputs, min(samples, SAMPLES), seed))
        note = "" if np.isfinite(best) else "no end is predicted: a flame is taken as kept alight"
    half = 1.645 * ran.spread
    read = _figure("Ran for", ran.value, ran.value - half, ran.value + half, "as timed")
    if best is None or not np.isfinite(best):
        nothing = _figure("Ran for", None, None, None, "")
        return _as_gap(entry, reading, number, read, nothing, replace(nothing, label="Gap"), note)
    low, high = _ends(many) if np.isfinite(many).mean() > 0.5 else (None, None)
    predicted = _figure(
        "Ran for", best, low, high, "from its first turns until the metals differ by less than it needs"
    )
    apart = ran.value - best
    wide = None if low is None or high is None else (math.hypot(half, high - best), math.hypot(half, best - low))
    gap = _figure(
        "Gap",
        apart,
        None if wide is None else apart - wide[0],
        None if wide is None else apart + wide[1],
        "measured less predicted; halves of both intervals added in squares",
    )
    return _as_gap(entry, reading, number, read, predicted, gap, note)


def _ran_for(model_inputs: ModelInputs, samples: int, seed: int) -> tuple[float, NDArray[np.float64]]:
    """Return how long it runs free, [s]: of the best values, and of the samples; nil where it does not run at all."""
    speed = predict(model_inputs, samples=0).at_speed or 1.0
    best = _lasted(over_time(central(model_inputs.words, model_inputs.values), speed=speed, free=True))
    if samples <= 1:
        return float(best[0]), best
    drawn_inputs = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=seed)
    return float(best[0]), np.concatenate([_lasted(part) for part in _histories(drawn_inputs, speed=speed, free=True)])


def _histories(inputs: SampledInputs, *, speed: float, free: bool = False) -> Iterator[History]:
    """Follow samples over time, a batch after the other."""
    for first in range(0, inputs.size, BATCH):
        yield over_time(inputs.part(slice(first, first + BATCH)), speed=speed, free=free, steps=30)


def _lasted(history: History) -> NDArray[np.float64]:
    never = ~np.isfinite(history.warm_up)
    return np.where(never, 0.0, history.run_time - np.where(never, 0.0, history.warm_up))


def _figure(label: str, value: float | None, low: float | None, high: float | None, formula: str) -> Figure:
    why = Why(formula=formula, source="derived here" if formula else "")
    return Figure(key=RUN_TIME, label=label, kind=Kind.TIME, unit="min", value=value, low=low, high=high, why=why)


def _as_gap(
    entry: Entry, reading: Reading, number: int, measured: Figure, predicted: Figure, gap: Figure, note: str
) -> Gap:
    return Gap(
        entry=entry.key, reading=reading.key, mark=number, day=entry.day, quantity=RUN_TIME,
        measured=measured, predicted=predicted, gap=gap, note=note,
    )  # fmt: skip


def _ends(values: NDArray[np.float64]) -> tuple[float, float]:
    """Return the interval of those that end at all."""
    return interval(values[np.isfinite(values)])
