"""Geometry of a batch of engines: areas, swept volumes, volumes over the turn; (samples,) and (samples, angles)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.physics.values import FloatArray
from model.physics.volumes import diaphragm_area, slider_position
from model.running.samples import SampledInputs


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
    """(samples, angles) volume that each part opens to the air, [m^3]: the power piston first, then the displacer's rod
    (alpha: hot piston, then cold)."""
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
    """Length of the wall beside the displacer, or of an alpha's tube, [m]."""
    fall_length: FloatArray
    """Part of it along which the temperature falls, from hot to cold metal, [m]."""


def phase_of(inputs: SampledInputs) -> FloatArray:
    """Return the angle by which the hot volume leads, (samples,) [rad]: crank angle and cylinder angle together."""
    return np.asarray(inputs["phase"] + inputs["cylinder_angle"])


def geometry(inputs: SampledInputs, *, angles: int) -> Geometry:
    """Work out the volumes of every sample over evenly spaced angles."""
    layout = inputs.words["layout"]
    return _alpha(inputs, angles) if layout == "alpha" else _displacer(inputs, angles, layout)


def _ratio(inputs: SampledInputs, throw: str, rod: str) -> FloatArray:
    return np.minimum(inputs[throw] / inputs[rod], 0.95)


def _travel(inputs: SampledInputs, part: str, turn: FloatArray, phase: FloatArray | None = None) -> FloatArray:
    """Return the travel of ``piston``, ``displacer`` or ``hot`` from inner dead centre, (samples, angles) [m]."""
    throw, ratio = inputs[f"{part}_throw"], _ratio(inputs, f"{part}_throw", f"{part}_rod")
    offset = np.zeros(inputs.size)
    if part == "piston":
        # an offset beyond what the rod can reach is held: such a crank cannot turn
        reach = 0.95 * np.maximum(1 / ratio - 1, 0.0)
        offset = np.clip(inputs["piston_offset"] / throw, -reach, reach)
    angle = turn[None] if phase is None else turn[None] - phase[:, None]
    position = slider_position(
        angle=angle, throw=throw[:, None], rod_ratio=ratio[:, None], offset_ratio=offset[:, None]
    )
    beam = f"{part}_beam"
    return position * inputs.column(beam) if beam in inputs else position


def _piston(inputs: SampledInputs) -> FloatArray:
    """Return the area of the power pistons together."""
    if "diaphragm_rim" in inputs:
        disc = np.minimum(inputs["diaphragm_disc"], inputs["diaphragm_rim"])
        one = diaphragm_area(rim_diameter=inputs["diaphragm_rim"], disc_diameter=disc)
    else:
        one = np.asarray(np.pi / 4 * inputs["piston_bore"] ** 2)
    return np.asarray(one * inputs["piston_count"])


def _turn(angles: int) -> FloatArray:
    return np.asarray(2 * np.pi * np.arange(angles) / angles)


def _displacer(inputs: SampledInputs, angles: int, layout: str) -> Geometry:
    turn = _turn(angles)
    phase = phase_of(inputs)
    area_piston = _piston(inputs)
    bore = inputs["displacer_bore"]
    area = np.pi / 4 * bore**2
    clearance = np.minimum(inputs["side_clearance"], 0.45 * bore)
    position = _travel(inputs, "displacer", turn)
    travel = position.max(axis=1)
    out = _travel(inputs, "piston", turn, phase)
    moved = area[:, None] * position
    swept = area_piston[:, None] * out
    rod_area = np.pi / 4 * np.minimum(inputs["gland_rod"], 0.5 * bore) ** 2
    hot = moved + (inputs["end_clearance_hot"] * area + inputs["dead_volume_hot"])[:, None]
    # each piston has a passage of its own
    one = np.pi / 4 * inputs["tube_bore"] ** 2 * inputs["tube_length"] if layout != "beta" else 0.0
    tube = inputs["piston_count"] * one
    dead_cold = inputs["end_clearance_cold"] * area + inputs["dead_volume_cold"] + tube
    if layout == "beta":
        # in one bore the piston follows the displacer into the room it leaves; a narrower or wider one cannot
        between = swept - moved
        overlapped = between - between.min(axis=1, keepdims=True)
        equal = np.abs(area_piston / area - 1) < 0.2
        cold = np.where(equal[:, None], overlapped, area[:, None] * (travel[:, None] - position) + swept)
    else:
        cold = (area - rod_area)[:, None] * (travel[:, None] - position) + swept
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
        pistons=(swept, rod_area[:, None] * position) if layout != "beta" else (swept,),
        piston_area=area_piston,
        area_hot=area,
        area_cold=area,
        bore_hot=bore,
        bore_cold=bore,
        moved=moved,
        swept_piston=np.ptp(swept, axis=1),
        swept_hot=travel * area,
        phase=phase,
        travel_hot=travel,
        wall_length=inputs["displacer_length"],
        fall_length=inputs["displacer_length"] * (1 - inputs["hot_beside"] - inputs["cold_beside"]),
    )


def _alpha(inputs: SampledInputs, angles: int) -> Geometry:
    turn = _turn(angles)
    phase = phase_of(inputs)
    bore_hot, bore_cold = inputs["hot_bore"], inputs["piston_bore"]
    area_hot, area_cold = np.pi / 4 * bore_hot**2, np.pi / 4 * bore_cold**2
    position = _travel(inputs, "hot", turn)
    out = _travel(inputs, "piston", turn, phase)
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
        swept_piston=np.ptp(cold, axis=1),
        swept_hot=np.ptp(hot, axis=1),
        phase=phase,
        travel_hot=position.max(axis=1),
        wall_length=np.maximum(inputs["tube_length"], 5e-3),
        fall_length=np.maximum(inputs["tube_length"], 5e-3),
    )
