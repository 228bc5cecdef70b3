"""How long it ran, held against how long it should have: limits that hold for any engine on warm water."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from model.explain.gap import gaps
from model.fields import Build
from model.prediction.result import Gap
from model.record import Entry, Mark, Project, Reading
from model.store import read_project, save_project
from tui.commands.asjson import gap_json
from tui.view.lines import text_of
from tui.view.readings import ReadingRow, fact_text, kind_label, result_text, row_line

MUG = read_project(Path(__file__).parents[2] / "projects" / "mug.toml").project


def ran(text: str = "22 min +-1", *, build: dict[str, str] | None = None, samples: int = 0, **texts: str) -> Gap | None:
    """Return the gap of one reading on the mug as it was first built, of which nothing else is measured."""
    reading = Reading(key="a", kind="run_time", texts={"run_time": text, **texts})
    mark = Mark(number=1, build={**MUG.marks[1].build, **(build or {})})
    entry = Entry(key="e", day="2026-11-26", mark=1, readings={"a": reading})
    found = gaps(Project(name="Mug", marks={1: mark}, entries={"e": entry}), samples=samples)
    return found[0] if found else None


def predicted(**rest: object) -> float:
    found = ran(**rest)  # type: ignore[arg-type]
    assert found is not None and found.predicted.value is not None
    return found.predicted.value


def test_a_run_is_read_with_its_spread_and_the_gap_is_measured_less_predicted() -> None:
    found = ran(samples=30)
    assert found is not None
    measured, expected, gap = found.measured, found.predicted, found.gap
    assert (found.quantity, measured.unit) == ("run_time", "min")
    assert measured.value == pytest.approx(22 * 60)
    assert measured.low == pytest.approx(22 * 60 - 1.645 * 30) and measured.high == pytest.approx(22 * 60 + 1.645 * 30)
    assert expected.value is not None and gap.value == pytest.approx(22 * 60 - expected.value)
    assert expected.low is not None and expected.high is not None and expected.low <= expected.value <= expected.high
    assert gap.low is not None and gap.high is not None and gap.low < gap.value < gap.high


def test_a_bare_number_is_minutes() -> None:
    found = ran("22")
    assert found is not None and found.measured.value == pytest.approx(22 * 60)


def test_more_water_lasts_longer_and_hotter_water_too() -> None:
    """All heat stores and losses the same, the water's heat above the room grows with its mass and temperature."""
    little = predicted(build={"water_mass": "150 g"})
    assert predicted(build={"water_mass": "300 g"}) > 1.2 * little
    assert predicted(build={"water_mass": "150 g", "source_temperature": "70 C"}) < little


def test_no_run_is_predicted_on_water_as_warm_as_the_room() -> None:
    """Without a difference of temperature no heat engine runs (second law)."""
    assert predicted(build={"source_temperature": "21 C", "room_temperature": "21 C"}) == 0


def test_no_end_is_predicted_over_a_flame_that_is_kept_alight() -> None:
    found = ran(build={"heat_source": "candle", "source_temperature": ""})
    assert found is not None
    assert found.predicted.value is None and found.gap.value is None
    assert "flame" in found.note


def test_metals_of_a_moment_change_nothing() -> None:
    assert predicted(hot_metal="60 C", cold_metal="30 C") == predicted()


@pytest.mark.parametrize("text", ["", "?", "long"])
def test_a_run_that_is_not_said_has_no_gap(text: str) -> None:
    assert ran(text) is None


def test_it_stands_in_the_list_in_the_sentence_and_in_json() -> None:
    found = ran()
    assert found is not None
    reading = Reading(key="a", kind="run_time", texts={"run_time": "22 min"})
    row = ReadingRow(entry=Entry(key="e", day="2026-11-26", mark=1), reading=reading, mark=1)
    line = text_of(row_line(row, found, 80, here=False, flagged=False, waiting=False))
    assert kind_label("run_time") == "Ran for" and "Ran for" in line and "22" in line
    assert fact_text(reading) == "22 min"
    assert "Ran for" in result_text(reading, found, Build()) and "predicted" in result_text(reading, found, Build())
    told = json.loads(json.dumps(gap_json(found)))
    assert (told["quantity"], told["unit"]) == ("run_time", "min")
    assert told["measured"]["value"] == pytest.approx(22)


def test_an_older_program_keeps_the_reading_and_the_new_fields(tmp_path: Path) -> None:
    """What a program does not know stays in the file: a kind and a field that nobody knows come back as written."""
    reading = Reading(key="a", kind="ran_on_gas", texts={"puffs": "7"})
    mark = replace(MUG.marks[1], build={**MUG.marks[1].build, "post_colour": "red"})
    project = MUG.with_mark(mark).with_entry(Entry(key="zz", day="2026-11-26", mark=1, readings={"a": reading}))
    save_project(tmp_path / "mug.toml", project, revision=None)
    back = read_project(tmp_path / "mug.toml").project
    assert back.entries["zz"].readings["a"] == reading
    assert back.marks[1].build["post_colour"] == "red"
