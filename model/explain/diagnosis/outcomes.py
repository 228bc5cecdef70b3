"""What every engine of an ensemble would show in each test: the turn of the air once, many shafts round it.

Friction, wheel and balance leave the air alone, so that many of them are tried round each solved turn. What the model
cannot tell by itself (whether it bounces, where it stops) follows from its torques by a rule that is named. A word is a
place on a line: 0, 1, 2 where it is clear, between them where builders would differ.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.checkpoint import Progress, silent
from model.physics.values import FloatArray
from model.quantities.constants import GRAVITY
from model.quantities.wheel import moment_of_inertia
from model.running import leak_down
from model.running.engine import geometry
from model.running.operate import leak_conductance, operate
from model.running.samples import SampledInputs

ANGLES = 24
"""Angles of a turn, with one of half as many: outcomes agree with those of 64 to 2 % (see tests/diagnosis)."""
HALF = 2 * np.pi
"""Half the speed of a flick, the mean of a coast to rest, [rad/s]."""
SPEEDS = 2 * np.pi * np.array([0.5, 1.0, 2.0, 4.0])
"""Speeds at which every engine is tried, [rad/s]."""
FEWER = 2 * np.pi * np.array([0.8, 2.5])
"""The same for an engine with something changed."""
SLOW = 2 * np.pi / 6.0
"""Turning slowly by hand: one turn in six seconds, [rad/s]."""
FINE = 13
"""Speeds at which a torque curve is searched."""
MECHANICAL = ("friction_torque", "speed_drag", "wheel_mass", "wheel_diameter", "unbalance", "displacer_share",
              "piston_share", "sound_friction", "usual_unbalance", "tight_spot")  # fmt: skip
"""Inputs that leave the air alone."""
HEAVY_SIDE = 0.3
"""Place on the line anywhere, same angle, that the usual unbalance of a sound wheel gives at most: it may come to rest
heavy side down and be nothing that stops it. Common practice, no source."""
BINDS = 3.0
"""Friction over a sound engine's at which builders differ whether it binds; common practice, no source."""
HEARD = 0.5
"""Half-time on a U-tube at which builders differ whether air is heard or felt, [s]; common practice, no source."""
TOUCHED = 325.0
"""Cold metal on which a finger stays a second or two, [K]: 50 C and a little; common practice, no source."""
PUSH = 0.5
"""Time in which the wheel is turned to mid compression and let go, [s]; common practice, no source."""
BATCH = 128
"""Engines that are solved together: more need more memory and hardly less time."""
ICE = 278.0
"""Cold metal under ice water, [K]; common practice, no source."""
BOILING = 363.0
"""Hot metal over boiling water, [K]; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blend:
    """Engines between two solved ones each: a share of the way from `start` to `end`, all (engines,)."""

    start: NDArray[np.intp]
    end: NDArray[np.intp]
    share: FloatArray

    def of(self, values: FloatArray) -> FloatArray:
        """Blend values along their first axis; by their logarithms where all of them are above zero."""
        share = self.share.reshape(-1, *[1] * (values.ndim - 1))
        if values.ndim == 1 and (values > 0).all():
            return np.asarray(np.exp(self.of(np.log(values)[:, None])[:, 0]))
        return np.asarray((1 - share) * values[self.start] + share * values[self.end])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Torque:
    """Torque before friction over a few speeds, and what the wheel must carry; (engines, speeds), (engines,)."""

    speed: FloatArray
    gas: FloatArray
    carried: FloatArray

    def left(self, shaft: Mapping[str, FloatArray]) -> tuple[FloatArray, NDArray[np.bool_]]:
        """Return the torque left at half the speed of a flick, and whether it runs, with these shafts."""
        friction, drag = shaft["friction_torque"][:, None], shaft["speed_drag"][:, None]
        fine = np.geomspace(self.speed[0], self.speed[-1], FINE)
        curve = _over(self.speed, self.gas, fine) - friction - drag * fine
        moment = inertia(shaft)
        least = np.sqrt(2 * (self.carried + 2 * shaft["unbalance"]) / moment)
        half = _over(self.speed, self.gas, np.array([HALF]))[:, 0]
        torque = half - friction[:, 0] - drag[:, 0] * HALF
        return torque, np.asarray(((curve > 0) & (fine >= least[:, None])).any(axis=1))

    def blended(self, blend: Blend) -> Torque:
        """Return the torques of engines between the solved ones."""
        return Torque(speed=self.speed, gas=blend.of(self.gas), carried=blend.of(self.carried))


def inertia(shaft: Mapping[str, FloatArray]) -> FloatArray:
    """Return the moment of inertia of the wheels, [kg m^2]."""
    return np.asarray(moment_of_inertia(mass=shaft["wheel_mass"], diameter=shaft["wheel_diameter"]))


def _over(speed: FloatArray, values: FloatArray, fine: FloatArray) -> FloatArray:
    """Interpolate over the logarithm of the speed."""
    weights = np.array([np.interp(np.log(fine), np.log(speed), unit) for unit in np.eye(len(speed))])
    return np.asarray(values @ weights)


def _torque(inputs: SampledInputs, speeds: FloatArray) -> Torque:
    """Return the torque before friction."""
    parts = []
    for first in range(0, inputs.size, BATCH):
        part = inputs.part(slice(first, first + BATCH))
        done = operate(part, np.repeat(speeds[None], part.size, axis=0), angles=ANGLES, passes=1)
        parts.append((done.shaft / (2 * np.pi), done.fluctuation[:, 0]))
    gas, carried = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    return Torque(speed=speeds, gas=gas, carried=carried)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turned:
    """The solved turns of a batch: what does not depend on the shaft."""

    hot: Torque
    changed: Mapping[str, Torque]
    """Test -> the engine with that change."""
    cold: FloatArray
    """Torque before friction at half the speed of a flick, metal at the room's temperature, (engines,) [N m]."""
    plain: Mapping[str, FloatArray]
    """What is shown whatever the shaft, (engines,)."""
    push: FloatArray
    """Torque of the air's spring, compressed by hand, (engines,) [N m]."""

    def blended(self, blend: Blend) -> Turned:
        """Return engines between the solved ones."""
        return Turned(
            hot=self.hot.blended(blend),
            changed={key: torque.blended(blend) for key, torque in self.changed.items()},
            cold=blend.of(self.cold),
            plain={key: blend.of(values) for key, values in self.plain.items()},
            push=blend.of(self.push),
        )

    def marks(self) -> FloatArray:
        """Return what tells engines apart, each on a scale of its own scatter, (engines, marks)."""
        columns = [np.log(v) if (v > 0).all() else v for v in self.plain.values()]
        columns += [self.hot.gas[:, 1], self.hot.carried, self.cold, *(t.gas[:, 0] for t in self.changed.values())]
        table = np.stack(columns, axis=1)
        return np.asarray((table - table.mean(axis=0)) / np.maximum(table.std(axis=0), 1e-30))


HOT_TESTS = frozenset({"free_hot", "coasts_hot", "other_way", "ice", "shorter_throw"})
COLD_TESTS = frozenset({"free_cold", "coasts_hot"})
"""Tests in which the hot, the cold engine turns at the speed of a flick."""


def turned(inputs: SampledInputs, progress: Progress = silent, *, asked: Collection[str] | None = None) -> Turned:
    """Solve the turns of a batch whose metal temperatures are given; `asked`: the tests that count, None for all."""

    def counts(*tests: str) -> bool:
        return asked is None or bool(set(tests) & set(asked))

    progress(0.1)
    room = inputs["room_temperature"]
    nothing = np.zeros(inputs.size)
    hot = Torque(speed=SPEEDS, gas=np.zeros((inputs.size, len(SPEEDS))), carried=nothing)
    if counts(*HOT_TESTS, "runs"):
        hot = _torque(inputs, SPEEDS)
    progress(0.4)
    stone_cold = inputs.changed(hot_metal=room + 0.01, cold_metal=room)
    cold = _torque(stone_cold, np.array([HALF])).gas[:, 0] if counts(*COLD_TESTS) else nothing
    form = geometry(inputs, angles=ANGLES)
    volume = (form.volume_hot + form.volume_cold).mean(axis=1) + form.volume_gap
    leaking = leak_conductance(inputs, form)
    seen = leak_down.share_shown(inputs, form, leaking, speed=SLOW)
    plain = {
        "leak_down": leak_down.half_time(inputs, form, leaking, bore=leak_down.HOSE),
        "hot_metal": inputs["hot_metal"],
        "cold_metal": inputs["cold_metal"],
        "crank_angle": (inputs["phase"] + np.pi) % (2 * np.pi) - np.pi,
    }
    if counts("swing_cold"):
        by_hand = operate(stone_cold, np.full((inputs.size, 1), SLOW), angles=ANGLES, passes=1)
        plain["swing_cold"] = np.ptp(by_hand.pressure[:, 0], axis=-1) * seen
    if "piston_fall" in inputs:
        plain["piston_drop"] = inputs["piston_fall"]
    if "displacer_throw" in inputs:
        plain["displacer_travel"] = form.travel_hot
        if counts("swing_hot"):
            plain["swing_hot"] = swing_by_displacer(inputs, form.swept_piston) * seen
    if "diaphragm_stiffness" in inputs:
        plain["rubber"] = inputs["diaphragm_stiffness"]
    changed = {}
    for number, (key, other) in enumerate(_changes(inputs).items()):
        progress(0.5 + 0.15 * number)
        if counts(key):
            changed[key] = _torque(other, FEWER)
    progress(0.95)
    # half of the swing of a tight chamber, less what leaks in the time of a push, on the piston at mid stroke
    tight = inputs["room_pressure"] * form.swept_piston / volume
    alone = leak_down.half_time(inputs, form, leaking)
    drained = alone / (alone + np.log(2.0) * PUSH)
    return Turned(hot=hot, changed=changed, cold=cold, plain=plain, push=tight * drained / 2 * form.swept_piston / 2)


def _changes(inputs: SampledInputs) -> dict[str, SampledInputs]:
    hot, cold = inputs["hot_metal"], inputs["cold_metal"]
    if inputs.words.get("heat_source", "") in ("water", "hand"):
        hot = np.maximum(hot, hot + 0.7 * (BOILING - hot))
    iced = inputs.changed(cold_metal=np.minimum(cold, ICE + 0.15 * (cold - ICE)), hot_metal=hot)
    return {
        "other_way": inputs.changed(phase=-inputs["phase"], cylinder_angle=-inputs["cylinder_angle"]),
        "ice": iced,
        "shorter_throw": inputs.changed(piston_throw=inputs["piston_throw"] / 2),
    }


def swing_by_displacer(inputs: SampledInputs, swept_piston: FloatArray) -> FloatArray:
    """Return the pressure swing of the displacer alone, moved slowly by hand, hot, piston at mid stroke, [Pa]."""
    held_still = inputs.changed(
        piston_throw=inputs["piston_throw"] * 1e-3,
        dead_volume_cold=inputs["dead_volume_cold"] + swept_piston / 2,
    )
    slow = np.full((inputs.size, 1), SLOW)
    return np.asarray(np.ptp(operate(held_still, slow, angles=ANGLES, passes=1).pressure[:, 0], axis=-1))


def simulate_outcomes(turns: Turned, shaft: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    """Return what engines with these shafts show in each test, (engines,); SI, or the place of its word."""
    torque_left, runs = turns.hot.left(shaft)
    friction = shaft["friction_torque"]
    moment = inertia(shaft)
    cold = turns.cold - friction - shaft["speed_drag"] * HALF
    outcomes = dict(turns.plain)
    outcomes |= {
        "runs": runs.astype(float),
        "rim_weight": friction / (GRAVITY * shaft["wheel_diameter"] / 2),
        "free_cold": -cold / moment,
        "free_hot": -torque_left / moment,
        "free_open": (friction + shaft["speed_drag"] * HALF) / moment,
        "bounce": _place(turns.push / friction, 1.2, 3.0),
        "stops": _stopping(shaft),
        "by_hand": _by_hand(shaft),
        "coasts_hot": np.clip(0.5 + ((torque_left - cold) / np.maximum(np.abs(cold), 1e-12) - 0.15) / 0.4, -0.5, 1.5),
    }
    outcomes |= _signs(turns, shaft, torque_left)
    if "displacer_travel" in turns.plain:
        piston_friction = (1 - shaft["displacer_share"]) * friction
        outcomes["free_unlinked"] = (piston_friction + shaft["speed_drag"] * HALF) / moment
        piston_friction = (1 - shaft["piston_share"]) * friction
        outcomes["free_piston"] = (piston_friction + shaft["speed_drag"] * HALF) / moment
    for key, torque in turns.changed.items():
        then, goes = torque.left(shaft)
        better = 0.5 + ((then - torque_left) / np.maximum(np.abs(torque_left), 1e-12) - 0.2) / 0.4
        outcomes[key] = np.where(goes, 2.0, np.clip(better, -0.5, 1.3))
    return outcomes


def _stopping(shaft: Mapping[str, FloatArray]) -> FloatArray:
    """Return the place on the line anywhere, same angle: out of balance, or a tight spot, it stops at its angle."""
    friction = shaft["friction_torque"]

    def place(unbalance: FloatArray) -> FloatArray:
        return np.asarray(0.5 + np.log(np.maximum(unbalance / friction, 1e-6)) / 1.5)

    faulty = place(shaft["unbalance"] - shaft["usual_unbalance"])
    usual = np.minimum(place(shaft["usual_unbalance"]), HEAVY_SIDE)
    return np.asarray(np.clip(np.where(shaft["tight_spot"] > 0, 1.5, np.maximum(faulty, usual)), -0.5, 1.5))


def _by_hand(shaft: Mapping[str, FloatArray]) -> FloatArray:
    """Return the place on the line binds, turns free, as a hand tells it: never as surely as a test with a number."""
    more = np.log(np.maximum(shaft["friction_torque"] / shaft["sound_friction"], 1e-6)) / np.log(BINDS)
    return np.asarray(np.where(shaft["tight_spot"] > 0, 0.25, np.clip(0.75 - 0.25 * more, 0.25, 0.75)))


def _signs(turns: Turned, shaft: Mapping[str, FloatArray], left: FloatArray) -> dict[str, FloatArray]:
    """Return the places on the line no, yes of what is heard, felt or noticed beside the tests."""
    more = np.log(np.maximum(shaft["friction_torque"] / shaft["sound_friction"], 1e-6)) / np.log(BINDS)
    signs = {"rubs": np.asarray(np.where(shaft["tight_spot"] > 0, 0.75, np.clip(0.25 + 0.25 * more, 0.25, 0.75)))}
    if "leak_down" in turns.plain:
        heard = np.log(HEARD / np.maximum(turns.plain["leak_down"], 1e-6)) / np.log(10.0)
        signs["hisses"] = np.asarray(np.clip(0.5 + heard, 0.0, 1.0))
    if "cold_metal" in turns.plain:
        signs["cold_side_hot"] = np.asarray(np.clip(0.5 + (turns.plain["cold_metal"] - TOUCHED) / 20.0, 0.0, 1.0))
    if "other_way" in turns.changed:
        then, _ = turns.changed["other_way"].left(shaft)
        differ = np.abs(then - left) / np.maximum(np.abs(left), 1e-12)
        signs["favours"] = np.asarray(np.clip(0.5 + (differ - 0.2) / 0.4, -0.5, 1.5))
    return signs


def _place(ratio: FloatArray, weak: float, clear: float) -> FloatArray:
    """Return the place on the line no, weak, yes: torque of the air's spring over friction.

    It must beat the friction for a weak bounce, and threefold for a clear one. Common practice, no source.
    """
    return np.asarray(np.clip(0.5 + np.log(np.maximum(ratio, 1e-9) / weak) / np.log(clear / weak), -0.5, 2.5))


__all__ = [
    "ANGLES",
    "MECHANICAL",
    "Blend",
    "Torque",
    "Turned",
    "inertia",
    "simulate_outcomes",
    "swing_by_displacer",
    "turned",
]
