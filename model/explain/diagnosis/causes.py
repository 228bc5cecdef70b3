"""Why an engine may not run: each cause as a change to what was drawn, and how often it is met.

The shares are common practice, no source: about as often as builders' reports name each cause or its cure. A cause
either changes what the air does (`put` on inputs of the turn) or only what the shaft does (`mechanical`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.physics.values import FloatArray
from model.quantities.constants import GRAVITY
from model.running.samples import SampledInputs

if TYPE_CHECKING:
    from numpy.random import Generator  # loaded where causes are weighed: it costs two megabytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One reason why an engine does not run."""

    key: str
    label: str
    share: float
    """How often it is met before anything is known of the engine, relative."""
    remedy: str
    """What to do when it is this."""
    put: Callable[[SampledInputs, Generator], SampledInputs]
    """Make every engine of a batch have it."""
    about: str = ""
    """Input that it is about: where that was measured, the cause is met less often."""
    mechanical: bool = False
    """Whether it leaves the air alone: friction, wheel, balance."""
    inside: bool = False
    """Whether it is of what turns, slides or seals, and seldom comes while that is left alone."""
    applies: Callable[[SampledInputs], bool] = lambda inputs: True


def _factor(generator: Generator, size: int, low: float, high: float) -> FloatArray:
    return np.asarray(np.exp(generator.uniform(np.log(low), np.log(high), size)))


def _leak(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    """A half-time of a few hundredths of a second to two seconds, and at most a third of what it should be."""
    sound = inputs["leak_half_time"] * _factor(generator, inputs.size, 0.03, 0.33)
    return inputs.changed(
        leak_half_time=np.minimum(sound, _factor(generator, inputs.size, 0.03, 2.0)),
        leak_at_piston=(generator.random(inputs.size) < 0.4).astype(float),
    )


def _friction(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    return inputs.changed(friction_torque=inputs["friction_torque"] * _factor(generator, inputs.size, 3.0, 30.0))


def _little_heat(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    """Seven in ten: the metal stays cool. The others: the metal is hot and the air is not (clearance too wide)."""
    cold, hot = inputs["cold_metal"], inputs["hot_metal"]
    share = generator.uniform(0.1, 0.5, inputs.size)
    metal = generator.random(inputs.size) < 0.7
    weak = np.where(metal, 1.0, _factor(generator, inputs.size, 0.08, 0.4))
    return inputs.changed(
        hot_metal=np.where(metal, cold + share * (hot - cold), hot),
        exchange_factor=inputs["exchange_factor"] * weak,
        gap_factor=inputs["gap_factor"] * weak,
    )


def _warm_cold_side(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    cold, hot = inputs["cold_metal"], inputs["hot_metal"]
    return inputs.changed(cold_metal=cold + generator.uniform(0.4, 0.85, inputs.size) * (hot - cold))


def _phase(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    wrong = generator.choice([-1.0, 1.0], inputs.size) * np.radians(generator.uniform(50.0, 180.0, inputs.size))
    return inputs.changed(phase=inputs["phase"] + wrong)


def _large_piston(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    throw = np.minimum(inputs["piston_throw"] * _factor(generator, inputs.size, 1.3, 2.6), 0.8 * inputs["piston_rod"])
    return inputs.changed(piston_throw=throw)


def _short_displacer(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    share = generator.uniform(0.15, 0.55, inputs.size)
    lost = (1 - share) * inputs["displacer_throw"]
    return inputs.changed(
        displacer_throw=share * inputs["displacer_throw"],
        end_clearance_hot=inputs["end_clearance_hot"] + lost,
        end_clearance_cold=inputs["end_clearance_cold"] + lost,
    )


def _dead_volume(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    bore = inputs["hot_bore"] if "hot_bore" in inputs else inputs["displacer_bore"]
    throw = inputs["hot_throw"] if "hot_throw" in inputs else inputs["displacer_throw"]
    swept = np.pi / 2 * bore**2 * throw
    return inputs.changed(
        dead_volume_cold=inputs["dead_volume_cold"] + swept * _factor(generator, inputs.size, 1.0, 8.0)
    )


def _stiff_rubber(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    return inputs.changed(
        diaphragm_stiffness=inputs["diaphragm_stiffness"] * _factor(generator, inputs.size, 6.0, 80.0)
    )


def _light_wheel(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    return inputs.changed(wheel_mass=inputs["wheel_mass"] * _factor(generator, inputs.size, 0.03, 0.3))


def _unbalance(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    # an uneven weight of a tenth to all of the wheel's mass at half its radius
    share = _factor(generator, inputs.size, 0.1, 1.0)
    return inputs.changed(unbalance=GRAVITY * share * inputs["wheel_mass"] * inputs["wheel_diameter"] / 4)


def _nothing(inputs: SampledInputs, generator: Generator) -> SampledInputs:
    return inputs


NOTHING_BROKEN = Cause(
    key="design",
    label="Nothing broken: too little to spare as built",
    share=8,
    put=_nothing,
    mechanical=True,
    remedy="See which allowance is tightest, and change that one thing.",
)
"""The engine as it is: what those of it that run show is what a sound one shows."""
CAUSES: tuple[Cause, ...] = (
    Cause(key="friction", label="Friction", share=16, put=_friction, inside=True, about="friction_torque",
          mechanical=True,
          remedy="Attack the part whose removal frees it most: usually displacer rod and gland, not the wheel."),
    Cause(key="leak", label="Leak", share=14, put=_leak, inside=True, about="leak_half_time",
          remedy="Soapy water on joints, lips along seams; re-seal, grease the gland, a new diaphragm."),
    Cause(key="heat", label="Heat does not get in", share=7, put=_little_heat, about="hot_metal",
          remedy="Flame tip near, not on, the metal; a draught shield; a thinner hot end; a narrower side clearance. "
          "Glue softens long before metal melts, and linings smoke."),
    Cause(key="cold", label="Cold side warm", share=6, put=_warm_cold_side, about="cold_metal",
          remedy="Water, ice or a fan on the cold end; plastic posts and screws; less metal between hot and cold."),
    Cause(key="phase", label="Wrong phase or direction", share=8, put=_phase, inside=True,
          remedy="Spin it the other way; then re-bend: all air hot, a quarter turn later the piston fully out."),
    Cause(key="piston", label="Piston too big for this heat", share=6, put=_large_piston, inside=True,
          remedy="Shorten the piston's throw first, it is the cheapest; then a smaller bore."),
    Cause(key="displacer", label="Displacer stroke short", share=6, put=_short_displacer, inside=True,
          applies=lambda inputs: "displacer_throw" in inputs,
          remedy="Longer throw or adjusted rod, until about 1 mm is left at each end."),
    Cause(key="dead_volume", label="Dead volume", share=4, put=_dead_volume, inside=True,
          remedy="Fill corners, shorten the passage."),
    Cause(key="rubber", label="Diaphragm stiff", share=4, put=_stiff_rubber, inside=True, about="diaphragm_stiffness",
          applies=lambda inputs: "diaphragm_stiffness" in inputs,
          remedy="Thinner or slacker rubber, a smaller disc, a pre-formed membrane."),
    Cause(key="wheel", label="Wheel too light", share=5, put=_light_wheel, about="wheel_mass", mechanical=True,
          remedy="Mass at the rim, glued and tied: a weight that comes off flies. Never spin it up with a drill."),
    Cause(key="balance", label="Out of balance", share=5, put=_unbalance, mechanical=True,
          remedy="Chamber open, weight at the rim until it stops anywhere; glued weights are never spun by a drill."),
    NOTHING_BROKEN,
)  # fmt: skip
"""Causes in the order in which builders name them."""


def by_key(key: str) -> Cause:
    """Return a cause by its key."""
    return next(cause for cause in CAUSES if cause.key == key)
