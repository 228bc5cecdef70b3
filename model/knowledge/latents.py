"""Everything uncertain of a chain of marks as standard normal numbers, one for each input and mark, or shared."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import log, sqrt
from typing import Any

import numpy as np

from model.checkpoint import checkpoint
from model.explain.cache import key_of
from model.explain.conditions import at_conditions
from model.fields import Build, is_unknown, parse_build
from model.fields.reading import ReadingFields
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.knowledge.carried import kept_between, touched_between
from model.physics.values import BoolArray, FloatArray
from model.quantities.uncertain import How, Shape, Uncertain
from model.record import Project
from model.running.samples import SampledInputs, normal_quantiles, strata, value_at

SHAFT = ("friction_torque", "speed_drag", "wheel_mass", "wheel_diameter")
"""Inputs that leave the air alone."""
OPEN_ENDED = ("friction_torque", "speed_drag", "leak_half_time", "piston_clearance", "gland_clearance")
"""Guessed ranges that are no bounds: a bad one lies beyond, and a measured value may."""
ALWAYS = "exchange_factor"
"""An input that every engine has, and that is never known exactly."""
INNER = 0.9
"""Share of a guessed range that holds as many as a 90 % interval of a flat one."""
TAIL_FROM = 1.645
"""Where a bad tail begins: one engine in twenty."""
TAILS = {
    # one in twenty binds, one in fifty ten times as much as it should: the faults of `causes` at their shares
    "friction_torque": (1.0, 3.0),
    "leak_half_time": (-1.0, 3.0),
    "piston_clearance": (1.0, 0.7),
    "gland_clearance": (1.0, 0.7),
}
"""Input -> the side on which a guess is bad now and then, and how steep its logarithm is there; common practice, no
source."""
DOUBT = "whether anything stays"
"""Key of the numbers that say of which engines nothing stays from one mark to the next."""
FORGOTTEN, HABIT = 1.2816, 0.9
"""Number beyond which it does, so of one in ten, and how much alike it is from mark to mark of one builder; common
practice, no source: a surprise on a new mark then widens what is known of it and of the next."""
OF_THE_DAY = ("hot_metal", "cold_metal", "room_temperature")
"""What a reading says of its own moment, with its own error."""


def open_ended(name: str, value: Uncertain) -> Uncertain:
    """Return a guessed range without hard ends: normal in the logarithm, with the same 90 % interval."""
    if (
        name not in OPEN_ENDED
        or value.how is not How.GUESSED
        or value.shape is not Shape.LOG_FLAT
        or not value.low
        or not value.high
    ):
        return value
    middle = sqrt(value.low * value.high)
    relative = INNER * log(value.high / value.low) / (2 * 1.645)
    return Uncertain(value=middle, spread=middle * relative, how=How.GUESSED, shape=Shape.LOG_NORMAL)


def opened(model_inputs: ModelInputs) -> ModelInputs:
    """Return inputs whose guesses have no hard ends."""
    return replace(model_inputs, values={n: open_ended(n, v) for n, v in model_inputs.values.items()})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """The marks up to the one at hand, and what of each is made of which numbers."""

    builds: Mapping[int, Build]
    inputs: Mapping[int, ModelInputs]
    """Mark -> its inputs, from what was typed and guesses alone."""
    kept: Mapping[int, Mapping[str, float]]
    """Mark -> correlation of each of its inputs with the mark before."""
    typed: Mapping[int, frozenset[str]]
    """Mark -> those of them that were typed on both, and stand there the same."""
    closed: frozenset[int] = frozenset()
    """Marks for which the engine was not opened."""

    @property
    def marks(self) -> tuple[int, ...]:
        """Numbers, ascending."""
        return tuple(self.inputs)

    def before(self, mark: int) -> int | None:
        """Return the mark before, None for the first."""
        at = self.marks.index(mark)
        return self.marks[at - 1] if at else None

    def number(
        self, mark: int, name: str, draw: Callable[[str], FloatArray], made: dict[Hashable, Any] | None = None
    ) -> FloatArray:
        """Return the normal numbers of an input of a mark; `draw` gives those of a key, `made` remembers them."""
        made = {} if made is None else made
        if (mark, name) not in made:
            made[mark, name] = self._number(mark, name, draw, made)
        found: FloatArray = made[mark, name]
        return found

    def _number(self, mark: int, name: str, draw: Callable[[str], FloatArray], made: dict[Hashable, Any]) -> FloatArray:
        before = self.before(mark)
        alike = 0.0 if before is None else self.kept[mark].get(name, 0.0)
        if before is None or alike < 1e-9:
            return draw(_key(mark, name, first=before is None))
        old = self.number(before, name, draw, made)
        if name in self.typed[mark]:
            return old
        new = draw(_key(mark, name, first=False))
        stays = old if alike > 1 - 1e-9 else alike * old + sqrt(1 - alike**2) * new
        if mark in self.closed:
            return stays
        if (mark, DOUBT) not in made:
            made[mark, DOUBT] = self.forgotten(mark, draw)
        return np.where(made[mark, DOUBT], new, stays)

    def forgotten(self, mark: int, draw: Callable[[str], FloatArray]) -> BoolArray:
        """Return of which engines nothing that was not typed stayed as it was on the mark before, (engines,).

        Of one that was not opened all stays.
        """
        if mark in self.closed:
            return np.zeros(draw(DOUBT).shape, dtype=bool)
        both = HABIT * draw(DOUBT) + sqrt(1 - HABIT**2) * draw(_key(mark, DOUBT, first=False))
        return np.asarray(both > FORGOTTEN)

    def sampled(
        self, mark: int, draw: Callable[[str], FloatArray], *, under: ModelInputs | None = None, place: str = "",
        names: Iterable[str] | None = None,
    ) -> SampledInputs:  # fmt: skip
        """Return engines of a mark.

        Parameters
        ----------
        mark : int
            The mark.
        draw : callable
            Gives the normal numbers of a key, (engines,).
        under : ModelInputs, optional
            Inputs under the conditions of a reading; else those of the mark.
        place : str
            The reading: what it says of its own moment has its own error.
        names : iterable, optional
            The inputs that are wanted; else all.
        """
        model_inputs = self.inputs[mark] if under is None else under
        wanted = sorted(model_inputs.values if names is None else model_inputs.values.keys() & set(names))
        columns = {
            name: at_number(name, value, z) for name, value, z in self._numbers(mark, draw, model_inputs, place, wanted)
        }
        size = next(iter(columns.values())).size if columns else draw(ALWAYS).size
        exact = {n: v.value for n in wanted if (v := model_inputs.values[n]).spread == 0}
        columns |= {name: np.full(size, number) for name, number in exact.items()}
        return SampledInputs(words=model_inputs.words, values=columns, size=size)

    def scores(
        self, mark: int, draw: Callable[[str], FloatArray], *, under: ModelInputs | None = None, place: str = "",
        made: dict[Hashable, Any] | None = None,
    ) -> FloatArray:  # fmt: skip
        """Return what the air depends on as numbers of about the same size, (engines, inputs); arguments as above.

        A number of each input that is straight where the input, or its logarithm, is. `made` remembers those of one
        draw: most are the same under the conditions of every reading.
        """
        model_inputs = self.inputs[mark] if under is None else under
        made = {} if made is None else made
        columns = []
        for name in sorted(model_inputs.values.keys() - set(SHAFT)):
            value = model_inputs.values[name]
            if value.spread == 0:
                continue
            own = self._own(mark, name, value, place)
            key = (own, name, mark, value.shape, value.how, value.spread / value.value if name in TAILS else 0.0)
            if key not in made:
                z = draw(f"{name} at {place}") if own else self.number(mark, name, draw, made)
                if name in TAILS:
                    z = _stretch(name, value, z)
                flat = value.shape in (Shape.FLAT, Shape.LOG_FLAT)
                made[key] = sqrt(12) * (normal_chance(z) - 0.5) if flat else z
            columns.append(made[key])
        return np.stack(columns, axis=1)

    def _numbers(
        self, mark: int, draw: Callable[[str], FloatArray], model_inputs: ModelInputs, place: str, names: Iterable[str]
    ) -> Iterator[tuple[str, Uncertain, FloatArray]]:
        """Yield each input that is not known exactly with its numbers."""
        for name in names:
            value = model_inputs.values[name]
            if value.spread == 0:
                continue
            own = self._own(mark, name, value, place)
            yield name, value, draw(f"{name} at {place}") if own else self.number(mark, name, draw)

    def _own(self, mark: int, name: str, value: Uncertain, place: str) -> str:
        """Return the reading that an input has its own number of; empty for that of the mark."""
        return place if name in OF_THE_DAY and place and value != self.inputs[mark].values.get(name) else ""

    def key(self, up_to: int | None = None) -> Hashable:
        """Return what everything worked out of a chain depends on, or all of it that is of the marks up to one."""
        marks = [n for n in self.marks if up_to is None or n <= up_to]
        return self.closed & set(marks), *((n, key_of(self.inputs[n]), frozenset(self.kept[n].items())) for n in marks)


def _key(mark: int, name: str, *, first: bool) -> str:
    """Return the key of a number: the first mark's is that of the drawing, so that the engines are the same."""
    return name if first else f"{name} of Mk {mark}"


def at_number(name: str, value: Uncertain, z: FloatArray) -> FloatArray:
    """Return values of an input at standard normal numbers."""
    if value.shape is Shape.LOG_NORMAL and value.value > 0:
        return np.asarray(value.value * np.exp(value.spread / value.value * _stretch(name, value, z)))
    return value_at(name, value, np.clip(normal_chance(z), 1e-6, 1 - 1e-6))


def number_at(name: str, value: Uncertain, values: FloatArray) -> FloatArray:
    """Return the standard normal numbers at which a log-normal input has these values."""
    stretched = np.log(values / value.value) / (value.spread / value.value)
    side, steeper = _tail(name, value)
    beyond = np.maximum(side * stretched - TAIL_FROM, 0.0)
    return np.asarray(stretched - side * beyond * (1 - 1 / steeper))


def steepness(name: str, value: Uncertain, z: FloatArray) -> FloatArray:
    """Return how fast the logarithm of a log-normal input grows with its number."""
    side, steeper = _tail(name, value)
    relative = value.spread / value.value
    return np.asarray(np.where(side * z > TAIL_FROM, relative * steeper, relative))


def _tail(name: str, value: Uncertain) -> tuple[float, float]:
    """Return on which side a guess has a bad tail, and how many times as steep it is."""
    if name not in TAILS or value.how is not How.GUESSED:
        return 1.0, 1.0
    side, steep = TAILS[name]
    return side, max(steep / (value.spread / value.value), 1.0)


def _stretch(name: str, value: Uncertain, z: FloatArray) -> FloatArray:
    side, steeper = _tail(name, value)
    beyond = np.maximum(side * z - TAIL_FROM, 0.0)
    return np.asarray(z + side * beyond * (steeper - 1))


def normal_chance(z: FloatArray) -> FloatArray:
    """Return the standard normal distribution, good to 1e-7, (n,).

    Source: [AbramowitzStegun1964], 26.2.17.
    """
    t = 1 / (1 + 0.2316419 * np.abs(z))
    tail = t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
    tail = tail * np.exp(-0.5 * z * z) / sqrt(2 * np.pi)
    return np.asarray(np.where(z > 0, 1 - tail, tail))


def first_numbers(seed: int, count: int) -> Callable[[str], FloatArray]:
    """Return what gives the numbers of engines that nothing was found of: each key's range is met evenly."""
    made: dict[str, FloatArray] = {}

    def draw(key: str) -> FloatArray:
        if key not in made:
            made[key] = normal_quantiles(strata(seed, key, count))
        return made[key]

    return draw


def chain_of(project: Project, mark: int) -> Chain:
    """Return the chain of marks up to one: those before it that can be predicted, and it."""
    builds: dict[int, Build] = {}
    inputs: dict[int, ModelInputs] = {}
    kept: dict[int, Mapping[str, float]] = {}
    typed: dict[int, frozenset[str]] = {}
    closed: set[int] = set()
    for number in sorted(n for n in project.marks if n <= mark):
        checkpoint()
        build = parse_build(project.marks[number].build).build
        made = opened(complete_inputs(build))
        if not made.values or made.missing or made.problems:
            continue
        before = next(reversed(inputs)) if inputs else None
        kept[number] = {} if before is None else kept_between(project, before, number, (inputs[before], made))
        texts = project.marks[number].build
        typed[number] = frozenset(n for n, alike in kept[number].items() if alike and not is_unknown(texts.get(n, "")))
        if before is not None and "not_opened" in touched_between(project, before, number):
            closed.add(number)
        builds[number], inputs[number] = build, made
    return Chain(builds=builds, inputs=inputs, kept=kept, typed=typed, closed=frozenset(closed))


def under_conditions(build: Build, values: ReadingFields) -> ModelInputs:
    """Return the inputs of a build under the conditions of a reading; guesses without hard ends."""
    return opened(complete_inputs(at_conditions(build, values)))


__all__ = [
    "ALWAYS",
    "DOUBT",
    "SHAFT",
    "Chain",
    "at_number",
    "chain_of",
    "first_numbers",
    "normal_chance",
    "number_at",
    "steepness",
    "under_conditions",
]
