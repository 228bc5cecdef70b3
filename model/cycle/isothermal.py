"""The isothermal turn: the ceiling that every text book gives, here for any motion. Source: [Schmidt1871]."""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray


def isothermal_pressure(
    *,
    volume_hot: FloatArray,
    volume_cold: FloatArray,
    volume_gap: FloatArray,
    temperature_hot: FloatArray,
    temperature_cold: FloatArray,
    temperature_gap: FloatArray,
    pressure_mean: FloatArray,
) -> FloatArray:
    """Pressure over the turn with every space at its own constant temperature, any motion.

    Parameters
    ----------
    volume_hot, volume_cold : array (..., n_angles)
        Volumes over the turn, [m^3].
    volume_gap, temperature_hot, temperature_cold, temperature_gap, pressure_mean : array (...)
        Gap volume [m^3], temperatures [K], mean pressure over the turn [Pa].

    Returns
    -------
    array (..., n_angles)
        Pressure, [Pa].
    """
    inverse = 1 / (
        volume_hot / temperature_hot[..., None]
        + volume_cold / temperature_cold[..., None]
        + (volume_gap / temperature_gap)[..., None]
    )
    return np.asarray(pressure_mean[..., None] * inverse / inverse.mean(axis=-1, keepdims=True))
