"""The laws of the three-way merge, over drawn histories, and what it does in the cases that matter."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from model.record import Entry, Mark, Project, Reading
from model.store import Clash, decode, encode, merge, take_theirs
from model.store.document import to_document
from tests.examples import many
from tests.store.drawing import projects
from tests.store.histories import histories

LAW = settings(deadline=None, max_examples=many(12), suppress_health_check=list(HealthCheck))


def _bytes_agree(one: Project, other: Project) -> bool:
    return encode(one) == encode(other)


@LAW
@given(histories())
def test_a_side_that_did_nothing_gives_way_to_the_other(history: tuple[Project, Project, Project]) -> None:
    base, ours, theirs = history
    for merged, expected in ((merge(base, ours, base), ours), (merge(base, base, theirs), theirs)):
        assert merged.clashes == ()
        assert _bytes_agree(merged.project, expected)


@LAW
@given(projects(), projects())
def test_the_same_law_holds_for_any_two_projects(base: Project, other: Project) -> None:
    assert merge(base, other, base).project == other
    assert merge(base, base, other).project == other
    assert merge(base, other, other).project == other


@LAW
@given(histories())
def test_exchanging_the_sides_changes_nothing_but_the_side_that_clashes_keep(
    history: tuple[Project, Project, Project],
) -> None:
    base, ours, theirs = history
    one, other = merge(base, ours, theirs), merge(base, theirs, ours)
    assert {c.place for c in one.clashes} == {c.place for c in other.clashes}
    sides = {c.place: (c.ours, c.theirs) for c in one.clashes}
    assert all(sides[c.place] == (c.theirs, c.ours) for c in other.clashes)
    if not one.clashes:
        assert _bytes_agree(one.project, other.project)


def _items(project: Project) -> dict[tuple[str, ...], Any]:
    """Return every mark, entry and reading of a project with what it holds."""
    found: dict[tuple[str, ...], Any] = {("mark", str(n)): mark for n, mark in project.marks.items()}
    for key, entry in project.entries.items():
        found["entry", key] = entry
        found.update({("entry", key, "reading", k): reading for k, reading in entry.readings.items()})
    return found


@LAW
@given(histories())
def test_no_mark_entry_or_reading_is_lost(history: tuple[Project, Project, Project]) -> None:
    """Missing is only what one side deleted while it stood on the other as both had found it."""
    base, ours, theirs = history
    result = _items(merge(base, ours, theirs).project)
    start, left, right = _items(base), _items(ours), _items(theirs)
    for mine, other in ((left, right), (right, left)):
        for place, item in mine.items():
            if place not in result:
                assert place not in other, place
                assert item == start.get(place), place


@LAW
@given(histories())
def test_each_text_of_either_side_is_in_the_result_or_in_a_clash(history: tuple[Project, Project, Project]) -> None:
    base, ours, theirs = history
    merged = merge(base, ours, theirs)
    for mine, other in ((ours, theirs), (theirs, ours)):
        for key, entry in mine.entries.items():
            before = base.entries.get(key, Entry(key=key))
            if entry.text in ("", before.text):
                continue
            now = merged.project.entries[key].text
            shown = [value for c in merged.clashes if c.place[:2] == ("entry", key) for value in (c.ours, c.theirs)]
            texts = [v["text"] if isinstance(v, dict) and "text" in v else v for v in shown]
            assert entry.text == now or entry.text in texts, (key, other)


@LAW
@given(histories())
def test_what_is_merged_can_be_saved_and_read(history: tuple[Project, Project, Project]) -> None:
    merged = merge(*history).project
    assert decode(encode(merged), path="p").project == merged


@LAW
@given(histories())
def test_taking_their_side_of_every_clash_gives_the_merge_from_their_side(
    history: tuple[Project, Project, Project],
) -> None:
    """Where they deleted what we changed, the merge from their side keeps it too; taking their side deletes it."""
    base, ours, theirs = history
    merged = merge(base, ours, theirs)
    settled, mirrored = merged.project, merge(base, theirs, ours).project
    for clash in merged.clashes:
        settled = take_theirs(settled, clash)
        if clash.theirs is None:
            mirrored = take_theirs(mirrored, clash)
    assert settled == mirrored


BASE = Project(
    name="Cup",
    marks={1: Mark(number=1, build={"bore": "10 mm", "stroke": "20 mm"})},
    entries={
        "k": Entry(
            key="k",
            text="old",
            ticks=("binds",),
            readings={"a": Reading(key="a", kind="speed", texts={"turns": "100"})},
        )
    },
)


def _entry(**changes: Any) -> Project:
    return BASE.with_entry(replace(BASE.entries["k"], **changes))


def test_different_fields_of_one_entry_and_one_mark_merge() -> None:
    ours = replace(_entry(text="ours"), marks={1: Mark(number=1, build={"bore": "11 mm", "stroke": "20 mm"})})
    theirs = replace(
        _entry(changed="theirs"), marks={1: Mark(number=1, reason="why", build={"bore": "10 mm", "stroke": "21 mm"})}
    )
    merged = merge(BASE, ours, theirs)
    assert merged.clashes == ()
    assert merged.project.entries["k"].text == "ours"
    assert merged.project.entries["k"].changed == "theirs"
    assert merged.project.marks[1] == Mark(number=1, reason="why", build={"bore": "11 mm", "stroke": "21 mm"})


def test_two_texts_for_one_field_clash_and_both_are_there() -> None:
    merged = merge(BASE, _entry(text="ours"), _entry(text="theirs"))
    assert merged.project.entries["k"].text == "ours"
    assert merged.clashes == (Clash(place=("entry", "k", "text"), base="old", ours="ours", theirs="theirs"),)
    assert merged.clashes[0].where == "entry.k.text"
    assert take_theirs(merged.project, merged.clashes[0]).entries["k"].text == "theirs"


@pytest.mark.parametrize("swapped", [False, True])
def test_an_entry_deleted_here_and_written_on_there_stays_and_is_shown(swapped: bool) -> None:
    deleted, written = replace(BASE, entries={}), _entry(text="more")
    sides = (written, deleted) if swapped else (deleted, written)
    merged = merge(BASE, *sides)
    assert merged.project.entries["k"].text == "more"
    assert [c.place for c in merged.clashes] == [("entry", "k")]
    assert None in (merged.clashes[0].ours, merged.clashes[0].theirs)


def test_an_entry_deleted_here_and_left_there_is_deleted() -> None:
    merged = merge(BASE, replace(BASE, entries={}), replace(BASE, about="theirs"))
    assert merged.project == replace(BASE, entries={}, about="theirs")
    assert merged.clashes == ()


def test_a_reading_deleted_here_and_changed_there_stays() -> None:
    changed = _entry(readings={"a": Reading(key="a", kind="speed", texts={"turns": "200"})})
    merged = merge(BASE, _entry(readings={}), changed)
    assert merged.project.entries["k"].readings["a"].texts == {"turns": "200"}
    assert [c.place for c in merged.clashes] == [("entry", "k", "reading", "a")]


def test_two_marks_of_one_number_are_never_mixed() -> None:
    ours = BASE.with_mark(Mark(number=2, reason="longer rod", build={"rod": "50 mm"}))
    theirs = BASE.with_mark(Mark(number=2, reason="wider piston", build={"bore": "12 mm"}))
    merged = merge(BASE, ours, theirs)
    assert merged.project.marks[2] == ours.marks[2]
    assert [c.place for c in merged.clashes] == [("mark", "2")]
    assert take_theirs(merged.project, merged.clashes[0]).marks[2] == theirs.marks[2]


def test_ticks_of_both_sides_are_joined_and_taken_away_by_either() -> None:
    merged = merge(BASE, _entry(ticks=("binds", "bounces")), _entry(ticks=("turns free",)))
    assert merged.project.entries["k"].ticks == ("bounces", "turns free")
    assert merged.clashes == ()


def test_entries_added_on_both_sides_stand_in_one_order_on_both() -> None:
    ours = BASE.with_entry(Entry(key="z", text="1")).with_entry(Entry(key="b", text="2"))
    theirs = BASE.with_entry(Entry(key="m", text="3"))
    assert list(merge(BASE, ours, theirs).project.entries) == ["k", "m", "z", "b"]
    assert list(merge(BASE, theirs, ours).project.entries) == ["k", "m", "z", "b"]


def test_the_same_entries_in_another_order_on_each_side_stand_in_one_order() -> None:
    one, two = Entry(key="b"), Entry(key="c")
    ours, theirs = BASE.with_entry(one).with_entry(two), BASE.with_entry(two).with_entry(one)
    assert list(merge(BASE, ours, theirs).project.entries) == list(merge(BASE, theirs, ours).project.entries)
    assert list(merge(ours, ours, theirs).project.entries) == ["k", "c", "b"]
    assert list(merge(ours, theirs, ours).project.entries) == ["k", "c", "b"]


def test_a_side_that_left_the_order_alone_takes_the_order_of_the_other() -> None:
    one, two = Entry(key="b"), Entry(key="c")
    base = replace(BASE, entries={"b": one, "c": two})
    ours = base.with_entry(replace(two, text="ours"))
    theirs = replace(base, entries={"c": two, "b": one})
    for merged in (merge(base, ours, theirs), merge(base, theirs, ours)):
        assert list(merged.project.entries) == ["c", "b"]
        assert merged.project.entries["c"].text == "ours"


def test_a_mark_begun_alike_on_both_sides_is_no_clash() -> None:
    ours = BASE.with_mark(Mark(number=2, build={"bore": "1 mm", "rod": "2 mm"}))
    theirs = BASE.with_mark(Mark(number=2, build={"rod": "2 mm", "bore": "1 mm"}))
    assert merge(BASE, ours, theirs).clashes == ()


def test_true_is_not_one() -> None:
    base, ours = (replace(BASE, unknown={"odd": value}) for value in (1, True))
    assert to_document(merge(base, ours, base).project)["odd"] is True
    assert to_document(merge(base, base, ours).project)["odd"] is True
