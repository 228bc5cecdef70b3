"""Values that cannot be together are flagged with both fields named; honest measurements are not."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from pathlib import Path

import pytest

from model.checks.plausibility import (
    EXCLUSIVE,
    MOST_SPEED,
    MOST_STRAIN,
    PAIRS,
    doubts_of_entry,
    doubts_of_mark,
    doubts_of_reading,
)
from model.checks.problems import problems_of, problems_of_mark, problems_of_reading
from model.checks.stage import TICKS
from model.fields import Build, fields_of
from model.fields.starts import STARTS
from model.record import Entry, Mark, Project, Reading
from model.store import read_project

PROJECTS = Path(__file__).resolve().parents[2] / "projects"


RUBBER = {"layout": "gamma", "piston_kind": "diaphragm", "diaphragm_rim": "38 mm"}


def of_mark(build: Mapping[str, str]) -> dict[str, str]:
    """Return what clashes in a mark: doubted field -> sentence."""
    found = doubts_of_mark(Project(name="x", marks={1: Mark(number=1, build=build)}), 1)
    return {clash.names[0]: clash.problem.message for clash in found}


def of_reading(kind: str, texts: Mapping[str, str], build: Mapping[str, str] | None = None) -> dict[str, str]:
    reading = Reading(key="a", kind=kind, texts=texts)
    entry = Entry(key="e", day="2026-11-25", mark=1, readings={"a": reading})
    project = Project(name="x", marks={1: Mark(number=1, build=build or {})}, entries={"e": entry})
    return {clash.names[0]: clash.problem.message for clash in doubts_of_reading(project, entry, reading)}


@pytest.mark.parametrize(
    ("build", "doubted", "said"),
    [
        ({"cold_metal": "1.5 C", "cold_side": "air"}, "cold_metal", ("Cold metal 1.5 C", "16 and 24 C", "still air")),
        ({"cold_metal": "1.5 C", "room_temperature": "20 C"}, "cold_metal", ("1.5 C", "Room 20 C", "(empty)")),
        ({"hot_metal": "5 C", "heat_source": "water"}, "hot_metal", ("Hot metal 5 C", "hot water")),
        ({"hot_metal": "150 C", "heat_source": "water"}, "hot_metal", ("Hot metal 150 C", "Heat source hot water")),
        (
            {"hot_metal": "95 C", "heat_source": "water", "source_temperature": "70 C"},
            "hot_metal",
            ("Hot metal 95 C", "Water or hand temperature 70 C"),
        ),
        (
            {"hot_metal": "20 C", "heat_source": "water", "source_temperature": "80 C"},
            "hot_metal",
            ("Hot metal 20 C", "Water or hand temperature 80 C"),
        ),
        (
            {"cold_area": "1.5 cm2", "displacer_bore": "104 mm"},
            "cold_area",
            ("Cooling surface 1.5 cm2", f"{fields_of(Build)['displacer_bore'].label} 104 mm"),
        ),
        (
            {**RUBBER, "piston_throw": "90 mm"},
            "piston_throw",
            ("Piston throw (half the stroke) 90 mm", "Diaphragm rim 38 mm", "300 %"),
        ),
        (
            {**RUBBER, "piston_throw": "40 mm", "diaphragm_disc": "25 mm"},
            "piston_throw",
            ("(half the stroke) 40 mm", "Diaphragm rim 38 mm", "Diaphragm disc 25 mm"),
        ),
        ({**RUBBER, "piston_throw": "30 mm", "piston_beam": "4"}, "piston_throw", ("(half the stroke) 30 mm",)),
    ],
)
def test_what_cannot_be_in_a_build_is_flagged_with_both_fields(
    build: dict[str, str], doubted: str, said: tuple[str, ...]
) -> None:
    found = of_mark(build)
    assert list(found) == [doubted]
    assert [words for words in said if words not in found[doubted]] == []


@pytest.mark.parametrize(
    "build",
    [
        {"cold_metal": "1.5 C", "cold_side": "ice"},
        {"cold_metal": "12 C", "cold_side": "jacket"},
        {"cold_metal": "19 C", "room_temperature": "20 C", "cold_side": "air"},
        {"cold_metal": "14 C", "cold_side": "air"},  # read 2 K low in a room of 16 C
        {"hot_metal": "100 C", "heat_source": "water"},
        {"hot_metal": "72 C", "heat_source": "water", "source_temperature": "70 C"},
        {"hot_metal": "50 C", "heat_source": "water", "source_temperature": "80 C"},
        {"hot_metal": "19 C", "room_temperature": "20 C", "heat_source": "hand"},
        {"hot_metal": "400 C", "heat_source": "candle"},
        {"cold_area": "85 cm2", "displacer_bore": "104 mm"},
        {"cold_area": "2 cm2", "displacer_bore": "15 mm"},
        {"cold_metal": "?", "hot_metal": "", "cold_area": "many"},
        {**RUBBER, "piston_throw": "12 mm", "diaphragm_disc": "25 mm"},
        {**RUBBER, "piston_throw": "90 mm", "piston_kind": "piston", "piston_bore": "38 mm"},
        {"piston_throw": "90 mm", "piston_kind": "diaphragm"},
        {**RUBBER, "piston_throw": "many"},
    ],
)
def test_an_honest_build_is_not_flagged(build: dict[str, str]) -> None:
    assert of_mark(build) == {}


def test_rubber_of_the_demo_projects_and_of_what_is_offered_is_not_doubted() -> None:
    """Natural rubber breaks at an elongation of 500 to 800 % (from memory)."""
    assert MOST_STRAIN < 5
    builds = [dict(start.texts) for start in STARTS]
    builds += [
        dict(mark.build) for each in PROJECTS.glob("*.toml") for mark in read_project(each).project.marks.values()
    ]
    assert [build for build in builds if "piston_throw" in of_mark(build)] == []
    assert any("diaphragm_rim" in build for build in builds)


WATER = {"heat_source": "water", "cold_side": "air"}


@pytest.mark.parametrize(
    ("kind", "texts", "build", "doubted", "said"),
    [
        ("temperatures", {"cold_metal": "1.5 C"}, WATER, "cold_metal", ("Cold metal 1.5 C", "Cold side still air")),
        ("temperatures", {"hot_metal": "5 C"}, WATER, "hot_metal", ("Hot metal 5 C", "Heat hot water")),
        ("speed", {"hot_metal": "140 C"}, WATER, "hot_metal", ("Hot metal 140 C", "hot water")),
        ("temperatures", {"hot_metal": "30 C", "cold_metal": "60 C"}, {}, "hot_metal", ("30 C", "Cold metal 60 C")),
        (
            "free_turns",
            {"warmth": "cold", "hot_metal": "82 C", "room_temperature": "20 C"},
            WATER,
            "hot_metal",
            ("Hot metal 82 C", "Room 20 C", "Engine was cold"),
        ),
        ("speed", {"turns": "99999", "time": "1 s"}, {}, "turns", ("99999 turns", "1 s", "10000 rpm")),
        ("speed", {"tachometer": "60000 rpm"}, {}, "tachometer", ("Tachometer 60000 rpm", "10000 rpm")),
        ("brake", {"turns": "99999", "time": "1 s"}, {}, "turns", ("99999 turns", "Time 1 s")),
    ],
)
def test_what_cannot_be_in_a_reading_is_flagged_with_both_fields(
    kind: str, texts: dict[str, str], build: dict[str, str], doubted: str, said: tuple[str, ...]
) -> None:
    found = of_reading(kind, texts, build)
    assert list(found) == [doubted]
    assert [words for words in said if words not in found[doubted]] == []


@pytest.mark.parametrize(
    ("kind", "texts", "build"),
    [
        ("temperatures", {"cold_metal": "1.5 C", "cold_side": "ice"}, WATER),
        ("temperatures", {"cold_metal": "1.5 C"}, {**WATER, "cold_side": "ice"}),
        ("temperatures", {"hot_metal": "10 C"}, {**WATER, "cold_side": "ice"}),  # on ice, not heated yet
        ("free_turns", {"warmth": "cold", "hot_metal": "21 C"}, WATER),
        ("free_turns", {"warmth": "hot", "hot_metal": "82 C"}, WATER),
        ("temperatures", {"hot_metal": "20 C", "cold_metal": "21 C"}, {}),
        ("speed", {"turns": "500", "time": "10 s"}, {}),
        ("speed", {"turns": "20", "time": "0.1 s"}, {}),  # a hand on the watch errs by more
        ("speed", {"tachometer": "5000 rpm"}, {}),
        ("temperatures", {"tachometer": "60000 rpm"}, {}),
        ("speed", {"hot_metal": "40 C"}, {**WATER, "hot_metal": "5 C"}),
    ],
)
def test_an_honest_reading_is_not_flagged(kind: str, texts: dict[str, str], build: dict[str, str]) -> None:
    assert of_reading(kind, texts, build) == {}


def test_a_stated_spread_is_believed() -> None:
    assert of_mark({"cold_metal": "1.5 C +-16", "cold_side": "air"}) == {}
    assert set(of_mark({"cold_metal": "13 C +-0.2", "cold_side": "air"})) == {"cold_metal"}


def test_the_bound_on_a_speed_is_that_of_the_fastest_disc_drives() -> None:
    """52 times the speed of sound discs, 1.2 to 1.4 m/s, at their rim of 58 mm: 10,300 to 12,000 rpm (from memory)."""
    assert 0.8 * 52 * 1.2 / 0.058 < MOST_SPEED < 52 * 1.4 / 0.058


def test_every_pair_names_fields_that_exist_where_it_is_asked() -> None:
    for pair in PAIRS:
        for holder in pair.of:
            assert set(pair.names) <= set(fields_of(holder))
        assert all(f"{{{name}}}" in pair.message for name in pair.names if name not in ("heat_source", "warmth"))


def test_ticks_that_exclude_each_other_are_asked_about() -> None:
    entry = Entry(key="e", day="2026-11-25", mark=1, ticks=("binds", "turns_free"))
    (clash,) = doubts_of_entry(entry)
    assert "'binds' and 'turns free' are both ticked: which is it now?" in clash.problem.message
    assert set(clash.names) == {"binds", "turns_free"}
    assert clash.problem.where == "entry.e.ticks"
    known = {choice.key for choice in TICKS}
    assert {tick for pair in EXCLUSIVE for tick in pair} <= known
    for one, other in itertools.combinations([c.key for c in TICKS if c.key != "binds"], 2):
        assert doubts_of_entry(Entry(key="e", ticks=(one, other))) == ()


def test_check_and_screens_are_told_and_nothing_typed_is_changed() -> None:
    reading = Reading(key="a", kind="speed", texts={"turns": "99999", "time": "1 s"})
    entry = Entry(key="e", day="2026-11-25", mark=1, ticks=("binds", "carries"), readings={"a": reading})
    build = {"cold_metal": "1.5 C", "cold_side": "air"}
    project = Project(name="x", marks={1: Mark(number=1, build=build)}, entries={"e": entry})
    assert {problem.where: problem.value for problem in problems_of(project)} == {
        "mark.1.build.cold_metal": "1.5 C",
        "entry.e.ticks": "binds",
        "entry.e.reading.a.turns": "99999",
    }
    assert [p.where for p in problems_of_mark(project, 1)] == ["mark.1.build.cold_metal"]
    assert [p.where for p in problems_of_reading(project, entry, reading)] == ["entry.e.reading.a.turns"]
