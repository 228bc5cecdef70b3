"""Where every watt goes, from heat released to the shaft; and the torque round the turn by quarters.

To add a loss: take it off where it arises (of heat in `balance`, of torque in `shaft`, of pressure in `exchange`), name
it in `watts` so that the sum still holds, and declare its figure in `model.prediction.figure_table`.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray
from model.running.operate import Operation


def watts(operation: Operation) -> dict[str, FloatArray]:
    """Return where the heat goes, each (samples, speeds) [W].

    The sums hold: ``heat_released = heat_missed + heat_lost_hot + heat_along + heat_to_air``,
    ``indicated + flow_loss = heat_to_air - heat_from_air`` (less what the leak carries), and
    ``shaft = indicated - crank_loss - friction_loss``.
    """
    o = operation
    net, turns = o.network, o.speed / (2 * np.pi)
    along = net.conduction * (o.hot_metal - o.cold_metal)
    lost = net.loss * (o.hot_metal - net.room)
    taken = o.heat_taken
    # heat into the hot metal: what leaves it; when the metal's temperature was measured this is what must get in
    gets_in = taken + along + lost
    released = gets_in
    if "heat_released" in o.inputs:
        released = np.maximum(o.inputs.column("heat_released") + 0 * taken, gets_in)
    shaft = o.torque * o.speed
    friction = (o.inputs.column("friction_torque") + o.inputs.column("speed_drag") * o.speed) * o.speed
    return {
        "heat_released": released,
        "heat_missed": released - gets_in,
        "heat_lost_hot": lost,
        "heat_along": along,
        "heat_to_air": taken,
        "heat_from_air": o.heat_given,
        "flow_loss": o.flow * turns,
        "crank_loss": o.indicated * turns - friction - shaft,
        "friction_loss": friction,
    }


def quarters(operation: Operation) -> FloatArray:
    """Return the mean torque of the air in each quarter of the turn, (samples, speeds, 4) [N m].

    Quarters are counted from the moment when all the air is cold (the displacer, or the hot piston, at the hot end):
    the air is moved to the hot end in the first two and back in the last two.
    """
    o = operation
    pressure = o.pressure
    gauge = 0.5 * (pressure + np.roll(pressure, -1, axis=-1)) - o.inputs.column("room_pressure")[..., None]
    total = np.zeros_like(gauge)
    for swept in o.geometry.pistons:
        total = total + gauge * (np.roll(swept, -1, axis=1) - swept)[:, None, :]
    per_radian = total * o.geometry.angles / (2 * np.pi)
    return np.asarray(per_radian.reshape(*o.shape, 4, -1).mean(axis=-1))
