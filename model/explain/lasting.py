"""How long an engine takes to warm up and how long it lasts, as figures: slower than a prediction, asked for apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.bench.evidence import evidence_of
from model.fields import Build, parse_build
from model.inputs.complete import complete_inputs
from model.prediction.figures import figure
from model.prediction.result import Figure, Prediction
from model.record import Project
from model.running.overtime import over_time
from model.running.samples import central, drawn
from model.running.spread import interval

SAMPLES = 24
"""Samples of an interval; each follows its metals over time."""


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
    known = build or parse_build(project.marks[mark].build).build
    model_inputs = complete_inputs(known, evidence_of(project, mark))
    if model_inputs.missing or model_inputs.problems or not model_inputs.values:
        return {}
    best = over_time(central(model_inputs.words, model_inputs.values), speed=prediction.at_speed)
    many = over_time(
        drawn(model_inputs.words, model_inputs.values, samples=samples, seed=1), speed=prediction.at_speed, steps=30
    )
    found = {}
    for key in ("warm_up", "run_time"):
        value, spread = float(getattr(best, key)[0]), getattr(many, key)
        if np.isfinite(value) and np.isfinite(spread).mean() > 0.5:
            low, high = _ends(spread)
            found[key] = figure(key, value, model_inputs, low=min(low, value), high=max(high, value))
    return found


def _ends(values: NDArray[np.float64]) -> tuple[float, float]:
    """Return the interval of those that end at all."""
    return interval(values[np.isfinite(values)])
