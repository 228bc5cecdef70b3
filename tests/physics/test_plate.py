"""Flat ends under pressure, against a handbook's deflections and the limits of thin plates."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from model.physics.plate import balloon_compliance, flexural_rigidity, plate_compliance, stretched_share

NU = 0.3


def centre(edge: float, shape) -> tuple[float, float]:
    """Deflection of the centre times E t^3/(p r^4), and volume over pi r^2 times it, of a shape over the radius."""
    d = float(flexural_rigidity(modulus=1.0, poisson=NU, thickness=1.0))
    mean = 2 * quad(lambda r: r * shape(r), 0, 1)[0]
    soft = float(plate_compliance(radius=1.0, rigidity=d, edge=edge)) / np.pi
    return soft / mean * shape(0.0), d


def test_deflections_of_a_clamped_plate_are_those_of_the_handbook() -> None:
    """J. Carvill, Mechanical Engineer's Data Handbook, 1993, 1.10: y = 0.171 p r^4/(E t^3) at the centre, nu = 0.3.

    The shape (1 - r^2)^2 of a clamped plate: W. F. Chen, The Civil Engineering Handbook, 2003, 47.73.
    """
    assert centre(1.0, lambda r: (1 - r * r) ** 2)[0] == pytest.approx(0.171, abs=0.0005)


def test_deflections_of_a_supported_plate_are_those_of_the_handbook() -> None:
    """The same table: y = 0.696 p r^4/(E t^3); shape (1 - r^2)((5 + nu)/(1 + nu) - r^2), Chen 47.75."""
    edge = (7 + NU) / (1 + NU)
    assert centre(edge, lambda r: (1 - r * r) * ((5 + NU) / (1 + NU) - r * r))[0] == pytest.approx(0.696, abs=0.0005)


def test_a_plate_twice_as_thick_gives_an_eighth_and_one_twice_as_wide_sixty_four_times() -> None:
    def soft(radius: float, thickness: float) -> float:
        d = flexural_rigidity(modulus=69e9, poisson=0.33, thickness=thickness)
        return float(plate_compliance(radius=radius, rigidity=d, edge=2.0))

    assert soft(0.07, 2e-3) == pytest.approx(soft(0.07, 1e-3) / 8)
    assert soft(0.14, 1e-3) == pytest.approx(64 * soft(0.07, 1e-3))


def test_a_stretched_plate_follows_the_cubic() -> None:
    """By scipy's root of x + 0.75 A x^3 = q; stiff plates keep all, thin ones lose with the two-thirds power of q."""
    q = np.geomspace(1e-3, 1e4, 40)
    share = stretched_share(deflection_over_thickness=q)
    roots = [brentq(lambda x, one=one: x + 0.3375 * x**3 - one, 0, one) / one for one in q]
    np.testing.assert_allclose(share, roots, rtol=1e-6)
    assert share[0] == pytest.approx(1.0, abs=1e-5)
    assert share[-1] / stretched_share(deflection_over_thickness=8e4) == pytest.approx(4.0, rel=0.01)


@pytest.mark.parametrize("pressure", [100.0, 1000.0, 5000.0])
def test_a_strip_of_rubber_balloons_as_an_arc_in_balance_does(pressure: float) -> None:
    """By bisection on the arc itself: tension p R, strain arc over chord less one; 10 mm wide, 400 N/m."""
    wide, stiff = 0.01, 400.0

    def needed(high: float) -> float:
        radius = (wide**2 / 4 + high**2) / (2 * high)
        half = np.arcsin(wide / 2 / radius)
        return float(stiff * (2 * radius * half / wide - 1) / radius)

    low, up = 1e-6, wide / 2.5
    for _ in range(80):
        middle = (low + up) / 2
        low, up = (middle, up) if needed(middle) < pressure else (low, middle)
    radius = (wide**2 / 4 + low**2) / (2 * low)
    half = np.arcsin(wide / 2 / radius)
    section = radius**2 * (half - np.sin(half) * np.cos(half))
    found = balloon_compliance(pressure=pressure, width=wide, area=wide, stretch_stiffness=stiff)
    assert float(found) == pytest.approx(section / pressure, rel=0.08)
