"""The charts of a mark against the solver's own figures, and against what is known of an ideal turn."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from model.curves.basis import Basis, basis_of, ends
from model.curves.chart import Chart, Points
from model.curves.curves import COMES, ORDER, curves_stepwise
from model.curves.measured import seen_on
from model.curves.over_speed import speed_charts
from model.curves.over_turn import ANGLES, arcs_of, one_turn, turn_charts
from model.curves.ranges import at
from model.curves.where_watts_go import watts_chart
from model.cycle.isothermal import isothermal_pressure
from model.quantities.units import from_si
from model.record import Entry, Mark, Project, Reading
from model.running.spread import interval

FLAT = {
    "layout": "gamma", "piston_bore": "14 mm", "piston_throw": "3 mm", "displacer_bore": "110 mm",
    "side_clearance": "2 mm", "displacer_length": "10 mm", "displacer_throw": "4 mm", "displacer_material": "eps",
    "hot_end_material": "aluminium", "cold_end_material": "aluminium", "wall_material": "acrylic", "phase": "90 deg",
    "heat_source": "water", "source_temperature": "90 C", "cold_side": "air", "room_temperature": "20 C",
    "friction_torque": "0.02 mN m",
}  # fmt: skip


def project(build: Mapping[str, str] = FLAT, **readings: Reading) -> Project:
    """Return a prototype of one mark, its readings in one entry."""
    entry = Entry(key="e", day="2026-11-20", mark=1, readings=readings)
    return Project(name="Flat", marks={1: Mark(number=1, build=build)}, entries={"e": entry} if readings else {})


@pytest.fixture
def basis(few_drawn: None) -> Basis:
    made = basis_of(project(), 1)
    assert made
    return made


def by_key(charts: tuple[Chart, ...]) -> dict[str, Chart]:
    return {chart.key: chart for chart in charts}


def test_the_charts_of_a_turn_are_the_solved_turn(basis: Basis) -> None:
    turn = one_turn(basis)
    charts = by_key(turn_charts(turn))
    o = turn.operation
    # the loop's area, by trapezoids of what is drawn, is the work that the air does; 0.5 %: 120 straight pieces miss
    # some 1e-3 of a round loop's area, the solved work is without its error of angles
    loop = charts["loop"].series[0]
    area = sum(
        (x1 - x0) * (y0 + y1) / 2 for x0, x1, y0, y1 in zip(loop.x, loop.x[1:], loop.y, loop.y[1:], strict=False)
    )
    assert area == pytest.approx(float(o.state.work[0]), rel=5e-3)
    assert (loop.x[0], loop.y[0]) == (loop.x[-1], loop.y[-1])
    ideal = charts["loop"].series[1]
    ceiling = sum(
        (x1 - x0) * (y0 + y1) / 2 for x0, x1, y0, y1 in zip(ideal.x, ideal.x[1:], ideal.y, ideal.y[1:], strict=False)
    )
    assert ceiling == pytest.approx(float(o.isothermal[0, 0]), rel=5e-3)
    assert 0 < area < ceiling
    # and so is the mean of the torque over the turn
    torque = charts["torque"].series[0].y[:-1]
    assert 2 * math.pi * sum(torque) / ANGLES == pytest.approx(area, rel=5e-3)
    # two arcs driven and two carried at a phase of a quarter turn (common practice), told round the circle
    arcs = charts["torque"].arcs
    joined = arcs[1:] if arcs[0].driven == arcs[-1].driven else arcs
    assert [arc.driven for arc in joined].count(True) == [arc.driven for arc in joined].count(False) == 2
    assert (arcs[0].begin, arcs[-1].end) == (0.0, pytest.approx(2 * math.pi))
    # and the shares of the watts are the solver's
    bars = {bar.label: bar.value for bar in watts_chart(turn).bars}
    assert bars["Shaft power"] == pytest.approx(float((o.torque * o.speed)[0, 0]))
    assert bars["Indicated power"] - bars["Lost in the crank"] - bars["Lost to friction"] == pytest.approx(
        bars["Shaft power"], rel=1e-9
    )


def test_the_ideal_turn_has_four_arcs_of_exactly_a_quarter() -> None:
    """Sine volumes a quarter turn apart, every space at its temperature, a small stroke.

    To first order the pressure is a sine of the angle and the torque one of twice the angle about its mean, so that the
    arcs are quarters; a ten-thousandth of the volume moved leaves 1e-3 rad.
    """
    angle = np.linspace(0.0, 2 * np.pi, 721)
    small = 1e-4
    hot = 1 + small * (1 - np.cos(angle)) / 2
    cold = 1 + small * (1 + np.cos(angle)) / 2 + small * (1 - np.sin(angle)) / 2
    pressure = isothermal_pressure(
        volume_hot=hot, volume_cold=cold, volume_gap=np.array(0.1), temperature_hot=np.array(600.0),
        temperature_cold=np.array(300.0), temperature_gap=np.array(430.0), pressure_mean=np.array(1e5),
    )  # fmt: skip
    piston = -small / 2 * np.cos(angle)  # dV/d angle
    arcs = arcs_of(angle, (pressure - 1e5) * piston)
    joined = [arc.end - arc.begin for arc in arcs[1:-1]]
    assert len(arcs) == 5
    assert [*joined, arcs[0].end - arcs[0].begin + arcs[-1].end - arcs[-1].begin] == pytest.approx(
        [math.pi / 2] * 4, abs=1e-3
    )
    assert {arc.driven for arc in arcs} == {True, False}


def test_what_was_measured_stands_among_the_curves_with_its_interval(basis: Basis) -> None:
    brake = Reading(
        key="a", kind="brake",
        texts={"tachometer": "100 rpm +-1", "force_tight": "20 mN +-1", "radius": "10 mm", "hot_metal": "60 C",
               "cold_metal": "25 C"},
    )  # fmt: skip
    free = Reading(key="b", kind="speed", texts={"turns": "50", "time": "20 s"})
    read = project(a=brake, b=free)
    seen = seen_on(read, 1)
    assert [one.braked for one in seen] == [True, False]
    # by hand: 20 mN on 10 mm at 100 rpm is 0.2 mN m x 10.47 rad/s = 2.094 mW
    assert seen[0].power[0] == pytest.approx(2.094e-3, rel=1e-3)
    assert seen[0].power[1] < seen[0].power[0] < seen[0].power[2]
    assert seen[0].difference is not None
    assert seen[0].difference[0] == pytest.approx(35.0)
    power, torque = speed_charts(replace(basis, project=read))
    points: Points = power.points[0]
    assert [from_si(x, power.x.kind, "rpm") for x in points.x] == pytest.approx([100.0, 150.0])
    assert points.y[1] == 0.0
    assert torque.points[0].y[0] == pytest.approx(0.2e-3, rel=1e-3)
    assert points.names[0].startswith("2026-11-20")
    # the curve lies within its interval
    line = power.series[0]
    assert all(low <= y <= high for low, y, high in zip(line.low, line.y, line.high, strict=True))


def test_the_ends_of_many_columns_are_those_of_each() -> None:
    values = np.random.default_rng(1).normal(size=(24, 5))
    low, high = ends(values)
    assert [(low[n], high[n]) for n in range(5)] == [pytest.approx(interval(values[:, n])) for n in range(5)]


def test_charts_come_as_they_are_ready_and_keep_their_places(basis: Basis, monkeypatch: pytest.MonkeyPatch) -> None:
    two = replace(basis, few=basis.few.part(slice(0, 2)))
    monkeypatch.setattr("model.curves.curves.basis_of", lambda *_, **__: two)
    monkeypatch.setattr("model.curves.over_marks.SAMPLES", 2)
    shares: list[float] = []
    stages = list(curves_stepwise(project(), 1, progress=shares.append))
    assert all([chart.key for chart in stage.charts] == list(ORDER) for stage in stages)
    assert by_key(stages[0].charts)["difference"].lacks == COMES
    assert not by_key(stages[0].charts)["power"].empty
    whole = by_key(stages[-1].charts)
    assert not any(chart.lacks for chart in whole.values())
    assert whole["difference"].says.startswith(("It stalls below", "It does not run: it needs"))
    # the curve of power over the difference goes through nil where it is said to stall
    line, stalls = whole["difference"].series[0], whole["difference"].marks[0].x
    assert at(line.x, line.y, stalls) == pytest.approx(0.0, abs=1e-9)
    assert all((y > 0) == (x > stalls) for x, y in zip(line.x, line.y, strict=True) if abs(x - stalls) > 0.1)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_a_build_that_is_not_complete_says_what_lacks_and_shows_what_was_measured() -> None:
    free = Reading(key="b", kind="speed", texts={"turns": "50", "time": "20 s"})
    lacking = {name: text for name, text in FLAT.items() if name != "piston_bore"}
    (only,) = curves_stepwise(project(lacking, b=free), 1)
    assert "Piston bore" in only.reason
    assert [chart.key for chart in only.charts] == ["best_power", "best_speed"]
    assert only.charts[1].points[0].y[0] == pytest.approx(2 * math.pi * 2.5)
