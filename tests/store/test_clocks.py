"""Nothing is ordered, recovered or compared by a clock: small computers wake in 1970, and machines disagree."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from model.errors import ProjectChangedOnDisk
from model.record import Entry, Mark, Project
from model.store import Drafts, decode, disk_revision, encode, left_drafts, merge, read_project, save_project
from tests.tui.waiting import read_folder
from tui.storage.persistence import Persistence

DAYS = ("2026-11-25", "1970-01-01", "2031-02-03", "2026-11-24", "not a day")
EPOCH, FUTURE = 0.0, 4_000_000_000.0


@pytest.fixture
def cup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project file whose entries have days in no order."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    path = tmp_path / "notebook" / "cup.toml"
    path.parent.mkdir()
    entries = {f"k{n}": Entry(key=f"k{n}", day=day, text=f"{n}") for n, day in enumerate(DAYS)}
    save_project(path, Project(name="Cup", marks={1: Mark(number=1)}, entries=entries), revision=None)
    return path


def test_entries_stay_in_the_order_in_which_they_were_added_whatever_their_day(cup: Path) -> None:
    project = read_project(cup).project
    assert tuple(entry.day for entry in project.entries.values()) == DAYS
    again = decode(encode(project), path="cup.toml").project
    assert tuple(entry.day for entry in again.entries.values()) == DAYS
    ours = project.with_entry(Entry(key="ours", day="1969-12-31"))
    theirs = project.with_entry(Entry(key="theirs", day="1900-01-01"))
    assert tuple(entry.day for entry in merge(project, ours, theirs).project.entries.values())[: len(DAYS)] == DAYS


@pytest.mark.parametrize("drafted", [EPOCH, FUTURE])
@pytest.mark.parametrize("saved", [EPOCH, FUTURE])
def test_a_draft_is_brought_back_for_what_it_holds_not_for_its_time(cup: Path, drafted: float, saved: float) -> None:
    stored = read_project(cup)
    window = Drafts()
    window.write(cup, replace(stored.project, about="typed"), {}, revision=stored.revision, base=stored.project)
    window.close()
    for file in (cup.parent / ".drafts").glob("*.draft*"):
        os.utime(file, (drafted, drafted))
    os.utime(cup, (saved, saved))
    persistence = Persistence(lambda _: None)
    read_folder(persistence, cup.parent)
    found = persistence.recover(cup)
    assert found is not None and found.project.about == "typed"


@pytest.mark.parametrize("drafted", [EPOCH, FUTURE])
def test_a_draft_that_holds_no_more_than_the_file_is_not_offered_though_it_looks_newer(
    cup: Path, drafted: float
) -> None:
    stored = read_project(cup)
    window = Drafts()
    window.write(cup, stored.project, {}, revision="0", base=replace(stored.project, about="before"))
    window.close()
    for file in (cup.parent / ".drafts").glob("*.draft*"):
        os.utime(file, (drafted, drafted))
    assert left_drafts(cup)
    persistence = Persistence(lambda _: None)
    read_folder(persistence, cup.parent)
    assert persistence.recover(cup) is None


def test_a_change_is_seen_though_the_file_has_the_time_and_length_that_it_had(cup: Path) -> None:
    stored, times = read_project(cup), cup.stat()
    cup.write_bytes(cup.read_bytes().replace(b'"Cup"', b'"Cap"'))
    os.utime(cup, ns=(times.st_atime_ns, times.st_mtime_ns))
    assert cup.stat().st_size == times.st_size and cup.stat().st_mtime_ns == times.st_mtime_ns
    assert disk_revision(cup) != stored.revision
    with pytest.raises(ProjectChangedOnDisk):
        save_project(cup, replace(stored.project, about="mine"), revision=stored.revision)
    assert read_project(cup).project.name == "Cap"


def test_a_file_that_was_only_touched_is_not_taken_for_changed(cup: Path) -> None:
    stored = read_project(cup)
    os.utime(cup, (FUTURE, FUTURE))
    save_project(cup, replace(stored.project, about="mine"), revision=stored.revision)
    assert read_project(cup).project.about == "mine"
