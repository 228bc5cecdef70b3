"""Heat exchange of a space with its walls while a piston or displacer moves: thin layer, and jet from the clearance.

Calm air in a thin layer conducts; air that blows in from the side clearance sweeps the plate as a slot jet, air from a
passage strikes it as a round jet. The two are joined by the usual third-power blend of Churchill and Usagi.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array
from model.quantities.formula import declared


@declared(
    quantity="heat exchange of a calm layer of air with a plate",
    formula="h = (pi^2/4) k/x",
    source="CarslawJaeger1959",
    where="slowest mode of a layer, one face at the wall's temperature, the other insulated (section 3.4)",
    spread=0.2,
)
def layer_coefficient(*, conductivity: Values, thickness: Values) -> FloatArray:
    """Coefficient from a plate to the mean temperature of a calm layer.

    Parameters
    ----------
    conductivity : float or array
        Of the air, [W/(m K)].
    thickness : float or array
        Of the layer, [m], > 0.

    Returns
    -------
    array
        Coefficient, [W/(m^2 K)].

    Examples
    --------
    >>> round(float(layer_coefficient(conductivity=0.026, thickness=0.002)), 1)
    32.1
    """
    return np.asarray(np.pi**2 / 4 * as_array(conductivity) / as_array(thickness))


@declared(
    quantity="heat exchange of fresh air with a plate",
    formula="h = 2 k/sqrt(pi a t), t = half a turn: 0.64 k sqrt(w/a)",
    source="CarslawJaeger1959",
    where="semi-infinite body whose surface temperature is changed, mean over the time (section 2.5)",
    spread=0.3,
)
def fresh_coefficient(*, conductivity: Values, diffusivity: Values, speed: Values) -> FloatArray:
    """Coefficient from a plate to air that has been there for half a turn on the mean.

    Parameters
    ----------
    conductivity : float or array
        Of the air, [W/(m K)].
    diffusivity : float or array
        Of the air, [m^2/s], > 0.
    speed : float or array
        Angular speed, [rad/s], >= 0.

    Returns
    -------
    array
        Coefficient, [W/(m^2 K)].

    Examples
    --------
    >>> round(float(fresh_coefficient(conductivity=0.026, diffusivity=2.2e-5, speed=10.0)), 1)
    11.2
    """
    return np.asarray(2 / np.pi * as_array(conductivity) * np.sqrt(as_array(speed) / as_array(diffusivity)))


@declared(
    quantity="heat exchange of a plate swept by a slot jet",
    formula="Nu = 3.06 Re^m Pr^0.42/(x/S + H/S + 2.78), m = 0.695 - 1/(x/S + (H/S)^1.33 + 3.06), S = twice the slot",
    source="Martin1977",
    where="single slot nozzle; from memory",
    valid={"reynolds": (3000.0, 90000.0), "reach": (4.0, 20.0), "height": (2.0, 10.0)},
    spread=0.25,
)
def nusselt_slot_jet_martin_1977(*, reynolds: Values, prandtl: Values, reach: Values, height: Values) -> FloatArray:
    """Mean Nusselt number of a plate under a slot jet, on twice the slot's width.

    Parameters
    ----------
    reynolds : float or array
        On twice the slot's width, [-], >= 0. Below the range of the source the formula is continued: it goes to zero.
    prandtl : float or array
        Prandtl number, [-], > 0.
    reach : float or array
        Distance from the jet over which the mean is taken, over twice the slot's width, [-], > 0.
    height : float or array
        Distance to the plate over twice the slot's width, [-], > 0.

    Returns
    -------
    array
        Nusselt number, [-].
    """
    reach, height = np.maximum(as_array(reach), 1.0), np.maximum(as_array(height), 0.3)
    exponent = 0.695 - 1 / (reach + height**1.33 + 3.06)
    flow = np.maximum(as_array(reynolds), 0.0)
    return np.asarray(3.06 * flow**exponent * as_array(prandtl) ** 0.42 / (reach + height + 2.78))


@declared(
    quantity="heat exchange of a plate struck by a round jet",
    formula="Nu = 2 Re^0.5 (1 + 0.005 Re^0.55)^0.5 Pr^0.42 (D/r)(1 - 1.1 D/r)/(1 + 0.1 (H/D - 6) D/r)",
    source="Martin1977",
    where="single round nozzle; from memory",
    valid={"reynolds": (2000.0, 400000.0), "radius": (2.5, 7.5), "height": (2.0, 12.0)},
    spread=0.25,
)
def nusselt_round_jet_martin_1977(*, reynolds: Values, prandtl: Values, radius: Values, height: Values) -> FloatArray:
    """Mean Nusselt number of a disc under a round jet, on the nozzle's diameter.

    Parameters
    ----------
    reynolds : float or array
        On the nozzle's diameter, [-], >= 0.
    prandtl : float or array
        Prandtl number, [-], > 0.
    radius : float or array
        Radius of the disc over the nozzle's diameter, [-], > 0; held above 1.6, below which the formula turns over.
    height : float or array
        Distance to the plate over the nozzle's diameter, [-], > 0.

    Returns
    -------
    array
        Nusselt number, [-].
    """
    ratio = 1 / np.maximum(as_array(radius), 1.6)
    flow = np.maximum(as_array(reynolds), 0.0)
    height = np.clip(as_array(height), 0.5, 30.0)
    shape = ratio * (1 - 1.1 * ratio) / (1 + 0.1 * (height - 6) * ratio)
    return np.asarray(2 * np.sqrt(flow * (1 + 0.005 * flow**0.55)) * as_array(prandtl) ** 0.42 * shape)


@declared(
    quantity="stirring that a jet leaves behind while the air goes out again",
    formula="s = y/(1 - y), y = tanh(x/2)/x, x = V/(N R A)",
    source="common practice, no source",
    where="derived here: eddies that follow a jet of even strength, on and off, in N turnovers of R over its speed",
    valid={"blow_over_memory": (0.0, 50.0)},
    spread=0.5,
)
def stirring_kept(*, blow_over_memory: Values) -> FloatArray:
    """Mean stirring while air leaves over that while it enters.

    Parameters
    ----------
    blow_over_memory : float or array
        Duration of a blow over the time in which eddies die away, [-], > 0.

    Returns
    -------
    array
        Share, [-]: 1 where eddies outlast many blows, 1/x where they die at once.

    Examples
    --------
    >>> round(float(stirring_kept(blow_over_memory=0.01)), 3), round(float(stirring_kept(blow_over_memory=20.0)), 3)
    (1.0, 0.053)
    """
    x = np.maximum(as_array(blow_over_memory), 1e-6)
    y = np.tanh(x / 2) / x
    return np.asarray(y / (1 - y))
