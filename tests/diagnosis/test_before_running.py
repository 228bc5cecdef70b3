"""Work and heat that an engine shows before it runs: readings made up from a known engine give that engine back."""

from __future__ import annotations

import numpy as np
import pytest

from model.explain.diagnosis.before_running import before_running
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.record import Entry, Mark, Project, Reading
from model.running.operate import operate
from model.running.points import inertia
from model.running.samples import central
from tests.diagnosis.builds import BUILDS

STIFF = {**BUILDS["beta"], "friction_torque": "14 mN m", "hot_metal": "150 C", "cold_metal": "35 C"}


def project(*readings: Reading, build: dict[str, str] = STIFF) -> Project:
    entry = Entry(key="kaaaaa", mark=1, readings={r.key: r for r in readings})
    return Project(name="Made up", marks={1: Mark(number=1, build=build)}, entries={"kaaaaa": entry})


def coast(key: str, warmth: str, turns: float, time: float) -> Reading:
    texts = {"turns": f"{turns} turns", "time": f"{time} s", "warmth": warmth, "direction": "forward"}
    return Reading(key=key, kind="free_turns", texts=texts)


def coasted(*, hot: bool, speed: float = 2 * np.pi) -> tuple[float, float, float]:
    """Return turns and time of a coast whose mean speed is this, and the torque lost, by integrating by hand."""
    made = complete_inputs(parse_build(STIFF).build)
    inputs = central(made.words, made.values)
    room = inputs["room_temperature"]
    state = inputs if hot else inputs.changed(hot_metal=room + 0.01, cold_metal=room)
    lost = -float(operate(state, np.array([[speed]])).torque[0, 0])
    slowing = lost / float(inertia(inputs)[0])
    # uniform retardation from twice the mean speed to rest
    time = 2 * speed / slowing
    return speed * time / (2 * np.pi), time, lost


def test_the_difference_of_a_hot_and_a_cold_coast_is_the_work_of_the_heat() -> None:
    """Coasts made by hand from the torques of the same engine: both agree to 3 % (32 angles against 64, 2 passes)."""
    hot, cold = coasted(hot=True), coasted(hot=False)
    assert 0 < hot[2] < cold[2]
    (item,) = before_running(project(coast("a", "cold", *cold[:2]), coast("b", "hot", *hot[:2])), mark=1)
    assert item.key == "work_of_heat"
    assert item.measured.value == pytest.approx(2 * np.pi * (cold[2] - hot[2]), rel=0.03)
    assert item.predicted.value == pytest.approx(item.measured.value, rel=0.03)
    assert item.gap.low is not None
    assert item.gap.high is not None
    assert item.gap.low <= 0 <= item.gap.high
    assert "pumps heat" in item.note


def test_indicated_work_is_the_difference_less_what_the_cold_turn_takes() -> None:
    """By hand: the cold turn's air takes its loss less friction and drag; hot work is the difference plus that."""
    hot, cold = coasted(hot=True), coasted(hot=False)
    (item,) = before_running(project(coast("a", "cold", *cold[:2]), coast("b", "hot", *hot[:2])), mark=1)
    made = complete_inputs(parse_build(STIFF).build)
    inputs = central(made.words, made.values)
    shaft = float(operate(inputs, np.array([[2 * np.pi]])).shaft[0, 0])
    assert item.indicated is not None
    assert item.indicated.value == pytest.approx(shaft, rel=0.05)
    assert item.measured.value is not None
    assert item.indicated.value < item.measured.value


def test_speeds_that_are_not_comparable_are_told() -> None:
    (item,) = before_running(project(coast("a", "cold", 1, 0.5), coast("b", "hot", 4, 8)), mark=1)
    assert "not comparable" in item.note


def test_turns_without_time_or_a_wheel_that_is_not_known_give_nothing() -> None:
    untimed = Reading(key="b", kind="free_turns", texts={"turns": "3 turns", "warmth": "hot"})
    assert before_running(project(coast("a", "cold", 2, 3), untimed), mark=1) == ()
    wheelless = {k: v for k, v in STIFF.items() if k != "wheel_mass"}
    pair = (coast("a", "cold", 2, 3), coast("b", "hot", 4, 6))
    assert before_running(project(*pair, build=wheelless), mark=1) == ()


def test_a_swing_tells_how_much_of_the_metals_difference_the_air_feels() -> None:
    """Less than all of it, however read: air is never hotter than its metal; half the swing is half the share."""
    items = [
        before_running(project(Reading(key="a", kind="swing_hot", texts={"swing": text})), mark=1)[0]
        for text in ("8 kPa", "4 kPa")
    ]
    whole, half = items
    assert whole.measured.value is not None
    assert half.measured.value == pytest.approx(whole.measured.value / 2, rel=1e-6)
    assert whole.predicted.value is not None
    assert 0 < whole.predicted.value < 1


def test_one_swing_read_on_two_hoses_is_felt_alike() -> None:
    """By hand: what a sensor reads as 4 kPa, a hose shows as V/(V + p C) of it; tight to 1e-3 of a turn's leak."""
    build = {**STIFF, "leak_half_time": "1000 s"}

    def felt(texts: dict[str, str]) -> float:
        value = before_running(project(Reading(key="a", kind="swing_hot", texts=texts), build=build), mark=1)[
            0
        ].measured.value
        assert value is not None
        return value

    bare = felt({"swing": "4 kPa", "hose": "0 mm"})
    lost = [felt({"swing": "4 kPa", "hose": f"{bore} mm"}) / bare - 1 for bore in (2, 4, 6)]
    # p C/V grows with the bore squared
    assert lost[0] > 0.01
    assert np.array(lost) / lost[0] == pytest.approx([1, 4, 9], rel=1e-3)


def test_a_time_of_nil_is_no_reading() -> None:
    assert before_running(project(coast("a", "cold", 2, 0), coast("b", "hot", 4, 6)), mark=1) == ()


def spin_down(key: str, stood: str, torque: float, *, speed: float = 2 * np.pi) -> Reading:
    """A coast under a constant torque whose mean speed is this, by hand: N = w t/2, t = 2 w I/M."""
    made = complete_inputs(parse_build(STIFF).build)
    time = 2 * speed * float(inertia(central(made.words, made.values))[0]) / torque
    texts = {"turns": f"{speed * time / (2 * np.pi)}", "time": f"{time} s", "warmth": "cold", "stood": stood}
    return Reading(key=key, kind="free_turns", texts=texts)


def test_opened_less_unlinked_is_the_displacers_friction() -> None:
    """A printed engine's wheel and crank alone ran four times as long as with the displacer linked (its builder's
    spin-downs, the only measured split that was found): three quarters of the loss are the displacer's."""
    made = project(spin_down("a", "opened", 4e-3), spin_down("b", "unlinked", 1e-3))
    whole, part = before_running(made, mark=1)
    assert (whole.key, part.key) == ("friction_opened", "displacer_friction")
    assert whole.measured.value == pytest.approx(4e-3, rel=1e-6)
    assert part.measured.value == pytest.approx(3e-3, rel=1e-6)
    assert part.note.startswith("75 %")
    assert "no guess" in part.note


def test_closed_and_cold_less_opened_is_what_the_air_takes() -> None:
    """The same engine's torques, closed with its air and opened without: 2 pi times the difference, to 3 %."""
    lost = coasted(hot=False)[2]
    made = complete_inputs(parse_build(STIFF).build)
    inputs = central(made.words, made.values)
    rubbing = float((inputs["friction_torque"] + inputs["speed_drag"] * 2 * np.pi)[0])
    readings = (spin_down("a", "closed", lost), spin_down("b", "opened", rubbing))
    found = {item.key: item for item in before_running(project(*readings), mark=1)}
    air = found["air_loss"]
    assert air.measured.value == pytest.approx(2 * np.pi * (lost - rubbing), rel=1e-6)
    assert air.predicted.value == pytest.approx(air.measured.value, rel=0.03)
    assert air.place == ("kaaaaa", "a")
    assert found["friction_opened"].gap.value == pytest.approx(0, abs=0.01 * rubbing)


@pytest.mark.parametrize(
    ("build", "more", "said"),
    [
        ({**STIFF, "friction_torque": ""}, (), "replaces the guess"),
        (STIFF, (), "that was typed comes first"),
        (
            {**STIFF, "friction_torque": ""},
            (Reading(key="r", kind="rim_weight", texts={"weight": "9 g", "radius": "60 mm"}),),
            "grams on the rim come first",
        ),
    ],
)
def test_what_becomes_of_an_opened_spin_down_is_said(
    build: dict[str, str], more: tuple[Reading, ...], said: str
) -> None:
    (item,) = before_running(project(spin_down("a", "opened", 4e-3), *more, build=build), mark=1)
    assert said in item.note


def test_an_unlinked_one_alone_is_told_as_a_part_and_never_compared_with_its_own_friction() -> None:
    (item,) = before_running(project(spin_down("b", "unlinked", 1e-3)), mark=1)
    assert item.key == "friction_unlinked"
    assert "Not the whole mechanism's" in item.note
    bare = {**STIFF, "friction_torque": ""}
    light, heavy = (before_running(project(spin_down("a", "opened", m), build=bare), mark=1)[0] for m in (2e-3, 9e-3))
    assert light.predicted.value == heavy.predicted.value


def test_an_opened_or_unlinked_coast_is_never_paired_with_a_hot_one() -> None:
    """Its cold half must be closed: an empty field says that, as in readings from before the field was there."""
    hot = coast("h", "hot", 4, 6)
    assert all(i.key != "work_of_heat" for i in before_running(project(hot, spin_down("a", "opened", 4e-3)), mark=1))
    assert any(i.key == "work_of_heat" for i in before_running(project(hot, coast("c", "cold", 2, 3)), mark=1))
    assert any(i.key == "work_of_heat" for i in before_running(project(hot, spin_down("c", "closed", 4e-3)), mark=1))


def test_in_an_alpha_there_is_no_displacer_to_unlink() -> None:
    made = project(spin_down("a", "opened", 4e-3), spin_down("b", "unlinked", 1e-3), build=BUILDS["two syringes"])
    assert [item.key for item in before_running(made, mark=1)] == ["friction_opened"]
