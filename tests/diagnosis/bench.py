"""A hidden fault, a simulated builder who tests for it, and how soon each order of tests finds it.

The hidden engines are drawn apart from those that the diagnosis weighs: plain random numbers (not stratified), other
seeds, and only engines that do not run. The builder reads with noise, picks a wrong word now and then, and misreads a
number by half or double. Nothing of this is taken from the diagnosis but the outcomes of the model for the hidden one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.explain.diagnosis.bench_tests import BUILDERS_ORDER, BenchTest, bench_test
from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.ensemble import Ensemble, ensemble_of, sample_ensemble
from model.explain.diagnosis.weights import Observation, likelihood, offered, parts_not_done, probabilities, ranked
from model.quantities.uncertain import How
from model.quantities.units import Kind
from model.running.samples import LEAST, MOST, SampledInputs
from tests.diagnosis.builds import model_inputs

FloatArray = NDArray[np.float64]
TESTS = 8
"""Tests that the builder has patience for."""
WRONG_WORD = 0.05
"""How often the builder picks any word at all."""
MISREAD = 0.02
"""How often a number is read as half or double."""
PLACED = 0.25
"""How far the builder's words lie from the middle of the line, as a standard deviation."""
STRATEGIES = ("ours", "builders", "random")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One hidden fault tested in one order."""

    build: str
    cause: str
    weight: float
    """How often such a case is met, within its build."""
    strategy: str
    chances: tuple[tuple[float, ...], ...]
    """Probabilities of the causes before any test and after each."""
    minutes: tuple[float, ...]

    def found_after(self, top: int) -> int:
        """Tests after which the true cause is among the first `top` and stays there; one more than all if never."""
        number = [c.key for c in CAUSES].index(self.cause)
        missed = [step for step, chances in enumerate(self.chances) if rank(chances, number) >= top]
        last = max(missed, default=-1)
        return TESTS + 1 if last == len(self.chances) - 1 else last + 1

    def first_after(self, tests: int, top: int) -> bool:
        """Whether the true cause is among the first `top` after so many tests (or all there are)."""
        number = [c.key for c in CAUSES].index(self.cause)
        return rank(self.chances[min(tests, len(self.chances) - 1)], number) < top


def rank(chances: tuple[float, ...], number: int) -> int:
    """Return how many causes stand before this one."""
    return sum(chance > chances[number] for chance in chances)


def plain_draw(name: str) -> Callable[[int, int], SampledInputs]:
    """Return a way to draw engines of a build by plain random numbers."""
    made = model_inputs(name)

    def draw(samples: int, seed: int) -> SampledInputs:
        generator = np.random.default_rng(seed)
        columns = {}
        for key, value in made.values.items():
            chances = np.clip(generator.random(samples), 1e-6, 1 - 1e-6)
            numbers = np.array([value.quantile(float(c)) for c in chances])
            low = LEAST.get(key, 0.02 * value.value if value.value > 0 and key != "phase" else -np.inf)
            columns[key] = np.clip(numbers, low, MOST.get(key, np.inf))
        return SampledInputs(words=made.words, values=columns, size=samples)

    return draw


def hidden(name: str, *, seed: int, turns: int, shafts: int) -> Ensemble:
    """Draw engines with hidden faults."""
    made = model_inputs(name)
    measured = frozenset(key for key, value in made.values.items() if value.how is How.MEASURED)
    return ensemble_of(plain_draw(name), measured=measured, turns=turns, shafts=shafts, seed=seed)


def read(test: BenchTest, outcomes: float, generator: np.random.Generator) -> float:
    """Return what the builder writes down for what an engine shows."""
    if test.words:
        if generator.random() < WRONG_WORD:
            return float(generator.integers(len(test.words)))
        return float(np.clip(np.round(outcomes + PLACED * generator.standard_normal()), 0, len(test.words) - 1))
    if test.kind is Kind.ANGLE:
        return outcomes + test.least_noise * float(generator.standard_normal())
    if test.kind is Kind.TEMPERATURE:
        spread = np.hypot(test.least_noise, test.noise * max(outcomes - 293.0, 0.0))
        return outcomes + float(spread * generator.standard_normal())
    misread = float(generator.choice([0.5, 2.0])) if generator.random() < MISREAD else 1.0
    return outcomes * misread * float(np.exp(test.noise * generator.standard_normal()))


def _next(
    strategy: str, ensemble: Ensemble, weight: FloatArray, done: set[str], generator: np.random.Generator
) -> BenchTest | None:
    if strategy == "ours":
        best = ranked(ensemble, weight, done)
        return best[0][0] if best else None
    if strategy == "builders":
        return next((test for key in BUILDERS_ORDER for test in offered(ensemble, done) if test.key == key), None)
    those = offered(ensemble, done)
    return those[int(generator.integers(len(those)))] if those else None


def follow(
    ensemble: Ensemble, outcomes: dict[str, float], strategy: str, generator: np.random.Generator
) -> tuple[list[tuple[float, ...]], list[float]]:
    """Test one hidden engine in the order of a strategy; return the probabilities after each test, and the minutes."""
    weight, done, spent = ensemble.weight, set[str](), [0.0]
    chances = [tuple(probabilities(ensemble, weight))]
    for _ in range(TESTS):
        test = _next(strategy, ensemble, weight, done, generator)
        if test is None:
            break
        for key in parts_not_done(test, done):
            value = read(bench_test(key), outcomes[key], generator)
            weight = weight * likelihood(Observation(bench_test=key, value=value), ensemble.outcomes[key])
        weight = weight / weight.sum()
        done |= set(test.yields)
        chances.append(tuple(probabilities(ensemble, weight)))
        spent.append(spent[-1] + test.minutes)
    return chances, spent


def cases(name: str, *, each: int, seed: int, strategies: tuple[str, ...] = STRATEGIES, **size: int) -> list[Case]:
    """Draw so many hidden faults of every cause of a build, and test each in every order.

    `size` is that of the ensemble (`turns`, `shafts`) where it is not the usual one.
    """
    ensemble = sample_ensemble(model_inputs(name), **size)
    world = hidden(name, seed=seed, turns=max(12, each), shafts=3)
    stands = world.outcomes["runs"] == 0
    generator = np.random.default_rng(seed + 7)
    found = []
    for number, cause in enumerate(CAUSES):
        those = np.flatnonzero((world.cause == number) & stands)
        if those.size < 3:
            continue
        share = float(world.weight[those].sum())
        chosen = generator.choice(those, size=min(each, those.size), replace=False)
        for row in chosen:
            outcomes = {key: float(values[row]) for key, values in world.outcomes.items()}
            for strategy in strategies:
                # noise of its own, so that one order's luck does not hang on what another order asked
                luck = np.random.default_rng([seed, int(row), STRATEGIES.index(strategy)])
                chances, minutes = follow(ensemble, outcomes, strategy, luck)
                found.append(
                    Case(build=name, cause=cause.key, weight=share / len(chosen), strategy=strategy,
                         chances=tuple(chances), minutes=tuple(minutes))
                )  # fmt: skip
    return found
