"""Work that a gas loses to its walls while it is squeezed and let go.

Two published forms, both for the limit of a thin layer at the wall that swings in temperature; they differ by
gamma/(2 (gamma - 1)), 1.75 for air. A cycle that exchanges heat with its walls has this loss already in its own
balance: use these for chambers that such a cycle leaves out (a buffer, a bounce space), not on top of it.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array
from model.quantities.formula import declared


@declared(
    quantity="work lost to the walls of a gas spring",
    formula="P/A = (gamma - 1) p1^2 omega dk/(4 gamma pm), dk = sqrt(2 k/(omega rho cp))",
    source="Swift2002",
    where="boundary-layer limit; from memory",
    valid={"layer_over_depth": (0.0, 0.1)},
    spread=0.2,
)
def gas_spring_loss_boundary_layer(
    *,
    pressure_amplitude: Values,
    pressure_mean: Values,
    angular_speed: Values,
    heat_capacity_ratio: Values,
    conductivity: Values,
    density: Values,
    specific_heat: Values,
    area: Values,
) -> FloatArray:
    """Power lost at the walls of a chamber whose pressure swings, boundary-layer form.

    Parameters
    ----------
    pressure_amplitude : float or array
        Half the pressure swing, [Pa], >= 0.
    pressure_mean : float or array
        Mean absolute pressure, [Pa], > 0.
    angular_speed : float or array
        Angular speed; the sign does not matter, [rad/s].
    heat_capacity_ratio : float or array
        Ratio of specific heats, [-], > 1.
    conductivity : float or array
        Conductivity of the gas, [W/(m K)], >= 0.
    density : float or array
        Density of the gas, [kg/m^3], > 0.
    specific_heat : float or array
        Specific heat at constant pressure, [J/(kg K)], > 0.
    area : float or array
        Wall surface, [m^2], >= 0.

    Returns
    -------
    array
        Power lost, [W]; nil at rest.

    Notes
    -----
    Source: [Swift2002]. Holds while the layer :math:`\\delta_k` is thin against the depth of the chamber.

    Examples
    --------
    >>> loss = gas_spring_loss_boundary_layer(
    ...     pressure_amplitude=5e3, pressure_mean=101325.0, angular_speed=31.416, heat_capacity_ratio=1.4,
    ...     conductivity=0.0263, density=1.177, specific_heat=1006.0, area=1.0)
    >>> round(float(loss), 2)
    0.66
    """
    omega, gamma = np.abs(as_array(angular_speed)), as_array(heat_capacity_ratio)
    # omega times the layer's depth, written so that it is nil at rest
    sweep = np.sqrt(2.0 * as_array(conductivity) * omega / (as_array(density) * as_array(specific_heat)))
    share = (gamma - 1.0) / (4.0 * gamma * as_array(pressure_mean))
    lost: FloatArray = share * as_array(pressure_amplitude) ** 2 * sweep * as_array(area)
    return lost


@declared(
    quantity="work lost to the walls of a gas spring, by another source",
    formula="P = sqrt(omega gamma^3 (gamma - 1) Tw p k/32) (Vd/2V)^2 A",
    source="UrieliBerchowitz1984",
    where="gas spring hysteresis; from memory",
    valid={"volume_ratio": (0.0, 0.5)},
    spread=0.4,
)
def gas_spring_hysteresis_urieli_berchowitz_1984(
    *,
    swept_volume: Values,
    volume_mean: Values,
    pressure_mean: Values,
    angular_speed: Values,
    heat_capacity_ratio: Values,
    conductivity: Values,
    wall_temperature: Values,
    area: Values,
) -> FloatArray:
    """Power lost at the walls of a gas spring, from its volumes.

    Parameters
    ----------
    swept_volume : float or array
        Volume swept by the piston, [m^3], >= 0.
    volume_mean : float or array
        Mean volume of the gas, [m^3], > 0.
    pressure_mean : float or array
        Mean absolute pressure, [Pa], > 0.
    angular_speed : float or array
        Angular speed; the sign does not matter, [rad/s].
    heat_capacity_ratio : float or array
        Ratio of specific heats, [-], > 1.
    conductivity : float or array
        Conductivity of the gas, [W/(m K)], >= 0.
    wall_temperature : float or array
        Wall temperature, [K], > 0.
    area : float or array
        Wall surface, [m^2], >= 0.

    Returns
    -------
    array
        Power lost, [W]; nil at rest.

    Notes
    -----
    Source: [UrieliBerchowitz1984]. With the adiabatic swing it is gamma/(2 (gamma - 1)) times
    `gas_spring_loss_boundary_layer`.
    """
    omega, gamma = np.abs(as_array(angular_speed)), as_array(heat_capacity_ratio)
    inner = omega * gamma**3 * (gamma - 1.0) * as_array(wall_temperature) * as_array(pressure_mean)
    swing = as_array(swept_volume) / (2.0 * as_array(volume_mean))
    lost: FloatArray = np.sqrt(inner * as_array(conductivity) / 32.0) * swing**2 * as_array(area)
    return lost
