"""Which formulas were used outside the range of their source, at one speed: told beside the result, never fatal."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.running.exchange import Air, Passage, air_at, ways
from model.running.operate import Operation
from model.why import OutOfRange, outside

FloatArray = NDArray[np.float64]


def out_of_range(operation: Operation) -> tuple[OutOfRange, ...]:
    """Return a note for every group that leaves its range, for the first sample and the first speed of an operation."""
    o = operation
    both = ways(o.inputs, o.geometry)
    way = both.open
    mean = np.clip((o.hot_metal + o.cold_metal) / 2, 200.0, 1500.0)
    air = air_at(temperature=mean, pressure=o.inputs.column("room_pressure") + 0 * mean)
    fastest = both.share * _fastest(o, way)
    reynolds = float((fastest * way.hydraulic * air.density[:, 0] / air.viscosity[:, 0])[0])
    notes: list[OutOfRange] = []
    notes += _jet(o, way, reynolds)
    if both.matrix is not None and both.matrix.kind in ("felt", "screen"):
        notes += outside(f"nusselt_{both.matrix.kind}_gedeon_wood_1996", porosity=float(o.inputs["matrix_porosity"][0]))
    notes += _tubes(way, reynolds, air)
    return tuple(notes)


def _fastest(o: Operation, way: Passage) -> FloatArray:
    """Return the highest velocity in the passage, (samples,) [m/s]."""
    step = np.abs(np.roll(o.geometry.moved, -1, axis=1) - o.geometry.moved).max(axis=1)
    return np.asarray(o.speed[:, 0] * step * o.geometry.angles / (2 * np.pi) / way.flow_area)


def _jet(o: Operation, way: Passage, reynolds: float) -> tuple[OutOfRange, ...]:
    slot = float(way.hydraulic[0])
    height = float((o.geometry.volume_hot.mean(axis=1) / o.geometry.area_hot)[0]) / slot
    if way.kind == "tube":
        return outside(
            "nusselt_round_jet_martin_1977",
            reynolds=reynolds,
            radius=float(o.geometry.bore_hot[0]) / 2 / slot,
            height=height,
        )
    reach = float(o.geometry.bore_hot[0]) / 4 / slot
    return outside("nusselt_slot_jet_martin_1977", reynolds=reynolds, reach=reach, height=height)


def _tubes(way: Passage, reynolds: float, air: Air) -> tuple[OutOfRange, ...]:
    if way.kind != "tube":
        return ()
    return outside("nusselt_tube", reynolds=reynolds, prandtl=float(air.prandtl[0, 0]))
