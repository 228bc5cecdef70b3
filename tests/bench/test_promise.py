"""What was promised of a change against what came: read from texts, held against readings of both marks."""

from __future__ import annotations

import pytest

from model.bench.promise import gain_text, kept, promise_of, read_gain, tally
from model.quantities.ranges import Range
from model.record import Entry, Mark, Project, Reading
from model.store import keep_both, merge
from model.store.format import decode, encode

PROMISE = {"change": "longer throw", "since": "1", "power": "4 (2 to 6) mW", "runs": "80 in 100"}


def brake(number: int, grams: str) -> Entry:
    """A brake reading at 300 rpm with 20 mm of radius: 0.098 mN m and so 6.16 mW for 10 g tight, 5 g slack."""
    texts = {"tachometer": "300 rpm", "force_tight": grams, "force_slack": "0 g", "radius": "20 mm"}
    reading = Reading(key="a", kind="brake", texts=texts)
    return Entry(key=f"brake{number}", day="2026-11-27", mark=number, readings={"a": reading})


def project(*entries: Entry, promise: dict[str, str] | None = None) -> Project:
    marks = {1: Mark(number=1), 2: Mark(number=2, promise=PROMISE if promise is None else promise)}
    return Project(name="Tin", marks=marks, entries={entry.key: entry for entry in entries})


def test_a_promise_stands_in_the_file_and_comes_back() -> None:
    data = encode(project())
    assert b'[mark.2.promise]\nchange = "longer throw"\nsince = "1"\npower = "4 (2 to 6) mW"' in data
    decoded = decode(data, path="x")
    assert decoded.project == project()
    assert not decoded.problems


def test_what_is_no_text_in_it_is_kept_and_reported() -> None:
    page = b'format = 1\nname = "T"\n[mark.1]\n[mark.1.promise]\npower = true\n'
    decoded = decode(page, path="x")
    assert [problem.where for problem in decoded.problems] == ["mark.1.promise.power"]
    assert b"power = true" in encode(decoded.project)


@pytest.mark.parametrize("text", ["a lot", "", "4 (6 to 2) mW", "4 (2 to 6) kg", "1e999 (2 to 6) mW", "4 (2 to 6)"])
def test_a_gain_that_cannot_be_read_is_none(text: str) -> None:
    assert read_gain(text, "power") is None
    promise = promise_of(project(promise={**PROMISE, "power": text}), 2)
    assert promise is not None
    assert not promise.gains


def test_a_gain_is_read_as_it_is_written() -> None:
    gain = Range(middle=0.0041, low=-0.002, high=0.00632)
    assert read_gain(gain_text(gain, "power"), "power") == gain


def test_what_came_is_the_best_of_one_mark_less_the_best_of_the_other() -> None:
    """10 g at 20 mm is 1.96 mN m (g = 9.80665 m/s2), at 300 rpm 61.6 mW; 11 g a tenth more: a gain of 6.16 mW."""
    each = kept(project(brake(1, "10 g"), brake(2, "11 g")), 2)
    assert each is not None
    assert each.came == pytest.approx(6.16e-3, rel=1e-3)
    assert each.within  # as far as the brake can tell


def test_far_off_is_outside_and_unmeasured_is_neither() -> None:
    off = project(brake(1, "10 g"), brake(2, "100 g"))
    never = project(brake(2, "10 g"))
    assert [each.within for each in (kept(off, 2), kept(never, 2)) if each] == [False, None]
    assert tally([off, never, project(brake(1, "10 g"), brake(2, "11 g"))]) == (2, 1)


def test_a_promise_against_a_mark_that_is_gone_is_none() -> None:
    assert promise_of(project(promise={**PROMISE, "since": "7"}), 2) is None
    assert promise_of(project(promise={**PROMISE, "since": "x"}), 2) is None


def test_two_promises_for_one_mark_are_never_mixed() -> None:
    base = project(promise={})
    ours, theirs = (
        project(promise={"change": "a", "since": "1"}),
        project(promise={"since": "1", "power": "1 (0 to 2) mW"}),
    )
    merged = merge(base, ours, theirs)
    assert [clash.where for clash in merged.clashes] == ["mark.2.promise"]
    both = keep_both(merged, ours=ours, theirs=theirs)
    assert both.marks[2].promise == ours.marks[2].promise
    assert any("1 (0 to 2) mW" in entry.text for entry in both.entries.values())
    assert merge(base, ours, base).project.marks[2].promise == ours.marks[2].promise
