"""What a step is said to have done: which field, the text before and the text after."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.record import Entry, Mark, Project, Reading
from tui.state.prototype import Snapshot
from tui.state.step_text import step_text

READING = Reading(key="a", kind="speed", texts={"turns": "40", "time": "10 s"})
ENTRY = Entry(key="e", day="2026-11-25", mark=1, text="Stuck.", readings={"a": READING})
PROJECT = Project(name="Tin", marks={1: Mark(number=1, build={"piston_throw": "4 mm"})}, entries={"e": ENTRY})


def built(**texts: str) -> Project:
    return PROJECT.with_mark(Mark(number=1, build=texts))


def seen(**changes: object) -> Project:
    return PROJECT.with_entry(replace(ENTRY, **changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("to", "said"),
    [
        (built(piston_throw="6 mm"), "Piston throw 4 mm; it is 6 mm again."),
        (built(), "Piston throw 4 mm; it is empty again."),
        (built(piston_throw="4 mm", phase="90"), "Crank angle emptied; it is 90 again."),
        (PROJECT.with_mark(Mark(number=2)), "Mk 2 is there again."),
        (replace(PROJECT, entries={}), "Diary of 2026-11-25 is gone again."),
        (seen(text="Free."), "Diary of 2026-11-25, text Stuck.; it is Free. again."),
        (seen(ticks=("binds",)), "Diary of 2026-11-25, ticks emptied; it is binds again."),
        (seen(readings={}), "Reading Speed, running free is gone again."),
        (
            seen(readings={"a": replace(READING, texts={"turns": "44", "time": "10 s"})}),
            "Reading Speed, running free, Turns counted 40; it is 44 again.",
        ),
    ],
)
def test_a_step_back_names_the_field_and_both_texts(to: Project, said: str) -> None:
    assert step_text(Snapshot(project=PROJECT), Snapshot(project=to), back=True) == f"Taken back: {said}"


def test_a_long_text_is_cut_and_many_changes_are_counted() -> None:
    words = "word " * 100
    long = step_text(Snapshot(project=PROJECT), Snapshot(project=seen(text=words)), back=False)
    assert long.startswith("Done again: ") and len(long) < 120 and "..." in long
    many = dict.fromkeys(("piston_bore", "piston_rod", "piston_length", "displacer_bore"), "1 mm")
    assert step_text(
        Snapshot(project=PROJECT), Snapshot(project=built(piston_throw="4 mm", **many)), back=True
    ).endswith("And 2 more.")


def test_no_change_says_nothing() -> None:
    assert step_text(Snapshot(project=PROJECT), Snapshot(project=PROJECT), back=True) == ""
