"""Keeping both sides of a clash: each value of either side is in the result, which can always be saved and read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings

from model.record import Entry, Mark, Project, Reading
from model.store import decode, encode, keep_both, merge
from model.store.document import to_document
from tests.examples import many
from tests.store.histories import histories

LAW = settings(deadline=None, max_examples=many(25), suppress_health_check=list(HealthCheck))
BASE = Project(
    name="Cup",
    marks={1: Mark(number=1, reason="First", build={"bore": "10 mm"})},
    entries={"k": Entry(key="k", mark=1, text="old")},
)


def both(base: Project, ours: Project, theirs: Project) -> Project:
    return keep_both(merge(base, ours, theirs), ours=ours, theirs=theirs)


def leaves(table: Any, place: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield every text of a document with its place."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from leaves(value, (*place, key))
        elif isinstance(value, str) and value:
            yield (*place, key), value


@LAW
@given(histories())
def test_what_keeps_both_can_be_saved_and_holds_each_new_text_of_either_side(
    history: tuple[Project, Project, Project],
) -> None:
    base, ours, theirs = history
    result = both(base, ours, theirs)
    assert decode(encode(result), path="p").project == result
    found = "\n".join(text for _, text in leaves(to_document(result)))
    start = dict(leaves(to_document(base)))
    for side in (ours, theirs):
        for place, text in leaves(to_document(side)):
            if start.get(place) != text:
                assert text in found, place


def test_free_text_of_both_sides_stands_in_its_place() -> None:
    ours = BASE.with_entry(replace(BASE.entries["k"], text="ours\n", changed="gland"))
    theirs = BASE.with_entry(replace(BASE.entries["k"], text="theirs\n", changed="crank"))
    result = both(BASE, ours, theirs)
    assert result.entries["k"].text == "ours\n\ntheirs\n"
    assert result.entries["k"].changed == "gland; crank"
    assert list(result.entries) == ["k"]


def test_a_value_of_the_other_side_is_told_in_the_diary() -> None:
    ours = BASE.with_mark(Mark(number=1, reason="First", build={"bore": "11 mm"}))
    theirs = BASE.with_mark(Mark(number=1, reason="First", build={"bore": "12\x1b mm"}))
    result = both(BASE, ours, theirs)
    assert result.marks[1].build["bore"] == "11 mm"
    told = list(result.entries.values())[-1].text
    assert "mark.1.build.bore" in told and "11 mm" in told and r"12\x1b mm" in told.replace("\\\\", "\\")


def test_a_mark_begun_on_both_sides_becomes_two_and_readings_go_with_their_own() -> None:
    ours = BASE.with_mark(Mark(number=2, build={"bore": "11 mm"})).with_entry(Entry(key="a", mark=2))
    reading = Reading(key="r", kind="speed", texts={"mark": "2"})
    theirs = (
        BASE.with_mark(Mark(number=2, build={"bore": "12 mm"}))
        .with_entry(Entry(key="b", mark=2))
        .with_entry(Entry(key="c", mark=1, readings={"r": reading}))
    )
    result = both(BASE, ours, theirs)
    assert {n: m.build["bore"] for n, m in result.marks.items()} == {1: "10 mm", 2: "11 mm", 3: "12 mm"}
    assert result.entries["a"].mark == 2
    assert result.entries["b"].mark == 3
    assert result.entries["c"].mark == 1
    assert result.mark_of(result.entries["c"], result.entries["c"].readings["r"]) == 3


def test_what_one_side_deleted_and_the_other_changed_stays_and_is_told() -> None:
    ours = replace(BASE, entries={})
    theirs = BASE.with_entry(replace(BASE.entries["k"], text="new"))
    for result in (both(BASE, ours, theirs), both(BASE, theirs, ours)):
        assert result.entries["k"].text == "new"
        assert "entry.k: deleted on one side" in list(result.entries.values())[-1].text


def test_nothing_is_added_where_nothing_clashes() -> None:
    ours = BASE.with_entry(Entry(key="a", text="mine"))
    theirs = replace(BASE, about="theirs")
    assert both(BASE, ours, theirs) == merge(BASE, ours, theirs).project
