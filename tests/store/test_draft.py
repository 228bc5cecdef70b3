"""Recovery drafts: what was on screen survives a kill, and is offered only when it adds something."""

from __future__ import annotations

import errno
import json
import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.errors import StoreError
from model.record import Entry, Project
from model.store import clear_draft, merge, open_notebook, read_draft, read_project, save_project, write_draft
from model.store.draft import Draft
from tests.store.drawing import projects

CUP = Project(name="Cup", entries={"a": Entry(key="a", text="old")})
TYPED = replace(CUP, about="typed")


def _draft(path: Path) -> Draft:
    found = read_draft(path)
    assert found is not None
    return found


def test_a_draft_gives_back_what_was_on_screen(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    fields = {"mark.1.build.piston_bore": "3/8 i", "\x1b[2J": "\udcff\0\r\n"}
    write_draft(path, TYPED, fields, revision=revision, base=CUP)
    found = _draft(path)
    assert (found.project, found.open_fields, found.revision, found.base) == (TYPED, fields, revision, CUP)
    assert found.adds_to(CUP) and found.starts_from(revision)
    assert not found.starts_from(None) and not found.starts_from("0" * 64)


@settings(deadline=None, max_examples=30, suppress_health_check=list(HealthCheck))
@given(projects(), st.dictionaries(st.text(max_size=9), st.text(max_size=9), max_size=3))
def test_any_project_and_any_open_text_survive_in_a_draft(
    tmp_path_factory: pytest.TempPathFactory, project: Project, fields: dict[str, str]
) -> None:
    path = tmp_path_factory.mktemp("book") / "cup.toml"
    write_draft(path, project, fields)
    found = _draft(path)
    assert (found.project, found.open_fields, found.base, found.revision) == (project, fields, None, None)


def test_recovery_is_offered_only_when_there_is_something_to_recover(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    assert read_draft(path) is None
    write_draft(path, CUP, {})
    assert not _draft(path).adds_to(CUP)
    assert _draft(path).adds_to(None)
    assert _draft(path).adds_to(TYPED)
    write_draft(path, CUP, {"field": ""})
    assert _draft(path).adds_to(CUP)


def test_a_draft_whose_file_moved_on_can_be_merged(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    write_draft(path, TYPED, {}, revision=revision, base=CUP)
    save_project(path, CUP.with_entry(Entry(key="b", text="theirs")), revision=revision)
    stored = read_project(path)
    found = _draft(path)
    assert not found.starts_from(stored.revision)
    assert found.base is not None
    merged = merge(found.base, found.project, stored.project)
    assert merged.clashes == ()
    assert merged.project.about == "typed" and list(merged.project.entries) == ["a", "b"]


def test_a_cleared_draft_is_gone_and_clearing_twice_is_fine(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, CUP, {})
    (tmp_path / ".drafts" / ".cup.toml.draft.0123abcd.tmp").write_bytes(b"half")
    clear_draft(path)
    clear_draft(path)
    assert read_draft(path) is None
    assert list((tmp_path / ".drafts").iterdir()) == []


def test_drafts_are_no_projects_of_the_notebook_and_no_one_elses_to_read(tmp_path: Path) -> None:
    write_draft(tmp_path / "cup.toml", CUP, {})
    write_draft(tmp_path / "can.toml", TYPED, {})
    assert open_notebook(tmp_path).items == ()
    assert _draft(tmp_path / "can.toml").project == TYPED
    assert _draft(tmp_path / "cup.toml").project == CUP
    assert (tmp_path / ".drafts").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / ".drafts" / "cup.toml.draft").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_draft_that_cannot_be_written_leaves_the_older_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, CUP, {"a": "b"})

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, step, refuse)
    with pytest.raises(StoreError, match="disk is full"):
        write_draft(path, TYPED, {})
    assert _draft(path).project == CUP
    assert [p.name for p in (tmp_path / ".drafts").iterdir()] == ["cup.toml.draft"]


GOOD = {"format": 1, "revision": None, "base": None, "project": 'format = 1\nname = "x"\n', "open": {}}
BAD = {
    "nothing": b"",
    "half": json.dumps(GOOD).encode()[:-9],
    "a list": b"[]",
    "deep": b"[" * 200_000,
    "a key is missing": json.dumps({k: v for k, v in GOOD.items() if k != "open"}).encode(),
    "a newer one": json.dumps({**GOOD, "format": 2}).encode(),
    "fields that are no texts": json.dumps({**GOOD, "open": {"a": 1}}).encode(),
    "fields that are a list": json.dumps({**GOOD, "open": ["a"]}).encode(),
    "a revision that is none": json.dumps({**GOOD, "revision": 3}).encode(),
    "a project that is none": json.dumps({**GOOD, "project": 3}).encode(),
    "a project that cannot be read": json.dumps({**GOOD, "project": "["}).encode(),
    "half a character": json.dumps({**GOOD, "project": 'format = 1\nname = "\udcff"\n'}).encode(),
    "no UTF-8": b'{"format": "\xff"}',
}


@pytest.mark.parametrize("data", BAD.values(), ids=BAD.keys())
def test_a_damaged_draft_is_named_and_not_removed(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, CUP, {})
    draft = tmp_path / ".drafts" / "cup.toml.draft"
    draft.write_bytes(json.dumps(GOOD).encode())
    assert _draft(path).project == Project(name="x")
    draft.write_bytes(data)
    with pytest.raises(StoreError, match=r"cup\.toml\.draft"):
        read_draft(path)
    assert draft.read_bytes() == data


def test_drafts_do_not_follow_a_link_out_of_the_notebook(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    book = tmp_path / "book"
    book.mkdir()
    (book / ".drafts").symlink_to(outside)
    for act in (
        lambda: write_draft(book / "cup.toml", CUP, {}),
        lambda: read_draft(book / "cup.toml"),
        lambda: clear_draft(book / "cup.toml"),
    ):
        with pytest.raises(StoreError, match="must be a folder"):
            act()
    assert list(outside.iterdir()) == []
