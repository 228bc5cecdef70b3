"""Which reading would tell apart changes that stand together: the one that goes with what parts them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from model.changes.paired import PairedRun
from model.physics.values import FloatArray
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import leak_conductance

TELLS = 0.45
"""Rank correlation from which a reading is said to tell two changes apart: a fifth of what parts them."""
READINGS = {
    "friction": ("grams at the rim that just turn it", ("friction_torque",)),
    "leak": ("a U-tube's half-time", ("leak_half_time", "piston_leak")),
    "metals": ("the temperatures of both metals", ("hot_metal", "cold_metal")),
    "wheel": ("the wheel's mass", ("wheel_mass",)),
    "phase": ("a photo of the crank along its shaft", ("phase",)),
    "gap": ("strips of card in the displacer's gap", ("side_clearance",)),
    "ends": ("how far the displacer goes on at both ends", ("end_clearance_hot", "end_clearance_cold")),
    "rubber": ("grams and millimetres on the rubber", ("diaphragm_stiffness",)),
    "displacer": ("the displacer's mass", ("displacer_mass",)),
}
"""Reading -> how it is called, and inputs that it would measure."""


def told_apart(paired: PairedRun, gains: Sequence[FloatArray]) -> str:
    """Return the reading that would best tell apart the first of some changes from the others; empty for none."""
    shown = _shown(paired)
    best = (TELLS, "")
    for other in gains[1:]:
        away = gains[0] - other
        for key, values in shown.items():
            alike = _alike(values, away)
            if alike > best[0]:
                best = alike, key
    return f"What would tell them apart: {READINGS[best[1]][0]}." if best[1] else ""


def _shown(paired: PairedRun) -> dict[str, FloatArray]:
    """Return what each reading would show, (engines,), of those that were not typed as measured."""
    inputs, own = paired.engines.sampled(), paired.engines.inputs
    measured = {name for name, value in own.values.items() if value.how is How.MEASURED}
    now = paired.now()
    values = {
        "friction": inputs["friction_torque"] / (GRAVITY * inputs["wheel_diameter"] / 2),
        "leak": leak_down.half_time(
            inputs, geometry(inputs, angles=16), leak_conductance(inputs, geometry(inputs, angles=16))
        ),
        "metals": now.difference,
    }
    for key, (_, names) in READINGS.items():
        if key not in values and names[0] in inputs:
            values[key] = inputs[names[0]]
    return {key: shown for key, shown in values.items() if not measured & set(READINGS[key][1])}


def _alike(one: FloatArray, other: FloatArray) -> float:
    """Return the rank correlation, as a size."""
    if np.ptp(one) == 0 or np.ptp(other) == 0:
        return 0.0
    ranks = [np.argsort(np.argsort(values)).astype(float) for values in (one, other)]
    return float(abs(np.corrcoef(ranks[0], ranks[1])[0, 1]))


__all__ = ["READINGS", "told_apart"]
