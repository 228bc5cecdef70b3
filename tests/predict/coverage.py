"""How often 90 % intervals hold the truth, on engines made up: ``python -m tests.predict.coverage [truths] [builds]``.

Each build is predicted from its stated spreads. Then "true" engines are drawn from the same spreads by another sampler
(plain Monte Carlo by numpy's own distributions, other seeds) and run at the stated speed. Judges the machinery of
intervals, not the physics.
"""

from __future__ import annotations

import math
import random
import sys

import numpy as np
from numpy.typing import NDArray

from model.fields import parse_build
from model.inputs.complete import ModelInputs, complete_inputs
from model.prediction.predict import predict
from model.prediction.result import Verdict
from model.quantities.uncertain import Shape, Uncertain
from model.running.operate import operate
from model.running.samples import SampledInputs
from tests.predict.drawing import usual

FloatArray = NDArray[np.float64]
KEYS = ("shaft_power_there", "indicated_power", "pressure_swing", "hot_gas", "heat_in")
AT_MOST = {"displacer_offcentre": 1.0, "leak_offcentre": 1.0, "effectiveness": 0.995, "heat_caught": 1.0,
           "matrix_porosity": 0.998}  # fmt: skip
"""What cannot be more, by definition."""


def truth_of(value: Uncertain, name: str, generator: np.random.Generator, count: int) -> FloatArray:
    """Draw true values; what cannot be negative is held above 2 % of its best value."""
    if value.shape is Shape.FLAT and value.low is not None and value.high is not None:
        found = generator.uniform(value.low, value.high, count)
    elif value.shape is Shape.LOG_FLAT and value.low and value.high:
        found = np.exp(generator.uniform(math.log(value.low), math.log(value.high), count))
    elif value.shape is Shape.LOG_NORMAL:
        found = generator.lognormal(math.log(value.value), value.spread / value.value, count)
    else:
        found = generator.normal(value.value, value.spread, count)
    if value.value > 0 and name != "phase":
        found = np.maximum(found, 200.0 if name in ("hot_metal", "cold_metal") else 0.02 * value.value)
    return np.minimum(found, AT_MOST.get(name, np.inf))


def held(model_inputs: ModelInputs, *, truths: int, seed: int, samples: int = 100) -> dict[str, int] | None:
    """Count for each figure how many of the true engines lie in its interval; None without a prediction."""
    prediction = predict(model_inputs, samples=samples, seed=seed)
    if prediction.verdict is Verdict.NO_PREDICTION or prediction.at_speed is None:
        return None
    generator = np.random.default_rng(10_000 + seed)
    values = {name: truth_of(v, name, generator, truths) for name, v in model_inputs.values.items()}
    true = operate(
        SampledInputs(words=model_inputs.words, values=values, size=truths), np.full((truths, 1), prediction.at_speed)
    )
    speed = prediction.at_speed
    past = true.network.conduction[:, 0] * (true.hot_metal - true.cold_metal)[:, 0]
    past = past + (true.network.loss * (true.hot_metal - true.network.room))[:, 0]
    found = {
        "shaft_power_there": true.torque[:, 0] * speed,
        "indicated_power": true.indicated[:, 0] * speed / (2 * np.pi),
        "pressure_swing": np.ptp(true.pressure[:, 0], axis=-1),
        "hot_gas": true.hot_gas[:, 0],
        "heat_in": true.heat_taken[:, 0] + past,
    }
    counts = {}
    for key in KEYS:
        low, high = prediction.figures[key].low, prediction.figures[key].high
        if low is None or high is None:
            raise ValueError(f"{key} has no interval")
        counts[key] = int(((found[key] >= low) & (found[key] <= high)).sum())
    return counts


def count(*, truths: int, builds: int) -> tuple[dict[str, int], int]:
    """Return how many of all true engines lie in the interval of each figure, and how many there were."""
    total = dict.fromkeys(KEYS, 0)
    engines = 0
    for number in range(builds):
        model_inputs = complete_inputs(parse_build(usual(random.Random(f"C{number}"))).build)
        found = held(model_inputs, truths=truths, seed=number)
        if found is None:
            continue
        engines += truths
        for key, inside in found.items():
            total[key] += inside
    return total, engines


def main() -> None:
    """Print the coverage of each figure."""
    truths = int(sys.argv[1]) if len(sys.argv) > 1 else 25
    builds = int(sys.argv[2]) if len(sys.argv) > 2 else 40
    total, engines = count(truths=truths, builds=builds)
    for key, inside in total.items():
        print(f"{key:20s} {inside:5d} of {engines}  {inside / engines:6.1%}  (asked: 87 to 93 %)")


if __name__ == "__main__":
    main()
