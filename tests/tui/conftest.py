"""A small notebook and a model that answers the same always, for the screens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from rich.style import Style

from model.record import Mark, Project
from model.store import save_project
from tests.tui.stage import ROCKER, can
from tui.view.inks import INKS, Ground, style_of


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither drafts nor intervals nor help keep the tests waiting."""
    monkeypatch.setattr("tui.storage.draft_store.DRAFT_AFTER", 0.01)
    monkeypatch.setattr("tui.storage.draft_store.DRAFTS_APART", 0.01)
    monkeypatch.setattr("tui.runs.runner.PAUSE", 0.0)
    monkeypatch.setattr("tui.screens.project.REST", 0.0)


@pytest.fixture(autouse=True)
def only_inks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A span that names no ink of the table is a fault; the program shows it plain."""

    def strict(ink: str, ground: Ground) -> Style:
        assert ink in INKS, f"there is no ink called {ink!r}"
        return style_of(ink, ground)

    monkeypatch.setattr("tui.widgets.lines_view.style_of", strict)


@pytest.fixture
def notebook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with three files: a can, one without a crank, and one that cannot be read."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "notebook"
    folder.mkdir()
    save_project(folder / "paint-tin.toml", can(), revision=None)
    rocker = Project(name="Rocker", marks={1: Mark(number=1, build=ROCKER)})
    save_project(folder / "rocker.toml", rocker, revision=None)
    (folder / "broken.toml").write_text('format = 1\nname = "Broken\n', encoding="utf-8")
    return folder


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Project], Path]:
    """Return a function that writes one project into a folder of its own and returns the folder."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def put(project: Project) -> Path:
        folder = tmp_path / "one"
        folder.mkdir(exist_ok=True)
        save_project(folder / "one.toml", project, revision=None)
        return folder

    return put
