"""Conflict copies of a file sync: known by their names, and joined without losing a side."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from model.record import Entry, Mark, Project
from model.store import common, conflict_copies, copy_of, encode, keep_both, merge, open_notebook, save_project
from model.store.document import to_document
from tests.examples import many
from tests.store.drawing import projects
from tests.store.gitmerge import leaves
from tests.store.histories import histories

LAW = settings(deadline=None, max_examples=many(10), suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize(
    ("name", "original"),
    [
        ("cup.sync-conflict-20261125-193000-ABCDEFG.toml", "cup.toml"),
        ("cup.sync-conflict-20261125-193000.toml", "cup.toml"),
        ("cup (conflicted copy 2026-11-25).toml", "cup.toml"),
        ("cup (shed's conflicted copy 2026-11-25).toml", "cup.toml"),
        ("cup (Conflict).toml", "cup.toml"),
        ("cup_conflict-20261125-193000.toml", "cup.toml"),
        ("cup - conflict 2.toml", "cup.toml"),
        ("cup.toml", ""),
        ("cup 2.toml", ""),
        ("conflict.toml", ""),
        ("the-conflict-tin.toml", ""),
        ("cup (hot).toml", ""),
        (".toml", ""),
    ],
)
def test_a_conflict_copy_is_known_by_its_name(name: str, original: str) -> None:
    """Names as common ways of syncing give them; from memory."""
    assert copy_of(name) == original


def test_a_copy_belongs_to_a_file_that_is_there(tmp_path: Path) -> None:
    copy = "cup.sync-conflict-20261125-193000-ABCDEFG.toml"
    save_project(tmp_path / copy, Project(name="Cup"), revision=None)
    assert [item.copy_of for item in open_notebook(tmp_path).items] == [None]
    save_project(tmp_path / "cup.toml", Project(name="Cup"), revision=None)
    assert conflict_copies(tmp_path / "cup.toml") == (tmp_path / copy,)
    assert {i.path.name: i.copy_of for i in open_notebook(tmp_path).items} == {
        copy: tmp_path / "cup.toml",
        "cup.toml": None,
    }


@LAW
@given(histories())
def test_joining_without_a_base_loses_nothing_of_either_side(history: tuple[Project, Project, Project]) -> None:
    _, ours, theirs = history
    merged = merge(common(ours, theirs), ours, theirs)
    result = keep_both(merged, ours=ours, theirs=theirs)
    found = "\n".join(text for _, text in leaves(to_document(result)))
    for side in (ours, theirs):
        assert set(side.entries) <= set(result.entries)
        for place, text in leaves(to_document(side)):
            told = text.lower() if text in ("True", "False") else text  # as the file has it
            assert text in found or told in found or place[-1] == "ticks", place
        for key, entry in side.entries.items():
            assert set(entry.ticks) <= set(result.entries[key].ticks)


@LAW
@given(projects())
def test_a_copy_that_is_the_same_adds_nothing(project: Project) -> None:
    assert encode(merge(common(project, project), project, project).project) == encode(project)


def test_one_field_that_differs_is_one_clash_and_not_a_second_mark() -> None:
    ours = Project(name="Cup", marks={1: Mark(number=1, build={"bore": "10 mm", "rod": "5 mm"})})
    theirs = replace(ours, marks={1: Mark(number=1, build={"bore": "11 mm", "rod": "5 mm"})})
    merged = merge(common(ours, theirs), ours, theirs.with_entry(Entry(key="b")))
    assert [clash.where for clash in merged.clashes] == ["mark.1.build.bore"]
    assert set(merged.project.entries) == {"b"}
