"""The engines that a mark's curves stand on: one in the middle, and a few that tell how sure it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.changes.engines import FewEngines, few_engines
from model.checkpoint import Progress, silent
from model.curves.chart import Values
from model.physics.values import FloatArray
from model.prediction.predict import outcomes_over
from model.quantities.ladder import unit_for
from model.quantities.phrases import span_text
from model.quantities.units import Kind, digits, from_si
from model.record import Project
from model.running.curve import SAMPLED, Curve, curve_of
from model.running.operate import operate
from model.running.samples import SampledInputs, central
from model.running.spread import COVERAGE

SAMPLE_ANGLES = 52
"""Angles of a turn for engines of an interval, as in `model.running.curve`."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Basis:
    """Engines of a mark."""

    project: Project
    mark: int
    middle: SampledInputs
    """One engine: the best values of a drawing, or the one in the middle of those that all findings leave."""
    few: SampledInputs
    """Some that are equally likely."""
    curve: Curve
    """Of the one in the middle."""
    learned: bool

    @property
    def speed(self) -> float:
        """Stated speed, [rad/s]: of best power, or where it comes nearest to running."""
        return self.curve.reference

    @property
    def stands_on(self) -> str:
        """Say what the curves stand on."""
        if not self.learned:
            return "as drawn: nothing is measured yet"
        return f"from what the engine has shown, by the middle one of {self.few.size} that fit (the panel: of more)"


def basis_of(project: Project, mark: int, *, progress: Progress = silent) -> Basis | None:
    """Return the engines of a mark; None where it lacks inputs."""
    engines = few_engines(project, mark, progress=progress)
    if engines is None:
        return None
    few = engines.sampled()
    middle, curve = central(engines.inputs.words, engines.inputs.values), engines.start
    if engines.learned:
        middle = _in_the_middle(engines, few)
        curve = curve_of(middle)
    return Basis(project=project, mark=mark, middle=middle, few=few, curve=curve, learned=engines.learned)


def _in_the_middle(engines: FewEngines, few: SampledInputs) -> SampledInputs:
    """Return the engine that stands in the middle by the torque left at the stated speed of the drawing."""
    start = engines.start
    speeds = np.repeat((SAMPLED * start.reference)[None], few.size, axis=0)
    over = outcomes_over(operate(few, speeds, passes=1, angles=SAMPLE_ANGLES, start=start.operation), start.reference)
    at = int(np.argsort(over["spare"])[few.size // 2])
    return few.part(slice(at, at + 1))


def ends(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the ends of the 90 % interval of each column, (engines, n) to (n,); as `model.running.spread.interval`."""
    ordered = np.sort(values, axis=0)
    last, tail = len(values) - 1, (1 - COVERAGE) / 2

    def at(share: float) -> FloatArray:
        place = float(np.clip(share * (last + 2) - 1, 0, last))
        low = min(int(place), last - 1) if last else 0
        high = min(low + 1, last)
        return np.asarray(ordered[low] + (place - low) * (ordered[high] - ordered[low]))

    return at(tail), at(1 - tail)


def band(middle: FloatArray, values: FloatArray) -> tuple[Values, Values]:
    """Return the interval along a curve as plain numbers; the curve itself stays within it."""
    low, high = ends(values)
    return plain(np.minimum(low, middle)), plain(np.maximum(high, middle))


def plain(values: FloatArray) -> Values:
    """Return an array as plain numbers."""
    return tuple(float(value) for value in values)


def told(kind: Kind, unit: str, value: float, low: float | None = None, high: float | None = None) -> str:
    """Say a value with its interval: ``35 K (between 20 K and 60 K)``."""
    unit = unit_for(kind, unit, value)

    def one(number: float) -> str:
        return f"{digits(from_si(number, kind, unit), 2)} {unit}".strip()

    known = low is not None and high is not None and np.isfinite([low, high]).all()
    if not known or low is None or high is None or one(low) == one(high):
        return one(value)
    return f"{one(value)} ({span_text(one(low), one(high))})"
