"""The tests of the shed: how to do each, what it costs, and what a given engine would show.

An outcome is computed for every engine of a batch by the same model that predicts power; what the model cannot tell
(where it stops, whether it bounces) follows from its torques by a rule that is named.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.physics import leak
from model.running.inputs import Inputs
from model.running.operate import operate
from model.running.points import find_points, inertia
from model.units import Kind

FloatArray = NDArray[np.float64]
FLICK = 2 * np.pi * 2.0
"""A flick by hand: two turns a second, [rad/s]. Flicks differ, so the loss is told from turns and time together."""
SPEEDS = 2 * np.pi * np.array([0.5, 1.0, 2.0, 4.0])
"""Speeds at which every engine is tried, [rad/s]."""
SLOW = 2 * np.pi / 6.0
"""Turning slowly by hand: one turn in six seconds, [rad/s]."""
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One test of the shed."""

    key: str
    label: str
    how: str
    """How to do it, in one line."""
    needs: str
    """What is needed."""
    minutes: float
    """Effort."""
    reading: str
    """Kind of reading it is written down as."""
    kind: Kind | None = None
    """Kind of the number; None for words."""
    unit: str = ""
    words: tuple[str, ...] = ()
    """Words of the outcome, in the order of their numbers 0, 1, 2."""
    noise: float = 0.2
    """Relative standard uncertainty of one go, beyond what the reading says; common practice, no source."""
    caution: str = ""


HOT = "Hot metal burns; flame off when it stalls. Follow local rules and licensed advice."
VENT = (
    "Vent the chamber while it warms and cools, close it only for the swing, fit a water trap. "
    "Never an air line. Follow local rules and licensed advice."
)

TRIALS: tuple[Trial, ...] = (
    Trial(key="other_way", label="Spin it the other way", how="Hot: flick it as hard each way, more than once.",
          needs="nothing", minutes=1, reading="trial", words=("no change", "coasts longer", "runs"), caution=HOT),
    Trial(key="rim_weight", label="Grams on the rim",
          how="Chamber open, link on: hang weights on the rim until it just turns, at several angles.",
          needs="thread, small weights or tape, scale", minutes=4, reading="rim_weight", kind=Kind.MASS, unit="g",
          noise=0.25),
    Trial(key="free_cold", label="Free turns, cold", how="Cold, closed: flick it, count turns and time until it stops.",
          needs="a stripe on the wheel, a watch", minutes=2, reading="free_turns", kind=Kind.TORQUE, unit="mN m"),
    Trial(key="free_hot", label="Free turns, hot", how="Hot: flick it the way it should go, count turns and time.",
          needs="heat, a watch", minutes=5, reading="free_turns", kind=Kind.TORQUE, unit="mN m", caution=HOT),
    Trial(key="bounce", label="Bounce", how="Cold: turn by hand to mid compression and let go.",
          needs="nothing", minutes=1, reading="bounce", words=("no", "weak", "yes")),
    Trial(key="leak_down", label="U-tube half-time",
          how="U-tube on the chamber, piston held at one end of its stroke: time until the level has halved.",
          needs="1 m of 2 mm hose, water, a watch", minutes=8, reading="leak_down", kind=Kind.TIME, unit="s",
          caution=VENT),
    Trial(key="swing_cold", label="U-tube, cold, piston alone",
          how="Cold: turn slowly by hand, one turn in about six seconds, read highest and lowest level.",
          needs="1 m of 2 mm hose, water", minutes=8, reading="swing_cold", kind=Kind.PRESSURE, unit="cm water",
          noise=0.12, caution=VENT),
    Trial(key="swing_hot", label="U-tube, hot, displacer alone",
          how="Hot, piston unlinked and held at mid stroke: move the displacer slowly end to end, read both levels.",
          needs="heat, U-tube with a water trap", minutes=15, reading="swing_hot", kind=Kind.PRESSURE, unit="cm water",
          noise=0.15, caution=VENT),
    Trial(key="hot_metal", label="Hot metal temperature", how="Hot: read the hot metal with a wire or on matt paint.",
          needs="thermocouple or infra-red gun", minutes=6, reading="temperatures", kind=Kind.TEMPERATURE, unit="C",
          noise=0.1, caution=HOT),
    Trial(key="cold_metal", label="Cold metal temperature", how="Hot, after ten minutes: read the cold metal.",
          needs="thermocouple or a finger", minutes=10, reading="temperatures", kind=Kind.TEMPERATURE, unit="C",
          noise=0.15, caution=HOT),
    Trial(key="stops", label="Where it stops", how="Flick it ten times and look at which angle it stops.",
          needs="a stripe on the wheel", minutes=3, reading="stops", words=("anywhere", "same angle")),
    Trial(key="crank_angle", label="Crank angle", how="Photo along the shaft: which crank leads as you turn it?",
          needs="telephone", minutes=5, reading="crank_angle", kind=Kind.ANGLE, unit="deg", noise=0.0),
    Trial(key="displacer_travel", label="Displacer travel", how="Chamber open: measure the displacer's full stroke.",
          needs="ruler", minutes=6, reading="displacer_travel", kind=Kind.LENGTH, unit="mm", noise=0.05),
    Trial(key="rubber", label="Rubber's push", how="Link off, chamber open: grams on the disc over millimetres moved.",
          needs="small weights, ruler", minutes=6, reading="rubber", kind=Kind.STIFFNESS, unit="N/m", noise=0.25),
    Trial(key="ice", label="Ice above, boiling water or flame below",
          how="Ice on the cold end, the hottest you have below; flick it both ways.", needs="ice, hot water",
          minutes=12, reading="trial", words=("no change", "coasts longer", "runs"),
          caution="Scald: boiling water tips over; strip and dry the gland afterwards. " + HOT),
    Trial(key="shorter_throw", label="Piston throw halved", how="Re-bend or move the pin to half the piston's throw.",
          needs="pliers", minutes=25, reading="trial", words=("no change", "coasts longer", "runs"), caution=HOT),
)  # fmt: skip
"""Tests, cheapest of their kind first."""

BUILDERS_ORDER = (
    "other_way", "free_cold", "rim_weight", "bounce", "swing_hot", "ice", "shorter_throw", "displacer_travel",
)  # fmt: skip
"""The fixed order of experienced builders: direction, free turning, bounce, displacer alone with heat, ice and boiling
water, shorter throw, displacer rebuilt."""


def trial(key: str) -> Trial:
    """Return a test by its key."""
    return next(t for t in TRIALS if t.key == key)


def outcomes(inputs: Inputs) -> dict[str, FloatArray]:
    """Return what every engine of a batch would show in each test, (samples,); SI, or the number of its word.

    `inputs` has its metal temperatures given (`hot_metal`, `cold_metal`) and its wheel known.
    """
    room = inputs["room_temperature"]
    hot = operate(inputs, _speeds(inputs), passes=1)
    cold = operate(inputs.changed(hot_metal=room + 0.01, cold_metal=room), _speeds(inputs), passes=1)
    slow = np.full((inputs.size, 1), SLOW)
    by_hand = operate(inputs.changed(hot_metal=room + 0.01, cold_metal=room), slow, passes=1)
    swing_cold = np.ptp(by_hand.pressure[:, 0], axis=-1)
    points = find_points(hot, reference=FLICK)
    volume = (by_hand.geometry.volume_hot + by_hand.geometry.volume_cold).mean(axis=1) + by_hand.geometry.volume_gap
    shown: dict[str, FloatArray] = {
        "runs": points.runs.astype(float),
        "rim_weight": inputs["friction_torque"] / (GRAVITY * inputs["wheel_diameter"] / 2),
        "free_cold": -_at_flick(cold.torque),
        "free_hot": -_at_flick(hot.torque),
        "bounce": _bounce(inputs, hot.geometry.swept_piston, swing_cold),
        "leak_down": leak.half_time_from_conductance(
            conductance=by_hand.leak[:, 0],
            volume=volume,
            pressure=inputs["room_pressure"],
        ),
        "swing_cold": swing_cold,
        "hot_metal": inputs["hot_metal"],
        "cold_metal": inputs["cold_metal"],
        "stops": _stops(inputs),
        "crank_angle": (inputs["phase"] + np.pi) % (2 * np.pi) - np.pi,
    }
    base = _at_flick(hot.torque)
    other = inputs.changed(phase=-inputs["phase"])
    iced = inputs.changed(cold_metal=np.minimum(inputs["cold_metal"], np.maximum(inputs["cold_metal"] - 20.0, 275.0)))
    short = inputs.changed(piston_throw=inputs["piston_throw"] / 2)
    for key, changed in (("other_way", other), ("ice", iced), ("shorter_throw", short)):
        then = operate(changed, _speeds(inputs), passes=1)
        shown[key] = _better(find_points(then, reference=FLICK).runs, _at_flick(then.torque), base)
    if "displacer_throw" in inputs:
        shown["displacer_travel"] = hot.geometry.travel_hot
        held = inputs.changed(
            piston_throw=inputs["piston_throw"] * 1e-3,
            dead_volume_cold=inputs["dead_volume_cold"] + hot.geometry.swept_piston / 2,
        )
        shown["swing_hot"] = np.ptp(operate(held, slow, passes=1).pressure[:, 0], axis=-1)
    if "diaphragm_stiffness" in inputs:
        shown["rubber"] = inputs["diaphragm_stiffness"]
    return shown


def _speeds(inputs: Inputs) -> FloatArray:
    return np.repeat(SPEEDS[None], inputs.size, axis=0)


def _at_flick(torque: FloatArray) -> FloatArray:
    """Return the torque at half the speed of a flick, the mean of a coast to rest, (samples,)."""
    return torque[:, 1]


def _better(runs: NDArray[np.bool_], torque: FloatArray, before: FloatArray) -> FloatArray:
    """Return 2 where it runs, 1 where it coasts clearly longer (a fifth less loss), else 0."""
    longer = (torque > 0) | (torque > 0.8 * before)
    return np.where(runs, 2.0, np.where(longer & (torque > before), 1.0, 0.0))


def _bounce(inputs: Inputs, swept: FloatArray, swing: FloatArray) -> FloatArray:
    """Return 2 (springs back), 1 (weak), 0 (no): torque of the air's spring against friction.

    The air pushes with half of the swing of a slow turn, leak and all, on the piston at mid stroke; it must beat the
    friction, three times for a clear bounce. Common practice, no source.
    """
    push = swing / 2 * swept / 2 / np.maximum(inputs["friction_torque"], 1e-12)
    return np.where(push > 3, 2.0, np.where(push > 1.2, 1.0, 0.0))


def _stops(inputs: Inputs) -> FloatArray:
    """Return 1 where an uneven weight beats friction, so that it stops at one angle, else 0."""
    if "unbalance" not in inputs:
        return np.zeros(inputs.size)
    return (inputs["unbalance"] > inputs["friction_torque"]).astype(float)


def coast(*, loss: float, moment: float, flick: float = FLICK) -> tuple[float, float]:
    """Return turns and time of a coast to rest under a constant loss torque, from the speed of a flick.

    The loss is that at half the speed: [KhurmiGupta2005], uniform retardation. Infinite where nothing is lost.
    """
    if loss <= 0:
        return float("inf"), float("inf")
    time = moment * flick / loss
    return flick * time / (4 * np.pi), time


def loss_of_coast(*, turns: float, time: float, moment: float) -> float:
    """Return the mean loss torque of a coast to rest from turns and time, 4 pi I N/t^2, [N m]: any flick will do."""
    return 4 * np.pi * moment * turns / time**2


__all__ = ["BUILDERS_ORDER", "TRIALS", "Trial", "coast", "inertia", "loss_of_coast", "outcomes", "trial"]
