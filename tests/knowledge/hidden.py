"""Hidden engines drawn apart, read with noise, and asked for again: does what is known of them hold the truth?

The draw is this file's own: plain random numbers, quantiles by scipy, friction and leak with their bad tails written
out anew. What the hidden engine does comes from the model, on a finer grid; so the trial proves the weighing, not the
physics. A visit has its own friction and its own error of the air's torque; what is asked for is the next visit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log, sqrt
from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from model.bench.evidence import Evidence
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.knowledge.learn import engines_of, learn, predicted
from model.prediction.result import Prediction
from model.quantities.uncertain import How, Shape, Uncertain
from model.record import Entry, Project
from model.running.curve import curve_of
from model.running.operate import Operation, operate
from model.running.points import find_points
from model.running.samples import LEAST, MOST, SampledInputs, central
from tests.knowledge.stories import entry, project

RPM = 60 / (2 * np.pi)
GUESSED_TAILS = {"friction_torque": (1, 3.0), "leak_half_time": (-1, 3.0), "piston_clearance": (1, 0.7),
                 "gland_clearance": (1, 0.7)}  # fmt: skip
WANDER, MODEL, WITHIN = 0.2, 0.08, 0.04
GRAVITY = 9.80665
FloatArray = NDArray[np.float64]


def value_at(name: str, value: Uncertain, z: float) -> float:
    """Return an input at a standard normal number, by this file's own formulas."""
    guess = value.how is How.GUESSED and value.shape is Shape.LOG_FLAT and value.low and value.high
    if guess and name in (*GUESSED_TAILS, "speed_drag"):
        assert value.low and value.high
        relative = 0.9 * log(value.high / value.low) / (2 * 1.645)
        side, steep = GUESSED_TAILS.get(name, (1, 0.0))
        beyond = side * z - 1.645
        step = relative * z if beyond <= 0 or steep <= relative else side * (relative * 1.645 + steep * beyond)
        return sqrt(value.low * value.high) * exp(step)
    chance = float(ndtr(z))
    if value.shape is Shape.FLAT and value.low is not None and value.high is not None:
        drawn = value.low + chance * (value.high - value.low)
    elif value.shape is Shape.LOG_FLAT and value.low and value.high:
        drawn = value.low * (value.high / value.low) ** chance
    elif value.shape is Shape.LOG_NORMAL:
        drawn = value.value * exp(z * value.spread / value.value)
    else:
        drawn = value.value + z * value.spread
    least = LEAST.get(name, 0.02 * value.value if value.value > 0 and name != "phase" else -np.inf)
    return float(np.clip(drawn, least, MOST.get(name, np.inf)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hidden:
    """One engine that exists, and what it gives over its speeds at a calm visit."""

    model_inputs: ModelInputs
    values: Mapping[str, float]
    operation: Operation

    def visit(self, generator: np.random.Generator) -> Visit:
        """Return it on another evening."""
        return Visit(
            hidden=self,
            friction=self.values["friction_torque"] * exp(WANDER * generator.standard_normal()),
            gas=exp(MODEL * generator.standard_normal()),
            generator=generator,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Visit:
    """An engine on one evening."""

    hidden: Hidden
    friction: float
    gas: float
    generator: np.random.Generator = field(repr=False)

    def points(self, *, within: bool = False) -> tuple[float, float]:
        """Return free-running speed [rad/s] and best power [W]; nil where it does not run."""
        own = exp(WITHIN * self.generator.standard_normal()) if within else 1.0
        found = find_points(self._torque(own), reference=float(self.hidden.operation.speed[0, 12]))
        runs = bool(found.runs[0])
        return (float(found.free_speed[0]), float(found.best_power[0])) if runs else (0.0, 0.0)

    def torque_at(self, speed: float) -> float:
        """Return the torque left at a speed, [N m]."""
        left = self._torque(exp(WITHIN * self.generator.standard_normal()))
        return float(np.interp(speed, left.speed[0], left.torque[0]))

    def _torque(self, own: float) -> Operation:
        from dataclasses import replace

        now = self.hidden.operation
        gas = now.shaft / (2 * np.pi) * self.gas * own
        return replace(now, torque=gas - self.friction - self.hidden.values["speed_drag"] * now.speed)


SHIFT, DEGREES = 0.5, 4
"""How far all truths of an input lie off to one side, in standard deviations, and the degrees of freedom of tails."""
TRUTHS = ("as drawn", "shifted", "heavy tails")
"""How hidden engines lie beside what learning takes them for."""


def hidden_engine(build: Mapping[str, str], generator: np.random.Generator, truths: str = "as drawn") -> Hidden:
    """Draw an engine that a build could be; its truths as learning takes them, shifted, or with heavier tails."""
    model_inputs = complete_inputs(parse_build(build).build, Evidence())
    values = {n: value_at(n, value, _number(n, generator, truths)) for n, value in model_inputs.values.items()}
    return made(model_inputs, values)


def _number(name: str, generator: np.random.Generator, truths: str) -> float:
    if truths == "heavy tails":
        return float(generator.standard_t(DEGREES))
    side = 1 if crc32(name.encode()) % 2 else -1  # the same for all engines, so that it does not average out
    return float(generator.standard_normal()) + (side * SHIFT if truths == "shifted" else 0.0)


STAYS = {"friction_torque": 0.8, "speed_drag": 0.9, "piston_clearance": 0.95, "gland_clearance": 0.95,
         "leak_half_time": 0.8, "leak_offcentre": 0.5, "displacer_offcentre": 0.5, "end_clearance_hot": 0.9,
         "end_clearance_cold": 0.9, "contact_coefficient": 0.8, "source_temperature": 0.8, "heat_released": 0.9,
         "heat_caught": 0.8, "room_temperature": 0.3, "room_pressure": 0.5}  # fmt: skip
"""How much of an input stays when the engine is taken apart; what is not named stays."""


def history(
    builds: Sequence[Mapping[str, str]], generator: np.random.Generator, *, persists: bool = True
) -> list[Hidden]:
    """Draw an engine through its marks; what is typed anew is drawn anew, the rest stays as far as `STAYS` says."""
    engines: list[Hidden] = []
    numbers: dict[str, float] = {}
    for place, build in enumerate(builds):
        model_inputs = complete_inputs(parse_build(build).build, Evidence())
        typed_anew = {n for n in build if place and builds[place - 1].get(n) != build[n]}
        fresh = {name: float(generator.standard_normal()) for name in sorted(model_inputs.values)}
        for name, own in fresh.items():
            stays = 0.0 if name not in numbers or name in typed_anew or not persists else STAYS.get(name, 1.0)
            if name in build and name not in typed_anew and persists and place:
                stays = 1.0
            numbers[name] = stays * numbers.get(name, 0.0) + sqrt(1 - stays**2) * own
        values = {name: value_at(name, value, numbers[name]) for name, value in model_inputs.values.items()}
        engines.append(made(model_inputs, values))
    return engines


def crps(samples: FloatArray, truth: float) -> float:
    """Return the continuous ranked probability score of equally likely samples [Gneiting2007, from memory]."""
    ordered = np.sort(samples)
    many = len(ordered)
    spread = 2 * (ordered * (2 * np.arange(1, many + 1) - many - 1)).sum() / many**2
    return float(np.abs(ordered - truth).mean() - spread / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """Scores of the first prediction of a new mark, over the truth, with and without memory."""

    with_memory: Mapping[str, float]
    without: Mapping[str, float]
    held: Mapping[str, bool]


def new_mark(builds: Sequence[Mapping[str, str]], seed: int, *, persists: bool = True) -> Scored | None:
    """Read a speed on every mark but the last, and score the first prediction of that."""
    generator = np.random.default_rng(seed)
    engines = history(builds, generator, persists=persists)
    entries = []
    for number, engine in enumerate(engines[:-1], 1):
        visit = engine.visit(generator)
        reading = speed_reading(visit) or rim_reading(visit)
        entries.append(entry(f"e{number}", number, reading))
    speed, power = engines[-1].visit(generator).points()
    if speed <= 0:
        return None
    truth = {"free_running_speed": speed, "shaft_power": power}
    known, alone = (
        _outcomes(project(*builds, entries=tuple(entries)), len(builds)),
        _outcomes(project(builds[-1]), 1),
    )
    return Scored(
        with_memory={key: crps(known[key], value) / value for key, value in truth.items()},
        without={key: crps(alone[key], value) / value for key, value in truth.items()},
        held={
            key: bool(np.quantile(known[key], 0.05) <= v <= np.quantile(known[key], 0.95)) for key, v in truth.items()
        },
    )


def _outcomes(trial: Project, mark: int) -> Mapping[str, FloatArray]:
    chain = chain_of(trial, mark)
    engines = engines_of(chain, facts_of(trial, chain), mark)
    return predicted(chain, engines, mark, seed=1)[1]


def made(model_inputs: ModelInputs, values: Mapping[str, float]) -> Hidden:
    """Return an engine of these values."""
    one = SampledInputs(words=model_inputs.words, values={n: np.array([v]) for n, v in values.items()}, size=1)
    curve = curve_of(central(model_inputs.words, model_inputs.values))
    speeds = np.geomspace(0.15, 8.0, 25) * curve.reference
    return Hidden(model_inputs=model_inputs, values=values, operation=operate(one, speeds[None], start=curve.operation))


def rim_reading(visit: Visit) -> tuple[str, Mapping[str, str]]:
    """Hang grams on the rim."""
    radius = visit.hidden.values["wheel_diameter"] / 2
    grams = 1e3 * visit.friction * exp(0.25 * visit.generator.standard_normal()) / (GRAVITY * radius)
    return "rim_weight", {"weight": f"{grams:.4g} g +-{0.1 * grams:.3g}", "radius": f"{1e3 * radius:.4g} mm"}


def speed_reading(visit: Visit, spread: float = 0.02) -> tuple[str, Mapping[str, str]] | None:
    """Read the speed with a watch; None where it does not run."""
    speed, _ = visit.points(within=True)
    if speed <= 0:
        return None
    read = RPM * speed * exp(spread * visit.generator.standard_normal())
    return "speed", {"tachometer": f"{read:.5g} rpm +-{2 * spread * read:.3g}"}


def brake_reading(visit: Visit) -> tuple[str, Mapping[str, str]] | None:
    """Brake it to six tenths of its speed."""
    speed, _ = visit.points()
    if speed <= 0:
        return None
    torque = visit.torque_at(0.6 * speed) * exp(0.05 * visit.generator.standard_normal())
    if torque <= 0:
        return None
    force = 1e3 * torque / (GRAVITY * 0.01)
    return "brake", {
        "force_tight": f"{force:.5g} g +-{0.1 * force:.3g}", "force_slack": "0 g +-0.0001", "radius": "10 mm +-0.01",
        "tachometer": f"{0.6 * speed * RPM:.5g} rpm",
    }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """One hidden engine asked for again: each quantity with truth and interval."""

    truth: Mapping[str, float]
    ends: Mapping[str, tuple[float, float]]
    before: Mapping[str, tuple[float, float]]
    chance: float
    ran: bool
    effective: float

    def holds(self, key: str) -> bool:
        """Whether the interval holds the truth."""
        low, high = self.ends[key]
        return low <= self.truth[key] <= high


PLANS = (("speed",), ("rim",), ("speed", "rim"), ("speed", "speed", "brake"))
"""Visits of a trial, each with one kind of reading."""
UNKNOWNS = ("friction_torque", "leak_half_time", "piston_clearance", "exchange_factor")


def recover(build: Mapping[str, str], plan: tuple[str, ...], seed: int, truths: str = "as drawn") -> Recovered | None:
    """Draw an engine, read it, and ask for it again; None where the plan cannot be carried out."""
    generator = np.random.default_rng(seed)
    hidden = hidden_engine(build, generator, truths)
    entries: list[Entry] = []
    for number, kind in enumerate(plan):
        visit = hidden.visit(generator)
        reading = {"speed": speed_reading, "rim": rim_reading, "brake": brake_reading}[kind](visit)
        if reading is None:
            return None
        entries.append(entry(f"e{number}", 1, reading))
    trial = project(build, entries=tuple(entries))
    known = learn(trial, 1)
    speed, power = hidden.visit(generator).points()
    truth = {name: hidden.values[name] for name in UNKNOWNS if name in hidden.values}
    ends = {item.key: item.after[1:] for item in known.unknowns}
    before = {item.key: item.before[1:] for item in known.unknowns}
    truth |= {"next speed": speed, "next power": power}
    ends |= {
        "next speed": _ends(known.prediction, "free_running_speed"),
        "next power": _ends(known.prediction, "shaft_power"),
    }
    return Recovered(
        truth={key: value for key, value in truth.items() if key in ends},
        ends={key: (low, high) for key, (low, high) in ends.items() if key in truth},
        before=before,
        chance=known.prediction.run_probability or 0.0,
        ran=speed > 0,
        effective=known.effective,
    )


def _ends(prediction: Prediction, key: str) -> tuple[float, float]:
    figure = prediction.figures[key]
    return (figure.low or 0.0), (figure.high or 0.0)


__all__ = [
    "PLANS",
    "TRUTHS",
    "Hidden",
    "Recovered",
    "Scored",
    "crps",
    "hidden_engine",
    "history",
    "new_mark",
    "recover",
]
