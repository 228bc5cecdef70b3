"""What becomes of the open file while nobody types: it is seen within some looks, and told as what it is."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from model.store import encode, read_project
from tests.tui.stage import Play, play
from tests.tui.test_bin import seen
from tui.storage import watcher as watcher_module


def by_folder(path: Path) -> None:
    path.mkdir()


def by_pipe(path: Path) -> None:
    os.mkfifo(path)


def by_circle(path: Path) -> None:
    path.symlink_to(path.name)


def by_strange_link(path: Path) -> None:
    path.symlink_to("/etc/passwd")


def by_half_a_file(path: Path) -> None:
    path.write_text('format = 1\nname = "Half', encoding="utf-8")


@pytest.fixture(autouse=True)
def looks_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watcher_module, "LOOK_EVERY", 0.01)


@pytest.mark.parametrize("replace", [by_folder, by_pipe, by_circle, by_strange_link, by_half_a_file])
def test_what_takes_the_place_of_the_open_file_is_told_and_so_is_its_return(
    notebook: Path, replace: Callable[[Path], None]
) -> None:
    path = notebook / "rocker.toml"
    before = path.read_bytes()

    async def scene(acts: Play) -> None:
        await acts.press("end", "enter")
        path.unlink()
        replace(path)
        await seen(acts, "FILE CANNOT BE READ")
        assert "all of it stands here" in " ".join(acts.screen().split())
        path.rmdir() if path.is_dir() else path.unlink()
        path.write_bytes(before)
        await seen(acts, "Dimensions] ")
        while "CANNOT BE READ" in acts.screen():
            await acts.pilot.pause(0.005)
        assert acts.screen().split("\n")[0].endswith(" saved")

    play(notebook, scene)
    assert path.read_bytes() == before


def test_what_is_typed_over_a_folder_in_its_place_is_saved_once_that_is_moved_away(notebook: Path) -> None:
    path = notebook / "rocker.toml"

    async def scene(acts: Play) -> None:
        await acts.press("end", "enter")
        path.unlink()
        path.mkdir()
        await seen(acts, "FILE CANNOT BE READ")
        await acts.press("down", "down", "7", "enter")
        assert "NOT SAVED" in acts.screen()
        path.rmdir()
        await seen(acts, "deleted or moved elsewhere")
        await acts.press("ctrl+s")
        assert acts.screen().split("\n")[0].endswith(" saved")

    play(notebook, scene)
    assert "7" in read_project(path).project.latest.build.values()


def test_a_link_to_its_twin_opens_for_reading_only(notebook: Path, tmp_path: Path) -> None:
    path = notebook / "rocker.toml"
    twin = tmp_path / "twin.toml"
    twin.write_bytes(path.read_bytes())

    async def scene(acts: Play) -> None:
        await acts.press("end", "enter")
        path.unlink()
        path.symlink_to(twin)
        await seen(acts, "read only")
        await acts.press("down", "down", "7", "enter", "ctrl+s")
        assert "reading only" in acts.screen()

    play(notebook, scene)
    assert twin.read_bytes() == encode(read_project(path).project)
    assert "7" not in read_project(path).project.latest.build.values()
