"""What carries heat and hinders flow at each angle and speed: conductances, effectiveness of the gap, flow losses.

A calm layer of air conducts to its plate (slowest mode); air from the side clearance sweeps the plate as a slot jet,
from a tube it strikes it as a round jet, less while air leaves; the two blend by third powers
(`model.physics.space`). The side clearance is a regenerator of parallel plates with entry length, eccentricity
(sectors in parallel) and the heat that foam, skin and wall can store; or a matrix. Where the cylinder's wall has the
temperature of an end's metal (a can in its flame, a jacket), it heats or cools the air in the clearance. Conduction
along what stores (a metal displacer's skin, a matrix) lowers it. The cylinder wall has the metals at its ends and
counts in the heat balance; the skin also counts there through its end faces, which is a little twice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from model.physics import duct, gas, matrix, regenerator, space
from model.physics.values import FloatArray, blend
from model.running.engine import Geometry
from model.running.samples import SampledInputs

AIR = gas.AIR
STEEL_CAPACITY = 7850.0 * 470.0
"""Density times specific heat of the wire of a matrix, [J/(m^3 K)]; steel, as in the table of materials."""
STEEL_CONDUCTIVITY = 30.0
"""Of the metal of a matrix, [W/(m K)]: between mild (52) and stainless steel (16)."""
CONDUCTS = {"foil": 1.0, "screen": 0.1, "felt": 0.05}
"""Share of its metal's conductivity that counts along the flow: foil whole, the rest by its contacts (felt gives bulk
0.05 to 0.1 W/(m K), as the table of materials has it); common practice, no source."""
SIDE_SHARE = 0.7
"""Share of the swept cylinder wall that counts at the temperature of its end; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Air:
    """Properties of the air at one temperature, arrays (samples, speeds)."""

    density: FloatArray
    viscosity: FloatArray
    conductivity: FloatArray
    prandtl: FloatArray
    specific_heat: FloatArray


def air_at(*, temperature: FloatArray, pressure: FloatArray) -> Air:
    """Return the properties of air."""
    return Air(
        density=gas.density(gas=AIR, temperature=temperature, pressure=pressure),
        viscosity=gas.viscosity(gas=AIR, temperature=temperature),
        conductivity=gas.conductivity(gas=AIR, temperature=temperature),
        prandtl=gas.prandtl(gas=AIR, temperature=temperature),
        specific_heat=gas.specific_heat(gas=AIR, temperature=temperature),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Passage:
    """The way between the spaces: clearance, tube or matrix, as arrays (samples,)."""

    flow_area: FloatArray
    hydraulic: FloatArray
    length: FloatArray
    wetted: FloatArray
    kind: str
    """``clearance``, ``tube``, ``felt``, ``screen`` or ``foil``."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlowPaths:
    """How the air goes between the spaces: by the clearance or tube, by a matrix, or by both."""

    open: Passage
    """Side clearance, or the tube of an alpha."""
    matrix: Passage | None
    """Regenerator of wire or foil: beside the clearance in a displacer, behind the tube in an alpha."""
    share: FloatArray
    """(samples,) share of the flow that goes by the open way: 1 without a matrix, or where they lie in series."""
    series: bool
    """Whether all the air goes through both."""


LAMINAR = {"felt": 192.0, "screen": 129.0, "foil": 96.0, "clearance": 96.0}
"""Darcy friction factor times Reynolds number at slow flow: the leading terms of the formulas used."""


def flow_paths(inputs: SampledInputs, geometry: Geometry) -> FlowPaths:
    """Return how the air goes between the spaces.

    A matrix in a displacer lies beside the side clearance, and the two share the flow at one pressure drop (laminar
    [CengelCimbala2006], chapter 8: pipes in parallel); in an alpha it lies in series with the tube.
    """
    one = np.ones(inputs.size)
    if geometry.layout == "alpha":
        return FlowPaths(open=_tube(inputs), matrix=_matrix(inputs), share=one, series=True)
    gap = np.minimum(inputs["side_clearance"], 0.45 * geometry.bore_hot)
    ring = np.pi * (geometry.bore_hot - gap)
    length = inputs["displacer_length"]
    around = Passage(flow_area=ring * gap, hydraulic=2 * gap, length=length, wetted=2 * ring * length, kind="clearance")
    filled = _matrix(inputs)
    if filled is None:
        return FlowPaths(open=around, matrix=None, share=one, series=False)
    ease = duct.eccentric_flow_factor(eccentricity=inputs["displacer_offcentre"])
    by_gap = around.flow_area * around.hydraulic**2 * ease / (LAMINAR["clearance"] * around.length)
    by_matrix = filled.flow_area * filled.hydraulic**2 / (LAMINAR[filled.kind] * filled.length)
    return FlowPaths(open=around, matrix=filled, share=by_gap / (by_gap + by_matrix), series=False)


def _tube(inputs: SampledInputs) -> Passage:
    """Return the passage of an alpha, or those of the power pistons together, one for each."""
    bore, count = inputs["tube_bore"], inputs["piston_count"]
    return Passage(
        flow_area=count * np.pi / 4 * bore**2,
        hydraulic=bore,
        length=inputs["tube_length"],
        wetted=count * np.pi * bore * inputs["tube_length"],
        kind="tube",
    )


def _matrix(inputs: SampledInputs) -> Passage | None:
    word = inputs.words.get("regenerator", "none")
    if word == "none":
        return None
    area = np.pi / 4 * inputs["matrix_diameter"] ** 2
    porosity, wire = inputs["matrix_porosity"], inputs["matrix_wire"]
    volume = area * inputs["matrix_length"]
    if word == "foil":
        # foil of thickness t and gap g: porosity g/(g + t), hydraulic diameter 2 g, wetted 2/(g + t) a volume
        gap = wire * porosity / (1 - porosity)
        hydraulic, wetted = 2 * gap, 2 * volume / (gap + wire)
    else:
        hydraulic = matrix.hydraulic_diameter(porosity=porosity, wire_diameter=wire)
        wetted = matrix.wetted_area(volume=volume, porosity=porosity, wire_diameter=wire)
    kind = {"steel_wool": "felt", "mesh": "screen", "foil": "foil"}[word]
    return Passage(
        flow_area=area * porosity, hydraulic=hydraulic, length=inputs["matrix_length"], wetted=wetted, kind=kind
    )


def tubes(inputs: SampledInputs, end: str) -> Passage | None:
    """Return the tubes of ``heater`` or ``cooler``, or None where there are none."""
    if f"{end}_tubes" not in inputs:
        return None
    count, bore, length = (inputs[f"{end}_{part}"] for part in ("tubes", "bore", "length"))
    return Passage(
        flow_area=count * np.pi / 4 * bore**2,
        hydraulic=bore,
        length=length,
        wetted=count * np.pi * bore * length,
        kind="tube",
    )


def tube_effectiveness(
    inputs: SampledInputs, way: Passage | None, *, speed: FloatArray, blow: FloatArray, air: Air
) -> FloatArray:
    """Return the effectiveness of heater or cooler tubes at their wall's temperature, (samples, speeds).

    1 - exp(-NTU): a stream along a wall of one temperature; nil where there are no tubes.
    """
    if way is None:
        return np.zeros_like(speed)
    flow = blow * speed / np.pi
    hydraulic = way.hydraulic[:, None]
    reynolds = flow / way.flow_area[:, None] * hydraulic / air.viscosity
    nusselt = _passage_nusselt(inputs, way, reynolds, air)
    conductance = nusselt * air.conductivity / hydraulic * way.wetted[:, None]
    return np.asarray(1 - np.exp(-conductance / np.maximum(flow * air.specific_heat, 1e-12)))


ONE_WALL = 4.86 / 7.54 / 2
"""Conductance of a gap of which one wall takes no heat, over that of both walls: developed laminar Nusselt numbers on
one wall's area and on two [ShahLondon1978]."""


def beside_effectiveness(
    inputs: SampledInputs, way: FlowPaths, end: str, *, speed: FloatArray, blow: FloatArray, air: Air
) -> FloatArray:
    """Return how far air in the clearance comes to the ``hot`` or ``cold`` metal beside it, (samples, speeds).

    1 - exp(-NTU) along the cylinder's wall; the displacer's wall there goes with the air. Nil without a clearance.
    """
    if way.open.kind != "clearance":
        return np.zeros_like(speed)
    share = way.share[:, None]
    along = np.maximum(inputs.column(f"{end}_beside"), 1e-9)
    flow = share * blow * speed / np.pi
    hydraulic = way.open.hydraulic[:, None]
    nusselt = duct.nusselt_parallel_plates(
        reynolds=flow / way.open.flow_area[:, None] * hydraulic / air.viscosity,
        prandtl=air.prandtl,
        hydraulic_diameter=hydraulic,
        length=along * way.open.length[:, None],
    )
    wall = inputs.column("gap_factor") * ONE_WALL * along * way.open.wetted[:, None]
    ntu = wall * nusselt * air.conductivity / hydraulic / np.maximum(flow * air.specific_heat, 1e-12)
    # off centre the air takes the wide side; as for the regenerator, by what the same NTU gives back there
    ntu = _units(duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=inputs.column("displacer_offcentre")))
    return np.asarray(share * (1 - np.exp(-ntu)))


def conductances(
    inputs: SampledInputs, geometry: Geometry, way: FlowPaths, *, speed: FloatArray, air_hot: Air, air_cold: Air
) -> tuple[FloatArray, FloatArray]:
    """Return conductances of hot and cold space over each step, (samples, speeds, angles) [W/K].

    `speed` is (samples, speeds) [rad/s].
    """
    step = np.roll(geometry.moved, -1, axis=1) - geometry.moved
    rate = step * geometry.angles / (2 * np.pi)  # (samples, angles), m^3 a radian into the hot space
    scale = (way.share / way.open.flow_area)[:, None, None]
    velocity = speed[..., None] * rate[:, None, :] * scale
    hot, cold = (
        _side(
            inputs,
            way.open,
            air,
            sign * velocity,
            speed,
            _middle(volume),
            area,
            bore,
            _kept(inputs, geometry, way, bore),
        )
        for sign, air, volume, area, bore in (
            (1.0, air_hot, geometry.volume_hot, geometry.area_hot, geometry.bore_hot),
            (-1.0, air_cold, geometry.volume_cold, geometry.area_cold, geometry.bore_cold),
        )
    )
    return hot, cold


def _kept(inputs: SampledInputs, geometry: Geometry, way: FlowPaths, bore: FloatArray) -> FloatArray:
    """Return the stirring while air leaves a space over that while it enters, (samples, 1, 1).

    A blow through the way's area A lasts V/(v A); its eddies die away in N turnovers of the plate's radius over v.
    """
    turnover = inputs["stirring_lasts"] * bore / 2 * way.open.flow_area
    blown = way.share * np.ptp(geometry.moved, axis=1) / turnover
    return space.stirring_kept(blow_over_memory=blown)[:, None, None]


def _middle(values: FloatArray) -> FloatArray:
    return 0.5 * (values + np.roll(values, -1, axis=1))


def _side(
    inputs: SampledInputs,
    way: Passage,
    air: Air,
    velocity: FloatArray,
    speed: FloatArray,
    volume: FloatArray,
    area: FloatArray,
    bore: FloatArray,
    kept: FloatArray,
) -> FloatArray:
    """Conductance of one space; `velocity` (samples, speeds, angles) in the open way, positive into this space."""
    thickness = (volume / area[:, None])[:, None, :]  # (samples, 1, angles)
    k, pr = air.conductivity[..., None], air.prandtl[..., None]
    calm = space.layer_coefficient(conductivity=k, thickness=thickness)
    fresh = space.fresh_coefficient(
        conductivity=air.conductivity, diffusivity=air.conductivity / (air.density * air.specific_heat), speed=speed
    )[..., None]
    slot = way.hydraulic[:, None, None]
    stirring = np.where(velocity > 0, 1.0, kept)
    reynolds = np.abs(velocity) * slot * (air.density / air.viscosity)[..., None]
    if way.kind == "clearance":
        nusselt = space.nusselt_slot_jet_martin_1977(
            reynolds=reynolds, prandtl=pr, reach=(bore / 4)[:, None, None] / slot, height=thickness / slot
        )
    else:
        nusselt = space.nusselt_round_jet_martin_1977(
            reynolds=reynolds, prandtl=pr, radius=(bore / 2)[:, None, None] / slot, height=thickness / slot
        )
    coefficient = blend(calm, fresh, stirring * nusselt * k / slot)
    surface = area[:, None, None] + SIDE_SHARE * np.pi * bore[:, None, None] * thickness
    return np.asarray(inputs["exchange_factor"][:, None, None] * coefficient * surface)


def effectiveness(
    inputs: SampledInputs, way: FlowPaths, *, speed: FloatArray, blow: FloatArray, air: Air
) -> FloatArray:
    """Return the effectiveness of the ways together as a regenerator, (samples, speeds).

    `blow` is the mass that goes through in one blow, (samples, speeds) [kg]; a blow lasts half a turn. Ways side by
    side mix by their flow; ways in series add their transfer units. An input ``clearance_spared``, where there is one,
    takes that share of what is lost away: 1 asks what a perfect clearance would give.
    """
    found = _together(inputs, way, speed=speed, blow=blow, air=air)
    return found + inputs.column("clearance_spared") * (1 - found) if "clearance_spared" in inputs else found


def _together(inputs: SampledInputs, way: FlowPaths, *, speed: FloatArray, blow: FloatArray, air: Air) -> FloatArray:
    share = way.share[:, None]
    open_way = _effectiveness(inputs, _between_metals(inputs, way.open), speed=speed, blow=share * blow, air=air)
    if way.matrix is None:
        return open_way
    rest = blow if way.series else np.maximum((1 - share) * blow, 1e-15)
    filled = _effectiveness(inputs, way.matrix, speed=speed, blow=rest, air=air)
    if not way.series:
        return np.asarray(share * open_way + (1 - share) * filled)
    units = _units(open_way) + _units(filled)
    return np.asarray(units / (units + 2))


def _between_metals(inputs: SampledInputs, way: Passage) -> Passage:
    """Return the part of a clearance that is a regenerator, between what lies beside the metals."""
    if way.kind != "clearance":
        return way
    rest = 1 - inputs["hot_beside"] - inputs["cold_beside"]
    return replace(way, length=rest * way.length, wetted=rest * way.wetted)


def _units(effectiveness_: FloatArray) -> FloatArray:
    """Return the transfer units of a regenerator of this effectiveness."""
    return np.asarray(2 * effectiveness_ / np.maximum(1 - effectiveness_, 1e-9))


class Groups(NamedTuple):
    """What rules a way as a regenerator, (samples, speeds) each [-]."""

    reynolds: FloatArray
    """At the mean flow of a blow."""
    ntu: FloatArray
    """Transfer units of a blow; off centre already counted."""
    capacity: FloatArray
    """Heat capacity of the walls over that of the air of a blow."""


def blow_groups(inputs: SampledInputs, way: Passage, *, speed: FloatArray, blow: FloatArray, air: Air) -> Groups:
    """Return what rules one way with its own blow [kg]."""
    flow = blow * speed / np.pi  # mean mass flow, kg/s
    velocity = flow / (air.density * way.flow_area[:, None])
    hydraulic = way.hydraulic[:, None]
    reynolds = air.density * velocity * hydraulic / air.viscosity
    nusselt = _passage_nusselt(inputs, way, reynolds, air)
    conductance = inputs.column("gap_factor") * nusselt * air.conductivity / hydraulic * way.wetted[:, None]
    ntu = conductance / np.maximum(flow * air.specific_heat, 1e-12)
    if way.kind == "clearance":
        ntu = _units(duct.effectiveness_eccentric_gap(ntu=ntu, eccentricity=inputs.column("displacer_offcentre")))
    stream = np.maximum(flow * air.specific_heat, 1e-12) / 2
    ntu = regenerator.units_with_conduction(ntu=ntu, conduction=np.minimum(_along(inputs, way, speed) / stream, 10.0))
    capacity = _capacity(inputs, way, speed) / np.maximum(blow * air.specific_heat, 1e-15)
    return Groups(reynolds=reynolds, ntu=ntu, capacity=capacity)


def _effectiveness(inputs: SampledInputs, way: Passage, *, speed: FloatArray, blow: FloatArray, air: Air) -> FloatArray:
    """Effectiveness of one way with its own blow, (samples, speeds)."""
    _, ntu, capacity = blow_groups(inputs, way, speed=speed, blow=blow, air=air)
    return np.asarray(regenerator.effectiveness_with_wall_capacity(ntu=ntu, capacity_ratio=capacity))


def _passage_nusselt(inputs: SampledInputs, way: Passage, reynolds: FloatArray, air: Air) -> FloatArray:
    length = way.length[:, None]
    if way.kind == "clearance":
        return duct.nusselt_parallel_plates(
            reynolds=reynolds, prandtl=air.prandtl, hydraulic_diameter=way.hydraulic[:, None], length=length
        )
    if way.kind == "tube":
        return duct.nusselt_tube(
            reynolds=reynolds, prandtl=air.prandtl, diameter=way.hydraulic[:, None], length=np.maximum(length, 1e-3)
        )
    if way.kind == "foil":
        return matrix.nusselt_parallel_foil(reynolds=reynolds)
    porosity = inputs.column("matrix_porosity")
    formula = matrix.nusselt_felt_gedeon_wood_1996 if way.kind == "felt" else matrix.nusselt_screen_gedeon_wood_1996
    return formula(reynolds=reynolds, prandtl=air.prandtl, porosity=porosity)


def _capacity(inputs: SampledInputs, way: Passage, speed: FloatArray) -> FloatArray:
    """Heat capacity of the walls that take part in a blow, (samples, speeds) [J/K]."""
    if way.kind in ("felt", "screen", "foil"):
        area = np.pi / 4 * inputs["matrix_diameter"] ** 2
        solid = area * inputs["matrix_length"] * (1 - inputs["matrix_porosity"])
        return np.asarray(STEEL_CAPACITY * solid[:, None] * np.ones_like(speed))
    deep = 1 / np.sqrt(speed)
    wall = np.minimum(
        inputs.column("wall_effusivity") * deep, inputs.column("wall_capacity") * inputs.column("wall_thickness")
    )
    if way.kind == "tube":
        return np.asarray(way.wetted[:, None] * wall)
    skin = np.minimum(
        inputs.column("displacer_effusivity") * deep,
        inputs.column("displacer_capacity") * inputs.column("displacer_skin_thickness"),
    )
    return np.asarray(way.wetted[:, None] / 2 * (wall + skin))


def _along(inputs: SampledInputs, way: Passage, speed: FloatArray) -> FloatArray:
    """Conductance along what stores the heat of a way, from end to end, (samples, speeds) [W/K].

    Matrix: its metal; clearance: the displacer's skin, as deep as it swings. The cylinder wall has the metals at its
    ends and counts in the heat balance.
    """
    if way.kind in CONDUCTS:
        area = np.pi / 4 * inputs["matrix_diameter"] ** 2 * (1 - inputs["matrix_porosity"])
        metal = STEEL_CONDUCTIVITY * CONDUCTS[way.kind]
        return np.asarray((metal * area / way.length)[:, None] * np.ones_like(speed))
    if way.kind == "tube":
        return np.zeros_like(speed)
    conductivity = inputs.column("displacer_conductivity")
    swings = regenerator.thermal_penetration(
        diffusivity=conductivity / inputs.column("displacer_capacity"), angular_speed=speed
    )
    around = (way.wetted / (2 * way.length**2))[:, None]
    return np.asarray(conductivity * around * np.minimum(inputs.column("displacer_skin_thickness"), swings))


def flow_work(
    inputs: SampledInputs, geometry: Geometry, way: FlowPaths, *, speed: FloatArray, air: Air
) -> tuple[FloatArray, FloatArray]:
    """Return the work that flow costs in a turn: between the spaces, and to the power piston, (samples, speeds) [J].

    Side by side, matrix and clearance have one pressure drop: that of the clearance at its share of the flow.
    """
    main = _drop_work(inputs, way.open, geometry.moved, speed, air, way.share)
    through = [tubes(inputs, "heater"), tubes(inputs, "cooler"), way.matrix if way.series else None]
    for extra in through:
        if extra is not None:
            main = main + _drop_work(inputs, extra, geometry.moved, speed, air)
    if geometry.layout != "gamma":
        return main, np.zeros_like(main)
    return main, _drop_work(inputs, _tube(inputs), geometry.pistons[0], speed, air)


def _drop_work(
    inputs: SampledInputs,
    way: Passage,
    moved: FloatArray,
    speed: FloatArray,
    air: Air,
    share: FloatArray | float = 1.0,
) -> FloatArray:
    """Work against the drop of one way that takes a share of the flow; the drop is that of all the air, (...) [J]."""
    step = np.abs(np.roll(moved, -1, axis=1) - moved)  # (samples, angles)
    angles = moved.shape[1]
    scale = (share / way.flow_area)[:, None]
    velocity = speed[..., None] * (step * angles / (2 * np.pi) * scale)[:, None, :]
    density, hydraulic = air.density[..., None], way.hydraulic[:, None, None]
    reynolds = density * velocity * hydraulic / air.viscosity[..., None]
    ease: FloatArray | float = 1.0
    if way.kind == "clearance":
        friction = duct.friction_parallel_plates(reynolds=reynolds)
        ease = duct.eccentric_flow_factor(eccentricity=inputs["displacer_offcentre"])[:, None, None]
    elif way.kind == "felt":
        friction = matrix.friction_felt_gedeon_wood_1996(reynolds=np.maximum(reynolds, 1e-3))
    elif way.kind == "screen":
        friction = matrix.friction_screen_gedeon_wood_1996(reynolds=np.maximum(reynolds, 1e-3))
    elif way.kind == "foil":
        friction = matrix.friction_parallel_foil(reynolds=np.maximum(reynolds, 1e-3))
    else:
        friction = duct.friction_factor(reynolds=reynolds)
    ends = 1.5  # sharp entrance 0.5 and exit 1.0 velocity heads
    head = 0.5 * density * velocity**2
    drop = head * (friction * way.length[:, None, None] / hydraulic / ease + ends)
    return np.asarray(inputs.column("flow_factor") * (drop * step[:, None, :]).sum(axis=-1))
