"""Tubes, narrow gaps and clearances that are not centred."""

from __future__ import annotations

import fluids
import ht
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.physics import duct

ENDS = np.array([0.0, 1e-15, 1e-3, 1.0, 2300.0, 3000.0, 4000.0, 1e6, 1e9])


def test_laminar_friction_is_64_and_96_over_reynolds() -> None:
    """Shah and London 1978: exact for the round tube and for parallel plates."""
    re = np.array([0.1, 10.0, 2000.0])
    assert duct.friction_factor(reynolds=re) * re == pytest.approx(64.0, rel=1e-12)
    assert duct.friction_parallel_plates(reynolds=re) * re == pytest.approx(96.0, rel=1e-12)


@pytest.mark.parametrize("rough", [0.0, 1e-4, 1e-2])
def test_turbulent_friction_agrees_with_colebrook(rough: float) -> None:
    """fluids 1.3 `Colebrook`; Haaland states 2 % for his form."""
    for re in (4e3, 1e4, 1e5, 1e6, 1e7):
        assert duct.friction_factor(reynolds=re, roughness_ratio=rough) == pytest.approx(
            fluids.friction.Colebrook(re, rough), rel=0.025
        )


def test_gnielinski_agrees_with_ht() -> None:
    """ht 1.2 `turbulent_Gnielinski` with Petukhov's friction."""
    for re in (4e3, 1e4, 1e6):
        friction = (0.79 * np.log(re) - 1.64) ** -2
        theirs = ht.conv_internal.turbulent_Gnielinski(Re=re, Pr=0.7, fd=friction)
        assert duct.nusselt_tube_gnielinski_1976(reynolds=re, prandtl=0.7) == pytest.approx(theirs, rel=1e-9)


def test_laminar_tube_agrees_with_hausen_of_ht_and_its_limit() -> None:
    """ht 1.2 `laminar_entry_thermal_Hausen`; a long tube 3.66 (Shah and London 1978)."""
    for length in (0.01, 0.1, 1.0):
        theirs = ht.conv_internal.laminar_entry_thermal_Hausen(Re=1000, Pr=0.7, L=length, Di=0.005)
        ours = duct.nusselt_tube(reynolds=1000.0, prandtl=0.7, diameter=0.005, length=length)
        assert ours == pytest.approx(theirs, rel=0.002)
    assert duct.nusselt_tube(reynolds=1.0, prandtl=0.7, diameter=0.005, length=10.0) == pytest.approx(3.66, rel=1e-3)


def exact_plate_nusselt(inverse_graetz: float) -> float:
    """Mean Nusselt number of the thermal entry between plates at one temperature, by finite differences.

    The Graetz problem: u dT/dx = alpha d2T/dy2 with the laminar profile; both walls at 0, inlet at 1.
    """
    cells = 200
    y = (np.arange(cells) + 0.5) / cells - 0.5  # gap of 1, Dh = 2
    speed = 1.5 * (1 - 4 * y * y)
    laplace = np.diag(np.full(cells, -2.0)) + np.diag(np.ones(cells - 1), 1) + np.diag(np.ones(cells - 1), -1)
    laplace[0, 0] = laplace[-1, -1] = -3.0
    root = 1 / np.sqrt(speed)
    values, vectors = np.linalg.eigh(root[:, None] * laplace * root[None, :] * cells**2)
    # x = inverse Graetz: alpha X/(mean speed Dh^2), so alpha X/(mean speed gap^2) = 4 x
    start = vectors.T @ np.sqrt(speed)
    bulk = float(np.sum(start**2 * np.exp(values * 4 * inverse_graetz)) / np.sum(speed))
    return -np.log(bulk) / (4 * inverse_graetz)


@pytest.mark.parametrize("x", [0.003, 0.01, 0.03, 0.1, 1.0])
def test_parallel_plates_agree_with_the_exact_thermal_entry(x: float) -> None:
    """Graetz problem between plates, solved here apart (exact limit 7.5407, Shah and London 1978): within 6 %.

    Edwards' form gives up a few per cent to be simple; the sources state no error.
    """
    ours = duct.nusselt_parallel_plates(reynolds=100.0, prandtl=1.0, hydraulic_diameter=1.0, length=100.0 * x)
    assert ours == pytest.approx(exact_plate_nusselt(x), rel=0.06)


def test_parallel_plates_reach_the_developed_value() -> None:
    """Shah and London 1978: 7.541 for both walls at one temperature."""
    common = {"prandtl": 0.7, "hydraulic_diameter": 0.002, "length": 1.0}
    assert duct.nusselt_parallel_plates(reynolds=1.0, **common) == pytest.approx(7.541, rel=1e-3)
    assert exact_plate_nusselt(1.0) == pytest.approx(7.541, rel=0.01)


def test_the_two_laws_for_a_gap_agree_over_their_shared_range() -> None:
    """Thermal entry and joint entry: the joint one exchanges more, by up to a third at Graetz numbers to 300."""
    re, pr = np.linspace(1.0, 2000.0, 100), 0.7
    graetz = re * pr * 0.004 / 0.02
    stephan = 7.55 + 0.024 * graetz**1.14 / (1 + 0.0358 * pr**0.17 * graetz**0.64)  # Stephan 1959, from memory
    ratio = stephan / duct.nusselt_parallel_plates(reynolds=re, prandtl=pr, hydraulic_diameter=0.004, length=0.02)
    assert np.all(ratio > 0.97) and np.all(ratio < 1.35)


@pytest.mark.parametrize(
    "law",
    [
        lambda re: duct.friction_factor(reynolds=re),
        lambda re: duct.friction_parallel_plates(reynolds=re),
        lambda re: duct.nusselt_tube(reynolds=re, prandtl=0.7, diameter=0.01, length=0.1),
        lambda re: duct.nusselt_tube_gnielinski_1976(reynolds=re, prandtl=0.7),
        lambda re: duct.nusselt_parallel_plates(reynolds=re, prandtl=0.7, hydraulic_diameter=0.01, length=0.1),
    ],
)
def test_rest_reversal_and_ends_of_the_range(law) -> None:
    values = law(ENDS)
    assert np.all(np.isfinite(values)) and np.all(values > 0)
    assert law(-ENDS) == pytest.approx(values, rel=1e-15)
    assert [float(law(float(re))) for re in ENDS] == pytest.approx(list(values), rel=1e-12)


def test_the_blend_has_no_jump() -> None:
    """Steps of one in Reynolds number move friction and exchange by less than half a per cent."""
    re = np.arange(2000.0, 4500.0)
    for values in (
        duct.friction_factor(reynolds=re),
        duct.nusselt_tube(reynolds=re, prandtl=0.7, diameter=0.01, length=0.1),
    ):
        assert np.max(np.abs(np.diff(values) / values[1:])) < 0.005


def test_pressure_drop_of_slow_flow_is_linear_in_the_velocity() -> None:
    """Poiseuille: dp = 32 mu v L/D^2, whichever way; nil at rest."""
    v = np.array([-1e-3, 0.0, 1e-9, 1e-3])
    re = 1.2 * v * 0.002 / 1.8e-5
    drop = duct.friction_factor(reynolds=re) * 0.1 / 0.002 * 0.5 * 1.2 * v * np.abs(v)
    assert drop == pytest.approx(32 * 1.8e-5 * v * 0.1 / 0.002**2, rel=1e-9)


def test_an_eccentric_gap_passes_up_to_two_and_a_half_times_the_flow() -> None:
    """Mean of the cube of the gap around the turn (Shah and London 1978: 2.5 when touching)."""
    angle = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    for e in (0.0, 0.3, 0.7, 1.0):
        assert duct.eccentric_flow_factor(eccentricity=e) == pytest.approx(
            np.mean((1 + e * np.cos(angle)) ** 3), rel=1e-9
        )


def test_a_touching_gap_of_four_units_regenerates_only_037() -> None:
    """NTU 4 gives 0.67 centred, 0.37 touching: two digits, worked out apart from this code; no published source."""
    assert duct.effectiveness_eccentric_gap(ntu=4.0, eccentricity=0.0) == pytest.approx(0.667, abs=0.005)
    assert duct.effectiveness_eccentric_gap(ntu=4.0, eccentricity=1.0) == pytest.approx(0.37, abs=0.005)


def test_the_eccentric_gap_agrees_with_quadrature() -> None:
    """The same integral by scipy, over angle, to 1e-5."""
    from scipy.integrate import quad

    for ntu in (0.2, 4.0, 50.0):
        for e in (0.2, 0.6, 0.95):

            def mixed(a: float, ntu: float = ntu, e: float = e) -> float:
                gap = 1 + e * np.cos(a)
                local = ntu * (1 + 1.5 * e * e) / gap**4
                return gap**3 / (1 + 1.5 * e * e) * local / (local + 2) / np.pi

            exact = quad(mixed, 0, np.pi)[0]
            assert duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=e) == pytest.approx(exact, rel=1e-5)


@given(ntu=st.floats(0.3, 1e6), e=st.floats(-0.5, 1.5), more=st.floats(0, 1))
def test_a_gap_never_regenerates_better_off_centre(ntu: float, e: float, more: float) -> None:
    value = float(duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=e))
    assert 0.0 <= value <= ntu / (ntu + 2) * (1 + 1e-12)
    assert duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=e + more) <= value * (1 + 1e-9)


def test_an_eccentric_gap_without_exchange_stays_finite() -> None:
    e = np.linspace(0, 1, 5)
    assert np.all(duct.effectiveness_eccentric_gap(ntu=0.0, eccentricity=e) == 0.0)


def test_eccentric_gap_on_arrays_keeps_their_shape() -> None:
    ntu, e = np.ones((5, 1)), np.linspace(0, 1, 3)
    values = duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=e)
    assert values.shape == (5, 3)
    assert values[2, 1] == pytest.approx(float(duct.effectiveness_eccentric_gap(ntu=1.0, eccentricity=0.5)), rel=1e-14)
