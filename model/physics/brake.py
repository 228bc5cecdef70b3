"""Brakes, weights on a thread, wheels that coast and wheels on strings: the sums of the test bench.

Torque and power are positive for an engine that drives. Owns no reading and no uncertainty (`model.bench`).
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude
from model.quantities.formula import declared

GRAVITY = 9.80665
"""Standard acceleration of free fall, [m/s^2]."""


@declared(
    quantity="torque on a rope brake",
    formula="M = (W - S)(D + d)/2",
    source="Rajput2005",
    where="chapter 17",
    spread=0.02,
)
def rope_brake_torque(
    *, force_tight: Values, force_slack: Values, drum_diameter: Values, rope_diameter: Values = 0.0
) -> FloatArray:
    """Torque of a rope brake.

    Parameters
    ----------
    force_tight : float or array
        Force on the tight side, [N].
    force_slack : float or array
        Force on the slack side, [N].
    drum_diameter : float or array
        Diameter of the drum, [m], > 0.
    rope_diameter : float or array
        Diameter of the rope, [m], >= 0.

    Returns
    -------
    array
        Torque on the shaft, [N m].

    Notes
    -----
    Source: [Rajput2005]; the force acts at the middle of the rope.
    """
    pull = as_array(force_tight) - as_array(force_slack)
    return 0.5 * pull * (as_array(drum_diameter) + as_array(rope_diameter))


@declared(
    quantity="power on a rope brake",
    formula="P = (W - S) pi (D + d) n",
    source="Rajput2005",
    where="chapter 17",
    spread=0.03,
)
def rope_brake_power(
    *, force_tight: Values, force_slack: Values, drum_diameter: Values, rope_diameter: Values = 0.0, speed: Values
) -> FloatArray:
    """Power on a rope brake.

    Parameters
    ----------
    force_tight : float or array
        Force on the tight side, [N].
    force_slack : float or array
        Force on the slack side, [N].
    drum_diameter : float or array
        Diameter of the drum, [m], > 0.
    rope_diameter : float or array
        Diameter of the rope, [m], >= 0.
    speed : float or array
        Turns a second, [1/s].

    Returns
    -------
    array
        Shaft power, [W].

    Notes
    -----
    Source: [Rajput2005].

    Examples
    --------
    >>> power = rope_brake_power(force_tight=200.0, force_slack=30.0, drum_diameter=0.6, rope_diameter=0.026,
    ...                          speed=450 / 60)
    >>> round(float(power))
    2507
    """
    torque = rope_brake_torque(
        force_tight=force_tight, force_slack=force_slack, drum_diameter=drum_diameter, rope_diameter=rope_diameter
    )
    return 2.0 * np.pi * torque * as_array(speed)


@declared(
    quantity="power on a brake with an arm",
    formula="P = 2 pi n F r",
    source="Ramalingam",
    where="Example 7.1",
    spread=0.03,
)
def prony_power(*, force: Values, arm: Values, speed: Values) -> FloatArray:
    """Power on a Prony brake: force at the end of an arm.

    Parameters
    ----------
    force : float or array
        Force at the end of the arm, less its force at rest, [N].
    arm : float or array
        Distance of that force from the shaft, [m], > 0.
    speed : float or array
        Turns a second, [1/s].

    Returns
    -------
    array
        Shaft power, [W].

    Notes
    -----
    Source: [Ramalingam].

    Examples
    --------
    >>> round(float(prony_power(force=110 * 9.81, arm=0.9, speed=1500 / 60)) / 1000, 1)
    152.6
    """
    return 2.0 * np.pi * as_array(speed) * as_array(force) * as_array(arm)


@declared(
    quantity="power that lifts a weight",
    formula="P = m g s/t",
    source="Rajput2005",
    where="work over time",
    spread=0.05,
)
def lifting_power(*, mass: Values, height: Values, time: Values, gravity: Values = GRAVITY) -> FloatArray:
    """Mean power of an engine that winds up a weight.

    Parameters
    ----------
    mass : float or array
        Mass lifted, [kg], >= 0.
    height : float or array
        Height, [m].
    time : float or array
        Time taken, [s], > 0.
    gravity : float or array
        Acceleration of free fall, [m/s^2], > 0.

    Returns
    -------
    array
        Power, [W].

    Notes
    -----
    Source: [Rajput2005].

    Examples
    --------
    >>> round(float(lifting_power(mass=0.05, height=0.5, time=4.0)), 4)
    0.0613
    """
    lifted = as_array(mass) * as_array(gravity) * as_array(height)
    return lifted / magnitude(time)


@declared(
    quantity="tight over slack side of a rope on a drum",
    formula="F1/F2 = exp(mu a)",
    source="KhurmiGupta2005",
    where="belt friction",
    spread=0.2,
)
def capstan_ratio(*, friction_coefficient: Values, wrap_angle: Values) -> FloatArray:
    """Force on the tight side over force on the slack side of a slipping rope.

    Parameters
    ----------
    friction_coefficient : float or array
        Coefficient of friction, [-], >= 0.
    wrap_angle : float or array
        Angle of wrap, [rad], >= 0.

    Returns
    -------
    array
        Ratio of the forces, [-], >= 1.

    Notes
    -----
    Source: [KhurmiGupta2005]. Held at e^700 for wraps beyond any rope.

    Examples
    --------
    >>> round(float(capstan_ratio(friction_coefficient=0.25, wrap_angle=3.14159)), 2)
    2.19
    """
    return np.exp(np.minimum(as_array(friction_coefficient) * as_array(wrap_angle), 700.0))


@declared(
    quantity="friction torque from a wheel that coasts to rest",
    formula="M = I omega/t",
    source="Tayal",
    where="Example 22.1; constant torque",
    spread=0.2,
)
def coast_down_torque(*, inertia: Values, angular_speed: Values, time: Values) -> FloatArray:
    """Torque that stops a wheel, taken as constant.

    Parameters
    ----------
    inertia : float or array
        Moment of inertia, [kg m^2], > 0.
    angular_speed : float or array
        Angular speed at the start, [rad/s].
    time : float or array
        Time to rest, [s], > 0.

    Returns
    -------
    array
        Friction torque, [N m].

    Notes
    -----
    Source: [Tayal]. Air drag grows with speed: this is a mean, too high near rest and too low at the start.
    """
    return as_array(inertia) * as_array(angular_speed) / magnitude(time)


@declared(
    quantity="turns of a wheel that coasts to rest",
    formula="N = omega t/(4 pi)",
    source="Tayal",
    where="Example 22.1; constant torque",
    spread=0.2,
)
def coast_down_turns(*, angular_speed: Values, time: Values) -> FloatArray:
    """Turns that a wheel makes until it stops under constant torque.

    Parameters
    ----------
    angular_speed : float or array
        Angular speed at the start, [rad/s].
    time : float or array
        Time to rest, [s], >= 0.

    Returns
    -------
    array
        Turns, [-].

    Notes
    -----
    Source: [Tayal].

    Examples
    --------
    >>> round(float(coast_down_turns(angular_speed=1500 * 2 * 3.14159265 / 60, time=120.0)), 3)
    1500.0
    """
    return as_array(angular_speed) * as_array(time) / (4.0 * np.pi)


@declared(
    quantity="energy that the flywheel takes up and gives back",
    formula="dE = I omega^2 Cs",
    source="KhurmiGupta2005",
    where="chapter 16",
    spread=0.02,
)
def flywheel_energy_fluctuation(*, inertia: Values, angular_speed: Values, coefficient_of_speed: Values) -> FloatArray:
    """Greatest difference of the wheel's energy over a turn.

    Parameters
    ----------
    inertia : float or array
        Moment of inertia, [kg m^2], > 0.
    angular_speed : float or array
        Mean angular speed, [rad/s].
    coefficient_of_speed : float or array
        Highest less lowest speed over the mean, [-], >= 0.

    Returns
    -------
    array
        Energy, [J].

    Notes
    -----
    Source: [KhurmiGupta2005].
    """
    return as_array(inertia) * as_array(angular_speed) ** 2 * as_array(coefficient_of_speed)


@declared(
    quantity="unevenness of the turn",
    formula="Cs = dE/(I omega^2)",
    source="KhurmiGupta2005",
    where="chapter 16",
    valid={"coefficient_of_speed": (0.0, 2.0)},
    spread=0.05,
)
def coefficient_of_fluctuation(*, energy: Values, inertia: Values, angular_speed: Values) -> FloatArray:
    """Coefficient of fluctuation of speed.

    Parameters
    ----------
    energy : float or array
        Greatest difference of the wheel's energy over a turn, [J], >= 0.
    inertia : float or array
        Moment of inertia, [kg m^2], > 0.
    angular_speed : float or array
        Mean angular speed, [rad/s].

    Returns
    -------
    array
        Highest less lowest speed over the mean, [-]; above 2 the wheel would stop; very large at rest.

    Notes
    -----
    Source: [KhurmiGupta2005].

    Examples
    --------
    >>> round(float(coefficient_of_fluctuation(energy=1204.17, inertia=80.0, angular_speed=15.708)), 3)
    0.061
    """
    return as_array(energy) / np.maximum(as_array(inertia) * as_array(angular_speed) ** 2, 1e-30)


@declared(
    quantity="inertia of a disc",
    formula="I = m D^2/8",
    source="KhurmiGupta2005",
    where="uniform disc about its axis; exact",
    spread=0.02,
)
def inertia_of_disc(*, mass: Values, diameter: Values) -> FloatArray:
    """Moment of inertia of a uniform disc about its axis.

    Parameters
    ----------
    mass : float or array
        Mass, [kg], >= 0.
    diameter : float or array
        Diameter, [m], >= 0.

    Returns
    -------
    array
        Moment of inertia, [kg m^2].

    Notes
    -----
    Source: [KhurmiGupta2005].

    Examples
    --------
    >>> float(inertia_of_disc(mass=2.0, diameter=2.0))
    1.0
    """
    return as_array(mass) * as_array(diameter) ** 2 / 8.0


@declared(
    quantity="inertia of a ring or a disc with a hole",
    formula="I = m (D^2 + d^2)/8",
    source="KhurmiGupta2005",
    where="uniform ring about its axis; exact",
    spread=0.02,
)
def inertia_of_ring(*, mass: Values, outer_diameter: Values, inner_diameter: Values) -> FloatArray:
    """Moment of inertia of a uniform flat ring about its axis.

    Parameters
    ----------
    mass : float or array
        Mass, [kg], >= 0.
    outer_diameter : float or array
        Outer diameter, [m], >= 0.
    inner_diameter : float or array
        Inner diameter, [m], >= 0.

    Returns
    -------
    array
        Moment of inertia, [kg m^2].

    Notes
    -----
    Source: [KhurmiGupta2005].

    Examples
    --------
    >>> two_discs = inertia_of_ring(mass=0.032, outer_diameter=0.12, inner_diameter=0.015)
    >>> round(float(two_discs) * 0.5 * (2 * 3.14159) ** 2 * 1000, 1)  # mJ at 60 rpm
    1.2
    """
    return as_array(mass) * (as_array(outer_diameter) ** 2 + as_array(inner_diameter) ** 2) / 8.0


@declared(
    quantity="radius of gyration from a swing on two strings",
    formula="k = sqrt(g x y/l)/(2 pi n)",
    source="KhurmiGupta2005",
    where="Example 4.9",
    valid={"swing": (0.0, 0.3)},
    spread=0.02,
)
def gyration_radius_bifilar(
    *, distance_first: Values, distance_second: Values, string_length: Values, frequency: Values
) -> FloatArray:
    """Radius of gyration of a part that twists on two parallel strings.

    Parameters
    ----------
    distance_first : float or array
        Distance of the first string from the centre of mass, [m], > 0.
    distance_second : float or array
        Distance of the second string from the centre of mass, [m], > 0.
    string_length : float or array
        Length of the strings, [m], > 0.
    frequency : float or array
        Full swings a second, [1/s], > 0.

    Returns
    -------
    array
        Radius of gyration about the vertical axis through the centre of mass, [m].

    Notes
    -----
    Source: [KhurmiGupta2005]; small swings. Inertia is mass times its square.

    Examples
    --------
    >>> k = gyration_radius_bifilar(distance_first=0.12, distance_second=0.12, string_length=1.25, frequency=0.5)
    >>> round(float(k), 3)
    0.107
    """
    lever = as_array(distance_first) * as_array(distance_second) / magnitude(string_length)
    return np.sqrt(GRAVITY * lever) / (2.0 * np.pi * magnitude(frequency))


@declared(
    quantity="radius of gyration from a swing on three strings",
    formula="k = r sqrt(g/l)/(2 pi n)",
    source="KhurmiGupta2005",
    where="Example 4.10",
    valid={"swing": (0.0, 0.3)},
    spread=0.02,
)
def gyration_radius_trifilar(*, string_radius: Values, string_length: Values, frequency: Values) -> FloatArray:
    """Radius of gyration of a wheel that twists on three strings evenly round its axis.

    Parameters
    ----------
    string_radius : float or array
        Distance of the strings from the axis, [m], > 0.
    string_length : float or array
        Length of the strings, [m], > 0.
    frequency : float or array
        Full swings a second, [1/s], > 0.

    Returns
    -------
    array
        Radius of gyration about the axis, [m].

    Notes
    -----
    Source: [KhurmiGupta2005]; small swings.

    Examples
    --------
    >>> round(float(gyration_radius_trifilar(string_radius=0.25, string_length=2.5, frequency=50 / 170)), 3)
    0.268
    """
    return gyration_radius_bifilar(
        distance_first=string_radius,
        distance_second=string_radius,
        string_length=string_length,
        frequency=frequency,
    )
