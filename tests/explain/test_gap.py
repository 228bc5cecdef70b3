"""The gap: each reading at its own temperatures and speed, with the spreads of both."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.bench.evidence import Evidence
from model.bench.reading import ReadingValues
from model.explain import as_drawn
from model.explain import gap as gap_module
from model.explain.conditions import at_conditions, inputs_at
from model.explain.gap import gaps
from model.fields import parse_build, parse_fields
from model.inputs.complete import complete_inputs
from model.prediction.predict import predict
from model.prediction.result import Gap
from model.quantities.uncertain import Uncertain
from model.record import Entry, Mark, Project, Reading
from model.running.operate import operate
from model.running.samples import central, drawn
from model.running.spread import interval

BUILD = {
    "layout": "gamma", "piston_bore": "14 mm", "piston_throw": "3 mm", "displacer_bore": "110 mm",
    "side_clearance": "2 mm", "displacer_length": "10 mm", "displacer_throw": "4 mm", "displacer_material": "eps",
    "wall_material": "acrylic", "heat_source": "water", "source_temperature": "80 C", "cold_side": "air",
    "friction_torque": "0.05 mN m", "leak_half_time": "5 s",
}  # fmt: skip
CONDITIONS = {"hot_metal": "65 C", "cold_metal": "30 C", "room_temperature": "20 C"}


def project(*readings: Reading, build: dict[str, str] | None = None, mark: int = 1) -> Project:
    entry = Entry(key="e1", day="2026-11-25", mark=mark, readings={reading.key: reading for reading in readings})
    return Project(
        name="Flat", marks={1: Mark(number=1, build=BUILD if build is None else build)}, entries={"e1": entry}
    )


def reading(kind: str = "speed", key: str = "r1", **texts: str) -> Reading:
    return Reading(key=key, kind=kind, texts=texts)


def only(found: tuple[Gap, ...]) -> Gap:
    (gap,) = found
    return gap


def number(value: float | None) -> float:
    assert value is not None
    return value


def speed(**texts: str) -> Reading:
    return reading(**{"turns": "60", "time": "30 s", **CONDITIONS, **texts})


def brake(**texts: str) -> Reading:
    return reading("brake", force_tight="0.5 g", radius="20 mm", tachometer="120 rpm", **{**CONDITIONS, **texts})


def test_a_gap_is_measured_less_predicted() -> None:
    for taken in (speed(), brake()):
        gap = only(gaps(project(taken), samples=40))
        assert number(gap.gap.value) == pytest.approx(number(gap.measured.value) - number(gap.predicted.value))
        for figure in (gap.measured, gap.predicted, gap.gap):
            assert number(figure.low) <= number(figure.value) <= number(figure.high)
        assert (gap.entry, gap.reading, gap.mark, gap.day) == ("e1", "r1", 1, "2026-11-25")


def test_measured_values_are_those_of_the_reading() -> None:
    """60 turns in 30 s are 12.57 rad/s; 0.5 g at 20 mm and 120 rpm are 1.232 mW (by hand)."""
    assert number(only(gaps(project(speed()), samples=0)).measured.value) == pytest.approx(12.566, rel=1e-4)
    assert number(only(gaps(project(brake()), samples=0)).measured.value) == pytest.approx(1.2324e-3, rel=1e-3)


def test_a_hotter_reading_is_held_against_a_higher_prediction() -> None:
    """Conditions of the reading go before those of the mark."""
    found = [
        number(only(gaps(project(make(hot_metal=hot)), samples=0)).predicted.value)
        for make in (speed, brake)
        for hot in ("55 C", "65 C", "75 C")
    ]
    assert found[0] < found[1] < found[2]
    assert found[3] < found[4] < found[5]


def test_what_the_reading_does_not_say_is_taken_from_its_mark() -> None:
    marked = {**BUILD, "hot_metal": "65 C", "cold_metal": "30 C", "room_temperature": "20 C"}
    bare = reading(turns="60", time="30 s")
    told = only(gaps(project(speed()), samples=0))
    taken = only(gaps(project(bare, build=marked), samples=0))
    assert number(taken.predicted.value) == pytest.approx(number(told.predicted.value), rel=1e-9)
    assert not taken.note
    assert "hot metal" in only(gaps(project(bare), samples=0)).note


def test_a_metal_temperature_of_the_mark_does_not_hold_for_another_source() -> None:
    """A reading with another heat or cooling than the mark's is worked out anew."""
    build = parse_build({**BUILD, "hot_metal": "65 C", "cold_metal": "30 C", "heat_released": "30 W"}).build
    values, _ = parse_fields(ReadingValues, {"heat_source": "electric", "cold_side": "ice"})
    changed = at_conditions(build, values)
    assert changed.heat_source == "electric"
    assert changed.cold_side == "ice"
    assert changed.hot_metal is None
    assert changed.cold_metal is None
    assert changed.source_temperature is None
    same, _ = parse_fields(ReadingValues, {"heat_source": "water", "cold_side": "air"})
    assert at_conditions(build, same).hot_metal == build.hot_metal
    measured, _ = parse_fields(ReadingValues, {"heat_source": "electric", "hot_metal": "90 C"})
    kept = at_conditions(build, measured).hot_metal
    assert kept is not None
    assert kept.value == pytest.approx(363.15)


def test_evidence_of_the_marks_heat_does_not_fill_what_another_source_emptied() -> None:
    """A kind of reading that tells the heat of the mark's flame says nothing of a resistor; a leak stays as it is."""
    build = parse_build({**BUILD, "heat_source": "candle", "source_temperature": "", "leak_half_time": ""}).build
    known = {"heat_released": Uncertain(value=420.0), "leak_half_time": Uncertain(value=7.0)}
    evidence = Evidence(values=known, sources=dict.fromkeys(known, "as read"))
    same, _ = parse_fields(ReadingValues, {"heat_source": "candle"})
    other, _ = parse_fields(ReadingValues, {"heat_source": "electric"})
    assert inputs_at(build, same, evidence).values["heat_released"].value == 420.0
    under = inputs_at(build, other, evidence)
    assert under.values["heat_released"].value < 200.0
    assert under.values["leak_half_time"].value == 7.0
    typed = parse_build({**BUILD, "heat_source": "electric", "heat_released": "9 W", "source_temperature": ""}).build
    assert inputs_at(typed, other, evidence).values["heat_released"].value == 9.0


def test_a_mark_that_is_not_complete_is_told_and_the_measured_value_still_shown() -> None:
    for lacking in ("piston_throw", "displacer_bore"):
        gap = only(gaps(project(speed(), build={**BUILD, lacking: ""}), samples=20))
        assert gap.predicted.value is None
        assert gap.gap.value is None
        assert number(gap.measured.value) > 0
        assert gap.note


def test_a_mark_that_cannot_be_is_told_in_its_own_words() -> None:
    gap = only(gaps(project(speed(), build={**BUILD, "side_clearance": "70 mm"}), samples=20))
    assert gap.gap.value is None
    assert "clearance" in gap.note


def test_a_layout_without_a_model_is_told() -> None:
    gap = only(gaps(project(speed(), build={"layout": "ringbom"}), samples=20))
    assert gap.gap.value is None
    assert gap.note


@pytest.mark.parametrize(
    "taken",
    [
        reading(turns="60"),
        reading("brake", tachometer="100 rpm"),
        reading("temperatures", hot_metal="60 C"),
        reading("bounce", bounce="yes"),
        reading("speed", turns="sixty", time="30 s"),
        reading("no such kind", turns="60", time="30 s"),
    ],
)
def test_readings_that_measure_neither_speed_nor_power_have_no_gap(taken: Reading) -> None:
    assert gaps(project(taken), samples=0) == ()


def test_a_reading_of_a_mark_that_is_not_there_has_no_gap() -> None:
    assert gaps(project(speed(), mark=7), samples=0) == ()
    assert gaps(project(speed(mark="9")), samples=0) == ()


def test_one_mark_alone_can_be_asked_for() -> None:
    two = project(speed(), reading(key="r2", turns="60", time="30 s", mark="2"))
    two = two.with_mark(Mark(number=2, build={**BUILD, "piston_throw": "2 mm"}))
    assert [gap.mark for gap in gaps(two, samples=0)] == [1, 2]
    assert [gap.mark for gap in gaps(two, mark=2, samples=0)] == [2]
    assert gaps(two, mark=3, samples=0) == ()


def test_an_engine_that_should_not_run_is_held_against_a_speed_of_nil() -> None:
    gap = only(gaps(project(speed(), build={**BUILD, "friction_torque": "50 mN m"}), samples=30))
    assert number(gap.predicted.value) == 0
    assert number(gap.gap.value) == number(gap.measured.value)


def test_equal_seeds_give_equal_gaps() -> None:
    whole = project(speed(), reading("brake", key="r2", force_tight="0.5 g", radius="20 mm", tachometer="120 rpm"))
    assert gaps(whole, samples=30, seed=5) == gaps(whole, samples=30, seed=5)
    assert gaps(whole, samples=30, seed=5) != gaps(whole, samples=30, seed=6)


def test_a_careless_count_widens_the_gap() -> None:
    ends = []
    for spread in ("1", "120"):
        gap = only(gaps(project(speed(turns=f"60 +- {spread}")), samples=100)).gap
        ends.append(number(gap.high) - number(gap.low))
    assert ends[0] < ends[1]


def test_before_it_runs_coasts_and_a_swing_have_gaps_at_their_own_readings() -> None:
    """The hot coast carries the work of the heat; 12 turns in 8 s are 90 rpm, so its power is its work times 1.5/s."""
    build = {**BUILD, "wheel_mass": "60 g measured", "wheel_diameter": "120 mm"}
    cold = reading("free_turns", "a", turns="3", time="2.5 s", warmth="cold", direction="forward")
    hot = reading("free_turns", "b", turns="12", time="8 s", warmth="hot", direction="forward", **CONDITIONS)
    swing = reading("swing_hot", "c", swing="4 cm water", **CONDITIONS)
    found = {gap.reading: gap for gap in gaps(project(cold, hot, swing, build=build), samples=20)}
    assert set(found) == {"b", "c"}
    work, felt = found["b"], found["c"]
    assert (work.quantity, felt.quantity) == ("work_of_heat", "heat_felt")
    assert number(work.gap.value) == pytest.approx(number(work.measured.value) - number(work.predicted.value))
    indicated, power = work.also
    assert number(power.value) == pytest.approx(number(indicated.value) * 1.5)
    assert "90 rpm" in power.label
    assert "pumps heat" in work.note
    assert gaps(project(cold, hot, swing, build=build), samples=1) == ()


def test_a_new_reading_leaves_the_other_predictions_as_they_were() -> None:
    one = only(gaps(project(speed()), samples=20))
    first, second = gaps(project(speed(), reading("speed", "r2", tachometer="200 rpm", **CONDITIONS)), samples=20)
    assert first == one
    assert second.reading == "r2"


def test_what_is_predicted_does_not_depend_on_what_was_measured() -> None:
    """An engine at a tenth of what it should do was told that half of that was predicted."""
    measured = ("5 rpm", "20 rpm", "120 rpm", "900 rpm")
    readings = [reading("speed", f"r{n}", tachometer=text, **CONDITIONS) for n, text in enumerate(measured)]
    found = [gap.predicted for gap in gaps(project(*readings), samples=30)]
    assert len({(number(p.value), number(p.low), number(p.high)) for p in found}) == 1
    build = parse_build(BUILD | CONDITIONS).build
    typed = predict(complete_inputs(build), samples=30).figures["free_running_speed"]
    assert number(found[0].value) == pytest.approx(number(typed.value), rel=1e-9)
    assert number(found[0].low) == pytest.approx(number(typed.low), rel=1e-9)
    assert number(found[0].high) == pytest.approx(number(typed.high), rel=1e-9)


@pytest.mark.parametrize("rpm", [20, 45, 120, 260, 3000])
def test_the_power_at_a_reading_s_speed_is_that_of_the_engine_run_at_it(rpm: int) -> None:
    """Read from curves over few speeds, to a twentieth of its interval; far beyond them the engine is run there."""
    taken = reading("brake", force_tight="0.5 g", radius="20 mm", tachometer=f"{rpm} rpm", **CONDITIONS)
    gap = only(gaps(project(taken), samples=40)).predicted
    made = complete_inputs(parse_build(BUILD | CONDITIONS).build)
    speed = rpm * math.pi / 30
    best, spread = (
        operate(inputs, np.full((inputs.size, 1), speed)).torque[:, 0] * speed
        for inputs in (central(made.words, made.values), drawn(made.words, made.values, samples=40, seed=1))
    )
    low, high = interval(spread)
    for read, run in ((gap.value, best[0]), (gap.low, min(low, best[0])), (gap.high, max(high, best[0]))):
        assert number(read) == pytest.approx(float(run), abs=0.05 * (high - low))


def test_readings_under_the_same_conditions_share_their_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sixty readings of one evening: the evidence of the mark once, the engine once for each of two temperatures."""
    calls = []
    for module, name in ((as_drawn, "evidence_of"), (gap_module, "curve_of")):
        whole = getattr(module, name)
        monkeypatch.setattr(
            module, name, lambda *args, n=name, f=whole, **named: (calls.append(n), f(*args, **named))[1]
        )
    readings = [
        reading("speed", f"r{n}", tachometer=f"{60 + n} rpm", **CONDITIONS | {"hot_metal": f"{61.5 + n % 2} C"})
        for n in range(60)
    ]
    assert len(gaps(project(*readings), samples=8)) == 60
    assert sorted(calls) == ["curve_of", "curve_of", "evidence_of"]


def test_marks_read_in_turns_are_each_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    whole, calls = as_drawn.evidence_of, []
    monkeypatch.setattr(
        as_drawn, "evidence_of", lambda *args, **named: (calls.append(args[1]), whole(*args, **named))[1]
    )
    two = project(*(reading(key=f"r{n}", turns="60", time="30 s", mark=str(1 + n % 2)) for n in range(6)))
    two = two.with_mark(Mark(number=2, build={**BUILD, "piston_throw": "2 mm"}))
    assert len(gaps(two, samples=0)) == 6
    assert sorted(calls) == [1, 2]
