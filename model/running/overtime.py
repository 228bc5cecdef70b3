"""Heat over time: warm-up from lighting, and the fade as the cold side warms, the water cools or the ice melts.

Lumped heat capacities (hot metal, cold metal, the water that heats, what cools) on the conductances of
`model.running.balance`; what the air takes at each temperature difference comes from a table of turns. Steps are
implicit, so that any capacity is stable, and every heat is added up from the same stages, so that the energy closes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.physics.values import BoolArray, FloatArray, median
from model.quantities.constants import FUSION_OF_ICE
from model.running.operate import Operation, operate
from model.running.points import find_points, smooth
from model.running.samples import SampledInputs

WATER_HEAT = 4190.0
"""Specific heat of water between 40 and 95 C, [J/(kg K)] [CRC]."""
GUESSES = {
    "water_mass": 0.25,
    "ice_mass": 0.1,
    "hot_end_thickness": 1.0e-3,
    "cold_end_thickness": 1.5e-3,
    "hot_end_capacity": 3.0e6,
    "cold_end_capacity": 2.5e6,
}
"""What is not among the inputs: a mug of 0.2 to 0.3 kg, a bag of 0.05 to 0.15 kg of ice, plates of sheet metal, [kg],
[m], [J/(m^3 K)]; common practice, no source."""
CUP_COEFFICIENT, ICE_COEFFICIENT = 10.0, 8.0
"""From mug or ice to the room over its surface, [W/(m^2 K)]; common practice, no source."""
SHARES = np.geomspace(0.03, 1.0, 7)
"""Temperature differences of the table, over the largest that can be."""
SPEEDS = np.geomspace(0.1, 8.0, 7)
"""Speeds of the table, over the reference speed."""
LONGEST = 12 * 3600.0
"""For so long the end of the run is looked for, [s]."""
LATER_STEPS = 60
RAMP = 0.15
"""The air takes its full share from so far above the least difference on, over that: near it, it turns ever slower."""
HOT, COLD, SOURCE, SINK = range(4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class History:
    """An engine from lighting on; arrays (samples, n) unless said, SI."""

    time: FloatArray
    """(n,) since lighting, [s]; finer at the beginning."""
    hot_metal: FloatArray
    cold_metal: FloatArray
    source_temperature: FloatArray | None
    """Of water, hand or flame, [K]; None where the source is a power (resistor, sun) or unknown."""
    sink_temperature: FloatArray
    running: BoolArray
    speed: FloatArray
    """Running speed, [rad/s]: the stated one, or the free-running one where that is lower; 0 while it stands."""
    shaft_power: FloatArray
    """At the running speed, [W]."""
    best_power: FloatArray
    """Highest over speed at these temperatures, [W]; 0 while it stands."""
    free_speed: FloatArray
    """At these temperatures, [rad/s]; 0 while it stands."""
    ice_left: FloatArray
    """[kg]; 0 without ice."""
    supplied: FloatArray
    """Heat into the hot metal since lighting, [J]; what holds its temperature where that is held."""
    lost: FloatArray
    """Heat from the hot metal to the room, [J]."""
    rejected: FloatArray
    """Heat from the cold metal to what cools it, [J]."""
    work: FloatArray
    """Heat taken from the hot metal less heat given to the cold one, by the air, [J]."""
    capacity_hot: FloatArray
    """(samples,) of the hot metal, [J/K]; nil where its temperature is held."""
    capacity_cold: FloatArray
    """(samples,) of the cold metal, [J/K]."""
    tried_difference: FloatArray
    """(samples, k) temperature differences of the metals at which it was tried, ascending, [K]."""
    tried_power: FloatArray
    """(samples, k) best shaft power at each, [W]; where it does not run, what is missing at the stated speed."""
    least_difference: FloatArray
    """(samples,) temperature difference of the metals above which it can run, [K]; infinite if never."""
    warm_up: FloatArray
    """(samples,) time from lighting until it can first run, [s]; infinite if never."""
    run_time: FloatArray
    """(samples,) time from lighting until it no longer can, [s]; infinite if it still can after twelve hours, or never
    could."""


class _Nodes(NamedTuple):
    """Conductances [W/K], capacities and temperatures of the lumps, each (samples,)."""

    supply: FloatArray
    power: FloatArray
    loss: FloatArray
    along: FloatArray
    cooling: FloatArray
    cup: FloatArray
    gain: FloatArray
    room: FloatArray
    start: FloatArray
    """(samples, 4) [K]."""
    inverse: FloatArray
    """(samples, 4) one over the heat capacity, [K/J]; nil for a temperature that is held."""
    latent: FloatArray
    """Heat that melts the ice, [J]."""
    after: FloatArray
    """One over the heat capacity of the melted ice, [K/J]."""


class _Table(NamedTuple):
    """What the engine does at each difference of its metals, (samples, k)."""

    difference: FloatArray
    taken: FloatArray
    """For each kelvin, [W/K]."""
    given: FloatArray
    speed: FloatArray
    power: FloatArray
    best: FloatArray
    missing: FloatArray
    """As `best`, negative where it does not run, [W]."""
    free: FloatArray
    least: FloatArray
    """(samples,) least difference at which it runs, [K]."""


def over_time(
    inputs: SampledInputs, *, speed: FloatArray | float, free: bool = False, minutes: float = 30.0, steps: int = 60
) -> History:
    """Follow a batch of engines from lighting (or pouring) on.

    Parameters
    ----------
    inputs : SampledInputs
        The engines, (samples,). Optional beside the fields: `water_mass`, `ice_mass` [kg];
        `cup_loss`, `ice_gain` [W/K]; `hot_end_thickness`, `cold_end_thickness` [m]; `hot_end_capacity`,
        `cold_end_capacity` [J/(m^3 K)].
    speed : float or array (samples,)
        Speed that its load lets it run at, [rad/s]; it runs slower where it cannot keep that.
    free : bool
        Whether it runs free instead; `speed` is then only near which to look.
    minutes : float
        Length of the history, [min].
    steps : int
        Steps of the history.

    Returns
    -------
    History
        Temperatures, power and speed over time, and when it can run.

    Notes
    -----
    It stands until its metals differ by the least difference, is flicked then, and runs until they no longer do. A
    measured metal temperature is taken as that of the steady state: source or cooling are scaled to give it. The table
    is made at the cold metal's steady temperature, and its air follows the metals at once.
    """
    wanted = np.broadcast_to(np.asarray(speed, float), (inputs.size,))
    steady = operate(inputs, wanted[:, None])
    nodes = _nodes(inputs, steady)
    table = _table(inputs, steady, nodes, wanted, free)
    grid = minutes * 60 * (np.arange(steps + 1) / steps) ** 2
    beyond = grid[-1] * (max(LONGEST / grid[-1], 1.0)) ** (np.arange(1, LATER_STEPS + 1) / LATER_STEPS)
    time = np.concatenate([grid, beyond[beyond > grid[-1]]])
    track = _march(nodes, table, time)
    return _history(inputs, nodes, table, time, track, steps + 1)


def _given(inputs: SampledInputs, name: str) -> FloatArray:
    return inputs[name] if name in inputs else np.full(inputs.size, GUESSES[name])


def _round_body(mass: FloatArray) -> FloatArray:
    """Surface of side and bottom of so much water as high as it is wide, [m^2]."""
    wide = np.cbrt(4 * mass / (np.pi * 1000.0))
    return np.asarray(1.25 * np.pi * wide**2)


def _capacities(inputs: SampledInputs, steady: Operation) -> tuple[FloatArray, FloatArray]:
    """Heat capacities of hot and cold metal, (samples,) [J/K]: the ends, and half of the wall between them each."""
    form = steady.geometry
    wall = inputs["wall_capacity"] * inputs["wall_thickness"] * np.pi * form.bore_hot * form.wall_length
    hot = _given(inputs, "hot_end_capacity") * form.area_hot * _given(inputs, "hot_end_thickness")
    surface = form.area_cold
    if "cold_area" in inputs:
        both_faces = 0.5 if inputs.words.get("cold_side") == "fins" else 1.0
        surface = np.maximum(both_faces * inputs["cold_area"], form.area_cold)
    cold = _given(inputs, "cold_end_capacity") * surface * _given(inputs, "cold_end_thickness")
    return hot + wall / 2, cold + wall / 2


def _source(inputs: SampledInputs, steady: Operation) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return conductance from the source [W/K], its temperature [K], and the heat that comes whatever it is [W]."""
    net, word = steady.network, inputs.words.get("heat_source", "")
    slope, base = net.source_slope[:, 0], net.source[:, 0]
    hot, cold = steady.hot_metal[:, 0], steady.cold_metal[:, 0]
    needed = np.maximum(
        np.maximum(steady.heat_taken[:, 0], 0.0)
        + net.conduction[:, 0] * (hot - cold)
        + net.loss[:, 0] * (hot - net.room[:, 0]),
        1e-9,
    )
    measured = net.fixed_hot is not None
    if word in ("electric", "sun"):
        return np.zeros_like(hot), hot, needed if measured else base
    warm = {"water": "source_temperature", "hand": "source_temperature"}.get(word, "flame_temperature")
    at = inputs[warm] if word and warm in inputs else hot
    if measured:
        at = np.maximum(at, hot + 3.0)
        slope = needed / (at - hot)
    return slope, at, np.zeros_like(hot)


def _nodes(inputs: SampledInputs, steady: Operation) -> _Nodes:
    net, words = steady.network, inputs.words
    supply, source, power = _source(inputs, steady)
    hot, cold = steady.hot_metal[:, 0], steady.cold_metal[:, 0]
    sink, room, cooling = net.sink[:, 0], net.room[:, 0], net.cooling[:, 0]
    if net.fixed_cold is not None:
        rejected = np.maximum(steady.heat_given[:, 0] + net.conduction[:, 0] * (hot - cold), 1e-9)
        cooling = np.where(cold > sink + 0.5, rejected / np.maximum(cold - sink, 0.5), cooling)
    nothing = np.zeros(inputs.size)
    held_hot = net.fixed_hot is not None and not words.get("heat_source")
    size_hot, size_cold = _capacities(inputs, steady)
    inverse = np.stack([0 * hot if held_hot else 1 / size_hot, 1 / size_cold, nothing, nothing], axis=1)
    cup, gain, latent, after = nothing, nothing, nothing, nothing
    if words.get("heat_source") == "water":
        mass = _given(inputs, "water_mass")
        inverse[:, SOURCE] = 1 / (mass * WATER_HEAT)
        cup = inputs["cup_loss"] if "cup_loss" in inputs else CUP_COEFFICIENT * _round_body(mass)
    if words.get("cold_side") == "ice":
        ice = _given(inputs, "ice_mass")
        latent, after = ice * FUSION_OF_ICE, 1 / (ice * WATER_HEAT)
        gain = inputs["ice_gain"] if "ice_gain" in inputs else ICE_COEFFICIENT * _round_body(ice)
    return _Nodes(
        supply=supply, power=power, loss=net.loss[:, 0], along=net.conduction[:, 0], cooling=cooling, cup=cup,
        gain=gain, room=room, start=np.stack([hot if held_hot else room, room, source, sink], axis=1), inverse=inverse,
        latent=latent, after=after,
    )  # fmt: skip


def _table(inputs: SampledInputs, steady: Operation, nodes: _Nodes, speed: FloatArray, free: bool) -> _Table:
    """Run the engine at differences up to the largest that can be: standing, cold end as cold as it can get."""
    room, sink, source = nodes.room, nodes.start[:, SINK], nodes.start[:, SOURCE]
    own = nodes.supply + nodes.loss
    standing = (nodes.supply * source + nodes.power + nodes.loss * room) / np.maximum(own, 1e-9)
    top = np.maximum(np.clip(np.maximum(standing, nodes.start[:, HOT]), 1.0, 1490.0) - np.minimum(room, sink), 1.0)
    difference = np.concatenate([np.full((inputs.size, 1), 0.1), np.maximum(top[:, None] * SHARES, 0.2)], axis=1)
    many = difference.shape[1]
    cold = np.repeat(np.clip(steady.cold_metal[:, 0], 215.0, 1300.0), many)
    tried = inputs.repeated(many).changed(hot_metal=cold + difference.ravel(), cold_metal=cold)
    speeds = np.repeat(speed, many)[:, None] * SPEEDS
    runs = operate(tried, speeds, passes=2)
    points = find_points(runs, reference=median(speed))
    spare = points.spare_torque.reshape(difference.shape)
    free_speed = np.where(points.runs, np.nan_to_num(points.free_speed), speeds[:, 0])
    at = np.clip(free_speed if free else np.minimum(np.repeat(speed, many), free_speed), speeds[:, 0], speeds[:, -1])

    def there(values: FloatArray) -> FloatArray:
        return smooth(np.log(speeds), values, np.log(at)[:, None])[:, 0].reshape(difference.shape)

    metals = (runs.hot_metal - runs.cold_metal)[:, :1]
    power = np.where(points.runs, at, 0.0).reshape(difference.shape) * np.maximum(there(runs.torque), 0.0)
    return _Table(
        difference=difference,
        taken=there(np.maximum(runs.heat_taken, 0.0) / metals),
        given=there(np.maximum(runs.heat_given, 0.0) / metals),
        speed=at.reshape(difference.shape),
        power=np.zeros_like(power) if free else power,
        best=np.maximum(points.best_power, 0.0).reshape(difference.shape),
        missing=points.best_power.reshape(difference.shape),
        free=np.where(points.runs, free_speed, 0.0).reshape(difference.shape),
        least=_least(difference, spare),
    )


def _least(difference: FloatArray, spare: FloatArray) -> FloatArray:
    """Return the difference above which there is torque to spare, (samples,); infinite if there is not at the end."""
    spare = np.where(spare < -1e8, -np.abs(spare[:, -1:]), spare)
    bad = spare <= 0
    last = np.where(bad.any(axis=1), bad.shape[1] - 1 - bad[:, ::-1].argmax(axis=1), -1)
    rows = np.arange(len(last))
    i = np.clip(last, 0, bad.shape[1] - 2)
    a, b = spare[rows, i], spare[rows, i + 1]
    share = np.clip(-a / np.where(b > a, b - a, 1.0), 0.0, 1.0)
    crossed = difference[rows, i] + share * (difference[rows, i + 1] - difference[rows, i])
    least = np.where(last < 0, difference[:, 0], crossed)
    return np.where(last == bad.shape[1] - 1, np.inf, least)


def _look(table: _Table, column: FloatArray, difference: FloatArray) -> FloatArray:
    """Interpolate a column of the table for every sample, straight between rows, held at its ends; (samples,)."""
    x = table.difference
    at = np.clip(difference, x[:, 0], x[:, -1])
    i = np.clip((x <= at[:, None]).sum(axis=1) - 1, 0, x.shape[1] - 2)
    rows = np.arange(len(x))
    share = (at - x[rows, i]) / (x[rows, i + 1] - x[rows, i])
    return np.asarray(column[rows, i] + share * (column[rows, i + 1] - column[rows, i]))


class _Track(NamedTuple):
    """Temperatures (steps, samples, 4), whether it runs, ice melted [J], and heats added up (steps, samples, 4) [J]."""

    at: FloatArray
    running: BoolArray
    melted: FloatArray
    heats: FloatArray


def _march(nodes: _Nodes, table: _Table, time: FloatArray) -> _Track:
    at, heats = [nodes.start], [np.zeros_like(nodes.start)]
    melted = np.zeros(len(nodes.room))
    running = [nodes.start[:, HOT] - nodes.start[:, COLD] >= table.least]
    all_melted = [melted]
    inverse = nodes.inverse.copy()
    icy = nodes.latent > 0
    for dt in np.diff(time):
        here = at[-1]
        later = here
        for _ in range(2):
            middle = (here + later) / 2
            apart = middle[:, HOT] - middle[:, COLD]
            works = np.clip((apart / table.least - 1) / RAMP, 0.0, 1.0)
            taken, given = (works * _look(table, column, apart) for column in (table.taken, table.given))
            later, flows = _step(nodes, inverse, taken, given, here, float(dt))
        into = flows[:, 2] + flows[:, 3]
        before, melted = melted, np.where(icy, np.clip(melted + into, 0.0, None), 0.0)
        spent = melted >= nodes.latent
        over = np.where(icy & spent & (before < nodes.latent), melted - nodes.latent, 0.0)
        later[:, SINK] += over * nodes.after
        inverse[:, SINK] = np.where(icy & spent, nodes.after, inverse[:, SINK])
        at.append(later)
        heats.append(heats[-1] + np.stack([flows[:, 0], flows[:, 1], flows[:, 2], flows[:, 4]], axis=1))
        running.append(later[:, HOT] - later[:, COLD] >= table.least)
        all_melted.append(melted)
    return _Track(np.array(at), np.array(running), np.array(all_melted), np.array(heats))


def _step(
    nodes: _Nodes, inverse: FloatArray, taken: FloatArray, given: FloatArray, here: FloatArray, dt: float
) -> tuple[FloatArray, FloatArray]:
    """Take one step; return temperatures and heats: supplied, lost, rejected, gain, work.

    Two half steps of Euler's implicit rule, twice, less one whole step: second order, and what is faster than the step
    follows at once (it overshoots by 3.6 % of a jump at most).
    """
    first, heats_1 = _euler(nodes, inverse, taken, given, here, dt / 2)
    second, heats_2 = _euler(nodes, inverse, taken, given, first, dt / 2)
    whole, heats = _euler(nodes, inverse, taken, given, here, dt)
    return 2 * second - whole, 2 * (heats_1 + heats_2) - heats


def _euler(
    nodes: _Nodes, inverse: FloatArray, taken: FloatArray, given: FloatArray, here: FloatArray, dt: float
) -> tuple[FloatArray, FloatArray]:
    matrix, fixed = _system(nodes, taken, given)
    system = np.eye(4) - dt * inverse[:, :, None] * matrix
    later = np.asarray(np.linalg.solve(system, (here + dt * inverse * fixed)[:, :, None])[:, :, 0], np.float64)
    hot, cold, source, sink = later.T
    apart = hot - cold
    lost = nodes.loss * (hot - nodes.room)
    pinned = inverse[:, HOT] == 0
    flows = (
        np.where(pinned, lost + (nodes.along + taken) * apart, nodes.supply * (source - hot) + nodes.power),
        lost,
        nodes.cooling * (cold - sink),
        nodes.gain * (nodes.room - sink),
        (taken - given) * apart,
    )
    return later, dt * np.stack(flows, axis=1)


def _system(nodes: _Nodes, taken: FloatArray, given: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return heat into each node as matrix (samples, 4, 4) times temperatures plus a fixed part (samples, 4)."""
    matrix = np.zeros((len(taken), 4, 4))
    s, k = nodes.supply, nodes.cooling
    hot, cold = nodes.along + taken, nodes.along + given
    matrix[:, HOT, HOT], matrix[:, HOT, COLD], matrix[:, HOT, SOURCE] = -s - nodes.loss - hot, hot, s
    matrix[:, COLD, HOT], matrix[:, COLD, COLD], matrix[:, COLD, SINK] = cold, -cold - k, k
    matrix[:, SOURCE, HOT], matrix[:, SOURCE, SOURCE] = s, -s - nodes.cup
    matrix[:, SINK, COLD], matrix[:, SINK, SINK] = k, -k - nodes.gain
    fixed = np.stack(
        [nodes.power + nodes.loss * nodes.room, 0 * s, nodes.cup * nodes.room, nodes.gain * nodes.room], axis=1
    )
    return matrix, fixed


def _crossings(time: FloatArray, apart: FloatArray, least: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return when the difference first reaches the least one and when it last falls below it, (samples,) [s]."""
    never = ~np.isfinite(least)
    above = apart - np.where(never, 0.0, least)[:, None]
    on = (above >= 0) & ~never[:, None]
    rows = np.arange(len(least))
    first = on.argmax(axis=1)
    begun = np.where(first > 0, _cross(time, above, rows, np.maximum(first - 1, 0)), time[0])
    last = on.shape[1] - 1 - on[:, ::-1].argmax(axis=1)
    ended = _cross(time, above, rows, np.minimum(last, on.shape[1] - 2))
    some = on.any(axis=1)
    return np.where(some, begun, np.inf), np.where(some & (last < on.shape[1] - 1), ended, np.inf)


def _cross(time: FloatArray, above: FloatArray, rows: NDArray[np.intp], i: NDArray[np.intp]) -> FloatArray:
    a, b = above[rows, i], above[rows, i + 1]
    share = np.clip(a / np.where(a != b, a - b, 1.0), 0.0, 1.0)
    return np.asarray(time[i] + share * (time[i + 1] - time[i]))


def _history(
    inputs: SampledInputs, nodes: _Nodes, table: _Table, time: FloatArray, track: _Track, on_grid: int
) -> History:
    hot, cold, source, sink = (track.at[:, :, node].T for node in range(4))
    warm_up, run_time = _crossings(time, hot - cold, table.least)
    running = track.running.T[:, :on_grid]

    def now(column: FloatArray) -> FloatArray:
        rows = [_look(table, column, apart) for apart in (hot - cold).T[:on_grid]]
        return np.where(running, np.stack(rows, axis=1), 0.0)

    has_temperature = inputs.words.get("heat_source", "") in ("water", "hand", "candle", "spirit", "gas")
    supplied, lost, rejected, work = (track.heats[:on_grid, :, part].T for part in range(4))
    free = now(table.free)
    speed = np.minimum(now(table.speed), free)
    capacity_hot, capacity_cold = (
        np.where(one > 0, 1 / np.where(one > 0, one, 1.0), 0.0)
        for one in (nodes.inverse[:, HOT], nodes.inverse[:, COLD])
    )
    history = History(
        time=time[:on_grid], hot_metal=hot[:, :on_grid], cold_metal=cold[:, :on_grid],
        source_temperature=source[:, :on_grid] if has_temperature else None, sink_temperature=sink[:, :on_grid],
        running=running, speed=speed, shaft_power=now(table.power), best_power=now(table.best), free_speed=free,
        ice_left=np.maximum(nodes.latent[:, None] - track.melted.T[:, :on_grid], 0.0) / FUSION_OF_ICE,
        supplied=supplied, lost=lost, rejected=rejected, work=work, capacity_hot=capacity_hot,
        capacity_cold=capacity_cold, tried_difference=table.difference, tried_power=table.missing,
        least_difference=table.least, warm_up=warm_up, run_time=run_time,
    )  # fmt: skip
    for name in ("time", "hot_metal", "cold_metal", "shaft_power", "free_speed"):
        getattr(history, name).setflags(write=False)
    return history
