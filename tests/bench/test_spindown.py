"""Spin-downs as evidence: the torque of a coast, and which one may stand for the friction of the whole mechanism."""

from __future__ import annotations

import math

import pytest

from model.bench.evidence import evidence_of
from model.bench.reading import ReadingValues
from model.bench.spindown import friction_of, moment_of, slowing_of
from model.fields import parse_build, parse_fields
from model.fields.reading import STANDINGS
from model.inputs.complete import complete_inputs
from model.record import Entry, Mark, Project, Reading
from tests.diagnosis.builds import BUILDS

CAN = {name: text for name, text in BUILDS["can, rubber"].items() if name != "friction_torque"}
COAST = {"turns": "6", "time": "5 s", "warmth": "cold"}
RIM = ("rim_weight", {"weight": "2 g", "radius": "60 mm"})


def project(*readings: tuple[str, dict[str, str]], build: dict[str, str] = CAN) -> Project:
    made = {f"r{n}": Reading(key=f"r{n}", kind=kind, texts=texts) for n, (kind, texts) in enumerate(readings)}
    entry = Entry(key="kaaaaa", mark=1, readings=made)
    return Project(name="Made up", marks={1: Mark(number=1, build=build)}, entries={"kaaaaa": entry})


def spun(stood: str = "opened", **texts: str) -> tuple[str, dict[str, str]]:
    return "free_turns", {**COAST, **({"stood": stood} if stood else {}), **texts}


def values_of(texts: dict[str, str]) -> ReadingValues:
    values, problems = parse_fields(ReadingValues, {**texts, "kind": "free_turns"})
    assert not problems
    return values


def test_the_torque_of_a_coast_is_that_of_a_wheel_that_slows_evenly() -> None:
    """A step-by-step coast of a wheel under a constant torque gives that torque back to the step's own 1 %.

    Motion with uniform retardation [KhurmiGupta2005], integrated here without its formula.
    """
    moment, torque, speed, turned, time = 2e-4, 3e-4, 12.0, 0.0, 0.0
    step = 1e-3
    while speed > 0:
        speed -= torque / moment * step
        turned += speed * step
        time += step
    values = values_of({"turns": f"{turned / (2 * math.pi)}", "time": f"{time} s"})
    slowing = slowing_of(values)
    assert slowing is not None
    assert moment * slowing.value == pytest.approx(torque, rel=0.01)


def test_a_wheel_lies_between_a_disc_and_a_ring() -> None:
    """m r^2/2 for a disc and m r^2 for a thin ring, any textbook of mechanics."""
    moment = moment_of(parse_build(CAN).build)
    assert moment is not None
    assert 0.5 * 0.08 * 0.06**2 <= moment.value <= 0.08 * 0.06**2
    assert moment_of(parse_build({**CAN, "wheel_mass": "?"}).build) is None


@pytest.mark.parametrize("stood", ["", *(choice.key for choice in STANDINGS)])
def test_only_an_opened_engine_with_all_linked_tells_the_whole_friction(stood: str) -> None:
    """Closed, the air's loss is in it; unlinked, the displacer's friction is not; an empty field is closed as ever."""
    evidence = evidence_of(project(spun(stood)), 1)
    assert ("friction_torque" in evidence.values) is (stood == "opened")
    if stood == "opened":
        assert evidence.sources["friction_torque"] == "spin-down, opened, 1 reading"


def test_it_takes_the_place_of_the_guess_and_is_less_than_what_was_lost_by_the_drag() -> None:
    """At least half of the loss and at most all of it is friction at rest (see `AT_REST`); it is called measured."""
    lost = 0.6 * 0.08 * 0.06**2 * 4 * math.pi * 6 / 5**2
    guess = complete_inputs(parse_build(CAN).build).values["friction_torque"]
    made = complete_inputs(parse_build(CAN).build, evidence_of(project(spun()), 1))
    friction = made.values["friction_torque"]
    assert 0.5 * lost < friction.value < lost
    assert friction.spread / friction.value < guess.spread / guess.value
    assert "spin-down, opened" in made.assumed["friction_torque"]


def test_a_drag_that_was_typed_is_taken_off_as_it_is() -> None:
    """0.02 uN m s at the coast's mean speed of 2 pi 6/5 rad/s, by hand; more drag than loss leaves a tenth."""
    build = parse_build({**CAN, "speed_drag": "0.002 mN m/rpm"}).build
    assert build.speed_drag is not None
    friction = friction_of(values_of(spun()[1]), build)
    lost = 0.6 * 0.08 * 0.06**2 * 4 * math.pi * 6 / 5**2
    assert friction is not None
    assert friction.value == pytest.approx(lost - build.speed_drag.value * 2 * math.pi * 6 / 5, rel=1e-6)
    assert build.speed_drag.value == pytest.approx(0.002e-3 * 60 / (2 * math.pi), rel=1e-6)
    wild = friction_of(values_of(spun()[1]), parse_build({**CAN, "speed_drag": "1 mN m/rpm"}).build)
    assert wild is not None
    assert wild.value > 0


def test_grams_on_the_rim_and_what_was_typed_come_before_it() -> None:
    """Grams need no wheel: weight times radius, by hand."""
    made = project(spun(), RIM)
    assert evidence_of(made, 1).values["friction_torque"].value == pytest.approx(0.002 * 9.80665 * 0.06)
    assert "friction_torque" not in evidence_of(project(spun()), 1, without="free_turns").values
    typed = {**CAN, "friction_torque": "0.7 mN m"}
    found = complete_inputs(parse_build(typed).build, evidence_of(project(spun(), build=typed), 1))
    assert found.values["friction_torque"].value == pytest.approx(0.7e-3)


@pytest.mark.parametrize("texts", [{"time": "0 s"}, {"turns": "0"}, {"time": ""}, {"turns": "many"}])
def test_a_spin_down_that_cannot_be_or_lacks_its_time_tells_nothing(texts: dict[str, str]) -> None:
    assert not evidence_of(project(spun(**texts)), 1).values
    assert not evidence_of(project(spun(), build={**CAN, "wheel_mass": ""}), 1).values
