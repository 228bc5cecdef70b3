"""Which one test would tell most of an engine that is only drawn, and what each of its outcomes would mean.

The samples of a prediction are split at a value of what the test shows: of every test and split, the one that parts
the samples that run from the others best, for the minutes that it takes; where all would run, or none, the one that
tells most of the torque to spare. Nothing is weighed by what was found: that is the diagnosis' and what was learnt.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from model.inputs.model_inputs import ModelInputs
from model.physics.values import BoolArray, FloatArray
from model.prediction.result import FirstTest
from model.quantities.constants import GRAVITY
from model.quantities.units import Kind
from model.running.samples import SampledInputs

SETTING_UP = 30.0
"""Effort of any test before it begins, [min]; common practice, no source."""
LEAST = 0.02
"""Share of the variance below which a test tells next to nothing."""
SPLITS = (0.25, 0.5, 0.75)
"""Shares of the samples below the values at which they are split."""
SURE = 0.02
"""Share of samples that run, or do not, up to which all count as alike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shows:
    """A test that tells of inputs that are guessed otherwise."""

    key: str
    """Of the bench test, where it is one."""
    label: str
    minutes: float
    guessed: tuple[str, ...]
    """Inputs, any of which is guessed while this was not done."""
    settled: tuple[str, ...] = ()
    """Inputs, any of which makes the test say nothing new."""
    kind: Kind
    unit: str


SHOWS = (
    _Shows(key="rim_weight", label="grams on the rim", minutes=4, guessed=("friction_torque",), kind=Kind.MASS,
           unit="g"),
    _Shows(key="leak_down", label="U-tube half-time", minutes=10, guessed=("leak_half_time", "piston_clearance"),
           kind=Kind.TIME, unit="s"),
    _Shows(key="wheel_mass", label="weighing the wheel", minutes=2, guessed=("wheel_mass",), kind=Kind.MASS, unit="g"),
    _Shows(key="hot_metal", label="hot metal's temperature", minutes=12, settled=("hot_metal",),
           guessed=("heat_released", "heat_caught", "source_temperature"), kind=Kind.TEMPERATURE, unit="C"),
)  # fmt: skip
"""Tests of a drawing; minutes as those of the bench tests."""


def untested(model_inputs: ModelInputs) -> tuple[str, ...]:
    """Return the keys of the tests whose inputs are guessed and that no reading tells."""
    known = {name for name, text in model_inputs.assumed.items() if "from readings" in text}
    guessed = {name for name in model_inputs.values if name in model_inputs.assumed and name not in known}
    given = set(model_inputs.values) - set(model_inputs.assumed)
    return tuple(row.key for row in SHOWS if guessed & set(row.guessed) and not (given | known) & set(row.settled))


def shown_by_tests(inputs: SampledInputs, *, half_time: FloatArray, hot_metal: FloatArray) -> dict[str, FloatArray]:
    """Return what every sample would show in each test, SI."""
    return {
        "rim_weight": inputs["friction_torque"] / (GRAVITY * inputs["wheel_diameter"] / 2),
        "leak_down": half_time,
        "wheel_mass": inputs["wheel_mass"],
        "hot_metal": hot_metal,
    }


def first_test(
    keys: tuple[str, ...], shown: Mapping[str, FloatArray], *, runs: FloatArray, spare: FloatArray, power: FloatArray
) -> FirstTest | None:
    """Return the test that tells most for its minutes; None where none would tell anything.

    Parameters
    ----------
    keys : tuple of str
        Tests that were not done (`untested`).
    shown : mapping
        Test -> what every sample shows.
    runs, spare, power : array (samples,)
        Whether it runs (1 or 0), torque to spare, best shaft power.
    """
    share = float(runs.mean())
    alike = min(share, 1 - share) <= SURE
    told = np.argsort(np.argsort(spare)).astype(float) if alike else runs
    best: tuple[float, FirstTest] | None = None
    for row in SHOWS:
        if row.key not in keys:
            continue
        for split in SPLITS:
            at = float(np.sort(shown[row.key])[int(split * len(runs))])
            below = shown[row.key] < at
            told_share = _explained(told, below)
            worth = told_share / (row.minutes + SETTING_UP)
            if told_share < LEAST or (best and worth <= best[0]):
                continue
            best = worth, FirstTest(
                key=row.key, label=row.label, minutes=row.minutes, at=at, kind=row.kind, unit=row.unit, alike=alike,
                below=float(runs[below].mean()), above=float(runs[~below].mean()),
                power_below=float(np.sort(power[below])[below.sum() // 2]),
                power_above=float(np.sort(power[~below])[(~below).sum() // 2]),
            )  # fmt: skip
    return best[1] if best else None


def _explained(told: FloatArray, below: BoolArray) -> float:
    """Return the share of the variance between the two sides of a split."""
    whole = float(told.var())
    if whole == 0 or below.all() or not below.any():
        return 0.0
    share = float(below.mean())
    return share * (1 - share) * float(told[below].mean() - told[~below].mean()) ** 2 / whole
