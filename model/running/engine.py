"""Geometry of a batch of engines: areas, swept volumes, volumes over the turn; (samples,) and (samples, angles)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.physics.volumes import diaphragm_area, slider_position
from model.running.inputs import Inputs

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Geometry:
    """Volumes over the turn and what the losses need; every array (samples,) unless said."""

    layout: str
    angles: int
    volume_hot: FloatArray
    """(samples, angles) hot space, [m^3]."""
    volume_cold: FloatArray
    """(samples, angles) cold space, power cylinder included, [m^3]."""
    volume_gap: FloatArray
    """Clearance, passage or matrix between them, [m^3]."""
    pistons: tuple[FloatArray, ...]
    """(samples, angles) volume swept by each power piston from inner dead centre, [m^3]."""
    piston_area: FloatArray
    """Of the power piston, [m^2]."""
    area_hot: FloatArray
    """Plate area of the hot space, [m^2]."""
    area_cold: FloatArray
    """Plate area of the cold space, [m^2]."""
    bore_hot: FloatArray
    """Diameter of the hot space, [m]."""
    bore_cold: FloatArray
    """Diameter of the cold space, [m]."""
    moved: FloatArray
    """(samples, angles) volume that has been driven from cold to hot, [m^3]."""
    swept_piston: FloatArray
    """Volume swept by the power piston (alpha: the cold one), [m^3]."""
    swept_hot: FloatArray
    """Volume swept by the displacer (alpha: the hot piston), [m^3]."""
    phase: FloatArray
    """Angle by which the hot volume leads the piston's, [rad]."""
    travel_hot: FloatArray
    """Stroke of displacer or hot piston, [m]."""
    wall_length: FloatArray
    """Distance along the wall from hot to cold metal, [m]."""


def phase_of(inputs: Inputs) -> FloatArray:
    """Return the angle by which the hot volume leads, (samples,) [rad]: crank angle and cylinder angle together."""
    return np.asarray(inputs["phase"] + inputs["cylinder_angle"])


def geometry(inputs: Inputs, *, angles: int) -> Geometry:
    """Work out the volumes of every sample over evenly spaced angles."""
    layout = inputs.words["layout"]
    return _alpha(inputs, angles) if layout == "alpha" else _displacer(inputs, angles, layout)


def _ratio(inputs: Inputs, throw: str, rod: str) -> FloatArray:
    return np.minimum(inputs[throw] / inputs[rod], 0.95)


def _piston(inputs: Inputs) -> FloatArray:
    """Return the area of the power piston."""
    if "diaphragm_rim" in inputs:
        disc = np.minimum(inputs["diaphragm_disc"], inputs["diaphragm_rim"])
        return diaphragm_area(rim_diameter=inputs["diaphragm_rim"], disc_diameter=disc)
    return np.asarray(np.pi / 4 * inputs["piston_bore"] ** 2)


def _turn(angles: int) -> FloatArray:
    return np.asarray(2 * np.pi * np.arange(angles) / angles)


def _displacer(inputs: Inputs, angles: int, layout: str) -> Geometry:
    turn = _turn(angles)
    phase = phase_of(inputs)
    area_piston = _piston(inputs)
    bore = inputs["displacer_bore"]
    area = np.pi / 4 * bore**2
    clearance = np.minimum(inputs["side_clearance"], 0.45 * bore)
    throw = inputs["displacer_throw"]
    position = slider_position(
        angle=turn[None], throw=throw[:, None], rod_ratio=_ratio(inputs, "displacer_throw", "displacer_rod")[:, None]
    )
    out = slider_position(
        angle=turn[None] - phase[:, None],
        throw=inputs.column("piston_throw"),
        rod_ratio=_ratio(inputs, "piston_throw", "piston_rod")[:, None],
    )
    moved = area[:, None] * position
    swept = area_piston[:, None] * out
    rod_area = np.pi / 4 * np.minimum(inputs["gland_rod"], 0.5 * bore) ** 2
    hot = moved + (inputs["end_clearance_hot"] * area + inputs["dead_volume_hot"])[:, None]
    tube = 0.0 if layout == "beta" else np.pi / 4 * inputs["tube_bore"] ** 2 * inputs["tube_length"]
    dead_cold = inputs["end_clearance_cold"] * area + inputs["dead_volume_cold"] + tube
    if layout == "beta":
        between = swept - moved
        cold = between - between.min(axis=1, keepdims=True)
    else:
        cold = (area - rod_area)[:, None] * (2 * throw[:, None] - position) + swept
    gap = np.pi * (bore - clearance) * clearance * inputs["displacer_length"]
    if inputs.words.get("regenerator", "none") != "none":
        matrix = np.pi / 4 * np.minimum(inputs["matrix_diameter"], bore) ** 2 * inputs["matrix_length"]
        gap = gap + matrix * inputs["matrix_porosity"]
    return Geometry(
        layout=layout,
        angles=angles,
        volume_hot=hot,
        volume_cold=cold + dead_cold[:, None],
        volume_gap=gap,
        pistons=(swept,),
        piston_area=area_piston,
        area_hot=area,
        area_cold=area,
        bore_hot=bore,
        bore_cold=bore,
        moved=moved,
        swept_piston=2 * inputs["piston_throw"] * area_piston,
        swept_hot=2 * throw * area,
        phase=phase,
        travel_hot=2 * throw,
        wall_length=inputs["displacer_length"],
    )


def _alpha(inputs: Inputs, angles: int) -> Geometry:
    turn = _turn(angles)
    phase = phase_of(inputs)
    bore_hot, bore_cold = inputs["hot_bore"], inputs["piston_bore"]
    area_hot, area_cold = np.pi / 4 * bore_hot**2, np.pi / 4 * bore_cold**2
    position = slider_position(
        angle=turn[None], throw=inputs.column("hot_throw"), rod_ratio=_ratio(inputs, "hot_throw", "hot_rod")[:, None]
    )
    out = slider_position(
        angle=turn[None] - phase[:, None],
        throw=inputs.column("piston_throw"),
        rod_ratio=_ratio(inputs, "piston_throw", "piston_rod")[:, None],
    )
    hot, cold = area_hot[:, None] * position, area_cold[:, None] * out
    tube = np.pi / 4 * inputs["tube_bore"] ** 2 * inputs["tube_length"]
    if inputs.words.get("regenerator", "none") != "none":
        matrix = np.pi / 4 * inputs["matrix_diameter"] ** 2 * inputs["matrix_length"]
        tube = tube + matrix * inputs["matrix_porosity"]
    return Geometry(
        layout="alpha",
        angles=angles,
        volume_hot=hot + (inputs["end_clearance_hot"] * area_hot + inputs["dead_volume_hot"])[:, None],
        volume_cold=cold + (inputs["end_clearance_cold"] * area_cold + inputs["dead_volume_cold"])[:, None],
        volume_gap=tube,
        pistons=(hot, cold),
        piston_area=area_cold,
        area_hot=area_hot,
        area_cold=area_cold,
        bore_hot=bore_hot,
        bore_cold=bore_cold,
        moved=(hot - cold) / 2,
        swept_piston=2 * inputs["piston_throw"] * area_cold,
        swept_hot=2 * inputs["hot_throw"] * area_hot,
        phase=phase,
        travel_hot=2 * inputs["hot_throw"],
        wall_length=np.maximum(inputs["tube_length"], 5e-3),
    )
