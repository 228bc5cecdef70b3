"""Still air about a warm surface by reference libraries alone: CoolProp's air, ht's laws of plates and cylinders."""

from __future__ import annotations

import ht

G, SIGMA = 9.80665, 5.670374e-8


def coefficient(*, surface: float, room: float, length: float, face: str) -> float:
    """Return the coefficient of free convection, [W/(m^2 K)]; `face` is ``up`` or ``vertical``.

    `length` is the height of a wall, or area over girth of a plate that faces up [m]; temperatures in [K]. Churchill
    and Chu 1975 for the wall, McAdams 1954 for the plate, film temperature.
    """
    import CoolProp.CoolProp as air  # four seconds to load: here, so that only who calls it waits

    film = (surface + room) / 2
    k, nu, pr = (air.PropsSI(name, "T", film, "P", 101325, "Air") for name in ("L", "V", "PRANDTL"))
    nu /= air.PropsSI("D", "T", film, "P", 101325, "Air")
    grashof = G * (surface - room) / film * length**3 / nu**2
    if face == "up":
        return float(ht.Nu_horizontal_plate_McAdams(Pr=pr, Gr=grashof, buoyancy=True) * k / length)
    return float(ht.Nu_vertical_plate_Churchill(Pr=pr, Gr=grashof) * k / length)


def radiation(*, surface: float, room: float, emissivity: float) -> float:
    """Return what a small grey body in a room radiates, over its area and excess (Stefan and Boltzmann)."""
    return emissivity * SIGMA * (surface**4 - room**4) / (surface - room)
