"""Causes in the engines that a chain of marks has shown: a bad friction or leak may be there already, or is new.

What was found before leaves engines that are equally likely (`redraw`). Their friction and leak are drawn with the bad
ones among them (`latents.TAILS`); a cause says how a sound and how a bad one lies. The ratio of those densities to the
one that was drawn from sorts the engines: how much there is of sound, of binding and of leaking ones tells how often
each cause is met, and these engines carry it. So a friction is counted once, and what was found of it before is in the
draw alone. Every other cause is put into sound engines.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from model.explain.diagnosis.causes import CAUSES, Cause, by_key
from model.explain.diagnosis.ensemble import MEASURED_SHARE, Engines, narrowed
from model.inputs.model_inputs import ModelInputs
from model.knowledge.emulate import results_of
from model.knowledge.latents import Chain, first_numbers
from model.knowledge.weigh import Engines as Shown
from model.physics.values import BoolArray, FloatArray, IndexArray
from model.quantities.uncertain import How
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import leak_conductance
from model.running.samples import SampledInputs, drawn

TILES = 4
"""Engines made of each that was shown, with what is new on this mark drawn for each."""
MANY = 2000
"""Engines from which densities are told."""
CELLS = 48
"""Parts into which the logarithm of a friction or a half-time is cut."""
MOST = 30.0
"""A ratio of densities is held below this: few engines tell it."""
NEW = 0.1
"""How often a bad friction or leak comes by itself since the last finding: glue lets go, a wire bends; common practice,
no source."""
CLOSED = 0.1
"""How much less often a cause inside is met in an engine that ran and was not opened since; common practice, no
source."""
HALF_TIMES = (1e-4, 1e5)
"""Half-times that are told apart, [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """What was done since the last finding of before."""

    ran: bool
    """It ran: what stops it came since."""
    opened: bool
    """It was opened since, or nobody knows."""


Measure = Callable[[SampledInputs], FloatArray]


def friction_of(inputs: SampledInputs) -> FloatArray:
    """Return the logarithm of the friction, [N m]."""
    return np.asarray(np.log(inputs["friction_torque"]))


def half_time_of(inputs: SampledInputs) -> FloatArray:
    """Return the logarithm of the leak's half-time of the chamber alone, [s]."""
    form = geometry(inputs, angles=16)
    half_time = leak_down.half_time(inputs, form, leak_conductance(inputs, form))
    return np.asarray(np.log(np.clip(half_time, *HALF_TIMES)))


class Sorted:
    """How sound and how bad values lie beside those that were drawn."""

    def __init__(self, was: FloatArray, sound: FloatArray, bad: FloatArray) -> None:
        everything = np.concatenate([was, sound, bad])
        self._edges = np.linspace(everything.min() - 1e-9, everything.max() + 1e-9, CELLS + 1)
        before, *wanted = (self._share(values) for values in (was, sound, bad))
        met = before > 0.5 / MANY
        self._ratios = [np.where(met, np.minimum(w / np.where(met, before, 1.0), MOST), 0.0) for w in wanted]
        self.known = float(wanted[1][met].sum())
        """Share of the bad that is among what was drawn at all."""

    def _share(self, values: FloatArray) -> FloatArray:
        """Return the share of each cell, a little spread over its neighbours."""
        share = np.bincount(self._cell(values), minlength=CELLS) / values.size
        return np.convolve(share, [0.25, 0.5, 0.25], mode="same")

    def _cell(self, values: FloatArray) -> IndexArray:
        return np.clip(np.searchsorted(self._edges, values) - 1, 0, CELLS - 1)

    def ratios(self, values: FloatArray) -> list[FloatArray]:
        """Return how many times likelier each value is in a sound, and in a bad engine, than it was drawn."""
        cell = self._cell(values)
        return [ratio[cell] for ratio in self._ratios]


class Known:
    """Engines that a chain of marks has shown, as a source of those in which causes are looked for."""

    def __init__(
        self, chain: Chain, shown: Shown, mark: int, *, own: bool, before: Before, plain: ModelInputs, seed: int
    ) -> None:
        self._seed = seed
        self._measured = frozenset(name for name, value in plain.values.items() if value.how is How.MEASURED)
        self._pool = _pool(chain, shown, mark, own=own, seed=seed)
        table = results_of(shown.airs)[shown.air]
        scale = np.maximum(table.std(axis=0), 1e-30)
        self._table = np.tile((table - table.mean(axis=0)) / scale, (TILES, 1))
        self._chosen: dict[str, IndexArray] = {}
        was = chain.sampled(mark, first_numbers(seed + 4, MANY))
        sound = drawn(plain.words, plain.values, samples=MANY, seed=seed + 5)
        if "friction_torque" not in self._measured:
            sound = sound.changed(friction_torque=narrowed(sound["friction_torque"]))
        self._sound_friction = float(np.exp(friction_of(sound).mean()))
        sound = sound.changed(leak_half_time=np.exp(half_time_of(sound)))
        sorted_by = {
            key: (of, Sorted(of(was), of(sound), of(by_key(key).put(sound, np.random.default_rng([seed, 7])))))
            for key, of in MEASURES.items()
        }
        self._weights = _weights(sorted_by, self._pool)
        usual = {key: float(weight.mean()) for key, weight in _weights(sorted_by, was).items()}
        part = {key: float(weight.mean()) / max(usual[key], 1e-9) for key, weight in self._weights.items()}
        new = 1.0 if before.ran else NEW
        sound_part = max(part[""], 1e-9)
        self._there = {key: (1 - new) * sorter.known * part[key] for key, (_, sorter) in sorted_by.items()}
        """Cause -> how often it is there already."""
        self._comes = {
            key: (new + (1 - new) * (1 - sorter.known)) * sound_part for key, (_, sorter) in sorted_by.items()
        }
        closed = before.ran and not before.opened
        self._odds = {
            cause.key: (self._there.get(cause.key, 0.0) + self._comes.get(cause.key, sound_part))
            * (CLOSED if closed and cause.inside else 1.0)
            for cause in CAUSES
        }

    @property
    def before(self) -> Mapping[str, float]:
        """How many times as likely each cause is by what was found before."""
        return self._odds

    def odds(self, cause: Cause) -> float:
        """Return how many times as often as usual a cause is met."""
        return self._odds[cause.key] * (MEASURED_SHARE if cause.about in self._measured else 1.0)

    def sound(self, turns: int) -> SampledInputs:
        """Return engines with nothing wrong."""
        self._chosen[""] = self._choose("", turns, "airs")
        return _rows(self._pool, self._chosen[""])

    def leaking(self, turns: int) -> Engines:
        """Return engines for a leak, those that leak already first."""
        chosen, put = self._mixed("leak", turns, "leaking airs")
        self._chosen["leak"] = chosen
        return Engines(inputs=_rows(self._pool, chosen), put=put, turn=np.arange(turns))

    def shafts(self, cause: Cause, turns: int, many: int) -> Engines:
        """Return engines for the shafts of a cause, beside the turn that is most like theirs."""
        chosen, put = self._mixed(cause.key, many, f"shafts of {cause.key}")
        inputs = _rows(self._pool, chosen)
        friction = inputs["friction_torque"]
        sound = friction
        if cause.key == "friction":
            sound = np.where(put, friction, np.clip(self._sound_friction, friction / 30, friction / 3))
        turn = self._nearest(chosen, self._chosen["leak" if cause.key == "leak" else ""], many // turns)
        return Engines(inputs=inputs, put=put, turn=turn, sound_friction=sound)

    def _mixed(self, key: str, many: int, name: str) -> tuple[IndexArray, BoolArray]:
        """Return rows of the pool for a cause, and whether it is still to be put into them."""
        there, comes = self._there.get(key, 0.0), self._comes.get(key, 1.0)
        having = round(many * there / (there + comes))
        chosen = np.concatenate([self._choose(key, having, name), self._choose("", many - having, f"{name}, put")])
        return chosen, np.arange(many) >= having

    def _choose(self, key: str, many: int, name: str) -> IndexArray:
        weight = self._weights[key] if key in self._weights else self._weights[""]
        weight = weight if weight.sum() > 0 else np.ones(weight.size)
        generator = np.random.default_rng([self._seed, *name.encode()])
        points = (np.arange(many) + generator.random()) / max(many, 1)
        rows = np.minimum(np.searchsorted(np.cumsum(weight / weight.sum()), points), weight.size - 1)
        return np.asarray(rows[generator.permutation(many)])

    def _nearest(self, chosen: IndexArray, turns: IndexArray, shafts: int) -> IndexArray:
        """Return for each row the turn whose air does most nearly the same in what was found."""
        if not self._table.shape[1]:
            return np.repeat(np.arange(turns.size), shafts)
        own, theirs = self._table[chosen], self._table[turns]
        away = (own**2).sum(axis=1)[:, None] + (theirs**2).sum(axis=1) - 2 * own @ theirs.T
        return np.asarray(away.argmin(axis=1))


MEASURES: Mapping[str, Measure] = {"friction": friction_of, "leak": half_time_of}
"""Causes that engines have or have not by their own numbers."""


def _weights(sorted_by: Mapping[str, tuple[Measure, Sorted]], inputs: SampledInputs) -> dict[str, FloatArray]:
    """Return how much each engine counts as a sound one (empty), and as one with each cause that it can have."""
    ratios = {key: sorter.ratios(of(inputs)) for key, (of, sorter) in sorted_by.items()}
    whole = np.prod([sound for sound, _ in ratios.values()], axis=0)
    weights = {"": np.asarray(whole)}
    for key, (_, bad) in ratios.items():
        others = [sound for other, (sound, _) in ratios.items() if other != key]
        weights[key] = np.asarray(np.prod([bad, *others], axis=0))
    return weights


def _pool(chain: Chain, shown: Shown, mark: int, *, own: bool, seed: int) -> SampledInputs:
    """Return the engines of a mark, each several times, with what is new on it drawn anew where nothing tells of it."""
    new = first_numbers(seed + 3, shown.size * TILES)

    def draw(key: str) -> FloatArray:
        if not own and key.endswith(f" of Mk {mark}"):
            return new(key)
        return np.tile(shown.draw(key), TILES)

    return chain.sampled(mark, draw)


def _rows(inputs: SampledInputs, rows: IndexArray) -> SampledInputs:
    values = {name: column[rows] for name, column in inputs.values.items()}
    return SampledInputs(words=inputs.words, values=values, size=rows.size)


__all__ = ["Before", "Known"]
