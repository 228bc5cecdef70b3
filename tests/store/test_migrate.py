"""Older formats: an invented format 0 is brought to format 1, its original is kept, and nothing in it is lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.errors import NewerFormat
from model.store import decode, encode, read_project, save_project
from model.store import migrate as migrate_module
from model.store.document import Document

OLDER = b"""format = 0
title = "Cup"
odd = 7
[mark.1.build]
bore_text = "10 mm"
[entry.k]
text = "old"
"""


def originals(path: Path) -> tuple[Path, ...]:
    """Return the originals that were kept beside a file, in their order."""
    return tuple(sorted(path.parent.glob("*.original-*")))


def to_one(document: Document) -> Document:
    """The invented step: what is called name was called title, and bores had another key."""
    made: Document = {**document, "name": document.get("title", "")}
    del made["title"]
    for mark in made.get("mark", {}).values():
        build: dict[str, Any] = mark.get("build", {})
        if "bore_text" in build:
            build["piston_bore"] = build.pop("bore_text")
    return made


@pytest.fixture
def cup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file of the invented format, and a program that knows the step from it."""
    monkeypatch.setattr(migrate_module, "STEPS", {0: to_one})
    path = tmp_path / "cup.toml"
    path.write_bytes(b"# by hand\n" + OLDER)
    return path


def test_an_older_file_is_read_as_if_it_were_of_today(cup: Path) -> None:
    found = read_project(cup)
    assert found.project.name == "Cup"
    assert found.project.marks[1].build == {"piston_bore": "10 mm"}
    assert found.project.unknown == {"odd": 7}
    assert not found.read_only and found.decoded.older


def test_reading_changes_nothing_and_the_first_save_keeps_the_original(cup: Path) -> None:
    before = cup.read_bytes()
    stored = read_project(cup)
    assert cup.read_bytes() == before
    revision = save_project(cup, replace(stored.project, about="new"), revision=stored.revision)
    (kept,) = originals(cup)
    assert kept.read_bytes() == before
    assert cup.read_bytes().startswith(b"format = 1\n")
    assert read_project(cup).project.unknown == {"odd": 7}
    save_project(cup, stored.project, revision=revision)
    assert originals(cup) == (kept,)


def test_a_file_without_comments_is_kept_too_and_saving_without_a_change_migrates_it(cup: Path) -> None:
    cup.write_bytes(OLDER)
    stored = read_project(cup)
    save_project(cup, stored.project, revision=stored.revision)
    assert cup.read_bytes() == encode(stored.project)
    assert [p.read_bytes() for p in originals(cup)] == [OLDER]


def test_steps_follow_one_another(monkeypatch: pytest.MonkeyPatch) -> None:
    def to_zero(document: Document) -> Document:
        return {**{k: v for k, v in document.items() if k != "called"}, "title": document["called"]}

    monkeypatch.setattr(migrate_module, "STEPS", {-1: to_zero, 0: to_one})
    assert decode(b'format = -1\ncalled = "Cup"\n[mark.1]\n', path="p").project.name == "Cup"


def test_a_format_that_no_step_leads_from_is_open_for_reading_only(tmp_path: Path) -> None:
    path = tmp_path / "cup.toml"
    path.write_bytes(b'format = 0\nname = "Cup"\n')
    stored = read_project(path)
    assert stored.read_only
    with pytest.raises(NewerFormat):
        save_project(path, replace(stored.project, about="x"), revision=stored.revision)
