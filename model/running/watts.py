"""Where every watt goes, from heat released to the shaft; and the torque round the turn by quarters.

A loss is declared where it arises, and counted here: of heat a row of `balance.HEAT_PATHS` with its figure, of torque a
term of `shaft.friction`, of pressure one of `exchange.flow_work`.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray
from model.running.operate import Operation
from model.running.shaft import friction


def watts(operation: Operation) -> dict[str, FloatArray]:
    """Return where the heat goes, each (samples, speeds) [W].

    The sums hold: ``heat_released = heat_missed + heat_to_air`` and every row of `HEAT_PATHS`,
    ``indicated + flow_loss = heat_to_air - heat_from_air`` (less what the leak carries), and
    ``shaft = indicated - crank_loss - friction_loss``.
    """
    o = operation
    net, turns = o.network, o.speed / (2 * np.pi)
    past = net.past(o.hot_metal, o.cold_metal)
    taken = o.heat_taken
    # heat into the hot metal: what leaves it; when the metal's temperature was measured this is what must get in
    gets_in = taken + net.conduction * (o.hot_metal - o.cold_metal) + net.loss * (o.hot_metal - net.room)
    released = gets_in
    if "heat_released" in o.inputs:
        released = np.maximum(o.inputs.column("heat_released") + 0 * taken, gets_in)
    shaft = o.torque * o.speed
    rubbed = friction(o.inputs, o.speed) * o.speed
    return {
        "heat_released": released,
        "heat_missed": released - gets_in,
        **past,
        "heat_to_air": taken,
        "heat_from_air": o.heat_given,
        "flow_loss": o.flow * turns,
        "crank_loss": o.indicated * turns - rubbed - shaft,
        "friction_loss": rubbed,
    }


def quarters(operation: Operation) -> FloatArray:
    """Return the mean torque of the air in each quarter of the turn, (samples, speeds, 4) [N m].

    Quarters are counted from the moment when all the air is cold (the displacer, or the hot piston, at the hot end):
    the air is moved to the hot end in the first two and back in the last two.
    """
    per_radian = torque_over_turn(operation)
    return np.asarray(per_radian.reshape(*operation.shape, 4, -1).mean(axis=-1))


def torque_over_turn(operation: Operation) -> FloatArray:
    """Return the torque of the air over each step of the turn, from its angle to the next, (samples, speeds, angles)
    [N m]."""
    o = operation
    pressure = o.pressure
    gauge = 0.5 * (pressure + np.roll(pressure, -1, axis=-1)) - o.inputs.column("room_pressure")[..., None]
    total = np.zeros_like(gauge)
    for swept in o.geometry.pistons:
        total = total + gauge * (np.roll(swept, -1, axis=1) - swept)[:, None, :]
    return np.asarray(total * o.geometry.angles / (2 * np.pi))
