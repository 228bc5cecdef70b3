"""An ensemble of engines, each with one fault: those that fit what was found count.

Every engine is one that the build could be, with one cause put into it. A cause's weight starts from how often it is
met and how often such a fault stops this very build.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from model.checkpoint import Progress, silent
from model.explain.cache import Cache, key_of
from model.explain.diagnosis.causes import CAUSES, NOTHING_BROKEN, Cause
from model.explain.diagnosis.outcomes import ANGLES, MECHANICAL, Blend, simulate_outcomes, turned
from model.inputs.model_inputs import ModelInputs
from model.physics.values import BoolArray, FloatArray, IndexArray, median
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import leak_conductance, operate
from model.running.samples import SampledInputs, drawn

TURNS = 80
"""Solved turns for each cause."""
SHAFTS = 6
"""Shafts (friction, wheel, balance) round each."""
NEIGHBOURS = 4
"""Nearest solved turns of the same cause between which further engines are put."""
MEASURED_SHARE = 0.35
"""How much less often a cause is met where the builder has measured the very thing; common practice, no source."""
RUNNING_SHARE = 0.01
"""Weight of an engine that would run, by the model, beside one that would not: the model may be wrong."""
DISPLACER_SHARE = (0.2, 0.8)
"""Share of a sound engine's friction at the displacer, its rod and gland: a printed engine's wheel and crank alone ran
four times as long as with the displacer linked (measured by its builder); the range is common practice, no source."""
BINDS_AT_DISPLACER = 0.6
"""How often too much friction lies there: "usually the displacer rod and its guide"; common practice, no source."""
BINDS_AT_PISTON = 0.7
"""How often it lies at the piston where it does not lie at the displacer; common practice, no source."""
TIGHT_SPOT = 0.5
"""How often too much friction is a tight spot, which stops the wheel at its angle; common practice, no source."""
OF_SHAFTS = ("friction_torque", "speed_drag", "wheel_mass", "wheel_diameter")
"""Inputs of which a shaft is made."""
HEALTHY = 0.5
"""A friction that is only guessed is taken half as wide (in its logarithm) where nothing is wrong with it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ensemble:
    """Engines with faults, and what each would show."""

    cause: IndexArray
    """(n,) index into `CAUSES`."""
    weight: FloatArray
    """(n,) weight before any observation, summing to one."""
    outcomes: Mapping[str, FloatArray]
    """Test -> (n,) outcomes."""
    sound: Mapping[str, FloatArray]
    """Test -> outcomes of engines with nothing wrong that run; none where hardly any runs."""
    before: Mapping[str, float] = field(default_factory=dict)
    """Cause -> how many times as likely it is by what was found before; none where nothing was."""


Draw = Callable[[int, int], SampledInputs]
"""Draws so many engines with this seed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engines:
    """Engines in which a cause is looked for."""

    inputs: SampledInputs
    put: BoolArray
    """(n,) whether the cause is still to be put into it; the others have it."""
    turn: IndexArray
    """(n,) solved turn of the cause that is its own, or nearest to it."""
    sound_friction: FloatArray | None = None
    """(n,) friction with nothing wrong, [N m]; None: their own, where the cause is put."""


class Source(Protocol):
    """Where the engines of an ensemble come from."""

    def sound(self, turns: int) -> SampledInputs:
        """Return so many with nothing wrong, for their turns."""
        ...

    def leaking(self, turns: int) -> Engines | None:
        """Return so many for a leak, some of which may have it; None: it is put into all of the sound ones."""
        ...

    def shafts(self, cause: Cause, turns: int, many: int) -> Engines:
        """Return so many for the shafts of a cause, beside so many turns."""
        ...

    def odds(self, cause: Cause) -> float:
        """Return how many times as often as usual a cause is met."""
        ...

    @property
    def before(self) -> Mapping[str, float]:
        """Return the part of those odds that was found before, by cause."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FromBuild:
    """Engines from what is known of a build, of which nothing was found before."""

    draw: Draw
    draw_shafts: Draw
    """The same, where no other inputs than `OF_SHAFTS` are needed."""
    measured: frozenset[str]
    """Inputs that the builder measured."""
    seed: int
    before: Mapping[str, float] = field(default_factory=dict)

    def sound(self, turns: int) -> SampledInputs:
        return self.draw(turns, self.seed)

    def leaking(self, turns: int) -> None:
        return None

    def shafts(self, cause: Cause, turns: int, many: int) -> Engines:
        own = self.draw_shafts(many, self.seed + 100 + CAUSES.index(cause))
        if "friction_torque" not in self.measured:
            own = own.changed(friction_torque=narrowed(own["friction_torque"]))
        turn = np.repeat(np.arange(turns), many // turns)
        return Engines(inputs=own, put=np.ones(many, dtype=bool), turn=turn)

    def odds(self, cause: Cause) -> float:
        return MEASURED_SHARE if cause.about in self.measured else 1.0


def narrowed(friction: FloatArray) -> FloatArray:
    """Return guessed frictions as they are where nothing is wrong with them."""
    middle = float(np.exp(np.log(friction).mean()))
    return np.asarray(middle * (friction / middle) ** HEALTHY)


REMEMBERED = 4
"""Ensembles that are kept, newest last; one is about a megabyte."""
_ENSEMBLES: Cache[Ensemble] = Cache(REMEMBERED)


def sample_ensemble(
    model_inputs: ModelInputs, *, turns: int = TURNS, shafts: int = SHAFTS, seed: int = 1, progress: Progress = silent
) -> Ensemble:
    """Make an ensemble of engines with faults from what is known of a build.

    An ensemble depends on what was resolved and on nothing that is found later, so that it is remembered by that: a new
    observation only weighs it anew.

    Parameters
    ----------
    model_inputs : ModelInputs
        What is known of the build.
    turns, shafts, seed : int
        Size of the ensemble for each cause, and where its random numbers begin.
    progress : callable
        Told the share that is done, 0 to 1; what it raises ends the work. Not called for an ensemble that is
        remembered.
    """

    words, values = model_inputs.words, model_inputs.values
    of_shafts = {name: values[name] for name in OF_SHAFTS if name in values}

    def draw(samples: int, own: int) -> SampledInputs:
        return drawn(words, values, samples=samples, seed=own)

    def draw_shafts(samples: int, own: int) -> SampledInputs:
        return drawn(words, of_shafts, samples=samples, seed=own)

    def make() -> Ensemble:
        measured = frozenset(name for name, value in values.items() if value.how is How.MEASURED)
        ensemble = ensemble_of(
            draw, draw_shafts=draw_shafts, measured=measured, turns=turns, shafts=shafts, seed=seed, progress=progress
        )
        return sealed(ensemble)

    return _ENSEMBLES.get((key_of(model_inputs), turns, shafts, seed), make)


def sealed(ensemble: Ensemble) -> Ensemble:
    """Return an ensemble that cannot be written over: it is remembered."""
    for values in (ensemble.cause, ensemble.weight, *ensemble.outcomes.values(), *ensemble.sound.values()):
        values.setflags(write=False)
    return ensemble


def ensemble_of(
    draw: Draw, *, measured: frozenset[str], turns: int, shafts: int, seed: int, progress: Progress = silent,
    draw_shafts: Draw | None = None,
) -> Ensemble:  # fmt: skip
    """Put every cause into engines drawn anew; parameters as for `sample_ensemble` and `FromBuild`."""
    source = FromBuild(draw=draw, draw_shafts=draw_shafts or draw, measured=measured, seed=seed)
    return ensemble_from(source, turns=turns, shafts=shafts, seed=seed, progress=progress)


def ensemble_from(source: Source, *, turns: int, shafts: int, seed: int, progress: Progress = silent) -> Ensemble:
    """Put every cause into the engines of a source, solve their turns, and put shafts round them."""
    base = ready(source.sound(turns), seed)
    present = [cause for cause in CAUSES if cause.applies(base)]
    air = [cause for cause in present if not cause.mechanical]
    leaking = source.leaking(turns)
    parts = [base, *(_faulty(cause, base, leaking if cause.key == "leak" else None, seed) for cause in air)]
    solved = turned(joined(parts), progress)
    block = {cause.key: 1 + number for number, cause in enumerate(air)}
    own = [source.shafts(cause, turns, turns * shafts) for cause in present]
    beside = {c.key: (block.get(c.key, 0) * turns, each.turn) for c, each in zip(present, own, strict=True)}
    blends = _blend(solved.marks(), beside, turns, shafts, seed)
    number = np.concatenate([np.full(turns * shafts, CAUSES.index(c)) for c in present])
    outcomes = simulate_outcomes(solved.blended(blends), _shafts(own, present, seed))
    shares = np.array([c.share * source.odds(c) for c in CAUSES])
    runs = outcomes["runs"] > 0
    weight = shares[number] * np.where(runs, RUNNING_SHARE, 1.0)
    whole = (number == CAUSES.index(NOTHING_BROKEN)) & runs
    return Ensemble(
        cause=number.astype(np.intp),
        weight=weight / weight.sum(),
        outcomes=outcomes,
        sound={key: values[whole] for key, values in outcomes.items()} if whole.sum() >= 5 else {},
        before=source.before,
    )


def hose_share(inputs: SampledInputs) -> float:
    """Return the air that a U-tube adds, over that of the chamber, for its bore squared, [1/m^2]."""
    return median(
        leak_down.u_tube_volume(inputs, 1.0) / leak_down.effective_volume(inputs, geometry(inputs, angles=16))
    )


def _chance(seed: int, name: str) -> np.random.Generator:
    """Return the random numbers of one thing that is drawn, which no other thing moves."""
    return np.random.default_rng([seed, *name.encode()])


def _blend(
    marks: FloatArray, beside: Mapping[str, tuple[int, IndexArray]], turns: int, shafts: int, seed: int
) -> Blend:
    """Put engines between their solved turn and its neighbours of the same cause; the first copy is as solved."""
    start, end, share = [], [], []
    for key, (first, turn) in beside.items():
        generator = _chance(seed, f"neighbours of {key}")
        own = marks[first : first + turns]
        away = ((own[:, None] - own[None]) ** 2).sum(axis=2)
        near = np.argsort(away, axis=1)[:, 1 : NEIGHBOURS + 1]
        chosen = generator.integers(0, near.shape[1], (turns, shafts)).ravel()
        start.append(turn + first)
        end.append(near[turn, chosen] + first)
        part = generator.random((turns, shafts))
        part[:, 0] = 0.0
        share.append(part.ravel())
    return Blend(start=np.concatenate(start), end=np.concatenate(end), share=np.concatenate(share))


def _shafts(engines: list[Engines], present: list[Cause], seed: int) -> dict[str, FloatArray]:
    """Return friction, drag, wheel and balance of every engine, with the mechanical causes in them."""
    columns: dict[str, list[FloatArray]] = {name: [] for name in MECHANICAL}
    for cause, drawn_engines in zip(present, engines, strict=True):
        own, many = drawn_engines.inputs, drawn_engines.inputs.size
        shares = _chance(seed, f"displacer's share of {cause.key}")
        friction = own["friction_torque"]
        sound = friction if drawn_engines.sound_friction is None else drawn_engines.sound_friction
        values = {name: own[name] for name in OF_SHAFTS}
        values["displacer_share"] = shares.uniform(*DISPLACER_SHARE, many)
        values["sound_friction"] = sound
        values["piston_share"] = values["tight_spot"] = np.zeros(many)
        usual = 0.01 * GRAVITY * values["wheel_mass"] * values["wheel_diameter"] / 4
        values["unbalance"] = values["usual_unbalance"] = usual
        made = SampledInputs(words=own.words, values=values, size=many)
        if cause.mechanical:
            made = _put(cause, made, drawn_engines.put, _chance(seed, cause.key))
            made = made.changed(displacer_share=_share_of_displacer(made, sound, shares))
        made = made.changed(**_parts(made, cause, _chance(seed, f"parts of {cause.key}")))
        for name in MECHANICAL:
            columns[name].append(made[name])
    return {name: np.concatenate(parts) for name, parts in columns.items()}


def _put(cause: Cause, made: SampledInputs, put: BoolArray, generator: np.random.Generator) -> SampledInputs:
    """Put a cause into those engines that have it not yet."""
    faulty = cause.put(made, generator)
    changed = {name: np.where(put, values, made[name]) for name, values in faulty.values.items() if name in made}
    return faulty.changed(**changed)


def _share_of_displacer(made: SampledInputs, sound: FloatArray, generator: np.random.Generator) -> FloatArray:
    """Return the displacer's share of the friction: what was put on top of a sound one lies mostly at one place."""
    more = np.maximum(made["friction_torque"] - sound, 0.0)
    at_displacer = generator.random(made.size) < BINDS_AT_DISPLACER
    part = np.where(at_displacer, generator.uniform(0.7, 1.0, made.size), generator.uniform(0.0, 0.3, made.size))
    return np.asarray((made["displacer_share"] * sound + part * more) / made["friction_torque"])


def _parts(made: SampledInputs, cause: Cause, generator: np.random.Generator) -> dict[str, FloatArray]:
    """Return the piston's share of the friction, of what is not the displacer's, and whether it is a tight spot."""
    share = generator.uniform(0.2, 0.8, made.size)
    if cause.key != "friction":
        return {"piston_share": (1 - made["displacer_share"]) * share, "tight_spot": np.zeros(made.size)}
    at_piston = generator.random(made.size) < BINDS_AT_PISTON
    share = np.where(at_piston, generator.uniform(0.7, 1.0, made.size), generator.uniform(0.0, 0.3, made.size))
    tight = (generator.random(made.size) < TIGHT_SPOT).astype(float)
    return {"piston_share": (1 - made["displacer_share"]) * share, "tight_spot": tight}


def ready(inputs: SampledInputs, seed: int) -> SampledInputs:
    """Give every engine its metal temperatures, and its leak as a half-time."""
    speed = np.full((inputs.size, 1), 2 * np.pi * 2.0)
    now = operate(inputs, speed, passes=3, angles=ANGLES, refined=False)
    changes = {"hot_metal": now.hot_metal[:, 0], "cold_metal": now.cold_metal[:, 0]}
    made = inputs.changed(**changes)
    leaking = leak_conductance(made, now.geometry)
    made = _leaking(made, leaking)
    if "piston_bore" in made:
        # of a leak that is not said to be the piston's, half to all is
        made = made.changed(
            piston_share=_chance(seed, "piston's share of the leak").uniform(0.5, 1.0, made.size),
            leak_at_piston=np.zeros(made.size),
            leaking=leaking,
        )
    return made


def _leaking(inputs: SampledInputs, leaking: FloatArray) -> SampledInputs:
    """Give every engine this leak, as a half-time of its chamber."""
    return leak_down.with_half_time(inputs, leak_down.half_time(inputs, geometry(inputs, angles=16), leaking))


def _faulty(cause: Cause, base: SampledInputs, others: Engines | None, seed: int) -> SampledInputs:
    """Put a cause into a batch; a leak stays the same hole when the volume changes."""
    if others is not None:
        own = ready(others.inputs, seed)
        faulty = cause.put(own, _chance(seed, cause.key))
        half_time = np.where(others.put, faulty["leak_half_time"], own["leak_half_time"])
        return faulty.changed(leak_half_time=half_time)
    form = geometry(base, angles=16)
    leaking = leak_conductance(base, form)
    made = cause.put(base, _chance(seed, cause.key))
    if cause.key != "leak":
        made = _leaking(made, leaking)
    return made


def joined(parts: list[SampledInputs]) -> SampledInputs:
    """Put batches of the same inputs behind one another; how fast the piston falls is worked out on the way."""
    names = parts[0].values.keys()
    whole = SampledInputs(
        words=parts[0].words,
        values={
            name: np.concatenate([part.values.get(name, parts[0].values[name]) for part in parts]) for name in names
        },
        size=sum(part.size for part in parts),
    )
    if "leaking" not in whole:
        return whole
    now = leak_conductance(whole, geometry(whole, angles=16))
    past = np.where(whole["leak_at_piston"] > 0, now, np.minimum(whole["piston_share"] * whole["leaking"], now))
    area = np.pi / 4 * whole["piston_bore"] ** 2
    return whole.changed(piston_fall=past / area**2)
