"""Where the heat comes from and goes to: a linear network round the turn, arrays (samples, speeds).

Hot metal takes heat from the source (that falls as the metal warms), loses some to the room, gives some along the
walls to the cold end, and the rest to the air of the turn; the cold metal gives all it gets to what cools it. A flame
gives in proportion to its excess over the metal, hot water and a hand through a coefficient, a resistor and the sun a
constant. Metal temperatures come from the balance, or as measured. `overtime` steps the same network through warm-up
and fade.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from model.physics import conduction, radiation
from model.physics.values import FloatArray
from model.quantities.figure_spec import FigureSpec
from model.quantities.formula import declared
from model.quantities.units import Kind
from model.running.engine import Geometry
from model.running.exchange import Air
from model.running.samples import SampledInputs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """Conductances and sources of heat, each (samples, 1)."""

    fixed_hot: FloatArray | None
    """Measured hot metal, [K], or None: worked out."""
    fixed_cold: FloatArray | None
    source: FloatArray
    """Heat into a hot end at 0 K, [W]: released heat that is caught, plus conductance times source temperature."""
    source_slope: FloatArray
    """Fall of that heat for each kelvin of the hot metal, [W/K]."""
    paths: Mapping[str, FloatArray]
    """Conductance of each of `HEAT_PATHS` by its key, [W/K], at the first guess of the hot metal."""
    loss: FloatArray
    """Sum of those from hot metal to the room, [W/K]."""
    guess: FloatArray
    """That guess, [K]."""
    loss_slope: FloatArray
    """What that loss grows by for each kelvin there, [W/K]: radiation grows with the fourth power."""
    conduction: FloatArray
    """Sum of those from hot to cold metal, [W/K]."""
    cooling: FloatArray
    """Conductance from cold metal to what cools it, [W/K]."""
    sink: FloatArray
    """Temperature of what cools it, [K]."""
    room: FloatArray
    """Room, [K]."""

    def past(self, hot: FloatArray, cold: FloatArray) -> dict[str, FloatArray]:
        """Return the heat that passes the air of the turn by, by its way, (samples, speeds) [W]."""
        return {path.key: self.paths[path.key] * (hot - (cold if path.to_cold else self.room)) for path in HEAT_PATHS}

    def at(self, column: int, speeds: int) -> Network:
        """Return the network at one of so many speeds."""

        def only(values: FloatArray) -> FloatArray:
            return np.broadcast_to(values, (len(values), speeds))[:, column : column + 1]

        return replace(self, loss=only(self.loss), paths={key: only(values) for key, values in self.paths.items()})


class HotEnd(NamedTuple):
    """What the conductance of a way from the hot metal depends on."""

    inputs: SampledInputs
    geometry: Geometry
    air: Air
    """Of the clearance."""
    hot: FloatArray
    """First guess of the hot metal, (samples, speeds) [K]."""


class Conductance(NamedTuple):
    """Heat for each kelvin between the ends of a way, (samples, 1) or (samples, speeds) [W/K]."""

    mean: FloatArray
    """Over all of the difference."""
    slope: FloatArray
    """For one kelvin more of the hot metal: other than the mean where the heat to the room is no straight line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPath:
    """A way by which heat leaves the hot metal and passes the air of the turn by: a loss of heat."""

    key: str
    """Of its figure."""
    to_cold: bool
    """Whether it ends at the cold metal; else in the room."""
    parts: tuple[Callable[[HotEnd], Conductance], ...]
    """Side by side."""
    figure: FigureSpec


def network(inputs: SampledInputs, geometry: Geometry, air: Air, *, hot: FloatArray) -> Network:
    """Set up the network of a batch of engines round a first guess of the hot metal, (samples, speeds) [K]."""
    source, slope = _source(inputs, geometry)
    end = HotEnd(inputs=inputs, geometry=geometry, air=air, hot=hot)
    paths = {path.key: [part(end) for part in path.parts] for path in HEAT_PATHS}
    to_cold = [part for path in HEAT_PATHS if path.to_cold for part in paths[path.key]]
    to_room = [part for path in HEAT_PATHS if not path.to_cold for part in paths[path.key]]
    return Network(
        fixed_hot=inputs.column("hot_metal") if "hot_metal" in inputs else None,
        fixed_cold=inputs.column("cold_metal") if "cold_metal" in inputs else None,
        source=source[:, None],
        source_slope=slope[:, None],
        paths={key: _sum([part.mean for part in parts]) for key, parts in paths.items()},
        loss=_sum([part.mean for part in to_room]),
        guess=hot,
        loss_slope=_sum([part.slope for part in to_room]),
        conduction=_sum([part.mean for part in to_cold]),
        cooling=cooling(inputs, geometry)[:, None],
        sink=inputs.column("sink_temperature"),
        room=inputs.column("room_temperature"),
    )


def _source(inputs: SampledInputs, geometry: Geometry) -> tuple[FloatArray, FloatArray]:
    """Return heat into the hot end at 0 K [W] and its fall with temperature [W/K]."""
    word = inputs.words.get("heat_source", "")
    nothing = np.zeros(inputs.size)
    if word in ("water", "hand") and "contact_coefficient" in inputs:
        conductance = inputs["contact_coefficient"] * geometry.area_hot
        return conductance * inputs["source_temperature"], conductance
    if "heat_released" not in inputs or "heat_caught" not in inputs:
        return nothing, nothing
    if word in ("candle", "spirit", "gas"):
        # hot gas of one temperature gives in proportion to its excess over the metal
        caught = inputs["heat_caught"] * inputs["heat_released"]
        slope = caught / (inputs["flame_temperature"] - inputs["room_temperature"])
        return slope * inputs["flame_temperature"], slope
    if word in ("electric", "sun"):
        return inputs["heat_caught"] * inputs["heat_released"], nothing
    return nothing, nothing


def _loss(inputs: SampledInputs, geometry: Geometry, hot: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Conductance from hot metal to the room and slope of that loss, (samples, speeds) [W/K]: convection and radiation.

    The outer face is the band of wall that the hot space sweeps, which stands out from the metal as a fin does, and the
    plate too where neither flame nor water covers it.
    """
    room = inputs.column("room_temperature")
    radiated = radiation.radiative_coefficient(
        emissivity=inputs.column("hot_emissivity"), surface_temperature=hot, room_temperature=room
    )
    still = inputs.column("hot_loss_coefficient")
    area = (
        np.pi
        * geometry.bore_hot[:, None]
        * conduction.fin_length(
            length=(geometry.travel_hot + inputs["end_clearance_hot"])[:, None],
            coefficient=still + radiated,
            conductivity=inputs.column("wall_conductivity"),
            thickness=inputs.column("wall_thickness"),
        )
    )
    if inputs.words.get("heat_source", "") in ("electric", "sun"):
        area = area + geometry.area_hot[:, None]
    exposed = inputs.column("hot_exposure") * area
    # d/dT of T^4 - Tr^4, over (T^4 - Tr^4)/(T - Tr)
    steeper = 4 * hot**3 / ((hot + room) * (hot * hot + room * room))
    return np.asarray(exposed * (still + radiated)), np.asarray(exposed * (still + radiated * steeper))


@declared(
    quantity="heat given off by the cold end to still air",
    formula="Q = h A (Tc - sink), h 6 to 14 W/(m^2 K) with radiation, times 0.7 to 1.4",
    source="common practice, no source",
    where="covers IncroperaEtAl2007, chapter 9, and radiation of faces 40 to 150 mm wide at such an excess",
    valid={"excess": (0.0, 80.0)},
)
def cooling(inputs: SampledInputs, geometry: Geometry) -> FloatArray:
    """Conductance from the cold metal to what cools it, (samples,) [W/K]."""
    if "cold_area" in inputs:
        area = inputs["cold_area"]
    else:
        # the plate (alpha: the barrel) and half of the cylinder's height; fins multiply it
        plate = geometry.area_cold
        barrel = np.pi * geometry.bore_cold * np.maximum(geometry.wall_length / 2, geometry.travel_hot)
        area = plate + barrel
        if inputs.words.get("cold_side") == "fins":
            area = 4 * area
    return np.asarray(inputs["cold_coefficient"] * inputs["cold_coefficient_factor"] * area)


def _to_room(end: HotEnd) -> Conductance:
    return Conductance(*_loss(end.inputs, end.geometry, end.hot))


def _straight(conductance: FloatArray) -> Conductance:
    """Return a heat in proportion to the difference, of (samples,)."""
    return Conductance(mean=conductance[:, None], slope=conductance[:, None])


def _wall(end: HotEnd) -> Conductance:
    inputs, geometry = end.inputs, end.geometry
    girth = np.pi * (inputs["tube_bore"] if geometry.layout == "alpha" else geometry.bore_hot)
    return _straight(
        conduction.conductance(
            conductivity=inputs["wall_conductivity"],
            area=girth * inputs["wall_thickness"],
            length=geometry.fall_length,
        )
    )


def _posts(end: HotEnd) -> Conductance:
    return _straight(end.inputs["posts"])


def _displacer(end: HotEnd) -> Conductance:
    if end.geometry.layout == "alpha":
        return _straight(np.zeros(end.inputs.size))
    return _straight(_through_displacer(end.inputs, end.geometry, end.air.conductivity.mean(axis=1)))


def _shuttle(end: HotEnd) -> Conductance:
    inputs, geometry = end.inputs, end.geometry
    if geometry.layout == "alpha":
        return _straight(np.zeros(inputs.size))
    return _straight(
        conduction.shuttle_loss(
            gas_conductivity=end.air.conductivity.mean(axis=1),
            diameter=geometry.bore_hot,
            stroke=geometry.travel_hot,
            gap=np.minimum(inputs["side_clearance"], 0.45 * geometry.bore_hot),
            length=geometry.fall_length,
            temperature_difference=1.0,
        )
    )


def _through_displacer(inputs: SampledInputs, geometry: Geometry, k: FloatArray) -> FloatArray:
    """Conductance through the displacer and the layers of air before its two faces, in series, (samples,) [W/K].

    The layers count with a Nusselt number of four: stirred, but thin. Common practice, no source.
    """
    length, area = geometry.fall_length, geometry.area_hot
    thick = np.minimum(inputs["displacer_skin_thickness"], geometry.bore_hot / 2)
    solid = np.minimum(np.pi * geometry.bore_hot * thick, area)
    skin = conduction.conductance(conductivity=inputs["displacer_conductivity"], area=solid, length=length)
    inside = conduction.conductance(conductivity=k, area=area - solid, length=length)
    layers = geometry.travel_hot + inputs["end_clearance_hot"] + inputs["end_clearance_cold"]
    before = conduction.conductance(conductivity=4 * k, area=area, length=layers)
    return conduction.in_series(first=skin + inside, second=before)


HEAT_PATHS: tuple[HeatPath, ...] = (
    HeatPath(
        key="heat_lost_hot", to_cold=False, parts=(_to_room,),
        figure=FigureSpec(
            label="Lost from the hot end to the room", kind=Kind.POWER, unit="W",
            formula="coefficient x band of the hot end x (hot metal - room)", source="derived here",
            inputs=("hot_loss_coefficient",),
        ),
    ),
    HeatPath(
        key="heat_along", to_cold=True, parts=(_wall, _posts, _displacer, _shuttle),
        figure=FigureSpec(
            label="Along walls to the cold end", kind=Kind.POWER, unit="W",
            formula="(walls + posts + displacer + shuttle) x (hot metal - cold metal)", source="derived here",
            inputs=("wall_thickness", "posts", "displacer_length"),
        ),
    ),
)  # fmt: skip
"""Every loss of heat, in the order of its figures: the network, the balance of watts and the heat over time read it."""


def _sum(parts: list[FloatArray]) -> FloatArray:
    """Return the sum of conductances in their order; nil for none."""
    total = parts[0] if parts else np.zeros((1, 1))
    for part in parts[1:]:
        total = total + part
    return total


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatLine:
    """Heat that the air carries as a straight line over the difference of the metals, (samples, speeds)."""

    slope: FloatArray
    """For each kelvin, [W/K], >= 0."""
    fixed: FloatArray
    """At no difference, [W]: negative where the engine, turned from outside, gives heat to its hot end."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatSample:
    """Heats of one pass at its difference of the metals, (samples, speeds)."""

    difference: FloatArray
    taken: FloatArray
    given: FloatArray


def heat_lines(now: HeatSample, before: HeatSample | None) -> tuple[HeatLine, HeatLine]:
    """Draw lines through the heats taken and given of this pass and, where they tell a slope, of the pass before."""
    last = (None, None) if before is None else (before.taken, before.given)
    apart = None if before is None else before.difference
    return _line(now.difference, now.taken, apart, last[0]), _line(now.difference, now.given, apart, last[1])


def _line(
    difference: FloatArray, heat: FloatArray, apart_before: FloatArray | None, heat_before: FloatArray | None
) -> HeatLine:
    """Return a line through the origin if the heat is positive, level if not, or through two passes."""
    apart = np.maximum(difference, 0.5)
    slope = np.maximum(heat / apart, 0.0)
    if apart_before is not None and heat_before is not None:
        step = difference - apart_before
        tells = np.abs(step) > 1e-3 * apart
        gradient = (heat - heat_before) / np.where(tells, step, 1.0)
        most = 5 * np.maximum(np.abs(heat), np.abs(heat_before))
        slope = np.where(tells & (gradient > 0.3 * slope) & (gradient * apart < most), gradient, slope)
    return HeatLine(slope=slope, fixed=heat - slope * difference)


def temperatures(net: Network, *, taken: HeatLine, given: HeatLine) -> tuple[FloatArray, FloatArray]:
    """Solve the network for the metal temperatures.

    Parameters
    ----------
    net : Network
        The network.
    taken, given : HeatLine
        Heat that the air takes from the hot metal, and gives to the cold metal.

    Returns
    -------
    hot, cold : array (samples, speeds)
        Metal temperatures, [K]. An end that nothing heats or cools at all takes the room's temperature.
    """
    along = net.conduction
    # hot: source - slope Th - (taken + along)(Th - Tc) - taken at no difference - loss at the guess
    #      - slope of the loss (Th - guess) = 0
    # cold: (given + along)(Th - Tc) + given at no difference - cooling (Tc - sink) = 0
    from_hot, to_cold = taken.slope + along, given.slope + along
    sunk = net.cooling * net.sink + given.fixed
    if net.fixed_hot is not None and net.fixed_cold is not None:
        return net.fixed_hot + 0 * from_hot, net.fixed_cold + 0 * from_hot
    if net.fixed_hot is not None:
        hot = net.fixed_hot + 0 * from_hot
        cold = (to_cold * hot + sunk) / np.maximum(to_cold + net.cooling, 1e-9)
        return hot, np.asarray(cold)
    lost_at_guess = net.loss * (net.guess - net.room)
    supply = net.source + net.loss_slope * net.guess - lost_at_guess - taken.fixed
    own = net.source_slope + net.loss_slope
    if net.fixed_cold is not None:
        cold = net.fixed_cold + 0 * from_hot
        hot = (supply + from_hot * cold) / np.maximum(own + from_hot, 1e-9)
        return np.asarray(hot), cold
    a, b = own + from_hot, from_hot
    c, d = to_cold, to_cold + net.cooling
    det = np.maximum(a * d - b * c, 1e-12)
    hot = (supply * d + b * sunk) / det
    cold = (a * sunk + c * supply) / det
    return np.asarray(hot), np.asarray(cold)
