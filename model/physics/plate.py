"""Flat ends that flex under the pressure of the air: what volume a round plate gives for a pressure.

A lossless elastic wall takes up and gives back the same work over a turn; it only softens the swing of the pressure.
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values
from model.quantities.formula import declared


@declared(
    quantity="bending stiffness of a plate",
    formula="D = E t^3 / (12 (1 - nu^2))",
    source="Carvill1993",
    where="section 1.10, loaded flat plates",
)
def flexural_rigidity(*, modulus: Values, poisson: Values, thickness: Values) -> FloatArray:
    """Bending stiffness of a flat plate.

    Parameters
    ----------
    modulus : array
        Modulus of elasticity, [Pa], > 0.
    poisson : array
        Poisson's ratio, [-].
    thickness : array
        Thickness, [m], > 0.

    Returns
    -------
    array
        Bending stiffness, [N m].
    """
    return np.asarray(np.asarray(modulus) * np.asarray(thickness) ** 3 / (12 * (1 - np.asarray(poisson) ** 2)))


@declared(
    quantity="volume that a round plate gives for a pressure",
    formula="C = m pi a^6 / (192 D); m = 1 clamped, (7 + nu)/(1 + nu) simply supported",
    source="Carvill1993",
    where="section 1.10; deflections integrated here over the plate",
    valid={"deflection_over_thickness": (0.0, 0.5)},
)
def plate_compliance(*, radius: Values, rigidity: Values, edge: Values) -> FloatArray:
    """Volume swept by the deflection of a round flat plate, for each pascal of even pressure; small deflections.

    Parameters
    ----------
    radius : array
        Free radius, [m], > 0.
    rigidity : array
        Bending stiffness, [N m], > 0.
    edge : array
        How much more it gives than with a clamped edge, [-]: 1 clamped, (7 + nu)/(1 + nu) simply supported, about 5.5.

    Returns
    -------
    array
        Compliance, [m^3/Pa].
    """
    return np.asarray(np.asarray(edge) * np.pi * np.asarray(radius) ** 6 / (192 * np.asarray(rigidity)))


@declared(
    quantity="stretching of a thin plate",
    formula="x + 3/4 A x^3 = q, x and q amplitudes over thickness, A = 0.45",
    source="TimoshenkoWoinowskyKrieger1959",
    where="table 82, from memory: A 0.146 to 0.471 clamped, 0.262 to 1.852 supported, edge free to move in or not",
    spread=0.3,
)
def stretched_share(*, deflection_over_thickness: Values) -> FloatArray:
    """Share of the small-deflection compliance that is left to a plate that stretches as it bends.

    For a sine of pressure, by its first harmonic; A is the middle of the four edges, which moves a very thin plate's
    compliance by a third either way.

    Parameters
    ----------
    deflection_over_thickness : array
        Amplitude of the centre's deflection over the thickness, by the formula of small deflections, [-], >= 0.

    Returns
    -------
    array
        Share, [-], 1 for a stiff plate, towards 0 for a very thin one.
    """
    q = np.maximum(np.asarray(deflection_over_thickness, float), 1e-12)
    b = 0.75 * 0.45
    # the one real root of x + b x^3 = q
    root = np.sinh(np.arcsinh(1.5 * q * np.sqrt(3 * b)) / 3) * 2 / np.sqrt(3 * b)
    return np.asarray(np.minimum(root / q, 1.0))


@declared(
    quantity="volume that a slack ring of rubber gives as it balloons",
    formula="V = (2/3) A d, d = (3 p w^4/(64 B))^(1/3)",
    source="TimoshenkoWoinowskyKrieger1959",
    where="derived here: a flat strip between two edges that takes the shape of a shallow arc; stretching alone",
    spread=0.3,
)
def balloon_compliance(*, pressure: Values, width: Values, area: Values, stretch_stiffness: Values) -> FloatArray:
    """Volume over pressure of a ring of rubber that is flat and slack without pressure.

    Parameters
    ----------
    pressure : array
        Amplitude of the pressure, [Pa], > 0.
    width : array
        Width of the ring from disc to rim, [m], >= 0.
    area : array
        Area of the ring, [m^2], >= 0.
    stretch_stiffness : array
        Modulus times thickness, over 1 - nu^2, [N/m], > 0.

    Returns
    -------
    array
        Compliance, [m^3/Pa]; it falls with the pressure.
    """
    p, w = np.asarray(pressure), np.asarray(width)
    high = np.cbrt(3 * p * w**4 / (64 * np.asarray(stretch_stiffness)))
    return np.asarray(2 / 3 * np.asarray(area) * high / p)
