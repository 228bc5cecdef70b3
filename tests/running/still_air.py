"""Still air about a warm surface by reference libraries alone: CoolProp's air, ht's laws of plates and cylinders.

The air stands in a table, as loading CoolProp takes four seconds; `tests/physics/test_gas.py` holds it to CoolProp.
"""

from __future__ import annotations

import ht
import numpy as np

G, SIGMA = 9.80665, 5.670374e-8
TEMPERATURES = (280.0, 300.0, 320.0, 340.0, 360.0, 380.0, 400.0, 450.0, 500.0)
CONDUCTIVITY = (24.883e-3, 26.384e-3, 27.854e-3, 29.294e-3, 30.706e-3, 32.092e-3, 33.453e-3, 36.76e-3, 39.945e-3)
VISCOSITY = (17.56e-6, 18.537e-6, 19.488e-6, 20.413e-6, 21.315e-6, 22.196e-6, 23.055e-6, 25.124e-6, 27.09e-6)
DENSITY = (1.2613, 1.177, 1.1033, 1.0382, 0.98047, 0.9288, 0.88231, 0.7842, 0.70574)
PRANDTL = (0.7098, 0.70706, 0.70472, 0.70275, 0.70114, 0.69987, 0.69893, 0.69789, 0.69845)
"""Air at 101 325 Pa by CoolProp 8, [W/(m K)], [Pa s], [kg/m^3], [-]."""


def coefficient(*, surface: float, room: float, length: float, face: str) -> float:
    """Return the coefficient of free convection, [W/(m^2 K)]; `face` is ``up`` or ``vertical``.

    `length` is the height of a wall, or area over girth of a plate that faces up [m]; temperatures in [K]. Churchill
    and Chu 1975 for the wall, McAdams 1954 for the plate, film temperature.
    """
    film = (surface + room) / 2
    assert TEMPERATURES[0] <= film <= TEMPERATURES[-1]
    k, mu, rho, pr = (
        float(np.interp(film, TEMPERATURES, values)) for values in (CONDUCTIVITY, VISCOSITY, DENSITY, PRANDTL)
    )
    nu = mu / rho
    grashof = G * (surface - room) / film * length**3 / nu**2
    if face == "up":
        return float(ht.Nu_horizontal_plate_McAdams(Pr=pr, Gr=grashof, buoyancy=True) * k / length)
    return float(ht.Nu_vertical_plate_Churchill(Pr=pr, Gr=grashof) * k / length)


def radiation(*, surface: float, room: float, emissivity: float) -> float:
    """Return what a small grey body in a room radiates, over its area and excess (Stefan and Boltzmann)."""
    return emissivity * SIGMA * (surface**4 - room**4) / (surface - room)
