"""The closed form of the isothermal turn with sines [Schmidt1871], the outside check of cycle and running."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClosedForm:
    """Result of the closed form; arrays of one common shape."""

    work_hot: FloatArray
    """Work of the hot space over a turn, [J]; equals the heat taken in."""
    work_cold: FloatArray
    """Work of the cold space over a turn, [J]."""
    work: FloatArray
    """Indicated work over a turn, [J]."""
    pressure_max: FloatArray
    """Highest pressure, [Pa]."""
    pressure_min: FloatArray
    """Lowest pressure, [Pa]."""


def closed_form(
    *,
    layout: str,
    swept_hot: FloatArray | float,
    swept_cold: FloatArray | float,
    dead_hot: FloatArray | float,
    dead_cold: FloatArray | float,
    dead_gap: FloatArray | float,
    temperature_hot: FloatArray | float,
    temperature_cold: FloatArray | float,
    temperature_gap: FloatArray | float,
    phase: FloatArray | float,
    pressure_mean: FloatArray | float,
) -> ClosedForm:
    """Work and pressures of an engine whose spaces keep their temperatures.

    Parameters
    ----------
    layout : str
        ``alpha``, ``beta`` (displacer and piston of one bore, overlapping so far that the least cold volume is the dead
        volume) or ``gamma``.
    swept_hot, swept_cold : array
        Swept volume of displacer (alpha: hot piston) and of the power piston (alpha: cold piston), [m^3].
    dead_hot, dead_cold, dead_gap : array
        Dead volumes at hot, cold and gap temperature, [m^3].
    temperature_hot, temperature_cold, temperature_gap : array
        Temperatures of the gas, [K].
    phase : array
        Angle by which the hot volume leads the piston's, [rad].
    pressure_mean : array
        Mean pressure over the turn, [Pa].

    Returns
    -------
    ClosedForm
        Works [J] and pressures [Pa].
    """
    x, y = np.cos(phase), np.sin(phase)
    t = np.asarray(temperature_cold, float) / temperature_hot
    v = np.asarray(swept_cold, float) / swept_hot
    r = np.asarray(dead_gap, float) / swept_hot * temperature_cold / temperature_gap
    s = t + 2 * t * np.asarray(dead_hot) / swept_hot + 2 * r + v + 2 * np.asarray(dead_cold) / swept_hot
    # amplitude of p^-1 as a phasor: hot volume t (1 - cos x), piston v (1 - cos(x - phase)), gamma's cold (1 + cos x)
    cosine = t + v * x - (0.0 if layout == "alpha" else 1.0)
    if layout != "alpha":
        s = s + 1.0
    if layout == "beta":
        a, b = np.asarray(swept_hot, float), np.asarray(swept_cold, float)
        overlap = (a + b) / 2 - np.sqrt((a * a + b * b) / 4 - a * b * x / 2)
        s = s - 2 * overlap / a
    amplitude = np.hypot(cosine, v * y)
    angle = np.arctan2(v * y, cosine)
    d = amplitude / s
    root = np.sqrt(1 - d * d)
    work_hot = np.asarray(pressure_mean) * swept_hot * np.pi * d * np.sin(angle) / (1 + root)
    peak = np.sqrt((1 + d) / (1 - d))
    return ClosedForm(
        work_hot=np.asarray(work_hot),
        work_cold=np.asarray(-t * work_hot),
        work=np.asarray((1 - t) * work_hot),
        pressure_max=np.asarray(pressure_mean * peak),
        pressure_min=np.asarray(pressure_mean / peak),
    )
