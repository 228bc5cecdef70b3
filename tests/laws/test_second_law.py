"""What physics demands of every engine, looked for by hypothesis: entropy, Carnot, dead volume. Without a leak."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from model.cycle.periodic import solve
from tests.cycle.builds import Build, turn_of, without
from tests.cycle.closed_form import closed_form

GRID_ERROR = 1e-3
"""Share of the heats by which 96 angles may miss: the accuracy the grid is held to elsewhere."""


@st.composite
def engines(draw: st.DrawFn) -> Build:
    def share(low: float, high: float) -> float:
        return draw(st.floats(low, high, allow_nan=False))

    layout = draw(st.sampled_from(["alpha", "beta", "gamma"]))
    return Build(
        layout=layout,
        swept_cold=40e-6 * share(0.1, 1.5),
        dead_hot=40e-6 * share(0.02, 0.6),
        dead_cold=40e-6 * share(0.02, 0.6),
        dead_gap=40e-6 * share(0.005, 1.0),
        temperature_cold=300.0,
        temperature_hot=300.0 * share(1.0, 3.0),
        phase=share(0.0, 2 * np.pi),
        ntu_hot=10 ** share(-1.3, 3),
        ntu_cold=10 ** share(-1.3, 3),
        swing=share(0, 0.95),
        harmonic=draw(st.integers(1, 3)),
        effectiveness=share(0, 1),
        effectiveness_heater=share(0, 1),
        effectiveness_cooler=share(0, 1),
        heat_capacity_ratio=draw(st.sampled_from([1.4, 1.667])),
    )


@settings(max_examples=150, deadline=None, derandomize=True)
@given(engines())
def test_entropy_never_falls_and_carnot_is_never_beaten(build: Build) -> None:
    state = solve(turn_of([build], 96))
    assert state.converged.all()
    hot, cold, work = float(state.heat_hot[0]), float(state.heat_cold[0]), float(state.work[0])
    slack = GRID_ERROR * (abs(hot) + abs(cold))
    made = -hot / build.temperature_hot - cold / build.temperature_cold
    assert made >= -slack / build.temperature_cold
    if work > slack:
        assert hot > 0 > cold
        assert work / hot <= 1 - build.temperature_cold / build.temperature_hot + GRID_ERROR


def isothermal_work(build: Build) -> float:
    found = closed_form(
        layout=build.layout, swept_hot=build.swept_hot, swept_cold=build.swept_cold, dead_hot=build.dead_hot,
        dead_cold=build.dead_cold, dead_gap=build.dead_gap, temperature_hot=build.temperature_hot,
        temperature_cold=build.temperature_cold,
        temperature_gap=(build.temperature_hot + build.temperature_cold) / 2,
        phase=build.phase, pressure_mean=build.pressure,
    )  # fmt: skip
    return float(found.work)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(engines(), st.floats(1.0, 20.0))
def test_dead_volume_never_adds_work_at_full_exchange(build: Build, factor: float) -> None:
    """At a given mean pressure the work grows with d = B/S, and dead volume only adds to S."""
    for name in ("dead_hot", "dead_cold", "dead_gap"):
        more = without(build, **{name: getattr(build, name) * factor})
        assert abs(isothermal_work(more)) <= abs(isothermal_work(build)) * (1 + 1e-12)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(engines())
def test_full_exchange_gives_the_closed_forms_sign_and_no_more(build: Build) -> None:
    """Its ceiling is the closed form without any gap volume, since a gap is dead volume at whatever temperature."""
    state = solve(turn_of([without(build, ntu_hot=1e4, ntu_cold=1e4, swing=0.0, effectiveness=1.0)], 96))
    assert state.converged.all()
    ceiling = isothermal_work(without(build, dead_gap=1e-12))
    if abs(ceiling) > 1e-3 * build.pressure * build.swept_hot:
        assert 0 < float(state.work[0]) / ceiling < 1 + 2 * GRID_ERROR
