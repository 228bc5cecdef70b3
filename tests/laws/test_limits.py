"""Limits, symmetries and scaling of the periodic turn: exact, or exact but for the grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from model.cycle.periodic import Turn, solve
from tests.cycle.builds import Build, random_builds, turn_of, volumes, without

SAME = 1e-8
"""Relative: Newton stops when a step changes less than 1e-6, and its last step squares that."""


def mild(count: int, *, seed: int) -> list[Build]:
    """Random builds without the weakest heat exchange, whose results are small differences of large numbers."""
    return [
        without(b, ntu_hot=max(b.ntu_hot, 0.05), ntu_cold=max(b.ntu_cold, 0.05))
        for b in random_builds(count, seed=seed)
    ]


def work_scale(builds: list[Build], state) -> np.ndarray:
    """Pressure swing times volume swing."""
    angle = np.linspace(0, 2 * np.pi, 200)
    swing = np.array([np.ptp(sum(volumes(b, angle))) for b in builds])
    return swing * np.ptp(state.pressure, axis=1)


def test_opposite_phase_gives_opposite_work_at_full_heat_exchange() -> None:
    """Common practice, no source. With a perfect gap, whose air then lies between the walls' temperatures both ways."""
    builds = [
        without(Build(layout=layout), swept_cold=k * 40e-6, phase=phase, ntu_hot=1e4, ntu_cold=1e4, effectiveness=1.0)
        for layout in ("alpha", "gamma", "beta")
        for k in (0.2, 0.9)
        for phase in (0.7, np.pi / 2, 2.2)
    ]
    forward = solve(turn_of(builds, 96))
    backward = solve(turn_of([without(b, phase=-b.phase) for b in builds], 96))
    assert (forward.work > 0).all()
    np.testing.assert_allclose(backward.work, -forward.work, rtol=1e-3)


def test_opposite_phase_gives_less_than_the_opposite_work_at_weak_exchange() -> None:
    """What is lost is lost both ways: forward and backward work add up to a loss."""
    builds = [without(Build(), ntu_hot=n, ntu_cold=n) for n in (0.1, 0.5, 2.0)]
    forward = solve(turn_of(builds, 96))
    backward = solve(turn_of([without(b, phase=-b.phase) for b in builds], 96))
    assert (forward.work + backward.work < 0).all()


@pytest.mark.parametrize("ntu", [0.1, 1.0, 30.0])
def test_the_displacer_alone_gives_no_power_at_any_exchange(ntu: float) -> None:
    """The total volume stands still, whatever the pressure does; the piston is a billionth."""
    build = without(Build(), swept_cold=10e-15, ntu_hot=ntu, ntu_cold=ntu)
    state = solve(turn_of([build], 64))
    assert state.converged.all()
    assert abs(float(state.work[0])) < 1e-8 * build.pressure * build.swept_hot
    assert np.ptp(state.pressure) > 0.01 * build.pressure


def test_names_of_hot_and_cold_can_be_exchanged() -> None:
    turn = turn_of([without(b, leak=0.0) for b in mild(60, seed=1)], 64)
    swapped = replace(
        turn,
        volume_hot=turn.volume_cold,
        volume_cold=turn.volume_hot,
        conductance_hot=turn.conductance_cold,
        conductance_cold=turn.conductance_hot,
        effectiveness_heater=turn.effectiveness_cooler,
        effectiveness_cooler=turn.effectiveness_heater,
        temperature_hot=turn.temperature_cold,
        temperature_cold=turn.temperature_hot,
    )
    one, other = solve(turn), solve(swapped)
    assert one.converged.all()
    assert other.converged.all()
    scale = np.abs(one.heat_hot) + np.abs(one.heat_cold) + np.abs(one.work)
    np.testing.assert_array_less(np.abs(one.work - other.work) / scale, SAME)
    np.testing.assert_array_less(np.abs(one.heat_hot - other.heat_cold) / scale, SAME)
    np.testing.assert_allclose(one.face_hot, other.face_cold, rtol=SAME)


def test_an_even_alpha_at_one_temperature_cannot_tell_its_sides_apart() -> None:
    """Equal cylinders, equal heat exchange, no difference of temperature: both ways round are the same engine."""
    even = without(Build(), layout="alpha", swept_cold=40e-6, dead_cold=6e-6, temperature_hot=320.0, effectiveness=0.6)
    state = solve(turn_of([even, without(even, phase=-even.phase)], 96))
    assert state.work[0] == pytest.approx(state.work[1], rel=SAME)
    assert state.heat_hot[0] == pytest.approx(state.heat_cold[1], rel=SAME)
    assert state.work[0] < 0


def scaled_turns(turn: Turn, size: float, pressure: float, speed: float) -> Turn:
    """The same engine larger, at more pressure and faster, with the exchange that goes with it."""
    factor = size * pressure * speed
    return replace(
        turn,
        volume_hot=turn.volume_hot * size,
        volume_cold=turn.volume_cold * size,
        volume_gap=turn.volume_gap * size,
        volume_heater=None if turn.volume_heater is None else turn.volume_heater * size,
        volume_cooler=None if turn.volume_cooler is None else turn.volume_cooler * size,
        pressure=turn.pressure * pressure,
        speed=turn.speed * speed,
        conductance_hot=turn.conductance_hot * factor,
        conductance_cold=turn.conductance_cold * factor,
        leak=turn.leak * size * speed / pressure,
    )


@pytest.mark.parametrize(
    ("size", "pressure", "speed"), [(7.3, 1.0, 1.0), (1.0, 3.1, 1.0), (1.0, 1.0, 11.0), (2.0, 0.3, 5.0)]
)
def test_work_scales_with_size_and_pressure_and_not_with_speed(size: float, pressure: float, speed: float) -> None:
    turn = turn_of(mild(60, seed=2), 64)
    one, other = solve(turn), solve(scaled_turns(turn, size, pressure, speed))
    assert one.converged.all()
    scale = np.abs(one.heat_hot) + np.abs(one.work)
    np.testing.assert_array_less(np.abs(other.work / (size * pressure) - one.work) / scale, SAME)
    np.testing.assert_array_less(np.abs(other.heat_hot / (size * pressure) - one.heat_hot) / scale, SAME)
    np.testing.assert_allclose(other.temperature_hot, one.temperature_hot, rtol=1e-6)


def test_temperatures_scale_together() -> None:
    """Nothing but ratios of temperature counts: all a tenth hotter, with as much less exchange, gives the same work."""
    turn = turn_of(mild(60, seed=4), 64)
    warm = replace(
        turn,
        temperature_hot=turn.temperature_hot * 1.1,
        temperature_cold=turn.temperature_cold * 1.1,
        temperature_room=turn.temperature_room * 1.1,
        conductance_hot=turn.conductance_hot / 1.1,
        conductance_cold=turn.conductance_cold / 1.1,
    )
    one, other = solve(turn), solve(warm)
    scale = np.abs(one.heat_hot) + np.abs(one.work)
    np.testing.assert_array_less(np.abs(other.work - one.work) / scale, SAME)
    np.testing.assert_allclose(other.temperature_hot, one.temperature_hot * 1.1, rtol=1e-6)


def test_where_the_turn_begins_does_not_matter() -> None:
    turn = turn_of(mild(60, seed=5), 64)
    later = replace(
        turn,
        **{
            name: np.roll(getattr(turn, name), 17, axis=1)
            for name in ("volume_hot", "volume_cold", "conductance_hot", "conductance_cold")
        },
    )
    one, other = solve(turn), solve(later)
    scale = np.abs(one.heat_hot) + np.abs(one.work)
    np.testing.assert_array_less(np.abs(other.work - one.work) / scale, SAME)
    np.testing.assert_allclose(np.roll(one.pressure, 17, axis=1), other.pressure, rtol=SAME)


def test_where_the_search_begins_does_not_matter() -> None:
    """Starts from other engines' answers, from each other's, and from nothing."""
    builds = mild(80, seed=6)
    turn = turn_of(builds, 64)
    fresh = solve(turn)
    strangers = solve(turn_of([without(b, ntu_hot=3.0, ntu_cold=3.0, effectiveness=0.5, leak=0.0) for b in builds], 64))
    assert fresh.converged.all()
    scale = np.abs(fresh.heat_hot) + np.abs(fresh.heat_cold) + np.abs(fresh.work)
    for start in (strangers, fresh):
        again = solve(turn, start=start)
        assert again.converged.all()
        np.testing.assert_array_less(np.abs(again.work - fresh.work) / scale, SAME)
        np.testing.assert_array_less(np.abs(again.heat_hot - fresh.heat_hot) / scale, SAME)


def test_no_heat_exchange_at_all_has_its_named_reason() -> None:
    nothing = without(Build(), ntu_hot=0.0, ntu_cold=0.0)
    state = solve(turn_of([nothing, Build()], 64))
    assert list(state.converged) == [False, True]
    assert state.reason == ("no heat can reach the air: both conductances and both exchangers are nil",)


def test_an_item_does_not_feel_its_neighbours() -> None:
    """Hopeless and stubborn neighbours included. Rounding may differ with the length of the batch, no more."""
    builds = [*random_builds(40, seed=7), without(Build(), ntu_hot=0.0, ntu_cold=0.0), Build()]
    together = solve(turn_of(builds, 64))
    for i, build in enumerate(builds):
        alone = solve(turn_of([build], 64))
        assert alone.converged[0] == together.converged[i]
        if alone.converged[0]:
            scale = abs(alone.heat_hot[0]) + abs(alone.work[0])
            assert abs(alone.work[0] - together.work[i]) < 1e-9 * scale
            assert abs(alone.heat_hot[0] - together.heat_hot[i]) < 1e-9 * scale


def test_solving_twice_gives_the_same_bits() -> None:
    turn = turn_of(random_builds(40, seed=8), 64)
    one, other = solve(turn), solve(turn)
    assert (one.work == other.work).all()
    assert (one.pressure == other.pressure).all()
