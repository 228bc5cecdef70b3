"""Where the drag lies: spin-downs closed, opened and with the displacer unlinked, each less the one after it.

The whole mechanism's friction by the opened one; the displacer's by what is gained when it is unlinked; what the air
takes (its spring leaks and its heat goes to the walls) by what is gained when a cold engine is opened.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from model.bench.reading import ReadingValues
from model.bench.spindown import SHAPE_UNKNOWN
from model.explain.as_drawn import AsDrawn
from model.explain.diagnosis.coasts import (
    COMPARABLE,
    UNLIKE,
    BeforeRunning,
    batch,
    coasted,
    figure,
    rubbing,
    torque_left,
    usable,
)
from model.explain.diagnosis.ensemble import DISPLACER_SHARE
from model.fields import Build
from model.physics.values import FloatArray
from model.quantities.constants import GRAVITY
from model.quantities.phrases import percent_text, rpm_text
from model.quantities.units import Kind
from model.record import Project
from model.running.points import inertia
from model.running.samples import SampledInputs, evenly, normals, stream

Place = tuple[str, str]
Last = Mapping[str, tuple[Place, ReadingValues]]
OPEN, APART, COLD = "coast_opened", "coast_unlinked", "coast_cold"


def spun_down(
    project: Project, build: Build, mark: int, last: Last, samples: int, seed: int
) -> tuple[BeforeRunning, ...]:
    """Return what the last spin-down of each kind tells; nothing where the wheel is not known.

    The friction that is predicted is the typed one, that of grams on the rim of another visit, or a guess: never the
    spin-down's own.
    """
    present = [name for name in (OPEN, APART, COLD) if name in last and (name != APART or build.layout != "alpha")]
    if not {OPEN, APART} & set(present):
        return ()
    (visit, _), taken = last[present[-1]]
    model_inputs = AsDrawn(project, mark, build=build, without="free_turns", visit=visit).under(taken)
    if not usable(model_inputs) or "wheel_mass" in model_inputs.assumed:
        return ()
    inputs = batch(model_inputs, samples, seed)
    shape = np.exp(SHAPE_UNKNOWN * _blur(seed, "shape of the wheel", samples))
    lost, speed = {}, {}
    for name in present:
        slowing, relative, speed[name] = coasted(last[name][1])
        lost[name] = inertia(inputs) * shape * slowing * np.exp(relative * _blur(seed, name, samples))
    least, most = DISPLACER_SHARE
    part = np.concatenate([[0.5], evenly(stream(seed, "displacer_share"), samples)])
    share = least + (most - least) * part
    results = []
    if OPEN in last:
        known = "typed" if build.friction_torque is not None else ""
        weighed = AsDrawn(project, mark, build=build, without="free_turns").measured
        known = known or ("grams" if "friction_torque" in weighed else "")
        results.append(_friction(inputs, last[OPEN][0], lost[OPEN], speed[OPEN], known))
    if APART in lost:
        results.append(_displacer(inputs, last[APART][0], lost, speed, share))
    if OPEN in last and COLD in last:
        results.append(_air(inputs, last[COLD][0], lost, speed))
    return tuple(results)


def _blur(seed: int, name: str, samples: int) -> FloatArray:
    return np.concatenate([[0.0], normals(seed, name, samples)])


COUNTS = {
    "typed": "The whole mechanism's friction; the friction torque that was typed comes first.",
    "grams": "The whole mechanism's friction; grams on the rim come first.",
    "": "The whole mechanism's friction: replaces the guess, less a share for drag.",
}
"""What becomes of an opened spin-down, by what else is known of the friction."""
PART = "Not the whole mechanism's friction: replaces no guess."


def _friction(inputs: SampledInputs, place: Place, lost: FloatArray, speed: float, known: str) -> BeforeRunning:
    predicted = rubbing(inputs, speed)
    return _item("friction_opened", "Friction and drag, opened", place, lost, predicted, "I 4 pi N/t^2",
                 f"{COUNTS[known]} At {rpm_text(speed)} on average.", inputs)  # fmt: skip


def _displacer(
    inputs: SampledInputs, place: Place, lost: Mapping[str, FloatArray], speed: Mapping[str, float], share: FloatArray
) -> BeforeRunning:
    if OPEN not in lost:
        unlinked = inputs.changed(friction_torque=(1 - share) * inputs["friction_torque"])
        rest = rubbing(unlinked, speed[APART])
        note = f"{PART} With a spin-down opened, all linked, the difference is the displacer's, its rod and gland."
        return _item("friction_unlinked", "Friction of piston, crank and bearings", place, lost[APART], rest,
                     "I 4 pi N/t^2", note, inputs)  # fmt: skip
    part = lost[OPEN] - lost[APART]
    whole = float(lost[OPEN][0])
    share_text = f"{percent_text(max(0.0, float(part[0]) / whole))} of the opened loss." if whole > 0 else ""
    note = f"{share_text} {PART}{_unlike(speed[OPEN], speed[APART])}"
    return _item("displacer_friction", "Friction of displacer, rod and gland", place, part,
                 share * inputs["friction_torque"], "I (4 pi N/t^2 opened less unlinked)", note, inputs)  # fmt: skip


def _air(
    inputs: SampledInputs, place: Place, lost: Mapping[str, FloatArray], speed: Mapping[str, float]
) -> BeforeRunning:
    at = speed[COLD]
    predicted = -torque_left(inputs, at, warm=False) - rubbing(inputs, at)
    note = f"Closed and cold less opened: leak, heat to the walls, flow.{_unlike(speed[COLD], speed[OPEN])}"
    return _item("air_loss", "What the cold air takes of a turn", place, lost[COLD] - lost[OPEN], predicted,
                 "2 pi I (4 pi N/t^2 closed less opened)", note, inputs, energy=True)  # fmt: skip


def _unlike(one: float, other: float) -> str:
    return "" if COMPARABLE[0] < one / other < COMPARABLE[1] else f" {UNLIKE}"


def _item(
    key: str, label: str, place: Place, measured: FloatArray, predicted: FloatArray, formula: str, note: str,
    inputs: SampledInputs, *, energy: bool = False,
) -> BeforeRunning:  # fmt: skip
    kind, unit, turn = (Kind.ENERGY, "mJ", 2 * np.pi) if energy else (Kind.TORQUE, "mN m", 1.0)
    grams = measured / (GRAVITY * inputs["wheel_diameter"] / 2)
    return BeforeRunning(
        key=key,
        label=label,
        place=place,
        measured=figure(key, label, kind, unit, turn * measured, formula),
        predicted=figure(key, label, kind, unit, turn * predicted, "the same by the model"),
        gap=figure("gap", "Gap", kind, unit, turn * (measured - predicted), "measured less predicted"),
        note=note,
        also=() if energy else (figure("grams", "As grams at the rim", Kind.MASS, "g", grams, "torque/(g r)"),),
    )


__all__ = ["spun_down"]
