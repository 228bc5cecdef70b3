"""An engine over its speeds: the best values alone over a curve, then samples at a few speeds, a batch at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from model.running.operate import COARSE_ANGLES, Operation, operate
from model.running.points import Points, find_points, least_speed
from model.running.samples import SampledInputs

RPM = 2 * np.pi / 60
COARSE = np.geomspace(6.0, 3000.0, 13) * RPM
"""Speeds at which an unknown engine is tried first, [rad/s]."""
CURVE = 25
"""Speeds of the power curve that is shown."""
SAMPLED = np.array([0.25, 0.6, 1.0, 2.0, 4.0, 8.0])
"""Speeds at which every sample is tried, over the reference speed; six tell the ends of an interval as 24 do."""
SAMPLE_ANGLES = 52
"""Angles of a turn for samples, with one of half as many: work good to 1e-3 (`tests/running/test_grid.py`)."""
BATCH = 34
"""Samples that are solved together, a hundred in three goes: more need more memory and hardly less time."""


class Curve(NamedTuple):
    """The best values over speeds round where the engine runs or comes nearest to it."""

    operation: Operation
    points: Points
    column: int
    """Of best power, or of the speed at which it comes nearest to running."""

    @property
    def reference(self) -> float:
        """Speed of that column, [rad/s]: it depends on the engine and its temperatures alone."""
        return float(self.operation.speed[0, self.column])


def curve_of(inputs: SampledInputs) -> Curve:
    """Run one engine over the speeds that matter to it, whatever they are."""
    coarse = operate(inputs, COARSE[None], passes=1, angles=COARSE_ANGLES, refined=False)
    middle = _nearest(coarse)
    first = find_points(coarse, reference=middle)
    if first.runs[0]:
        top = min(float(first.free_speed[0]) * 1.25, COARSE[-1])
        low = max(min(float(first.best_speed[0]) * 0.25, float(first.least_speed[0]) * 0.9), 0.04 * top)
    else:
        low, top = middle / 4, min(middle * 4, COARSE[-1])
        slower = COARSE[coarse.torque[0] > 0]
        if slower.size:  # it would run there with a heavier wheel
            low = min(low, float(slower[-1]) / 2)
    curve = operate(inputs, np.linspace(low, top, CURVE)[None], start=coarse)
    near = int(np.abs(curve.speed[0] - middle).argmin())
    points = find_points(curve, reference=float(curve.speed[0, near]))
    best = float(points.best_speed[0]) if points.runs[0] else float(curve.speed[0, near])
    return Curve(operation=curve, points=points, column=int(np.abs(curve.speed[0] - best).argmin()))


def batches(inputs: SampledInputs, curve: Curve) -> Iterator[Operation]:
    """Run samples of that engine at `SAMPLED` times its reference speed, a batch after the other."""
    for first in range(0, inputs.size, BATCH):
        part = inputs.part(slice(first, first + BATCH))
        speeds = np.repeat((SAMPLED * curve.reference)[None], part.size, axis=0)
        yield operate(part, speeds, passes=1, angles=SAMPLE_ANGLES, start=curve.operation)


def _nearest(operation: Operation) -> float:
    """Return the speed at which an engine comes nearest to running: least missing torque where the wheel carries it."""
    speed, spare_torque = operation.speed[0], operation.torque[0]
    least = least_speed(operation)[0]
    allowed = np.where(speed >= min(least, speed[-2]), spare_torque, -np.inf)
    return float(speed[int(allowed.argmax())])
