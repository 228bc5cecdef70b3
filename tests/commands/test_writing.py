"""``set`` and ``reading``: the notebook kept without its screens, by the same checks and flags."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from model.record import Entry, new_key
from model.store import read_project, save_project
from tui.__main__ import main
from tui.commands import writing
from tui.exits import Exit

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def runs(*argv: str) -> tuple[int, str, str]:
        code = main(argv)
        said = capsys.readouterr()
        return code, said.out, said.err

    return runs


@pytest.fixture
def mug(notebook: Path) -> Path:
    return notebook / "mug.toml"


def build(path: Path, mark: int) -> dict[str, str]:
    return dict(read_project(path).project.marks[mark].build)


def test_a_mark_with_readings_is_not_written_before_it_is_said_whether_it_was_wrong_or_the_engine_changed(
    run: Run, mug: Path
) -> None:
    before = mug.read_bytes()
    code, out, err = run("set", str(mug), "piston_throw", "4", "mm")
    assert (code, out) == (Exit.USAGE, "")
    assert "a correction, or a change?" in err
    assert mug.read_bytes() == before


def test_a_correction_changes_the_mark_and_nothing_else(run: Run, mug: Path) -> None:
    old, project = build(mug, 2), read_project(mug).project
    code, out, _ = run("set", f"{mug}:2", "Piston throw", "4", "mm", "--correction")
    assert code == Exit.OK
    assert "Read as 4 mm" in out
    assert build(mug, 2) == {**old, "piston_throw": "4 mm"}
    assert read_project(mug).project.entries == project.entries
    assert build(mug, 1) == dict(project.marks[1].build)


def test_a_change_begins_the_next_mark_and_leaves_the_old_one_its_readings(run: Run, mug: Path) -> None:
    old = build(mug, 2)
    assert run("set", str(mug), "piston_throw", "4 mm", "--change", "--why", "longer throw")[0] == Exit.OK
    project = read_project(mug).project
    assert (project.latest.number, project.latest.reason) == (3, "longer throw")
    assert dict(project.latest.build) == {**old, "piston_throw": "4 mm"}
    assert build(mug, 2) == old
    assert project.readings_of(2)
    assert not project.readings_of(3)


def test_a_text_that_cannot_be_read_is_kept_and_flagged_as_on_the_form(run: Run, mug: Path) -> None:
    code, out, _ = run("set", str(mug), "piston_bore", "abc", "--correction", "--json")
    said = json.loads(out)
    assert code == Exit.PROBLEMS
    assert build(mug, 2)["piston_bore"] == "abc"
    assert [each["where"] for each in said["problems"]] == ["piston_bore"]
    assert run("check", str(mug))[0] == Exit.PROBLEMS


def test_nothing_empties_a_field_and_a_field_that_the_form_does_not_ask_for_is_said_to_count_for_nothing(
    run: Run, mug: Path
) -> None:
    assert run("set", str(mug), "piston_throw", "", "--correction")[0] == Exit.OK
    assert "piston_throw" not in build(mug, 2)
    assert "counts for nothing" in run("set", str(mug), "hot_bore", "20 mm", "--correction")[1]


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("set", "piston_thro", "4 mm"), "piston_throw"),
        (("set", "piston_throw", "4 mm", "--correction", "--change"), "not allowed"),
        (("set", "piston_throw", "4 mm", "--why", "so"), "--change"),
        (("reading", "sped", "turns=50"), "Did you mean speed?"),
        (("reading", "speed", "turn=50"), "Did you mean turns?"),
        (("reading", "speed", "turns"), "FIELD=VALUE"),
        (("reading", "speed", "turns=1", "turns=2"), "twice"),
        (("reading", "speed", "turns=50", "--day", "25.11.2026"), "2026-11-25"),
    ],
)
def test_what_is_not_understood_writes_nothing_and_names_the_remedy(
    run: Run, mug: Path, argv: tuple[str, ...], said: str
) -> None:
    before = mug.read_bytes()
    code, out, err = run(argv[0], str(mug), *argv[1:])
    assert (code, out) == (Exit.USAGE, "")
    assert err.count("\n") == 1
    assert said in err
    assert mug.read_bytes() == before


def test_readings_of_a_day_go_into_its_entry_and_say_how_they_are_read(run: Run, mug: Path) -> None:
    count = len(read_project(mug).project.entries)
    said: list[Any] = []
    for turns in ("50", "5o"):
        argv = (str(mug), "speed", f"turns={turns}", "time=20 s", "hot metal=180 F", "--day", "2026-12-01", "--json")
        code, out, _ = run("reading", *argv)
        assert code == (Exit.OK if turns == "50" else Exit.PROBLEMS)
        said.append(json.loads(out))
    project = read_project(mug).project
    assert len(project.entries) == count + 1
    assert said[0]["entry"] == said[1]["entry"]
    assert said[0]["read"]["hot_metal"].startswith("82.2 C")
    assert "turns" not in said[1]["read"]
    reading = project.entries[said[1]["entry"]].readings[said[1]["reading"]]
    assert dict(reading.texts) == {"turns": "5o", "time": "20 s", "hot_metal": "180 F"}


def test_a_reading_of_an_earlier_mark_says_so_where_the_day_s_entry_is_of_another(run: Run, mug: Path) -> None:
    for where in (str(mug), f"{mug}:1"):
        assert run("reading", where, "speed", "turns=50", "time=20 s", "--day", "2026-12-01")[0] == Exit.OK
    project = read_project(mug).project
    entry = list(project.entries.values())[-1]
    assert [project.mark_of(entry, reading) for reading in entry.readings.values()] == [2, 1]


def test_what_another_wrote_in_that_moment_stays_and_the_change_is_made_to_it(
    run: Run, mug: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, opened = writing.open_file, []

    def open_file(path: Path) -> Any:
        stored = real(path)
        if not opened:
            entry = Entry(key=new_key(stored.project.entries), text="from the other window")
            save_project(path, stored.project.with_entry(entry), revision=stored.revision)
        opened.append(path)
        return stored

    monkeypatch.setattr(writing, "open_file", open_file)
    assert run("set", str(mug), "piston_throw", "4 mm", "--correction")[0] == Exit.OK
    assert len(opened) == 2
    assert build(mug, 2)["piston_throw"] == "4 mm"
    assert list(read_project(mug).project.entries.values())[-1].text == "from the other window"
