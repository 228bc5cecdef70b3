"""From the air to the shaft: forced work and mechanism effectiveness piston by piston, friction, drag.

Shaft work = E W - (1/E - E) W_forced against the room's pressure, with a rubber's spring, the displacer's rod and its
weight; less flow work over E; less friction torque and drag. A known wheel must hold the energy that a turn takes up
and gives back.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray
from model.quantities.constants import GRAVITY
from model.quantities.formula import declared
from model.running.engine import Geometry
from model.running.samples import SampledInputs


@declared(
    quantity="shaft work of a turn",
    formula="Ws = E W - (1/E - E) W_forced, piston by piston; less (1/E - E) m g h and 1/E of the displacer's drive",
    source="Senft2007",
    where="from memory; buffer pressure: the room's",
)
def shaft_work(
    inputs: SampledInputs, geometry: Geometry, *, pressure: FloatArray, room: FloatArray, drive_work: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Work at the shaft before friction, forced work, and what the flywheel must carry.

    Parameters
    ----------
    inputs, geometry
        The batch of engines.
    pressure : array (samples, speeds, angles)
        Pressure at the angles, [Pa].
    room : array (samples, 1)
        Pressure of the room, [Pa].
    drive_work : array (samples, speeds)
        Work that the crank gives to the displacer and to the flow in a turn, [J], >= 0.

    Returns
    -------
    work, forced, fluctuation : array (samples, speeds)
        Shaft work before friction and forced work of a turn, and the energy between the fastest and the slowest moment
        of the wheel within a turn, the displacer's weight counted where it is known, [J].
    """
    middle = 0.5 * (pressure + np.roll(pressure, -1, axis=-1)) - room[..., None]
    share = inputs.column("effectiveness")
    work = -drive_work / share
    forced = np.zeros_like(work)
    through = np.zeros_like(pressure)
    for number, swept in enumerate(geometry.pistons):
        step = np.roll(swept, -1, axis=1) - swept  # (samples, angles)
        push = middle
        if "diaphragm_stiffness" in inputs and number == 0:
            travel = (swept + 0.5 * step) / geometry.piston_area[:, None]
            half = geometry.swept_piston / geometry.piston_area / 2
            spring = inputs.column("diaphragm_stiffness") * (travel - half[:, None]) / geometry.piston_area[:, None]
            push = middle - spring[:, None, :]
        part = push * step[:, None, :]
        against = np.maximum(-part, 0.0).sum(axis=-1)
        whole = part.sum(axis=-1)
        work = work + share * whole - (1 / share - share) * against
        forced = forced + against
        through = through + part
    lifting = _lifting(inputs, geometry)
    if lifting is not None:
        # lifted at a cost of 1/E, it gives back E on its way down
        work = work - (1 / share - share) * np.maximum(lifting, 0.0).sum(axis=-1)
        through = through - lifting
    run = np.cumsum(through - through.mean(axis=-1, keepdims=True), axis=-1)
    return np.asarray(work), np.asarray(forced), np.asarray(run.max(axis=-1) - run.min(axis=-1))


def _lifting(inputs: SampledInputs, geometry: Geometry) -> FloatArray | None:
    """Return the work that lifts the displacer in each step, (samples, 1, angles) [J]: m g times its rise.

    The displacer rises from its hot end, which lies below but under the sun; a counterweight takes a share. None where
    its mass is not known.
    """
    if "displacer_mass" not in inputs or geometry.layout == "alpha":
        return None
    height = geometry.moved / geometry.area_hot[:, None]
    rise = np.roll(height, -1, axis=1) - height
    upwards = -1.0 if inputs.words.get("heat_source") == "sun" else 1.0
    weight = upwards * GRAVITY * inputs["displacer_mass"] * inputs["displacer_unbalanced"]
    return np.asarray((weight[:, None] * rise)[:, None, :])


def torque(inputs: SampledInputs, *, work: FloatArray, speed: FloatArray) -> FloatArray:
    """Return the mean torque left at the shaft, (samples, speeds) [N m]: work over a turn less friction and drag."""
    return np.asarray(work / (2 * np.pi) - friction(inputs, speed))


def friction(inputs: SampledInputs, speed: FloatArray) -> FloatArray:
    """Return the torque that friction and drag take, (samples, speeds) [N m]."""
    return np.asarray(inputs.column("friction_torque") + inputs.column("speed_drag") * speed)
