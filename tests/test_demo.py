"""The demo notebook: three invented prototypes, written as the store writes them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from model.bench.reading import ReadingValues
from model.checks.problems import problems_of
from model.fields import parse_build, parse_fields
from model.quantities.uncertain import Uncertain
from model.record import Project
from model.store import encode, open_notebook, read_project

FOLDER = Path(__file__).resolve().parents[1] / "projects"
FILES = sorted(FOLDER.glob("*.toml"))


def _project(path: Path) -> Project:
    return read_project(path).project


def test_the_notebook_holds_three_projects_and_nothing_else() -> None:
    assert [path.name for path in FILES] == ["cocoa-tin.toml", "mug.toml", "two-syringes.toml"]
    assert not [item.error for item in open_notebook(FOLDER).items if item.error]
    assert {path.name for path in FOLDER.iterdir() if not path.name.startswith(".")} == {path.name for path in FILES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_file_is_written_as_the_store_writes_it(path: Path) -> None:
    assert encode(_project(path)) == path.read_bytes()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_project_says_that_it_is_invented_and_has_nothing_wrong(path: Path) -> None:
    stored = read_project(path)
    assert "invented" in stored.project.about.lower()
    assert not stored.problems
    assert not problems_of(stored.project)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_project_has_marks_and_readings_over_several_days(path: Path) -> None:
    project = _project(path)
    assert len(project.marks) >= 2
    days = [date.fromisoformat(entry.day) for entry in project.entries.values()]
    assert days == sorted(days)
    assert len(set(days)) >= 3
    for number in project.marks:
        assert project.readings_of(number)


def test_the_demo_shows_inches_fahrenheit_ranges_spreads_and_an_unknown() -> None:
    texts = " | ".join(
        text
        for path in FILES
        for project in [_project(path)]
        for mark in project.marks.values()
        for text in mark.build.values()
    )
    for sign in (" in ", " F ", "between", "+-", "?", "around", "g water", "about", "measured"):
        assert sign in texts, sign


def test_readings_lie_where_engines_of_their_kind_are_seen() -> None:
    """Speeds of can and flat engines 20 to 300 rpm, brake powers 1 to 60 mW at most: common practice, no source."""
    for path in FILES:
        for entry in _project(path).entries.values():
            for reading in entry.readings.values():
                values, _ = parse_fields(ReadingValues, {**reading.texts, "kind": reading.kind})
                speed = _speed(values)
                if reading.kind == "speed":
                    assert speed is not None
                    assert 20 < speed * 60 / 6.283185307 < 300
                if reading.kind == "brake":
                    assert values.force_tight
                    assert values.force_slack
                    assert values.radius
                    assert speed
                    power = (values.force_tight.value - values.force_slack.value) * values.radius.value * speed
                    assert 0.001 < power < 0.01


def _speed(values: ReadingValues) -> float | None:
    if isinstance(values.tachometer, Uncertain):
        return values.tachometer.value
    if values.turns and values.time:
        return 6.283185307 * values.turns.value / values.time.value
    return None


def test_the_syringes_have_never_run() -> None:
    project = _project(FOLDER / "two-syringes.toml")
    assert not {"runs_ten", "runs_spent"} & {tick for entry in project.entries.values() for tick in entry.ticks}
    assert all(parse_build(mark.build).build.layout == "alpha" for mark in project.marks.values())
