"""The gap: measured less predicted, at a reading's own temperatures and speed; also what coasts and swings tell of an
engine that does not run."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from model.bench.quantities import QUANTITIES, Measured
from model.bench.reading import ReadingValues, measured_of, values_of
from model.checks.plausibility import has_doubted_speed
from model.explain.as_drawn import AsDrawn
from model.explain.cache import Cache, key_of
from model.explain.conditions import at_conditions
from model.explain.diagnosis.before_running import before_running
from model.explain.lasting import RUN_TIME, run_time_gap
from model.fields import Build
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.prediction.result import Figure, Gap, Why
from model.quantities.phrases import rpm_text
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.running.curve import batches, curve_of
from model.running.operate import Operation, operate
from model.running.points import find_points, smooth
from model.running.samples import SampledInputs, central, drawn, normals
from model.running.spread import interval


class _Torques(NamedTuple):
    """What engines do over their speeds, whatever was measured."""

    speed: FloatArray
    """(engines, speeds) [rad/s]."""
    torque: FloatArray
    """Left at the shaft, (engines, speeds) [N m]."""
    free: FloatArray
    """Free-running speed, nil where there is none, (engines,) [rad/s]."""

    def power(self, speed: float) -> FloatArray | None:
        """Return the shaft power at a speed, (engines,) [W]; None beyond the speeds that are known."""
        if not self.speed[0, 0] <= speed <= self.speed[0, -1]:
            return None
        at = np.full((len(self.speed), 1), math.log(speed))
        return np.asarray(smooth(np.log(self.speed), self.torque, at)[:, 0] * speed)


class _Curves(NamedTuple):
    """The torques under one set of conditions."""

    best: _Torques
    """Of the best values, one engine, at many speeds round where it runs."""
    wide: _Torques
    """The same at few speeds far beyond."""
    samples: _Torques | None
    """At those few; None where only values are asked for."""


_CURVES: Cache[_Curves] = Cache(1000)
"""Torque curves by what they depend on; with 100 samples 15 kB each."""


def gaps(project: Project, *, mark: int | None = None, samples: int = 100, seed: int = 1) -> tuple[Gap, ...]:
    """Return the gap of every reading that can be compared, in file order (of one mark, or of all).

    A free-running speed is compared with the free-running speed predicted at the reading's own temperatures; a brake
    reading with the shaft power predicted at its own temperatures and speed. What the reading does not say is taken
    from its mark; what was measured at the same visit is left out of it. Before it runs, the work of the heat stands at
    the hot coast, and the share of the metals' difference that the air feels at the displacer's swing (with samples
    alone).
    """
    all_gaps: list[Gap] = []
    early = {} if samples <= 1 else _early(project, mark, samples, seed)
    known: dict[tuple[int, str], _Known] = {}
    for entry in project.entries.values():
        for reading in entry.readings.values():
            number = project.mark_of(entry, reading)
            if number is None or number not in project.marks or mark not in (None, number):
                continue
            if reading.kind == RUN_TIME and (ran := run_time_gap(project, number, entry, reading, samples=samples)):
                all_gaps.append(ran)
                continue
            values = values_of(reading)
            quantity = measured_of(values)
            if quantity is not None:
                if (number, entry.key) not in known:
                    known[number, entry.key] = _Known(project, number, visit=entry.key)
                gap = _compare(known[number, entry.key], entry, reading, values, quantity, samples, seed)
                all_gaps.append(replace(gap, doubted=has_doubted_speed(project, entry, reading)))
            elif (entry.key, reading.key) in early:
                all_gaps.append(early[entry.key, reading.key])
    return tuple(all_gaps)


class _Known:
    """What is known of a mark without one of its visits, worked out once for all readings of that."""

    def __init__(self, project: Project, number: int, *, visit: str) -> None:
        self.number = number
        self._drawn = AsDrawn(project, number, visit=visit)
        self.build = self._drawn.build
        self._under: dict[Build, ModelInputs] = {}

    def under(self, values: ReadingValues) -> ModelInputs:
        """Return the inputs of the model under the conditions of a reading."""
        build = at_conditions(self.build, values)
        if build not in self._under:
            self._under[build] = self._drawn.under(values)
        return self._under[build]


def _early(project: Project, mark: int | None, samples: int, seed: int) -> dict[tuple[str, str], Gap]:
    """Return what the marks' coasts and swings tell of the air, by entry and reading."""
    figures = {}
    for number in project.marks if mark is None else (mark,):
        for item in before_running(project, mark=number, samples=samples, seed=seed):
            entry, reading = item.place
            figures[item.place] = Gap(
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
    return figures


def _compare(
    known: _Known,
    entry: Entry,
    reading: Reading,
    values: ReadingValues,
    quantity: Measured,
    samples: int,
    seed: int,
) -> Gap:
    number, model_inputs = known.number, known.under(values)
    declared = QUANTITIES[quantity.quantity]
    label, kind, unit = declared.label, declared.kind, declared.unit
    measured = _figure(quantity.quantity, label, kind, unit, quantity.value, quantity.spread, quantity.formula)
    if model_inputs.missing or model_inputs.problems or not model_inputs.values:
        empty = Figure(key=quantity.quantity, label=label, kind=kind, unit=unit, value=None)
        why = "; ".join(p.message for p in model_inputs.problems) or "the mark is not complete enough for a prediction"
        return _gap(entry, reading, number, measured, empty, replace(empty, label="Gap"), why)
    best, spread = _predicted(model_inputs, quantity, samples, seed)
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
    drawn_measured = quantity.value + quantity.spread * normals(seed, "what was read", len(spread))
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
    return _gap(entry, reading, number, measured, predicted, gap, _note(known.build, values))


def _predicted(model_inputs: ModelInputs, quantity: Measured, samples: int, seed: int) -> tuple[FloatArray, FloatArray]:
    """Return what is predicted by the best values (1,) and for every sample (samples,); 0 for a speed never kept.

    Curves are remembered: a new reading leaves the predictions of the others as they were, unless it tells of the
    build, and readings under the same conditions share theirs, whatever they measured.
    """
    curves = _CURVES.get((key_of(model_inputs), samples, seed), lambda: _curves(model_inputs, samples, seed))
    if quantity.quantity == "speed":
        return curves.best.free, (curves.samples or curves.best).free
    words, values, speed = model_inputs.words, model_inputs.values, quantity.speed
    best = curves.best.power(speed)
    if best is None:
        best = curves.wide.power(speed)
    if best is None:
        best = _power_at(central(words, values), speed)
    if curves.samples is None:
        return best, best
    spread = curves.samples.power(speed)
    return best, _power_at(drawn(words, values, samples=samples, seed=seed), speed) if spread is None else spread


def _curves(model_inputs: ModelInputs, samples: int, seed: int) -> _Curves:
    words, values = model_inputs.words, model_inputs.values
    inputs = central(words, values)
    curve = curve_of(inputs)

    def over(engines: SampledInputs) -> _Torques:
        parts = [_torques(batch, curve.reference) for batch in batches(engines, curve)]
        return _Torques(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))

    return _Curves(
        best=_torques(curve.operation, curve.reference),
        wide=over(inputs),
        samples=over(drawn(words, values, samples=samples, seed=seed)) if samples > 1 else None,
    )


def _torques(operation: Operation, reference: float) -> _Torques:
    points = find_points(operation, reference=reference)
    free = np.where(points.runs, points.free_speed, 0.0)
    return _Torques(speed=operation.speed, torque=operation.torque, free=free)


def _power_at(inputs: SampledInputs, speed: float) -> FloatArray:
    """Return the shaft power of every sample at a speed far from those that it is tried at, (samples,) [W]."""
    operation = operate(inputs, np.full((inputs.size, 1), speed))
    return np.asarray(operation.torque[:, 0] * speed)


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
    return f" and speed, {rpm_text(quantity.speed)}" if quantity.quantity == "shaft_power" else ""


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
