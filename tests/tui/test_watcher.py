"""The watch over the open file, look by look: what is told, and that a file which is away for a moment is not gone."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from model.record import Mark, Project
from model.store import read_project, save_project
from tui.storage import watcher as watcher_module
from tui.storage.draft_store import KnownFiles
from tui.storage.watcher import Watcher


class Looks:
    """Stands in for the threads: a look is taken when the test says so."""

    def __init__(self) -> None:
        self.bell = threading.Condition()
        self._take: Callable[[], object] = lambda: None

    def add(self, name: str, take: Callable[[], object]) -> None:
        self._take = take

    def ring(self) -> None:
        """Nothing waits for it here."""

    def look(self) -> None:
        job = self._take()
        assert callable(job), "no look is due"
        job()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "cup.toml"
    save_project(path, Project(name="Cup", marks={1: Mark(number=1)}), revision=None)
    return path


@pytest.fixture
def told() -> list[Path]:
    return []


@pytest.fixture
def looks(path: Path, told: list[Path], monkeypatch: pytest.MonkeyPatch) -> Looks:
    """The file as it was read here, watched."""
    monkeypatch.setattr(watcher_module, "LOOK_EVERY", 0.0)
    looks, known = Looks(), KnownFiles()
    known.revisions[path] = read_project(path).revision
    Watcher(known, looks, threading.Lock(), told.append).watch(path)  # type: ignore[arg-type]
    return looks


def test_a_file_that_is_away_for_one_look_is_not_gone(path: Path, looks: Looks, told: list[Path]) -> None:
    """Some editors and synchronisers write by deleting first."""
    content = path.read_bytes()
    for _ in range(3):
        path.unlink()
        looks.look()
        path.write_bytes(content)
        looks.look()
    assert told == []


def test_a_file_that_is_away_for_two_looks_is_told_as_gone_and_once(path: Path, looks: Looks, told: list[Path]) -> None:
    path.unlink()
    looks.look()
    assert told == []
    looks.look()
    assert told == [path]
    looks.look()
    looks.look()
    assert told == [path]


def test_each_other_state_of_a_file_is_told_once(path: Path, looks: Looks, told: list[Path]) -> None:
    looks.look()
    assert told == []
    for number, name in enumerate(("Other", "Third"), 1):
        save_project(path, Project(name=name), revision=read_project(path).revision)
        looks.look()
        looks.look()
        assert told == [path] * number
