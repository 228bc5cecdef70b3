"""Every problem of a project is found and told with its place."""

from __future__ import annotations

import pytest

from model.checks.problems import problems_of, problems_of_mark, problems_of_reading
from model.record import Entry, Mark, Project, Reading


def test_a_project_without_faults_has_none() -> None:
    reading = Reading(key="a", kind="speed", texts={"turns": "100", "time": "30 s", "mark": "1"})
    entry = Entry(key="e", day="2026-11-25", mark=1, ticks=("bounces",), readings={"a": reading})
    project = Project(name="x", marks={1: Mark(number=1, build={"layout": "gamma"})}, entries={"e": entry})
    assert problems_of(project) == ()


def test_each_fault_is_told_with_its_key_and_its_text() -> None:
    reading = Reading(key="a", kind="speed", texts={"turns": "many", "mark": "²"})
    entry = Entry(key="e", day="2026-02-30", mark=3, ticks=("flies",), readings={"a": reading})
    project = Project(name="x", marks={1: Mark(number=1, build={"phase": "4000"})}, entries={"e": entry})
    found = {problem.where: problem.value for problem in problems_of(project)}
    assert found == {
        "mark.1.build.phase": "4000",
        "entry.e.day": "2026-02-30",
        "entry.e.mark": "3",
        "entry.e.ticks": "flies",
        "entry.e.reading.a.turns": "many",
        "entry.e.reading.a.mark": "²",
    }
    assert [problem.where for problem in problems_of_mark(project, 1)] == ["mark.1.build.phase"]
    assert len(problems_of_reading(project, entry, reading)) == 2


def test_a_mark_number_of_any_length_is_no_trouble() -> None:
    reading = Reading(key="a", kind="speed", texts={"mark": "9" * 5000})
    project = Project(name="x", marks={1: Mark(number=1)}, entries={"e": Entry(key="e", readings={"a": reading})})
    assert [problem.where for problem in problems_of(project)] == ["entry.e.reading.a.mark"]


def test_what_cannot_be_together_is_told_with_the_text_as_typed() -> None:
    """A connecting rod no longer than the throw cannot turn: geometry of the crank."""
    build = {
        "layout": "gamma",
        "piston_kind": "piston",
        "piston_bore": "10 mm",
        "piston_throw": "5 mm",
        "piston_rod": "4 mm",
        "heat_source": "candle",
        "displacer_bore": "50 mm",
        "displacer_throw": "5 mm",
        "displacer_length": "30 mm",
    }
    project = Project(name="x", marks={2: Mark(number=2, build=build)})
    assert {problem.where: problem.value for problem in problems_of(project)} == {"mark.2.build.piston_rod": "4 mm"}


@pytest.mark.parametrize("typed", [{}, {"gland_rod": "?"}], ids=["empty", "unknown"])
def test_a_guess_that_cannot_be_together_is_called_assumed_and_never_quoted(typed: dict[str, str]) -> None:
    build = {
        "layout": "gamma", "piston_kind": "piston", "piston_bore": "3 mm", "piston_throw": "2 mm",
        "heat_source": "candle", "displacer_bore": "10 mm", "displacer_throw": "2 mm", "displacer_length": "8 mm",
        "side_clearance": "4.8 mm", **typed,
    }  # fmt: skip
    project = Project(name="x", marks={1: Mark(number=1, build=build)})
    (found,) = (each for each in problems_of(project) if each.where == "mark.1.build.gland_rod")
    assert found.assumed and found.value.startswith("between ")
    assert f"(assumed {found.value}): Displacer rod" in str(found)
    typed_rod = {**build, "gland_rod": "1.5 mm"}
    project = Project(name="x", marks={1: Mark(number=1, build=typed_rod)})
    (found,) = (each for each in problems_of(project) if each.where == "mark.1.build.gland_rod")
    assert not found.assumed and "'1.5 mm': Displacer rod" in str(found)


def test_a_key_that_is_no_field_is_told_with_the_nearest_that_is() -> None:
    reading = Reading(key="a", kind="speed", texts={"turnz": "100", "time": "30 s", "colour of the smoke": "blue"})
    entry = Entry(key="e", day="2026-11-25", mark=1, readings={"a": reading})
    mark = Mark(number=1, build={"layout": "gamma", "piston_bor": "9 mm"})
    project = Project(name="x", marks={1: mark}, entries={"e": entry})
    found = {problem.where: problem.remedy for problem in problems_of(project)}
    assert set(found) == {
        "mark.1.build.piston_bor",
        "entry.e.reading.a.turnz",
        "entry.e.reading.a.colour of the smoke",
    }
    assert found["mark.1.build.piston_bor"] == "Did you mean piston_bore?"
    assert found["entry.e.reading.a.turnz"] == "Did you mean turns?"
    assert "Did you mean" not in found["entry.e.reading.a.colour of the smoke"]
    assert [problem.value for problem in problems_of_reading(project, entry, reading)] == ["100", "blue"]
