"""Engines drawn at random for the laws of this folder; owns no expected number."""

from __future__ import annotations

import math
import random

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.physics.leak import half_time_from_conductance
from model.running.operate import Operation, operate
from model.running.samples import SampledInputs, central
from tests.predict.drawing import usual

FloatArray = NDArray[np.float64]
SPEEDS = np.array([1.0, 3.0, 8.0, 20.0, 45.0])
"""[rad/s]: 10 to 430 rpm."""
ENGINES = st.randoms(use_true_random=False).map(usual)


def inputs_of(texts: dict[str, str]) -> SampledInputs:
    """The best values of a build's texts."""
    model_inputs = complete_inputs(parse_build(texts).build)
    assert not model_inputs.missing, model_inputs.missing
    assert not model_inputs.problems, model_inputs.problems
    return central(model_inputs.words, model_inputs.values)


def some(count: int, layout: str | None = None) -> list[SampledInputs]:
    """So many engines, always the same."""
    return [inputs_of(usual(random.Random(f"{layout}{number}"), layout)) for number in range(count)]


def at(inputs: SampledInputs, **options: int) -> Operation:
    """Run every sample at the speeds."""
    return operate(inputs, np.repeat(SPEEDS[None], inputs.size, axis=0), **options)


def held(inputs: SampledInputs) -> SampledInputs:
    """The engine with its metals held at the temperatures they have at 8 rad/s."""
    now = operate(inputs, np.full((inputs.size, 1), 8.0))
    return inputs.changed(hot_metal=now.hot_metal[:, 0], cold_metal=now.cold_metal[:, 0])


def with_factors(inputs: SampledInputs, name: str, factors: list[float]) -> SampledInputs:
    """The engine once for each factor on one of its inputs."""
    many = inputs.repeated(len(factors))
    return many.changed(**{name: many[name] * np.array(factors)})


def leaking(inputs: SampledInputs, shares: list[float]) -> SampledInputs:
    """The engine once for each leak, as the share of its air that a turn at 8 rad/s lets through at one atmosphere."""
    half_times = math.log(2) / (np.array(shares) * 8.0 / (2 * np.pi))
    return inputs.repeated(len(shares)).changed(leak_half_time=half_times)


def half_time(operation: Operation) -> FloatArray:
    """Leak-down half-time of each sample, [s]."""
    form = operation.geometry
    volume = (form.volume_hot + form.volume_cold).mean(axis=1) + form.volume_gap
    return half_time_from_conductance(
        conductance=operation.leak[:, 0], volume=volume, pressure=operation.inputs["room_pressure"]
    )
