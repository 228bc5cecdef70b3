"""Flow and heat in a tube, a narrow gap and a side clearance that is not centred, with what the ends cost.

Friction factors are Darcy's (four times Fanning's). The Reynolds number is that of the mean velocity and the
hydraulic diameter; its sign gives the direction and does not matter here. Owns no matrix (`matrix`) and no
leak (`leak`).
"""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray, Values, as_array, magnitude, smooth_step
from model.quantities.formula import declared

LAMINAR_END = 2300.0
"""Reynolds number at which a tube begins to turn turbulent, [-]."""

TURBULENT_START = 4000.0
"""Reynolds number from which a tube counts as turbulent, [-]."""

SECTORS = 12
"""Sectors into which half of an annulus is cut, [-]; more change the effectiveness by less than 1e-6."""


def _all_laminar(reynolds: FloatArray) -> bool:
    """Whether the turbulent branch has no weight anywhere and need not be worked out."""
    return not bool(np.any(reynolds > LAMINAR_END))


def _turbulent(reynolds: FloatArray) -> FloatArray:
    return smooth_step(reynolds, low=LAMINAR_END, high=TURBULENT_START)


@declared(
    quantity="friction of the flow in a tube",
    formula="64/Re to Re 2300; (-1.8 log10(6.9/Re + (e/3.7)^1.11))^-2 from 4000; blended between",
    source="Haaland1983",
    where="laminar: Poiseuille, exact",
    valid={"reynolds": (0.0, 1e8), "roughness_ratio": (0.0, 0.05)},
    spread=0.05,
)
def friction_factor(*, reynolds: Values, roughness_ratio: Values = 0.0) -> FloatArray:
    """Darcy friction factor of developed flow in a round tube.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the diameter, [-]; the sign does not matter.
    roughness_ratio : float or array
        Height of the roughness over the diameter, [-], >= 0.

    Returns
    -------
    array
        Darcy friction factor, [-]; finite at rest, where friction times velocity squared is nil.

    Notes
    -----
    Source: [Haaland1983] for the turbulent part; 64/Re for the laminar one.

    Examples
    --------
    >>> [round(float(friction_factor(reynolds=re)), 4) for re in (640.0, -640.0, 1e5)]
    [0.1, 0.1, 0.0178]
    """
    re = magnitude(reynolds)
    if _all_laminar(re):
        return 64.0 / re
    rough = (as_array(roughness_ratio) / 3.7) ** 1.11
    turbulent = (-1.8 * np.log10(6.9 / np.maximum(re, 1000.0) + rough)) ** -2
    weight = _turbulent(re)
    return (1.0 - weight) * 64.0 / re + weight * turbulent


@declared(
    quantity="friction of the flow in a narrow gap",
    formula="96/Re; the tube's law at 2/3 of the Reynolds number",
    source="Jones1976",
    where="laminar: ShahLondon1978, exact",
    valid={"reynolds": (0.0, 1e6)},
    spread=0.05,
)
def friction_parallel_plates(*, reynolds: Values) -> FloatArray:
    """Darcy friction factor of developed flow between parallel plates or in a thin annulus.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on twice the gap, [-]; the sign does not matter.

    Returns
    -------
    array
        Darcy friction factor, [-].

    Notes
    -----
    Laminar 96/Re, [ShahLondon1978]; [Jones1976] carries the tube's law to any gap by two thirds of the
    Reynolds number, which gives the same laminar value.

    Examples
    --------
    >>> round(float(friction_parallel_plates(reynolds=960.0)), 3)
    0.1
    """
    return friction_factor(reynolds=as_array(reynolds) * (2.0 / 3.0))


@declared(
    quantity="heat transfer of turbulent flow in a tube",
    formula="Nu = (f/8)(Re - 1000)Pr/(1 + 12.7 (f/8)^(1/2)(Pr^(2/3) - 1)), f = (0.79 ln Re - 1.64)^-2",
    source="Gnielinski1976",
    where="IncroperaEtAl2007 eqs. 8.21 and 8.62",
    valid={"reynolds": (3000.0, 5e6), "prandtl": (0.5, 2000.0)},
    spread=0.1,
)
def nusselt_tube_gnielinski_1976(*, reynolds: Values, prandtl: Values) -> FloatArray:
    """Nusselt number of developed turbulent flow in a smooth tube.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the diameter, [-]; taken as 2300 below that.
    prandtl : float or array
        Prandtl number, [-], > 0.

    Returns
    -------
    array
        Nusselt number on the diameter, [-].

    Notes
    -----
    Source: [Gnielinski1976] with Petukhov's friction.

    Examples
    --------
    >>> round(float(nusselt_tube_gnielinski_1976(reynolds=1e4, prandtl=0.7)), 1)
    29.8
    """
    re = np.maximum(magnitude(reynolds), LAMINAR_END)
    pr = as_array(prandtl)
    eighth = 0.125 / (0.79 * np.log(re) - 1.64) ** 2
    return eighth * (re - 1000.0) * pr / (1.0 + 12.7 * np.sqrt(eighth) * (np.cbrt(pr) ** 2 - 1.0))


@declared(
    quantity="heat transfer of the flow in a tube",
    formula="Nu = 3.66 + 0.0668 Gz/(1 + 0.04 Gz^(2/3)) to Re 2300; Gnielinski from 4000; blended between",
    source="Hausen1943",
    where="IncroperaEtAl2007 eq. 8.57; turbulent: Gnielinski1976",
    valid={"reynolds": (0.0, 5e6), "prandtl": (0.5, 2000.0)},
    spread=0.15,
)
def nusselt_tube(*, reynolds: Values, prandtl: Values, diameter: Values, length: Values) -> FloatArray:
    """Mean Nusselt number of a tube at even wall temperature, with its thermal entry.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on the diameter, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.
    diameter : float or array
        Diameter, or hydraulic diameter of a duct that is nearly round, [m], > 0.
    length : float or array
        Heated length, [m], > 0.

    Returns
    -------
    array
        Mean Nusselt number on the diameter, [-], >= 3.66 as far as the flow is laminar.

    Notes
    -----
    Laminar after [Hausen1943] with Gz = Re Pr D/L, turbulent after [Gnielinski1976]; the sources leave the
    step between Re 2300 and 4000 open and the code blends it smoothly.

    Examples
    --------
    >>> round(float(nusselt_tube(reynolds=0.0, prandtl=0.7, diameter=0.003, length=0.1)), 2)
    3.66
    """
    re = magnitude(reynolds)
    graetz = re * as_array(prandtl) * as_array(diameter) / magnitude(length)
    laminar: FloatArray = 3.66 + 0.0668 * graetz / (1.0 + 0.04 * np.cbrt(graetz) ** 2)
    if _all_laminar(re):
        return laminar
    weight = _turbulent(re)
    return (1.0 - weight) * laminar + weight * nusselt_tube_gnielinski_1976(reynolds=re, prandtl=prandtl)


@declared(
    quantity="heat transfer of the flow in a narrow gap",
    formula="Nu = 7.54 + 0.03 Gz/(1 + 0.016 Gz^(2/3)), Gz = Re Pr Dh/L",
    source="EdwardsEtAl1979",
    where="laminar, both walls at one temperature; from memory; turbulent: Gnielinski1976",
    valid={"reynolds": (0.0, 2800.0), "prandtl": (0.5, 100.0)},
    spread=0.1,
)
def nusselt_parallel_plates(
    *, reynolds: Values, prandtl: Values, hydraulic_diameter: Values, length: Values
) -> FloatArray:
    """Mean Nusselt number between parallel plates or in a thin annulus, both walls warm, with the thermal
    entry.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number on twice the gap, [-]; the sign does not matter.
    prandtl : float or array
        Prandtl number, [-], > 0.
    hydraulic_diameter : float or array
        Twice the gap, [m], > 0.
    length : float or array
        Length along the flow, [m], > 0.

    Returns
    -------
    array
        Mean Nusselt number on twice the gap, [-], >= 7.54 as far as the flow is laminar.

    Notes
    -----
    Source: [EdwardsEtAl1979]. Counts both walls: the wetted area is twice that of one wall. With one wall
    that takes no heat the developed value is 4.86 instead of 7.54, on one wall's area.

    Examples
    --------
    >>> at_rest = nusselt_parallel_plates(reynolds=0.0, prandtl=0.7, hydraulic_diameter=0.004, length=0.05)
    >>> round(float(at_rest), 2)
    7.54
    """
    re = magnitude(reynolds)
    graetz = re * as_array(prandtl) * as_array(hydraulic_diameter) / magnitude(length)
    laminar: FloatArray = 7.54 + 0.03 * graetz / (1.0 + 0.016 * np.cbrt(graetz) ** 2)
    if _all_laminar(re):
        return laminar
    weight = _turbulent(re)
    return (1.0 - weight) * laminar + weight * nusselt_tube_gnielinski_1976(reynolds=re, prandtl=prandtl)


@declared(
    quantity="flow through a side clearance that is not centred",
    formula="flow/centred flow = 1 + 1.5 e^2",
    source="ShahLondon1978",
    where="thin annulus, laminar; exact for a gap g (1 + e cos a)",
    valid={"eccentricity": (0.0, 1.0)},
    spread=0.03,
)
def eccentric_flow_factor(*, eccentricity: Values) -> FloatArray:
    """Laminar flow through an eccentric thin annulus over that through the centred one, at equal pressure
    drop.

    Parameters
    ----------
    eccentricity : float or array
        Distance of the axes over the mean gap, [-], 0 centred to 1 touching; held within these.

    Returns
    -------
    array
        Flow over centred flow, [-], 1 to 2.5.

    Notes
    -----
    Source: [ShahLondon1978]: the mean of the cube of the gap around the turn.

    Examples
    --------
    >>> float(eccentric_flow_factor(eccentricity=1.0))
    2.5
    """
    e = np.clip(as_array(eccentricity), 0.0, 1.0)
    return 1.0 + 1.5 * e * e


@declared(
    quantity="how well a side clearance that is not centred regenerates",
    formula="sum over sectors: flow ~ g^3, NTU ~ g^-4; mean of NTU/(NTU + 2) by flow",
    source="derived here",
    where="from ShahLondon1978: laminar plates, constant Nusselt number, one pressure drop for all sectors",
    valid={"eccentricity": (0.0, 1.0), "ntu": (0.0, 100.0)},
    spread=0.1,
)
def effectiveness_eccentric_gap(*, ntu: Values, eccentricity: Values) -> FloatArray:
    r"""Regenerative effectiveness of an eccentric annular gap.

    Parameters
    ----------
    ntu : float or array
        Transfer units of one blow through the centred gap at the same total flow, [-], >= 0.
    eccentricity : float or array
        Distance of the axes over the mean gap, [-], 0 centred to 1 touching; held within these.

    Returns
    -------
    array
        Temperature swing given back over the whole swing, [-], 0 to 1.

    Notes
    -----
    The gap is :math:`g = G(1 + e\cos a)`. All sectors share one pressure drop, so the flow goes with
    :math:`g^3`; at a constant Nusselt number the conductance goes with :math:`1/g`, hence NTU with
    :math:`g^{-4}`. Each sector returns NTU/(NTU + 2) and the streams mix. The gas takes the wide side, which
    exchanges least.

    Examples
    --------
    >>> [round(float(effectiveness_eccentric_gap(ntu=4.0, eccentricity=e)), 2) for e in (0.0, 1.0)]
    [0.67, 0.37]
    """
    e = np.clip(as_array(eccentricity), 0.0, 1.0)
    units = np.maximum(as_array(ntu), 0.0)
    mean = 1.0 + 1.5 * e * e
    local = units * mean
    mixed: FloatArray = np.zeros(np.broadcast_shapes(e.shape, units.shape))
    # sector by sector: a further axis would take a dozen times the memory
    for angle in (np.arange(SECTORS) + 0.5) * (np.pi / SECTORS):
        gap = 1.0 + e * np.cos(angle)
        flow = gap * gap * gap
        mixed = mixed + flow * local / (local + 2.0 * flow * gap + 1e-300)
    return mixed / (SECTORS * mean)
