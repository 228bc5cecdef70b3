"""A closed engine at rest and a U-tube on it: what gives way to a pressure, half-time, share of a swing.

A water U-tube counts as p C more air, C = pi d^2/(8 rho g) (16 ml for 2 mm hose, 64 ml for 4 mm), in half-times and
swings that were read and in those that are told, which are of 2 mm hose. Its water follows at once, the air is taken as
isothermal (up to 1.4 times as much would be taken of a swing), the hose's own air is left out.
"""

from __future__ import annotations

import numpy as np

from model.physics import leak
from model.physics.values import FloatArray
from model.running.engine import Geometry
from model.running.flexing import at_rest
from model.running.samples import SampledInputs

TEST_PRESSURE = 300.0
"""Mean pressure of a leak-down with the U-tube, [Pa]: ends that flex feed the leak while it is measured."""
HOSE = 2e-3
"""Bore of hose that the tests ask for and whose readings are told, [m]."""


def effective_volume(inputs: SampledInputs, form: Geometry) -> FloatArray:
    """Return the air of the chamber and p C of ends that flex, (samples,) [m^3]: what a small pressure rests on."""
    air = (form.volume_hot + form.volume_cold).mean(axis=1) + form.volume_gap
    return np.asarray(air + inputs["room_pressure"] * at_rest(inputs, form, TEST_PRESSURE))


def u_tube_volume(inputs: SampledInputs, bore: FloatArray | float) -> FloatArray:
    """Return p C of a U-tube of a bore [m], (samples,) [m^3]: what it adds to the air."""
    return np.asarray(inputs["room_pressure"] * leak.u_tube_compliance(bore=bore))


def conductance(inputs: SampledInputs, form: Geometry) -> FloatArray:
    """Return the leak of a known half-time, (samples,) [m^3/(s Pa)]; `u_tube_hose`, where there is one, was on."""
    volume = effective_volume(inputs, form)
    if "u_tube_hose" in inputs:
        volume = volume + u_tube_volume(inputs, inputs["u_tube_hose"])
    return leak.conductance_from_half_time(
        half_time=inputs["leak_half_time"], volume=volume, pressure=inputs["room_pressure"]
    )


def half_time(inputs: SampledInputs, form: Geometry, leaking: FloatArray, *, bore: float = 0.0) -> FloatArray:
    """Return the half-time of a leak [m^3/(s Pa)], (samples,) [s]: of the chamber alone, or with a U-tube on it."""
    volume = effective_volume(inputs, form) + u_tube_volume(inputs, bore)
    return leak.half_time_from_conductance(conductance=leaking, volume=volume, pressure=inputs["room_pressure"])


def with_half_time(inputs: SampledInputs, alone: FloatArray) -> SampledInputs:
    """Return inputs whose leak is this half-time of the chamber alone, (samples,) [s]."""
    off = {"u_tube_hose": np.zeros(inputs.size)} if "u_tube_hose" in inputs else {}
    return inputs.changed(leak_half_time=alone, **off)


def share_shown(
    inputs: SampledInputs, form: Geometry, leaking: FloatArray, *, speed: float, bore: FloatArray | float = HOSE
) -> FloatArray:
    """Return the share of a chamber's pressure swing that is left with a U-tube on it, (samples,) [-].

    Parameters
    ----------
    leaking : array (samples,)
        The leak, [m^3/(s Pa)].
    speed : float
        Angular speed at which it is turned by hand, [rad/s].
    bore : float or array
        Inside diameter of the hose, [m].

    Notes
    -----
    Derived here: a small volume swing dV at w, isothermal, makes dp = p w dV/sqrt((w V)^2 + (p G)^2); the U-tube adds
    p C to V. Air that does not keep the room's temperature is stiffer and the U-tube then takes up to 1.4 times that.
    Turned slowly enough the water follows: its own swing takes one to two seconds.
    """
    volume, more = effective_volume(inputs, form), u_tube_volume(inputs, bore)
    lost = inputs["room_pressure"] * leaking / speed
    return np.asarray(np.hypot(volume, lost) / np.hypot(volume + more, lost))
