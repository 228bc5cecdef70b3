"""The gap: measured less predicted, at a reading's own temperatures and speed; also what coasts and swings tell of an
engine that does not run."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
from numpy.typing import NDArray

from model.bench.evidence import evidence_of
from model.bench.quantities import QUANTITIES, Measured
from model.bench.reading import ReadingValues, measured_of, values_of
from model.explain.cache import Cache, key_of
from model.explain.conditions import at_conditions
from model.explain.diagnosis.before_running import before_running
from model.fields import Build, parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.prediction.result import Figure, Gap, Why
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.running.operate import operate
from model.running.points import find_points
from model.running.samples import central, drawn, evenly, normal_quantiles
from model.running.spread import interval

FloatArray = NDArray[np.float64]
TRIED = np.array([0.35, 0.6, 0.85, 1.2, 1.7, 2.6, 4.5])
"""Speeds at which a free-running engine is tried, over the measured speed."""
_KEPT: Cache[FloatArray] = Cache(200)


def gaps(project: Project, *, mark: int | None = None, samples: int = 100, seed: int = 1) -> tuple[Gap, ...]:
    """Return the gap of every reading that can be compared, in file order (of one mark, or of all).

    A free-running speed is compared with the free-running speed predicted at the reading's own temperatures; a brake
    reading with the shaft power predicted at its own temperatures and speed. What the reading does not say is taken
    from its mark. Before it runs, the work of the heat stands at the hot coast, and the share of the metals' difference
    that the air feels at the displacer's swing (with samples alone).
    """
    found = []
    early = {} if samples <= 1 else _early(project, mark, samples, seed)
    for entry in project.entries.values():
        for reading in entry.readings.values():
            number = project.mark_of(entry, reading)
            if number is None or number not in project.marks or mark not in (None, number):
                continue
            values = values_of(reading)
            quantity = measured_of(values)
            if quantity is not None:
                found.append(_compare(project, number, entry, reading, values, quantity, samples, seed))
            elif (entry.key, reading.key) in early:
                found.append(early[entry.key, reading.key])
    return tuple(found)


def _early(project: Project, mark: int | None, samples: int, seed: int) -> dict[tuple[str, str], Gap]:
    """Return what the marks' coasts and swings tell of the air, by entry and reading."""
    found = {}
    for number in project.marks if mark is None else (mark,):
        for item in before_running(project, mark=number, samples=samples, seed=seed):
            entry, reading = item.place
            found[item.place] = Gap(
                entry=entry,
                reading=reading,
                mark=number,
                day=project.entries[entry].day,
                quantity=item.key,
                measured=item.measured,
                predicted=item.predicted,
                gap=item.gap,
                also=item.also,
                note=item.note,
            )
    return found


def _compare(
    project: Project,
    number: int,
    entry: Entry,
    reading: Reading,
    values: ReadingValues,
    quantity: Measured,
    samples: int,
    seed: int,
) -> Gap:
    build = parse_build(project.marks[number].build).build
    model_inputs = complete_inputs(at_conditions(build, values), evidence_of(project, number))
    declared = QUANTITIES[quantity.quantity]
    label, kind, unit = declared.label, declared.kind, declared.unit
    measured = _figure(quantity.quantity, label, kind, unit, quantity.value, quantity.spread, quantity.formula)
    if model_inputs.missing or model_inputs.problems or not model_inputs.values:
        empty = Figure(key=quantity.quantity, label=label, kind=kind, unit=unit, value=None)
        why = "; ".join(p.message for p in model_inputs.problems) or "the mark is not complete enough for a prediction"
        return _gap(entry, reading, number, measured, empty, replace(empty, label="Gap"), why)
    best = _predicted(model_inputs, quantity, None, seed)
    spread = _predicted(model_inputs, quantity, samples, seed) if samples > 1 else best
    predicted = Figure(
        key=quantity.quantity,
        label=label,
        kind=kind,
        unit=unit,
        value=float(best[0]),
        low=None if samples <= 1 else min(interval(spread)[0], float(best[0])),
        high=None if samples <= 1 else max(interval(spread)[1], float(best[0])),
        why=Why(formula="the prediction at this reading's own temperatures" + _at(quantity), source="derived here"),
    )
    strata = np.clip(evenly(Random(seed), len(spread)), 1e-6, 1 - 1e-6)
    drawn_measured = quantity.value + quantity.spread * normal_quantiles(strata)
    low, high = interval(drawn_measured - spread)
    difference = quantity.value - float(best[0])
    gap = Figure(
        key="gap",
        label="Gap",
        kind=kind,
        unit=unit,
        value=difference,
        low=min(low, difference) if samples > 1 else None,
        high=max(high, difference) if samples > 1 else None,
        why=Why(formula="measured less predicted; spreads of both drawn together", source="JCGM101"),
    )
    return _gap(entry, reading, number, measured, predicted, gap, _note(build, values))


def _predicted(model_inputs: ModelInputs, quantity: Measured, samples: int | None, seed: int) -> FloatArray:
    """Return the predicted value of every sample (one, the best, when `samples` is None); 0 for a speed never kept.

    It is remembered: a new reading leaves the predictions of the others as they were, unless it tells of the build.
    """
    key = (key_of(model_inputs), quantity.quantity, quantity.value, quantity.speed, samples, seed)
    return _KEPT.get(key, lambda: _worked_out(model_inputs, quantity, samples, seed))


def _worked_out(model_inputs: ModelInputs, quantity: Measured, samples: int | None, seed: int) -> FloatArray:
    if samples is None:
        inputs = central(model_inputs.words, model_inputs.values)
    else:
        inputs = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=seed)
    passes = 2 if samples is None else 1
    if quantity.quantity == "shaft_power":
        speed = np.full((inputs.size, 1), quantity.speed)
        operation = operate(inputs, speed, passes=passes)
        return np.asarray(operation.torque[:, 0] * quantity.speed)
    speeds = np.repeat((TRIED * max(quantity.value, 0.5))[None], inputs.size, axis=0)
    points = find_points(operate(inputs, speeds, passes=passes), reference=max(quantity.value, 0.5))
    return np.asarray(np.where(points.runs, points.free_speed, 0.0))


def _figure(key: str, label: str, kind: Kind, unit: str, value: float, spread: float, formula: str) -> Figure:
    half = 1.645 * spread
    return Figure(
        key=key,
        label=label,
        kind=kind,
        unit=unit,
        value=value,
        low=value - half,
        high=value + half,
        why=Why(formula=formula, source="JCGM100", note="90 % interval from the spreads of what was read."),
    )


def _gap(
    entry: Entry, reading: Reading, number: int, measured: Figure, predicted: Figure, gap: Figure, note: str
) -> Gap:
    return Gap(
        entry=entry.key,
        reading=reading.key,
        mark=number,
        day=entry.day,
        quantity=measured.key,
        measured=measured,
        predicted=predicted,
        gap=gap,
        note=note,
    )


def _at(quantity: Measured) -> str:
    return f" and speed, {quantity.speed * 60 / (2 * math.pi):.0f} rpm" if quantity.quantity == "shaft_power" else ""


def _note(build: Build, values: ReadingValues) -> str:
    lacking = [
        name
        for name, taken, own in (
            ("hot metal", values.hot_metal, build.hot_metal),
            ("cold metal", values.cold_metal, build.cold_metal),
        )
        if taken is None and own is None
    ]
    return f"not measured, worked out from the heat: {' and '.join(lacking)}" if lacking else ""
