"""Deleting on the list: asked once, to the bin, brought back by a key; what was typed anywhere goes along or stays."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.record import Mark, Project
from model.store import Drafts, encode, files_to_bring_back, in_bin, left_drafts, read_project, save_project
from tests.tui.stage import Play, can, play, silent_persistence
from tests.tui.waiting import read_folder
from tui.state.pending import address
from tui.storage import watcher as watcher_module
from tui.storage.persistence import Persistence


def texts(acts: Play) -> str:
    """Return the screen in one line."""
    return " ".join(acts.screen().split())


async def seen(acts: Play, text: str) -> None:
    """Wait until a text is on the screen."""
    await acts.until(lambda: text in texts(acts))


async def delete_can(acts: Play) -> None:
    """Delete the can, the second on the list."""
    await acts.press("home", "down", "d", "d")


def test_a_prototype_is_deleted_to_the_bin_after_one_question_and_comes_back_whole(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"
    before = path.read_bytes()

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "d")
        assert "Delete Paint tin?" in acts.screen()
        assert "goes to the bin" in texts(acts) and "1 reading" in texts(acts)
        await acts.press("escape")
        assert path.exists() and "Paint tin" in acts.screen()
        await acts.press("d", "enter")
        assert path.exists() and "Paint tin" in acts.screen()
        await acts.press("d", "d")
        assert not path.exists()
        assert [gone.read_bytes() for gone in in_bin(notebook)] == [before]
        assert "Paint tin is in the bin. ctrl+z brings it back." in acts.screen()
        assert "2 prototypes" in acts.screen()
        await acts.press("ctrl+z")
        assert path.read_bytes() == before
        assert in_bin(notebook) == ()
        assert [p.path.name for p in acts.app.session] == ["broken.toml", "paint-tin.toml", "rocker.toml"]
        assert "> Paint tin" in texts(acts) and "Paint tin is back." in acts.screen()
        await acts.press("ctrl+z")
        assert "Nothing was deleted since the start" in acts.screen()

    play(notebook, scene)


def test_the_bin_shows_what_was_deleted_in_an_earlier_run_and_enter_brings_it_back(notebook: Path) -> None:
    async def first(acts: Play) -> None:
        await acts.press("b")
        assert "The bin is empty" in acts.screen()
        await delete_can(acts)

    async def second(acts: Play) -> None:
        await acts.press("b")
        assert "The bin" in acts.screen() and "Paint tin" in acts.screen()
        assert "paint-tin.toml: 2 marks, 1 reading, 1 entry, the last of 2026-11-25" in texts(acts)
        await acts.press("escape")
        assert in_bin(notebook) != ()
        await acts.press("b", "enter")
        assert "Paint tin is back." in acts.screen()
        await acts.press("enter")
        assert acts.app.session.prototype.project == can()

    play(notebook, first)
    play(notebook, second)


def test_a_name_that_was_taken_meanwhile_is_not_overwritten(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"
    other = Project(name="Other tin", marks={1: Mark(number=1, build={"layout": "beta"})})

    async def scene(acts: Play) -> None:
        await delete_can(acts)
        save_project(path, other, revision=None)
        await acts.press("b", "enter")
        assert "Paint tin is back as paint-tin-2.toml." in acts.screen()
        assert read_project(path).project == other
        assert read_project(notebook / "paint-tin-2.toml").project == can()

    play(notebook, scene)


def test_two_of_one_name_stand_in_the_bin_side_by_side(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"
    newer = replace(can(), about="The newer.")

    async def again(acts: Play) -> None:
        await delete_can(acts)

    play(notebook, again)
    save_project(path, newer, revision=None)
    play(notebook, again)
    assert sorted(read_project(found).project.about for found in in_bin(notebook)) == [can().about, newer.about]


def test_a_file_that_cannot_be_read_can_be_deleted_and_brought_back(notebook: Path) -> None:
    path = notebook / "broken.toml"
    before = path.read_bytes()

    async def scene(acts: Play) -> None:
        await acts.press("home", "d")
        assert "Nothing could be read in it." in texts(acts)
        await acts.press("d")
        assert not path.exists()
        await acts.press("b")
        assert "broken.toml: cannot be read." in acts.screen()
        await acts.press("enter")
        assert path.read_bytes() == before
        assert "cannot be read" in acts.screen()

    play(notebook, scene)


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_a_disk_that_refuses_leaves_it_on_the_list_and_says_so(
    notebook: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    path = notebook / "paint-tin.toml"
    before = path.read_bytes()

    def refuse(*_: Any, **__: Any) -> None:
        raise OSError(code, os.strerror(code))

    async def scene(acts: Play) -> None:
        with monkeypatch.context() as patch:
            patch.setattr(os, "link", refuse)
            patch.setattr(Path, "rename", refuse)
            await delete_can(acts)
        assert "! Paint tin is not deleted:" in acts.screen()
        assert path.read_bytes() == before
        assert "3 prototypes" in acts.screen()
        await acts.press("home", "down", "enter")
        assert acts.app.session.prototype.path == path

    play(notebook, scene)


def test_the_second_window_that_has_it_open_loses_nothing(notebook: Path) -> None:
    """It types on, is told that the file is gone, and writes it anew; the bin keeps the other."""
    path = notebook / "rocker.toml"

    async def other(acts: Play) -> None:
        await acts.press("end", "enter", "down", "down", "7")
        first = Persistence(lambda _: None)
        read_folder(first, notebook)
        gone = first.bin.delete(path)
        assert not path.exists()
        await acts.press("8", "enter")
        await seen(acts, "rocker.toml was deleted or moved elsewhere. All of it stands here; ctrl+s writes it.")
        assert "GONE FROM THE DISK" in acts.screen()
        assert acts.app.session.prototype.project.latest.build["piston_bore"] == "78"
        drafts = left_drafts(path, open_too=True)
        assert [draft.project.latest.build["piston_bore"] for draft in drafts] == ["78"]
        await acts.press("ctrl+s")
        assert read_project(path).project.latest.build["piston_bore"] == "78"
        assert in_bin(notebook) == (gone,)
        acts.app.persistence.close()

    play(notebook, other)
    assert left_drafts(path) == ()


def test_a_file_that_is_gone_is_noticed_while_it_is_open_and_written_anew_only_when_told(
    notebook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watcher_module, "LOOK_EVERY", 0.01)
    path = notebook / "rocker.toml"
    before = read_project(path).project

    async def other(acts: Play) -> None:
        await acts.press("end", "enter")
        path.unlink()
        await seen(acts, "rocker.toml was deleted or moved elsewhere.")
        await acts.press("escape", "enter")
        assert "GONE FROM THE DISK" in acts.screen()
        assert not path.exists()
        await acts.press("ctrl+s")
        assert read_project(path).project == before
        assert "GONE" not in acts.screen()

    play(notebook, other)


def test_the_second_window_that_ends_before_it_could_write_brings_it_back(notebook: Path) -> None:
    path = notebook / "rocker.toml"

    async def other(acts: Play) -> None:
        await acts.press("end", "enter", "down", "down", "7")
        Persistence(lambda _: None).bin.delete(path)
        await acts.press("8")
        acts.app.persistence.close()

    async def later(acts: Play) -> None:
        assert "Rocker" in acts.screen()

    play(notebook, other)
    play(notebook, later)
    assert read_project(path).project.latest.build["piston_bore"] == "78"


def test_what_was_typed_and_not_entered_goes_into_the_bin_and_does_not_bring_it_back(notebook: Path) -> None:
    """A note that was begun, a field that waits for an answer, a draft that a killed window left."""
    path = notebook / "paint-tin.toml"
    killed = Drafts()
    typed = replace(can(), about="typed before the kill")
    killed.write(path, typed, {address(1, "piston_throw"): "6 mm"}, revision=read_project(path).revision, base=can())
    killed.close()

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "n")
        await acts.write("gland squeaks")
        await acts.press("escape", "d", "d")
        assert "is in the bin" in acts.screen()
        acts.app.persistence.close()

    play(notebook, scene)
    assert left_drafts(path) == ()
    assert files_to_bring_back(notebook) == ()
    (gone,) = in_bin(notebook)
    project = read_project(gone).project
    assert project.about == "typed before the kill"
    assert project.marks[1].build["piston_throw"] == "5 mm"
    text = list(project.entries.values())[-1].text
    assert "gland squeaks" in text and "6 mm" in text


def test_a_file_that_another_wrote_meanwhile_is_not_deleted_unseen(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"

    async def scene(acts: Play) -> None:
        await acts.press("home", "down", "d")
        stored = read_project(path)
        save_project(path, replace(stored.project, about="newer"), revision=stored.revision)
        await acts.press("d")
        assert "was changed on the disk since it was read" in texts(acts)
        assert read_project(path).project.about == "newer"

    play(notebook, scene)


def test_an_empty_notebook_offers_the_examples_and_copies_them_once(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "empty"
    folder.mkdir()
    demo = {each.name: each.read_bytes() for each in (Path(__file__).parents[2] / "projects").glob("*.toml")}

    async def scene(acts: Play) -> None:
        assert "Press e for copies" in texts(acts) and "Press a to add" in texts(acts)
        await acts.press("e")
        assert "3 prototypes" in acts.screen() and "yours to change" in acts.screen()
        await acts.press("e")
        assert "into an empty notebook only" in acts.screen()

    play(folder, scene)
    assert {each.name: each.read_bytes() for each in folder.glob("*.toml")} == demo


def test_the_examples_are_never_written_over_a_file_that_came_meanwhile(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "empty"
    folder.mkdir()
    mine = can()

    async def scene(acts: Play) -> None:
        save_project(folder / "mug.toml", mine, revision=None)
        await acts.press("e")

    play(folder, scene)
    assert (folder / "mug.toml").read_bytes() == encode(mine)
    assert len(list(folder.glob("*.toml"))) == 4
    persistence, _ = silent_persistence()
    assert len(read_folder(persistence, folder).stored) == 4


def test_the_cursor_goes_to_a_prototype_that_another_window_changed_or_took_away(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        screen = acts.app.projects
        tin = screen.selection.items[1]
        screen.show(replace(tin, project=replace(tin.project, about="Changed elsewhere.")))
        assert screen.selection.at == 1
        screen.show(replace(tin, path=notebook / "gone.toml"))
        assert screen.selection.at == 1

    play(notebook, scene)
