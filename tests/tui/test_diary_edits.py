"""What an evening adds to a project: where a reading goes, what stays where it is, what is offered."""

from __future__ import annotations

import pytest

from model.record import Entry, Mark, Project, Reading
from tests.tui.stage import CAN, can
from tui.state.diary_edits import (
    clean_lines,
    entry_of_day,
    new_entry,
    offers,
    with_mark_of_entry,
    with_reading,
    with_text,
    without_entry,
    without_reading,
)
from tui.text.days import last_day


def test_a_reading_goes_into_the_last_entry_of_its_day() -> None:
    project = can().with_entry(Entry(key="second", day="2026-11-25", mark=2))
    entry = entry_of_day(project, "2026-11-25")
    assert entry is not None
    assert entry.key == "second"
    assert entry_of_day(project, "2026-11-26") is None
    changed = with_reading(project, entry, Reading(key="b", kind="bounce", texts={"bounce": "weak"}))
    assert changed.entries["second"].readings["b"].texts == {"bounce": "weak"}
    assert project.entries["second"].readings == {}


def test_an_entry_begun_while_somebody_else_added_a_reading_loses_none() -> None:
    old = can().entries["k7f3m2"]
    project = with_reading(can(), old, Reading(key="b", kind="bounce"))
    again = with_reading(project, old, Reading(key="c", kind="bounce"))
    assert set(again.entries["k7f3m2"].readings) == {"a", "b", "c"}


def test_an_entry_that_gets_another_mark_leaves_its_readings_where_they_were() -> None:
    project = can()
    moved = with_mark_of_entry(project, project.entries["k7f3m2"], 2)
    assert moved.entries["k7f3m2"].mark == 2
    assert len(moved.readings_of(1)) == 1
    assert moved.readings_of(2) == ()
    without = with_mark_of_entry(moved, moved.entries["k7f3m2"], None)
    assert len(without.readings_of(1)) == 1


def test_what_is_deleted_takes_nothing_else_along() -> None:
    project = can().with_entry(Entry(key="second", day="2026-11-26"))
    assert without_reading(project, ("k7f3m2", "a")).entries["k7f3m2"].text == "Turned free at last."
    assert set(without_entry(project, "k7f3m2").entries) == {"second"}


def test_an_emptied_text_is_not_kept_and_the_order_of_the_others_stays() -> None:
    reading = Reading(key="a", kind="speed", texts={"turns": "9", "time": "3 s"})
    assert with_text(reading, "turns", "").texts == {"time": "3 s"}
    assert list(with_text(reading, "turns", "8").texts) == ["turns", "time"]
    assert with_text(reading, "kind", "brake").kind == "brake"


def conditions(project: Project, number: int, reading: Reading) -> dict[str, tuple[str, str]]:
    return {name: (offer.text, offer.whence) for name, offer in offers(project, number, reading, None).items()}


def test_conditions_of_the_last_reading_of_the_mark_are_offered_and_the_marks_own_where_it_has_none() -> None:
    warm = Reading(key="b", kind="speed", texts={"hot_metal": "200 F", "minutes": "4", "note": "first"})
    project = with_reading(can(), can().entries["k7f3m2"], warm)
    offered = conditions(project, 1, Reading(key="n", kind="speed"))
    assert offered["hot_metal"] == ("200 F", "last time")
    assert offered["heat_source"] == ("candle", "Mk 1")
    assert "note" not in offered
    assert "direction" not in offered


def test_what_the_reading_says_itself_is_not_offered_and_a_question_mark_is_no_condition() -> None:
    said = Reading(key="b", kind="speed", texts={"hot_metal": "?", "minutes": "4"})
    project = with_reading(can(), can().entries["k7f3m2"], said)
    offered = conditions(project, 1, Reading(key="n", kind="speed", texts={"minutes": "6"}))
    assert "hot_metal" not in offered
    assert "minutes" not in offered


def test_a_reading_is_offered_what_stood_before_it_not_what_came_after() -> None:
    first = Reading(key="a", kind="speed", texts={"minutes": "1"})
    second = Reading(key="b", kind="speed", texts={"turns": "9"})
    third = Reading(key="c", kind="speed", texts={"minutes": "30"})
    entry = Entry(key="e", mark=1, readings={r.key: r for r in (first, second, third)})
    project = Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry})
    assert offers(project, 1, second, ("e", "b"))["minutes"].text == "1"
    assert offers(project, 1, second, None)["minutes"].text == "30"


def test_the_last_day_is_the_latest_that_is_a_day() -> None:
    project = can().with_entry(Entry(key="odd", day="some day")).with_entry(Entry(key="old", day="2025-01-01"))
    assert last_day(project) == "2026-11-25"
    assert last_day(Project(name="x")) == ""
    assert new_entry(project, day="2026-11-26", mark=2).key not in project.entries


@pytest.mark.parametrize(
    ("text", "clean"),
    [("a\x1b[2Jb", "a[2Jb"), ("a\r\nb\rc", "a\nb\nc"), ("a\tb", "a\tb"), ("a\u202eb\u2028c", "abc"), ("x\fy", "x\ny")],
)
def test_a_text_of_lines_keeps_its_lines_and_loses_what_could_steer(text: str, clean: str) -> None:
    assert clean_lines(text) == clean
