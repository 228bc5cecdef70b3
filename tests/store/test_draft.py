"""Recovery drafts: what was on screen survives a kill, and is offered only when it adds something."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.errors import StoreError
from model.record import Entry, Project
from model.store import (
    Draft,
    Drafts,
    encode,
    files_to_bring_back,
    left_drafts,
    merge,
    open_notebook,
    read_project,
    remove_draft,
    save_project,
    to_bin,
)
from tests.examples import few_or
from tests.store.drawing import projects
from tests.store.refusing import FAULTS, refusing

CUP = Project(name="Cup", entries={"a": Entry(key="a", text="old")})
TYPED = replace(CUP, about="typed")


def write_draft(path: Path, project: Project, fields: dict[str, str], **more: Any) -> None:
    """Write a draft as a window that is killed then: the system lets go of its lock."""
    window = Drafts()
    window.write(path, project, fields, **more)
    window.close()


def _draft(path: Path) -> Draft:
    (found,) = left_drafts(path)
    return found


def _names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir() if p.name != ".gitignore")


def test_a_draft_gives_back_what_was_on_screen(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    fields = {"mark.1.build.piston_bore": "3/8 i", "\x1b[2J": "\udcff\0\r\n"}
    write_draft(path, TYPED, fields, revision=revision, base=CUP)
    found = _draft(path)
    assert (found.project, found.open_fields, found.revision, found.base) == (TYPED, fields, revision, CUP)
    assert found.starts_from(revision)
    assert not found.starts_from(None) and not found.starts_from("0" * 64)


@settings(deadline=None, max_examples=few_or(6, 30), suppress_health_check=list(HealthCheck))
@given(projects(), st.dictionaries(st.text(max_size=9), st.text(max_size=9), max_size=3))
def test_any_project_and_any_open_text_survive_in_a_draft(
    tmp_path_factory: pytest.TempPathFactory, project: Project, fields: dict[str, str]
) -> None:
    path = tmp_path_factory.mktemp("book") / "cup.toml"
    write_draft(path, project, fields)
    found = _draft(path)
    assert (found.project, found.open_fields, found.base, found.revision) == (project, fields, None, None)


def test_the_drafts_of_an_open_window_are_neither_seen_nor_cleared_by_another(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    one, two = Drafts(), Drafts()
    one.write(path, TYPED, {})
    assert left_drafts(path) == ()
    two.write(path, CUP, {})
    two.clear(path)
    assert left_drafts(path) == ()
    one.close()
    assert _draft(path).project == TYPED


def test_a_killed_window_leaves_its_draft_to_the_next(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    code = (
        "import os, signal, sys; from pathlib import Path; from model.record import Project; from model.store import"
        " Drafts; d = Drafts(); d.write(Path(sys.argv[1]), Project(name='Typed'), {}); os.kill(os.getpid(), 9)"
    )
    subprocess.run([sys.executable, "-c", code, str(path)], cwd=Path(__file__).parents[2], check=False)
    assert _draft(path).project == Project(name="Typed")
    remove_draft(_draft(path))
    assert _names(tmp_path / ".drafts") == []


def test_two_killed_windows_leave_two_drafts(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, TYPED, {})
    write_draft(path, CUP, {})
    assert {d.project.about for d in left_drafts(path)} == {"typed", ""}


def test_a_draft_that_was_being_written_when_the_program_was_killed_is_read_where_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, TYPED, {})
    draft = _draft(path).file
    new = draft.with_name(draft.name + ".new")
    whole = draft.read_bytes()
    write_draft(tmp_path / "other.toml", CUP, {})
    newer = _draft(tmp_path / "other.toml").file.read_bytes()
    for cut, expected in ((0, TYPED), (1, TYPED), (70, TYPED), (len(newer) - 1, TYPED), (len(newer), CUP)):
        new.write_bytes(newer[:cut])
        assert _draft(path).project == expected
    draft.unlink()
    assert _draft(path).project == CUP
    new.write_bytes(whole[:90])
    assert left_drafts(path) == ()
    assert not new.exists()


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
    window = Drafts()
    window.write(path, CUP, {})
    window.clear(path)
    window.clear(path)
    window.close()
    window.close()
    assert left_drafts(path) == ()
    assert _names(tmp_path / ".drafts") == []


def test_drafts_are_no_projects_of_the_notebook_and_no_one_elses_to_read(tmp_path: Path) -> None:
    write_draft(tmp_path / "cup.toml", CUP, {})
    write_draft(tmp_path / "can.toml", TYPED, {})
    assert open_notebook(tmp_path).items == ()
    assert _draft(tmp_path / "can.toml").project == TYPED
    assert _draft(tmp_path / "cup.toml").project == CUP
    assert (tmp_path / ".drafts").stat().st_mode & 0o777 == 0o700
    assert _draft(tmp_path / "cup.toml").file.stat().st_mode & 0o777 == 0o600


def test_neither_drafts_nor_locks_show_up_in_version_control(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    save_project(tmp_path / "cup.toml", CUP, revision=None)
    write_draft(tmp_path / "cup.toml", TYPED, {})
    shown = subprocess.run(
        ["git", "status", "--porcelain", "-uall"], cwd=tmp_path, check=True, capture_output=True, text=True
    )
    assert shown.stdout == "?? cup.toml\n"


def test_drafts_first_made_on_a_full_disk_stay_out_of_version_control_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "cup.toml"

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    window = Drafts()
    monkeypatch.setattr(os, "write", refuse)
    with pytest.raises(StoreError, match="disk is full"):
        window.write(path, TYPED, {})
    monkeypatch.undo()
    window.write(path, TYPED, {})
    window.close()
    assert (tmp_path / ".drafts" / ".gitignore").read_bytes() == b"*\n"


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_draft_that_cannot_be_written_leaves_the_older_one_or_the_newer_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "cup.toml"

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    window = Drafts()
    window.write(path, CUP, {"a": "b"})
    monkeypatch.setattr(os, step, refuse)
    with pytest.raises(StoreError, match="disk is full"):
        window.write(path, TYPED, {})
    window.close()
    monkeypatch.undo()
    assert _draft(path).project == (CUP if step == "write" else TYPED)


def _signed(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest().encode() + b"\n" + body


GOOD = {"format": 1, "revision": None, "base": None, "project": 'format = 1\nname = "x"\n', "open": {}}
BAD = {
    "nothing": b"",
    "half": json.dumps(GOOD).encode()[:-9],
    "a list": b"[]",
    "deep": b"[" * 200_000,
    "a key is missing": json.dumps({k: v for k, v in GOOD.items() if k != "open"}).encode(),
    "a newer one": json.dumps({**GOOD, "format": 3}).encode(),
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
    draft = _draft(path).file
    draft.write_bytes(_signed(json.dumps(GOOD).encode()))
    assert _draft(path).project == Project(name="x")
    for damaged in (_signed(data), data):
        draft.write_bytes(damaged)
        with pytest.raises(StoreError, match=r"cup\.toml\.[0-9a-f]{8}\.draft"):
            left_drafts(path)
        assert draft.read_bytes() == damaged


@pytest.fixture
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state"


def large(entries: int) -> Project:
    return replace(CUP, entries={f"e{n}": Entry(key=f"e{n}", text=f"evening {n}") for n in range(entries)})


def test_a_draft_grows_with_what_was_typed_and_not_with_the_project(tmp_path: Path) -> None:
    sizes = []
    for number in (10, 2000):
        base = large(number)
        path = tmp_path / f"p{number}.toml"
        revision = save_project(path, base, revision=None)
        typed = base.with_entry(Entry(key="e7", text="typed"))
        write_draft(path, typed, {}, revision=revision, base=base)
        assert _draft(path).project == typed and _draft(path).base == base
        sizes.append(_draft(path).file.stat().st_size)
    assert abs(sizes[1] - sizes[0]) < 10


@settings(deadline=None, max_examples=few_or(8, 60), suppress_health_check=list(HealthCheck))
@given(projects(), projects(), st.randoms())
def test_any_change_of_any_project_is_given_back_in_its_order(
    tmp_path_factory: pytest.TempPathFactory, base: Project, other: Project, dice: random.Random
) -> None:
    path = tmp_path_factory.mktemp("book") / "cup.toml"
    keys = [*base.entries, *other.entries]
    dice.shuffle(keys)
    mixed = {key: dice.choice([base, other]).entries.get(key) for key in dict.fromkeys(keys)}
    project = replace(other, entries={key: entry for key, entry in mixed.items() if entry is not None})
    revision = save_project(path, base, revision=None)
    write_draft(path, project, {}, revision=revision, base=base)
    found = _draft(path)
    assert (found.project, found.base) == (project, base)
    assert found.project is not None and list(found.project.entries) == list(project.entries)


def test_a_draft_of_a_file_that_another_window_deleted_is_whole_again_with_what_is_in_the_bin(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    write_draft(path, TYPED, {}, revision=revision, base=CUP)
    to_bin(path)
    assert _draft(path).project == TYPED
    assert files_to_bring_back(tmp_path) == (path,)


def test_a_project_that_is_too_large_for_its_file_is_in_its_draft(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    typed = CUP.with_entry(Entry(key="b", text="word " * 500_000))
    with pytest.raises(StoreError, match="at most"):
        save_project(path, typed, revision=revision)
    write_draft(path, typed, {}, revision=revision, base=CUP, whole=True)
    assert _draft(path).project == typed


@pytest.mark.parametrize("code", FAULTS.values(), ids=FAULTS.keys())
def test_where_the_notebook_takes_no_draft_one_stands_in_the_state_folder_and_comes_back(
    tmp_path: Path, state: Path, code: int
) -> None:
    book = tmp_path / "book"
    book.mkdir()
    path = book / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    window = Drafts()
    with refusing(code, book):
        outside = window.write(path, TYPED, {"open": "te"}, revision=revision, base=CUP)
    assert outside is not None and outside.is_relative_to(state)
    assert left_drafts(path) == ()
    window.close()
    found = _draft(path)
    assert (found.project, found.base, found.open_fields) == (TYPED, CUP, {"open": "te"})
    remove_draft(found)
    assert left_drafts(path) == ()
    assert list(state.rglob("*.draft")) == []


def test_a_folder_that_is_gone_leaves_the_whole_project_to_the_next_start(tmp_path: Path, state: Path) -> None:
    book = tmp_path / "book"
    book.mkdir()
    path = book / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    shutil.rmtree(book)
    window = Drafts()
    window.write(path, TYPED, {}, revision=revision, base=CUP)
    window.close()
    assert not book.exists()
    book.mkdir()
    assert files_to_bring_back(book) == (path,)
    assert _draft(path).project == TYPED


@pytest.mark.parametrize("first", ["notebook", "state folder"])
def test_of_the_drafts_of_one_window_the_newest_counts_wherever_it_stands(
    tmp_path: Path, state: Path, first: str
) -> None:
    book = tmp_path / "book"
    book.mkdir()
    path = book / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    window = Drafts()
    for about in ("ty", "typed"):
        typed = replace(CUP, about=about)
        if (about == "ty") == (first == "state folder"):
            with refusing(errno.ENOSPC, book):
                window.write(path, typed, {}, revision=revision, base=CUP)
        else:
            window.write(path, typed, {}, revision=revision, base=CUP)
    window.close()
    assert _draft(path).project == TYPED
    remove_draft(_draft(path))
    assert left_drafts(path) == ()


def test_where_neither_place_takes_a_draft_that_is_said(tmp_path: Path, state: Path) -> None:
    path = tmp_path / "book" / "cup.toml"
    path.parent.mkdir()
    with refusing(errno.ENOSPC, tmp_path), pytest.raises(StoreError, match="disk is full"):
        Drafts().write(path, TYPED, {})


@pytest.mark.parametrize("outside", [True, False])
def test_a_file_replaced_by_a_link_out_of_the_notebook_or_in_a_circle_is_drafted_all_the_same(
    tmp_path: Path, state: Path, outside: bool
) -> None:
    book = tmp_path / "book"
    book.mkdir()
    path = book / "cup.toml"
    revision = save_project(path, CUP, revision=None)
    path.unlink()
    path.symlink_to("/etc/passwd" if outside else "cup.toml")
    write_draft(path, TYPED, {}, revision=revision, base=CUP, whole=True)
    path.unlink()
    assert _draft(path).project == TYPED


def test_the_next_start_removes_the_locks_of_ended_windows_and_leaves_those_of_open_ones(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    save_project(path, CUP, revision=None)
    code = (
        "import os, sys; from pathlib import Path; from model.record import Project; from model.store import Drafts;"
        " d = Drafts(); p = Path(sys.argv[1]); d.write(p, Project(name='x'), {}); d.clear(p); os.kill(os.getpid(), 9)"
    )
    subprocess.run([sys.executable, "-c", code, str(path)], cwd=Path(__file__).parents[2], check=False)
    window = Drafts()
    window.write(path, CUP, {})
    window.clear(path)
    assert len(_names(tmp_path / ".drafts")) == 2
    files_to_bring_back(tmp_path)
    assert len(_names(tmp_path / ".drafts")) == 1
    window.close()
    assert _names(tmp_path / ".drafts") == []


def test_a_draft_of_open_texts_alone_belongs_to_no_project(tmp_path: Path) -> None:
    path = tmp_path / "a new prototype"
    window = Drafts()
    window.write(path, None, {"name": "Cocoa t"})
    window.close()
    assert (_draft(path).project, _draft(path).open_fields) == (None, {"name": "Cocoa t"})
    assert files_to_bring_back(tmp_path) == ()


def test_a_draft_of_the_version_before_is_read(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    write_draft(path, CUP, {})
    old = {"format": 1, "file": "cup.toml", "revision": None, "base": encode(CUP).decode(), "open": {"a": "b"}}
    _draft(path).file.write_bytes(_signed(json.dumps({**old, "project": encode(TYPED).decode()}).encode()))
    found = _draft(path)
    assert (found.project, found.base, found.open_fields) == (TYPED, CUP, {"a": "b"})


def test_drafts_do_not_follow_a_link_out_of_the_notebook(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    book = tmp_path / "book"
    book.mkdir()
    (book / ".drafts").symlink_to(outside)
    write_draft(book / "cup.toml", CUP, {})
    for act in (lambda: left_drafts(book / "cup.toml"), lambda: Drafts().clear(book / "cup.toml")):
        with pytest.raises(StoreError, match="must be a folder"):
            act()
    assert list(outside.iterdir()) == []
