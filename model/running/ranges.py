"""Which formulas were used outside the range of their source, at one speed: told beside the result, never fatal."""

from __future__ import annotations

import numpy as np

from model.physics.values import FloatArray
from model.quantities.formula import OutOfRange, outside
from model.running.exchange import Air, FlowPaths, Passage, air_at, blow_groups, flow_paths, tubes
from model.running.flexing import bending
from model.running.operate import Operation


def out_of_range(operation: Operation) -> tuple[OutOfRange, ...]:
    """Return a note for every group that leaves its range, for the first sample and the first speed of an operation."""
    o = operation
    both = flow_paths(o.inputs, o.geometry)
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
    notes += _blows(o, both, air)
    notes += _losses(o)
    return tuple(notes)


STEADY = 10.0
"""Walls that hold this many blows hardly swing: their effectiveness is NTU/(NTU + 2) within a hundredth at any NTU."""
_OF_WAY = {
    "clearance": ("nusselt_parallel_plates",),
    "felt": ("friction_felt_gedeon_wood_1996",),
    "screen": ("friction_screen_gedeon_wood_1996",),
    "foil": ("nusselt_parallel_foil",),
    "tube": ("nusselt_tube",),
}
"""Formulas of a way that its Reynolds number rules; friction and heat transfer of one source share a range."""


def _blows(o: Operation, both: FlowPaths, air: Air) -> list[OutOfRange]:
    """Return notes on clearance, matrix, heater and cooler, at the mean flow of a blow."""
    notes: list[OutOfRange] = []
    blow, share = o.blow, both.share[:, None]
    parts = [(both.open, share * blow, True), (tubes(o.inputs, "heater"), blow, False)]
    parts += [(tubes(o.inputs, "cooler"), blow, False)]
    parts += [(both.matrix, blow if both.series else (1 - share) * blow, True)]
    for way, own, stores in parts:
        if way is None:
            continue
        groups = blow_groups(o.inputs, way, speed=o.speed, blow=np.maximum(own, 1e-15), air=air)
        for name in _OF_WAY[way.kind]:
            notes += outside(name, reynolds=float(groups.reynolds[0, 0]))
        if stores:
            ntu, capacity = float(groups.ntu[0, 0]), float(groups.capacity[0, 0])
            notes += outside("effectiveness_with_wall_capacity", capacity_ratio=capacity)
            if capacity < STEADY:
                notes += outside("effectiveness_with_wall_capacity", ntu=ntu)
    return notes


def _losses(o: Operation) -> list[OutOfRange]:
    """Return notes on shuttle, cooling, leak and ends that flex."""
    notes: list[OutOfRange] = []
    if o.geometry.layout != "alpha":
        notes += outside("shuttle_loss", stroke_over_length=float((o.geometry.travel_hot / o.geometry.fall_length)[0]))
    if o.inputs.words.get("cold_side", "air") in ("air", "fins", "fan") and "cold_metal" not in o.inputs:
        notes += outside("cooling", excess=float(o.cold_metal[0, 0] - o.inputs["sink_temperature"][0]))
    if "leak_half_time" not in o.inputs and "piston_leak" not in o.inputs and "piston_clearance" in o.inputs:
        notes += outside("annular_conductance", radial_clearance=float(o.inputs["piston_clearance"][0]))
    half = np.ptp(o.pressure[..., :], axis=-1) / 2
    notes += outside("plate_compliance", deflection_over_thickness=float(bending(o.inputs, o.geometry, half)[0, 0]))
    return notes


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
