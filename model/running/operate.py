"""An engine at given speeds: the turn, the heat balance and the shaft together, for a batch of (samples, speeds)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.checkpoint import checkpoint
from model.cycle import begin
from model.cycle.isothermal import isothermal_pressure
from model.cycle.periodic import State, Turn, solve
from model.physics import gas, leak
from model.physics.values import FloatArray
from model.running import leak_down
from model.running.balance import HeatLine, HeatSample, Network, heat_lines, network, temperatures
from model.running.engine import Geometry, geometry
from model.running.exchange import (
    AIR,
    Air,
    FlowPaths,
    air_at,
    beside_effectiveness,
    conductances,
    effectiveness,
    flow_paths,
    flow_work,
    tube_effectiveness,
    tubes,
)
from model.running.flexing import compliances, flexes
from model.running.samples import SampledInputs
from model.running.shaft import shaft_work, torque

ANGLES = 64
"""Angles of a turn for figures on the screen, with one of half as many to tell what is left of the error: together they
keep 1e-3 of the work (`tests/running/test_grid.py`); 64 alone are wrong by up to 2e-3, on wild builds by 1e-2."""
EFFORT, LEAST_EFFORT, PATIENCE = 55, 20, 30
"""Newton steps that the slower way of one solve may take, at least those, and steps of all passes together after which
an engine that is solved alone comes to an end."""
COARSE_ANGLES, COARSE_PASSES = 16, 3
"""A coarse turn finds the metal temperatures to a percent or so before the fine one begins."""
PASSES = 2
"""Passes of heat balance and fine turn: the torque of an engine that runs is right to 1e-3 (see tests/running)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Operation:
    """An engine at given speeds; arrays (samples, speeds) unless said. SI."""

    inputs: SampledInputs
    geometry: Geometry
    speed: FloatArray
    torque: FloatArray
    """Mean torque left at the shaft after friction, [N m]; negative where it cannot keep this speed."""
    indicated: FloatArray
    """Indicated work of a turn less flow losses, [J]."""
    shaft: FloatArray
    """Shaft work of a turn before friction, [J]."""
    forced: FloatArray
    """Forced work of a turn, [J]."""
    fluctuation: FloatArray
    """Energy that the wheel takes up and gives back within a turn, [J]."""
    flow: FloatArray
    """Work lost to flow in a turn, [J]."""
    isothermal: FloatArray
    """Work of the isothermal turn at the metal temperatures, no losses, [J]."""
    hot_metal: FloatArray
    cold_metal: FloatArray
    hot_gas: FloatArray
    """Mean temperature of the air in the hot space, [K]."""
    cold_gas: FloatArray
    heat_taken: FloatArray
    """Heat that the air takes from the hot metal, [W]."""
    heat_given: FloatArray
    """Heat that the air gives to the cold metal, [W]."""
    slopes: tuple[FloatArray, FloatArray] | None
    """What heat taken and heat given grow by for each kelvin between the metals, [W/K], where that is known."""
    network: Network
    effectiveness: FloatArray
    """Of the clearance or regenerator."""
    blow: FloatArray
    """Mass of air that goes through in one blow, [kg]."""
    leak: FloatArray
    """Conductance of the leak, (samples, 1) [m^3/(s Pa)]."""
    state: State
    """The turn, batch flattened (samples * speeds)."""
    converged: NDArray[np.bool_]

    @property
    def shape(self) -> tuple[int, int]:
        """Samples and speeds."""
        return self.speed.shape[0], self.speed.shape[1]

    @property
    def pressure(self) -> FloatArray:
        """Pressure over the turn, (samples, speeds, angles) [Pa]."""
        return self.state.pressure.reshape(*self.shape, -1)


def leak_conductance(inputs: SampledInputs, form: Geometry) -> FloatArray:
    """Return the leak, (samples,) [m^3/(s Pa)]: a measured half-time, else what piston and gland let through."""
    if "leak_half_time" in inputs:
        return leak_down.conductance(inputs, form)
    total = np.zeros(inputs.size)
    gaps = []
    if "piston_leak" in inputs and "piston_bore" in inputs:
        one = inputs["piston_leak"] * (np.pi / 4 * inputs["piston_bore"] ** 2) ** 2
        both = 1 + inputs["hot_bore"] / inputs["piston_bore"] if "hot_bore" in inputs else inputs["piston_count"]
        total = total + one * both
    elif "piston_clearance" in inputs:
        gaps += [("piston_bore", "piston_clearance", "piston_length", inputs["piston_count"])]
        if form.layout == "alpha":
            gaps += [("hot_bore", "piston_clearance", "piston_length", inputs["piston_count"])]
    if "gland_clearance" in inputs:
        gaps += [("gland_rod", "gland_clearance", "gland_length", np.ones(inputs.size))]
    for around, gap, along, count in gaps:
        total = total + count * leak.annular_conductance(
            diameter=inputs[around],
            radial_clearance=np.minimum(inputs[gap], 0.2 * inputs[around]),
            length=inputs[along],
            temperature=inputs["room_temperature"],
            eccentricity=inputs["leak_offcentre"],
        )
    return total


def operate(
    inputs: SampledInputs,
    speed: FloatArray,
    *,
    angles: int = ANGLES,
    passes: int = PASSES,
    start: Operation | None = None,
    refined: bool = True,
) -> Operation:
    """Run a batch of engines at given speeds.

    Parameters
    ----------
    inputs : SampledInputs
        The engines, (samples,).
    speed : array (samples, speeds)
        Angular speeds, [rad/s], > 0.
    angles : int
        Angles of a turn, even.
    passes : int
        Passes of heat balance and turn.
    start : Operation, optional
        To begin from, at other, ascending speeds: the same engines, or one that these vary a little, or for each block
        of these one.
    refined : bool
        Solve each turn with half the angles too and take out the error that falls with their square.

    Returns
    -------
    Operation
        What each does at each speed.
    """
    if passes < 1:
        raise ValueError(f"passes must be at least 1, not {passes}")
    measured = "hot_metal" in inputs and "cold_metal" in inputs
    point, rounds = _begun(inputs, speed, start)
    if measured:
        rounds = min(rounds, 1 if point.blow is None else 0)
    coarse = min(COARSE_ANGLES, angles)
    engine = _engine(inputs, coarse if rounds else angles)
    effort = _Effort(alone=speed.size == 1)
    for _ in range(rounds):
        point = _on(point, coarse)
        solved = effort.counted(_turn(engine, speed, point, rough=True, effort=effort.left))
        if not solved.state.converged.any():  # hopeless: told as it is, not tried again and again
            return _finish(engine, speed, point, solved)
        point = _moved(engine, speed, point, solved)
        if effort.spent:
            break
    point = _on(point, angles)._replace(seen=None)
    engine = engine if engine.form.angles == angles else _engine(inputs, angles)
    for _ in range(0 if measured or effort.spent else passes - 1):
        solved = effort.counted(_turn(engine, speed, point, rough=True, effort=effort.left))
        if effort.spent and not solved.state.converged.any():  # as above
            return _finish(engine, speed, point, solved)
        point = _moved(engine, speed, point, solved)
    solved = effort.counted(_turn(engine, speed, point, effort=effort.left))
    fine = _finish(engine, speed, point, solved)
    if not refined or angles % 2 or effort.spent:
        return fine
    half = _engine(inputs, angles // 2)
    point = point._replace(state=begin.every_other(solved.state))
    return _extrapolated(fine, _finish(half, speed, point, _turn(half, speed, point, effort=effort.left)))


class _Effort:
    """What a stubborn engine, solved alone, may cost: some 80 Newton steps, a tenth of a second on a server.

    A batch shares its steps; there each solve has its own limit.
    """

    def __init__(self, *, alone: bool) -> None:
        self.alone, self.used = alone, 0

    @property
    def spent(self) -> bool:
        """Whether it is time to come to an end, the metals as they are."""
        return self.alone and self.used > PATIENCE

    @property
    def left(self) -> int:
        """Newton steps for the slower way."""
        return max(EFFORT - self.used, LEAST_EFFORT) if self.alone else EFFORT

    def counted(self, solved: _Pass) -> _Pass:
        self.used += solved.state.iterations
        return solved


class _Engine(NamedTuple):
    """What does not change from pass to pass."""

    inputs: SampledInputs
    form: Geometry
    way: FlowPaths
    leaking: FloatArray


class _Point(NamedTuple):
    """Where a pass begins: metal temperatures, mass of a blow, and what the pass before saw."""

    hot: FloatArray
    cold: FloatArray
    blow: FloatArray | None
    state: State | None
    seen: HeatSample | None
    slopes: tuple[FloatArray, FloatArray] | None
    """Of the heat lines found so far; serves where no two passes tell one."""


class _Pass(NamedTuple):
    """What a pass found."""

    air: Air
    net: Network
    state: State
    effectiveness: FloatArray
    taken: FloatArray
    given: FloatArray


def _engine(inputs: SampledInputs, angles: int) -> _Engine:
    form = geometry(inputs, angles=angles)
    leaking = leak_conductance(inputs, form)[:, None]
    return _Engine(inputs=inputs, form=form, way=flow_paths(inputs, form), leaking=leaking)


def _moved(engine: _Engine, speed: FloatArray, point: _Point, solved: _Pass) -> _Point:
    """Move the metal temperatures to where the network balances with the heats of a pass."""
    seen = HeatSample(difference=point.hot - point.cold, taken=solved.taken, given=solved.given)
    taken, given = heat_lines(seen, point.seen)
    if point.slopes is not None:
        # no pass before, or one too near to tell a slope: the one that was found before serves
        step = np.inf if point.seen is None else np.abs(seen.difference - point.seen.difference)
        known = (point.seen is None) | (step <= 1e-3 * np.maximum(seen.difference, 0.5))
        old = [np.where(known, slope, line.slope) for slope, line in zip(point.slopes, (taken, given), strict=True)]
        taken, given = _lines(seen, (old[0], old[1]))
    hot, cold = _held(*temperatures(solved.net, taken=taken, given=given))
    state = _warmed(solved.state, (point.hot, point.cold), (hot, cold))
    blow = _blow(solved.state, speed.shape)
    return _Point(hot=hot, cold=cold, blow=blow, state=state, seen=seen, slopes=(taken.slope, given.slope))


def _lines(seen: HeatSample, slopes: tuple[FloatArray, FloatArray]) -> tuple[HeatLine, HeatLine]:
    """Draw lines of known slopes through the heats of a pass."""
    taken, given = (
        HeatLine(slope=slope, fixed=heat - slope * seen.difference)
        for slope, heat in zip(slopes, (seen.taken, seen.given), strict=True)
    )
    return taken, given


def _balanced(start: Operation) -> tuple[FloatArray, FloatArray]:
    """Return the metal temperatures to which the heats of an operation lead on."""
    if start.slopes is None:
        return start.hot_metal, start.cold_metal
    difference = start.hot_metal - start.cold_metal
    seen = HeatSample(difference=difference, taken=start.heat_taken, given=start.heat_given)
    taken, given = _lines(seen, start.slopes)
    return _held(*temperatures(start.network, taken=taken, given=given))


def _begun(inputs: SampledInputs, speed: FloatArray, start: Operation | None) -> tuple[_Point, int]:
    """Return where to begin, and how many coarse passes should come before the fine ones."""
    hot, cold = _first_temperatures(inputs, np.ones_like(speed))
    if start is None or not start.converged.all():
        return _Point(hot=hot, cold=cold, blow=None, state=None, seen=None, slopes=None), COARSE_PASSES
    times = inputs.size // start.shape[0]
    at = begin.Between(np.repeat(start.speed, times, axis=0), speed)

    def there(values: FloatArray) -> FloatArray:
        return at.values(np.repeat(values, times, axis=0))

    was, blow = (there(start.hot_metal), there(start.cold_metal)), there(_blow(start.state, start.shape))
    slopes = None if start.slopes is None else (there(start.slopes[0]), there(start.slopes[1]))
    state = at.state(begin.repeated(start.state, start.shape, times))
    leads = _balanced(start)
    if "hot_metal" not in inputs:
        hot = there(leads[0])
    if "cold_metal" not in inputs:
        cold = there(leads[1])
    state = _warmed(state, was, (hot, cold))
    return _Point(hot=hot, cold=cold, blow=blow, state=state, seen=None, slopes=slopes), 0 if times == 1 else 2


def _on(point: _Point, angles: int) -> _Point:
    """Take the state to so many angles."""
    return point if point.state is None else point._replace(state=begin.on_grid(point.state, angles))


def _warmed(state: State, before: tuple[FloatArray, FloatArray], after: tuple[FloatArray, FloatArray]) -> State:
    flat = [(hot.reshape(-1), cold.reshape(-1)) for hot, cold in (before, after)]
    return begin.warmed(state, before=flat[0], after=flat[1])


def _held(hot: FloatArray, cold: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Hold metal temperatures within what the properties of air cover, hot not below cold."""
    cold = np.clip(cold, 210.0, 1400.0)
    return np.clip(np.maximum(hot, cold + 0.1), 210.0, 1500.0), cold


def _first_temperatures(inputs: SampledInputs, one: FloatArray) -> tuple[FloatArray, FloatArray]:
    room = inputs.column("room_temperature")
    source = inputs.words.get("heat_source", "")
    if "hot_metal" in inputs:
        hot = inputs.column("hot_metal") * one
    elif "source_temperature" in inputs and source in ("water", "hand"):
        hot = inputs.column("source_temperature") * one - 3
    else:
        hot = (room + 200.0) * one
    cold = (inputs.column("cold_metal") if "cold_metal" in inputs else inputs.column("sink_temperature") + 5.0) * one
    return _held(hot, cold)


def _first_blow(form: Geometry, hot: FloatArray, cold: FloatArray, pressure: FloatArray) -> FloatArray:
    moved = form.moved.max(axis=1) - form.moved.min(axis=1)
    return np.asarray(pressure * moved[:, None] / (287.05 * (hot + cold) / 2))


def _blow(state: State, shape: tuple[int, ...]) -> FloatArray:
    """Mass that goes through in one blow, mean of both faces, (samples, speeds) [kg]."""
    hot = np.maximum(state.flow_hot, 0.0).sum(axis=-1)
    cold = np.maximum(state.flow_cold, 0.0).sum(axis=-1)
    return np.asarray(np.maximum((hot + cold) / 2, 1e-12).reshape(shape))


def _turn(engine: _Engine, speed: FloatArray, point: _Point, *, rough: bool = False, effort: int = EFFORT) -> _Pass:
    """Solve the turn at given metal temperatures."""
    checkpoint()
    inputs, form, way, leaking = engine
    hot, cold = point.hot, point.cold
    shape, one = speed.shape, np.ones(speed.shape)
    room_pressure = inputs.column("room_pressure")
    blow = _first_blow(form, hot, cold, room_pressure) if point.blow is None else point.blow
    air = air_at(temperature=np.clip((hot + cold) / 2, 200.0, 1500.0), pressure=room_pressure * one)
    # each space's air lies between its wall and the mean; four parts wall to one part the other end
    near_hot, near_cold = (
        air_at(temperature=np.clip(0.8 * own + 0.2 * other, 200.0, 1500.0), pressure=room_pressure * one)
        for own, other in ((hot, cold), (cold, hot))
    )
    ga_hot, ga_cold = conductances(inputs, form, way, speed=speed, air_hot=near_hot, air_cold=near_cold)
    eps = effectiveness(inputs, way, speed=speed, blow=blow, air=air)

    def flat(values: FloatArray) -> FloatArray:
        return np.asarray((values * one).reshape(-1))

    ratio = gas.heat_capacity_ratio(gas=AIR, temperature=np.clip((hot + cold) / 2, 200.0, 1500.0))
    heater, cooler = (_exchanged(engine, end, speed=speed, blow=blow, air=air) for end in ("hot", "cold"))
    soft = _soft(inputs, form, hot, cold)
    turn = Turn(
        volume_hot=np.repeat(form.volume_hot, shape[1], axis=0),
        volume_cold=np.repeat(form.volume_cold, shape[1], axis=0),
        volume_gap=flat(form.volume_gap[:, None]),
        conductance_hot=ga_hot.reshape(-1, form.angles),
        conductance_cold=ga_cold.reshape(-1, form.angles),
        effectiveness=flat(np.clip(eps, 0.0, 1.0)),
        volume_heater=None if heater[1] is None else flat(heater[1][:, None]),
        volume_cooler=None if cooler[1] is None else flat(cooler[1][:, None]),
        effectiveness_heater=flat(heater[0]),
        effectiveness_cooler=flat(cooler[0]),
        temperature_hot=flat(hot),
        temperature_cold=flat(cold),
        temperature_room=flat(inputs.column("room_temperature")),
        pressure=flat(inputs.column("room_pressure")),
        leak=flat(leaking),
        speed=flat(speed),
        compliance_hot=None if soft is None else flat(soft[0]),
        compliance_cold=None if soft is None else flat(soft[1]),
        gas_constant=AIR.gas_constant,
        heat_capacity_ratio=flat(ratio),
    )
    state = solve(turn, start=point.state, rough=rough, effort=effort)
    return _Pass(
        air=air,
        net=network(inputs, form, air, hot=hot),
        state=state,
        effectiveness=eps,
        taken=state.heat_hot.reshape(shape) * speed / (2 * np.pi),
        given=-state.heat_cold.reshape(shape) * speed / (2 * np.pi),
    )


def _exchanged(
    engine: _Engine, end: str, *, speed: FloatArray, blow: FloatArray, air: Air
) -> tuple[FloatArray, FloatArray | None]:
    """Return effectiveness of the ``hot`` or ``cold`` metal on the way to its space, and the volume of its tubes.

    Air passes the clearance beside the metal, then the tubes: what is left of its difference is the product.
    """
    inputs = engine.inputs
    way = tubes(inputs, {"hot": "heater", "cold": "cooler"}[end])
    left = 1 - beside_effectiveness(inputs, engine.way, end, speed=speed, blow=blow, air=air)
    left = left * (1 - tube_effectiveness(inputs, way, speed=speed, blow=blow, air=air))
    return 1 - left, None if way is None else way.flow_area * way.length


def _soft(
    inputs: SampledInputs, form: Geometry, hot: FloatArray, cold: FloatArray
) -> tuple[FloatArray, FloatArray] | None:
    """Return what the ends give at these metal temperatures, or None where they are stiff."""
    if not flexes(inputs):
        return None
    pressure = _isothermal_pressure(form, hot, cold, inputs.column("room_pressure"))
    return compliances(inputs, form, np.ptp(pressure, axis=-1) / 2)


def _finish(engine: _Engine, speed: FloatArray, point: _Point, solved: _Pass) -> Operation:
    checkpoint()
    inputs, form, way, leaking = engine
    shape, state, air = speed.shape, solved.state, solved.air
    hot, cold = point.hot, point.cold
    pressure = state.pressure.reshape(*shape, -1)
    between, to_piston = flow_work(inputs, form, way, speed=speed, air=air)
    room = inputs.column("room_pressure")
    work, forced, fluctuation = shaft_work(inputs, form, pressure=pressure, room=room, drive_work=between + to_piston)
    return Operation(
        inputs=inputs,
        geometry=form,
        speed=speed,
        torque=torque(inputs, work=work, speed=speed),
        indicated=state.work.reshape(shape) - between - to_piston,
        shaft=work,
        forced=forced,
        fluctuation=fluctuation,
        flow=between + to_piston,
        isothermal=_isothermal_work(form, hot, cold, room),
        hot_metal=hot,
        cold_metal=cold,
        hot_gas=state.temperature_hot.mean(axis=-1).reshape(shape),
        cold_gas=state.temperature_cold.mean(axis=-1).reshape(shape),
        heat_taken=solved.taken,
        heat_given=solved.given,
        slopes=point.slopes,
        network=solved.net,
        effectiveness=solved.effectiveness,
        blow=_blow(state, shape),
        leak=leaking,
        state=state,
        converged=state.converged.reshape(shape),
    )


OVER_A_TURN = ("torque", "indicated", "shaft", "forced", "flow", "isothermal", "hot_gas", "cold_gas", "heat_taken",
               "heat_given")  # fmt: skip
"""What is known the better the finer the turn, of an operation, (samples, speeds)."""
OF_A_STATE = ("work", "heat_hot", "heat_cold", "leak_enthalpy", "mass")
"""The same of a state, (n,)."""


def _extrapolated(fine: Operation, half: Operation) -> Operation:
    """Take out what is wrong in proportion to the square of a step (Richardson); half the angles must have settled."""
    good = fine.converged & half.converged

    def better(a: FloatArray, b: FloatArray, where: NDArray[np.bool_]) -> FloatArray:
        return np.where(where, a + (a - b) / 3, a)

    whole = {name: better(getattr(fine.state, name), getattr(half.state, name), good.ravel()) for name in OF_A_STATE}
    state = replace(fine.state, **whole)  # type: ignore[arg-type]
    parts = {name: better(getattr(fine, name), getattr(half, name), good) for name in OVER_A_TURN}
    return replace(fine, state=state, **parts)  # type: ignore[arg-type]


def ideal_pressure(operation: Operation) -> FloatArray:
    """Return the pressure of the turn whose air has the metal's temperatures, (samples, speeds, angles) [Pa]."""
    o = operation
    return _isothermal_pressure(o.geometry, o.hot_metal, o.cold_metal, o.inputs.column("room_pressure"))


def _isothermal_work(form: Geometry, hot: FloatArray, cold: FloatArray, room: FloatArray) -> FloatArray:
    """Work of a turn whose spaces have the metal's temperatures, (samples, speeds) [J]."""
    pressure = _isothermal_pressure(form, hot, cold, room)
    total = form.volume_hot + form.volume_cold
    step = np.roll(total, -1, axis=1) - total
    middle = 0.5 * (pressure + np.roll(pressure, -1, axis=-1))
    return np.asarray((middle * step[:, None, :]).sum(axis=-1))


def _isothermal_pressure(form: Geometry, hot: FloatArray, cold: FloatArray, room: FloatArray) -> FloatArray:
    """Pressure of that turn, ends stiff, (samples, speeds, angles) [Pa]."""
    th, tc = hot, cold
    ratio = th / tc
    near = np.abs(ratio - 1) < 1e-6
    tg = np.where(near, tc, (th - tc) / np.log(np.where(near, 2.0, ratio)))
    return isothermal_pressure(
        volume_hot=form.volume_hot[:, None, :],
        volume_cold=form.volume_cold[:, None, :],
        volume_gap=form.volume_gap[:, None],
        temperature_hot=th,
        temperature_cold=tc,
        temperature_gap=tg,
        pressure_mean=room * np.ones_like(th),
    )
