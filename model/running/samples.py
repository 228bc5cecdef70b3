"""Inputs as arrays over samples, drawn from what is known of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random

import numpy as np

from model.physics.values import FloatArray
from model.quantities.uncertain import Shape, Uncertain

LEAST = {"hot_metal": 200.0, "cold_metal": 200.0, "effectiveness": 0.05}
MOST = {
    "displacer_offcentre": 1.0,
    "displacer_unbalanced": 1.0,
    "leak_offcentre": 1.0,
    "effectiveness": 0.995,
    "heat_caught": 1.0,
    "matrix_porosity": 0.998,
}
"""Bounds that a drawn value is held to; what is not named stays above zero if its best value does."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SampledInputs:
    """Inputs of a batch of engines that share their words."""

    words: Mapping[str, str]
    values: Mapping[str, FloatArray]
    """Name -> (n_samples,) array, SI."""
    size: int

    def __getitem__(self, name: str) -> FloatArray:
        return self.values[name]

    def __contains__(self, name: str) -> bool:
        return name in self.values

    def column(self, name: str) -> FloatArray:
        """Return a value as (n_samples, 1), to stand beside speeds."""
        return self.values[name][:, None]

    def changed(self, **changes: FloatArray) -> SampledInputs:
        """Return these inputs with some replaced."""
        return replace(self, values={**self.values, **changes})

    def part(self, chosen: slice) -> SampledInputs:
        """Return some of the samples."""
        values = {name: column[chosen] for name, column in self.values.items()}
        return replace(self, values=values, size=len(range(self.size)[chosen]))

    def repeated(self, times: int) -> SampledInputs:
        """Return every sample so many times, in blocks: (n_samples * times,)."""
        return replace(self, values={k: np.repeat(v, times) for k, v in self.values.items()}, size=self.size * times)


def central(words: Mapping[str, str], values: Mapping[str, Uncertain]) -> SampledInputs:
    """Return one sample: the best value of everything."""
    return SampledInputs(words=words, values={name: np.array([v.value]) for name, v in values.items()}, size=1)


def drawn(words: Mapping[str, str], values: Mapping[str, Uncertain], *, samples: int, seed: int) -> SampledInputs:
    """Draw samples by Latin hypercube: each input's range is cut into equal parts and each part is met once.

    Source: [McKay1979]; equal seeds give equal samples. Each name has a stream of its own, so that what is drawn for
    one input does not depend on which others there are.
    """
    columns = {name: value_at(name, values[name], strata(seed, name, samples)) for name in sorted(values)}
    return SampledInputs(words=words, values=columns, size=samples)


def strata(seed: int, name: str, samples: int) -> FloatArray:
    """Return a probability in each of so many equal parts of 0 to 1, shuffled, from the stream of a name."""
    chance = stream(seed, name)
    parts = (np.argsort(evenly(chance, samples)) + evenly(chance, samples)) / samples
    return np.asarray(np.clip(parts, 1e-6, 1 - 1e-6))


def value_at(name: str, value: Uncertain, probability: FloatArray) -> FloatArray:
    """Return the values of an input below which it lies with these probabilities, held to what can be."""
    return _hold(name, value, _quantiles(value, probability))


def stream(seed: int, name: str) -> Random:
    """Return the random numbers of one thing that is drawn; other names give other numbers, in any order of asking."""
    return Random(f"{seed} {name}")


def evenly(chance: Random, count: int) -> FloatArray:
    """Return so many numbers, equally likely everywhere from 0 to below 1.

    From the generator of the standard library: numpy's own costs 7 MB and the time to load it.
    """
    bits = np.frombuffer(chance.randbytes(8 * count), dtype="<u8")
    return np.asarray((bits >> np.uint64(11)) * 2.0**-53)


def normals(seed: int, name: str, count: int) -> FloatArray:
    """Return so many numbers of the standard normal distribution from the stream of a name."""
    return normal_quantiles(np.clip(evenly(stream(seed, name), count), 1e-6, 1 - 1e-6))


def _quantiles(value: Uncertain, probability: FloatArray) -> FloatArray:
    if value.shape is Shape.FLAT and value.low is not None and value.high is not None:
        return np.asarray(value.low + probability * (value.high - value.low))
    if value.shape is Shape.LOG_FLAT and value.low and value.high:
        return np.asarray(value.low * (value.high / value.low) ** probability)
    if value.spread == 0:
        return np.full(probability.shape, value.value)
    z = normal_quantiles(probability)
    if value.shape is Shape.LOG_NORMAL and value.value > 0:
        return np.asarray(value.value * np.exp(z * value.spread / value.value))
    return np.asarray(value.value + z * value.spread)


def normal_quantiles(probability: FloatArray) -> FloatArray:
    """Return quantiles of the standard normal distribution, vectorised.

    Rational approximation to 4.5e-4 [AbramowitzStegun1964], 26.2.23: far finer than any spread here is known.
    """
    tail = np.minimum(probability, 1 - probability)
    t = np.sqrt(-2 * np.log(tail))
    top = 2.515517 + t * (0.802853 + t * 0.010328)
    bottom = 1 + t * (1.432788 + t * (0.189269 + t * 0.001308))
    return np.asarray(np.where(probability < 0.5, -1, 1) * (t - top / bottom))


def _hold(name: str, value: Uncertain, drawn_values: FloatArray) -> FloatArray:
    low = LEAST.get(name, 0.02 * value.value if value.value > 0 and name != "phase" else -np.inf)
    return np.clip(drawn_values, low, MOST.get(name, np.inf))
