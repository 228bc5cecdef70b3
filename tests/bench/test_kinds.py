"""A kind of reading is declared once: what is declared fits the fields, and a new kind needs nothing beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from model.bench import evidence, kinds, reading
from model.bench.evidence import evidence_of, left_behind
from model.bench.kinds import KINDS, ReadingKind, StandsFor, kind_of
from model.bench.reading import ReadingValues, measured_of, problems_in, values_of
from model.checks.cautions import all_cautions, cautions_at
from model.fields import Build, applies, fields_of
from model.fields.reading import CONDITIONS, ReadingFields
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from tui.view.readings import below_lines, fact_text, good_for_text, kind_label, reading_rows, result_text, short_kind

FIELDS = fields_of(ReadingValues)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
def test_what_a_kind_declares_are_fields_of_a_reading(kind: ReadingKind) -> None:
    assert set(kind.fields) <= set(FIELDS)
    assert {name for name, _ in kind.facts} <= {*kind.fields, *CONDITIONS}
    assert all(text.count("{}") == 1 for _, text in kind.facts)
    assert bool(kind.measures) == bool(kind.wanted)


def test_a_field_of_what_was_measured_is_asked_by_some_kind_and_by_no_reading_without_one() -> None:
    asked = {name for kind in KINDS for name in kind.fields}
    assert asked == {name for name, field in FIELDS.items() if field.by_kind}
    assert not [name for name in asked if applies(FIELDS[name], ReadingValues(kind=None))]
    assert not [name for name in asked if applies(FIELDS[name], ReadingValues(kind="unheard of"))]


def test_what_a_kind_stands_for_is_known_by_one_word_and_by_fields_of_the_build() -> None:
    declared = [kind.stands_for for kind in KINDS if kind.stands_for]
    words: dict[str, set[str]] = {}
    for item in declared:
        words.setdefault(item.name, set()).add(item.about)
        assert set(item.typed) <= set(fields_of(Build))
    assert all(len(about) == 1 for about in words.values())


def test_cautions_stand_at_fields_that_their_kinds_ask_for() -> None:
    for caution in all_cautions():
        for trigger in caution.when:
            for kind in trigger.get("reading", ()):
                places = [name for name, found in cautions_at(kind).items() if found is caution]
                assert places, (caution.id, kind)


def test_a_reading_is_read_once_and_keeps_a_kind_that_is_not_known() -> None:
    texts = {"turns": "12", "time": "5 furlongs", "note": "windy"}
    first = Reading(key="a", kind="speed", texts=texts)
    assert values_of(first) is values_of(Reading(key="b", kind="speed", texts=dict(texts)))
    assert set(problems_in(first)) == {"time"}
    strange = replace(first, kind="wind")
    assert values_of(strange).kind == "wind"
    assert measured_of(values_of(strange)) is None


# -- a kind that is added: fuel burnt, for the heat that it released ------------------------------------------------


def heat(values: ReadingFields, build: Build) -> Uncertain | None:
    """Heat of burning paraffin wax, 42 MJ/kg (from memory), over the time."""
    if values.weight is None or values.time is None:
        return None
    return Uncertain(value=42e6 * values.weight.value / values.time.value)


BURNT = ReadingKind(
    key="fuel_burnt", label="Fuel burnt", short="Fuel", fields=("weight", "time"), facts=(("weight", "{} burnt"),),
    timed=kinds.Mode.SPAN, good_for=lambda values: "It tells the heat that is released.",
    stands_for=StandsFor(name="heat_released", value=heat, words="fuel burnt", about="Heat", typed=("heat_released",),
                         comes_to="a heat of {}", kind=Kind.POWER, unit="W"),
)  # fmt: skip


@pytest.fixture
def burnt(monkeypatch: pytest.MonkeyPatch) -> Iterator[Project]:
    """A project with a reading of the new kind on its first mark, and a second mark."""
    for module in (kinds, evidence, reading):
        if hasattr(module, "KINDS"):
            monkeypatch.setattr(module, "KINDS", (*KINDS, BURNT))
    monkeypatch.setattr(kinds, "_BY_KEY", {**kinds._BY_KEY, BURNT.key: BURNT})
    taken = Reading(key="a", kind="fuel_burnt", texts={"weight": "10 g", "time": "1000 s"})
    entry = Entry(key="e", day="2026-11-25", mark=1, readings={"a": taken})
    marks = {1: Mark(number=1), 2: Mark(number=2)}
    object.__setattr__(FIELDS["kind"], "choices", (*KINDS, BURNT))
    reading.parsed.cache_clear()
    yield Project(name="Lamp", marks=marks, entries={"e": entry})
    object.__setattr__(FIELDS["kind"], "choices", KINDS)
    reading.parsed.cache_clear()


def test_a_kind_that_is_added_is_shown_and_is_evidence_without_another_table(burnt: Project) -> None:
    taken = reading_rows(burnt, 1)[0]
    assert kind_of("fuel_burnt") is BURNT
    assert (kind_label("fuel_burnt"), short_kind("fuel_burnt")) == ("Fuel burnt", "Fuel")
    assert fact_text(taken.reading) == "10 g burnt"
    below = "".join(t for line in below_lines(taken, None, burnt, 200, looked_at=1) for t, _ in line)
    assert "Comes to a heat of 420 W." in below
    empty = replace(taken, reading=replace(taken.reading, texts={}))
    below = "".join(t for line in below_lines(empty, None, burnt, 200, looked_at=1) for t, _ in line)
    assert good_for_text(empty.reading) in below
    assert evidence_of(burnt, 1).values["heat_released"].value == pytest.approx(420)
    assert evidence_of(burnt, 1).sources["heat_released"] == "fuel burnt, 1 reading"


@pytest.mark.parametrize(
    ("kind", "texts", "said"),
    [
        # 2 g at 50 mm: 0.002 x 9.80665 x 0.05 = 0.98 mN m
        ("rim_weight", {"weight": "2 g", "radius": "50 mm"}, "a friction of 0.98"),
        # 30 g fall 20 mm in 2 s: 10 g, a third of the weight, fall half as far in 3 s
        ("piston_drop", {"weight": "30 g", "fall": "20 mm", "time": "2 s"}, "a fall of 10 mm under 10 g in 3.0"),
        ("leak_down", {"time": "4 s"}, "a half-time of 4.0"),
    ],
)
def test_a_reading_that_stands_for_an_input_says_what_it_comes_to(kind: str, texts: dict[str, str], said: str) -> None:
    reading = Reading(key="a", kind=kind, texts=texts)
    assert result_text(reading, None, Build()).startswith(f"Comes to {said}")
    assert result_text(replace(reading, texts={}), None, Build()) == ""
    project = Project(
        name="P", marks={1: Mark(number=1)}, entries={"e": Entry(key="e", mark=1, readings={"a": reading})}
    )
    below = below_lines(reading_rows(project, 1)[0], None, project, 200, looked_at=1)
    assert f"Comes to {said}" in "".join(text for line in below for text, _ in line)


def test_a_later_mark_says_that_a_new_kind_was_left_behind_and_does_not_fail(burnt: Project) -> None:
    assert left_behind(burnt, 2) == {"Heat": 1}
    assert left_behind(burnt, 1) == {}
    typed = replace(burnt, marks={**burnt.marks, 2: Mark(number=2, build={"heat_released": "40 W"})})
    assert left_behind(typed, 2) == {}
