"""The disk refuses or stalls while a builder types: nothing is lost, no key waits, and it is saved once it can be."""

from __future__ import annotations

import errno
import os
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.record import Entry, Mark, Project
from model.store import Drafts, encode, in_bin, left_drafts, read_project, save_project
from tests.tui.stage import Play, can, play, silent_persistence
from tests.tui.waiting import read_folder, wait_until_idle
from tui.storage import persistence as persistence_module
from tui.storage import watcher as watcher_module
from tui.storage.persistence import ChangedOnDisk, NotSaved, Persistence, Saved

PATIENCE = 240.0
FAULTS = {
    "disk full": errno.ENOSPC,
    "quota": errno.EDQUOT,
    "read only": errno.EROFS,
    "permission": errno.EACCES,
    "no answer": errno.EIO,
}
STEPS = ("open", "write", "fsync", "replace")


def until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end
        time.sleep(0.005)


def opened(notebook: Path) -> tuple[Persistence, list[Any], Path, Project]:
    persistence, news = silent_persistence()
    read_folder(persistence, notebook)
    path = notebook / "paint-tin.toml"
    return persistence, news, path, read_project(path).project


@pytest.mark.parametrize("code", FAULTS.values(), ids=FAULTS.keys())
@pytest.mark.parametrize("step", STEPS)
def test_what_the_disk_refuses_is_told_kept_and_saved_by_itself_once_it_can_be(
    notebook: Path, monkeypatch: pytest.MonkeyPatch, step: str, code: int
) -> None:
    monkeypatch.setattr(persistence_module, "RETRY_AFTER", 0.02)
    persistence, news, path, project = opened(notebook)
    typed = replace(project, name="Typed")
    broken = threading.Event()
    broken.set()
    real = getattr(os, step)

    def call(*given: Any, **more: Any) -> Any:
        writes = step != "open" or given[1] & os.O_WRONLY
        if broken.is_set() and writes and threading.current_thread().name in ("saver", "drafts"):
            raise OSError(code, os.strerror(code))
        return real(*given, **more)

    monkeypatch.setattr(os, step, call)
    persistence.note(path, typed)
    persistence.save(path, typed)
    until(lambda: any(isinstance(each, NotSaved) for each in news))
    assert read_project(path).project == project
    told = next(each for each in news if isinstance(each, NotSaved))
    assert told.project == typed and "paint-tin.toml" in told.message
    assert persistence.unsaved == (path,)
    broken.clear()
    until(lambda: Saved(path=path, project=typed) in news)
    assert read_project(path).project == typed
    assert persistence.unsaved == ()


def test_a_disk_that_does_not_confirm_holds_up_no_key_and_drafts_go_on(
    write: Callable[[Project], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first save stalls until it is let go; meanwhile fields are typed, left and drawn."""
    stalled, let_go = threading.Event(), threading.Event()
    real = os.fsync

    def fsync(fd: int) -> None:
        if threading.current_thread().name == "saver":
            stalled.set()
            assert let_go.wait(3 * PATIENCE)  # longer than anything here waits for a draft
        real(fd)

    monkeypatch.setattr(os, "fsync", fsync)
    folder = write(Project(name="Rocker", marks={1: Mark(number=1, build={"layout": "rocking"})}))
    path = folder / "one.toml"

    async def scene(acts: Play) -> None:
        async def keys(*names: str) -> None:
            for name in names:
                acts.send(name)
                await acts.pilot.pause()

        await keys("enter")
        await acts.quiet()
        await keys("down", "down", "7", "enter")
        until(stalled.is_set)
        assert "saving" in acts.screen().split("\n")[0]
        await keys("8", "9", "enter", "6")
        screen = acts.screen()
        assert ("89" in screen and "not saved yet" in screen) or "saving" in screen
        assert read_project(path).project.latest.build == {"layout": "rocking"}
        typed = acts.app.session.prototype.project.latest.build
        assert "89" in typed.values() and "6" in typed.values()
        until(lambda: any("6" in d.project.latest.build.values() for d in left_drafts(path, open_too=True)))
        let_go.set()
        await keys("enter")
        await acts.quiet()
        assert {"7", "89", "6"} <= set(read_project(path).project.latest.build.values())

    try:
        play(folder, scene)
    finally:
        let_go.set()


def test_a_change_on_the_disk_is_noticed_while_the_project_is_open(
    notebook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watcher_module, "LOOK_EVERY", 0.01)
    path = notebook / "paint-tin.toml"

    async def scene(acts: Play) -> None:
        await acts.press("enter") if "Paint tin" in acts.screen().split("\n")[3] else await acts.press("down", "enter")
        project = read_project(path).project
        theirs = replace(project.with_entry(Entry(key="zzzzzz", text="From elsewhere.")), name="Other tin")
        save_project(path, theirs, revision=read_project(path).revision)
        await acts.until(lambda: "Other tin" in acts.screen())
        assert "changed on the disk" in acts.screen()
        assert "zzzzzz" in acts.app.session.prototype.project.entries

    play(notebook, scene)


def test_a_change_is_told_once_and_our_own_saves_are_none(notebook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watcher_module, "LOOK_EVERY", 0.005)
    persistence, news, path, project = opened(notebook)
    persistence.watcher.watch(path)
    for number in range(10):
        persistence.save(path, replace(project, about=str(number)))
        assert wait_until_idle(persistence, PATIENCE)
    assert not [each for each in news if isinstance(each, ChangedOnDisk)]
    stored = read_project(path)
    save_project(path, replace(stored.project, name="Theirs"), revision=stored.revision)
    until(lambda: ChangedOnDisk(path=path) in news)
    time.sleep(0.1)
    assert news.count(ChangedOnDisk(path=path)) == 1
    persistence.watcher.watch(None)


def test_a_new_project_that_was_never_saved_comes_back_after_a_kill(notebook: Path) -> None:
    persistence, news, _, _ = opened(notebook)
    new = replace(can(), name="Brand new")
    real = persistence_module.save_project
    try:

        def refuse(*_: Any, **__: Any) -> str:
            raise persistence_module.StoreError("The disk is full.")

        persistence_module.save_project = refuse
        path = persistence.start_new(notebook, new)
        until(lambda: any(isinstance(each, NotSaved) for each in news))
    finally:
        persistence_module.save_project = real
    assert not path.exists()
    persistence.close()
    later, _, _, _ = opened(notebook)
    assert read_project(path).project == new
    assert later.recover(path) is None
    assert left_drafts(path) == ()


def test_a_deleted_project_goes_to_the_bin_with_what_was_just_typed(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    typed = replace(project, about="just typed")
    persistence.note(path, typed)
    gone = persistence.bin.delete(path)
    assert not path.exists()
    assert in_bin(notebook) == (gone,)
    assert gone.read_bytes() == encode(typed)
    persistence.close()
    assert left_drafts(path) == ()


def test_two_windows_see_nothing_of_each_others_drafts(notebook: Path) -> None:
    one, _, path, project = opened(notebook)
    one.note(path, replace(project, name="Typed in one"))
    assert wait_until_idle(one, PATIENCE)
    two, _, _, _ = opened(notebook)
    assert two.recover(path) is None
    two.save(path, replace(project, about="saved in two"))
    assert wait_until_idle(two, PATIENCE)
    one.close()
    three, _, _, _ = opened(notebook)
    found = three.recover(path)
    assert found is not None
    assert (found.project.name, found.project.about) == ("Typed in one", "saved in two")


def test_what_clashes_can_be_kept_from_both(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    entry = project.entries["k7f3m2"]
    theirs = project.with_entry(replace(entry, text="Theirs.\n"))
    save_project(path, theirs, revision=read_project(path).revision)
    found = persistence.join_theirs(path, project.with_entry(replace(entry, text="Ours.\n")))
    assert found.both.entries["k7f3m2"].text == "Ours.\n\nTheirs.\n"


def test_a_clash_is_asked_about_and_both_can_be_kept_on_the_screen(write: Callable[[Project], Path]) -> None:
    project = Project(name="Rocker", marks={1: Mark(number=1, build={"layout": "rocking", "piston_bore": "5 mm"})})
    folder = write(project)
    path = folder / "one.toml"

    async def scene(acts: Play) -> None:
        await acts.press("enter", "down", "down", "7")
        theirs = project.with_mark(Mark(number=1, build={"layout": "rocking", "piston_bore": "9 mm"}))
        save_project(path, theirs, revision=read_project(path).revision)
        await acts.press("enter")
        assert "Another window wrote this file" in acts.screen()
        assert "mark.1.build.piston_bore" in acts.screen()
        await acts.press("b")
        result = read_project(path).project
        assert result.latest.build["piston_bore"] == "7"
        (told,) = result.entries.values()
        assert "9 mm" in told.text

    play(folder, scene)


@pytest.mark.parametrize("how", ["escape", "ctrl+q"])
def test_a_clash_that_is_not_answered_leaves_what_another_wrote(write: Callable[[Project], Path], how: str) -> None:
    project = Project(name="Rocker", marks={1: Mark(number=1, build={"layout": "rocking", "piston_bore": "5 mm"})})
    path = write(project) / "one.toml"

    async def scene(acts: Play) -> None:
        await acts.press("enter", "down", "down", "7")
        theirs = project.with_mark(Mark(number=1, build={"layout": "rocking", "piston_bore": "9 mm"}))
        save_project(path, theirs, revision=read_project(path).revision)
        await acts.press("enter")
        assert "Another window wrote this file" in acts.screen()
        if how == "escape":
            await acts.press("escape", "ctrl+s")
            assert "Another window wrote this file" in acts.screen()
        else:
            acts.send(how)
            await acts.pilot.pause()
        assert read_project(path).project == theirs
        assert any("7" in d.project.latest.build.values() for d in left_drafts(path, open_too=True))

    play(path.parent, scene)


def test_a_file_that_another_program_broke_is_told_with_what_to_do_and_that_works(
    write: Callable[[Project], Path],
) -> None:
    project = Project(name="Rocker", marks={1: Mark(number=1, build={"layout": "rocking"})})
    path = write(project) / "one.toml"

    async def scene(acts: Play) -> None:
        await acts.press("enter", "down", "down", "7")
        path.write_text('format = 1\nname = "Half', encoding="utf-8")
        await acts.press("enter")
        assert "move that file elsewhere; then ctrl+s" in acts.app.session.prototype.message
        path.rename(path.with_name("broken.txt"))
        await acts.press("ctrl+s")
        assert "7" in read_project(path).project.latest.build.values()

    play(path.parent, scene)


def test_a_conflict_copy_is_joined_when_its_prototype_is_opened_and_goes_to_the_bin(
    write: Callable[[Project], Path],
) -> None:
    project = Project(name="Rocker", marks={1: Mark(number=1, build={"layout": "rocking"})})
    folder = write(project)
    copy = folder / "one.sync-conflict-20261125-193000-ABCDEFG.toml"
    save_project(copy, project.with_entry(Entry(key="zzzzzz", text="From the shed.")), revision=None)

    async def scene(acts: Play) -> None:
        assert "1 prototype" in acts.screen() and "sync-conflict" in acts.screen()
        await acts.press("enter")
        assert "Joined with" in acts.screen()
        assert "zzzzzz" in read_project(folder / "one.toml").project.entries
        assert not copy.exists()
        assert [p.name for p in in_bin(folder)] == [copy.name]

    play(folder, scene)


def test_a_draft_that_holds_no_more_than_the_file_is_not_offered_and_goes(notebook: Path) -> None:
    """A program killed between the save and the removal of its draft; and one killed after a change was taken back."""
    _, _, path, project = opened(notebook)
    typed = replace(project, about="typed")
    for kept, base in ((project, None), (project, typed), (project, project), (typed, typed)):
        window = Drafts()
        window.write(path, kept, {}, revision=read_project(path).revision if base is None else "0", base=base)
        window.close()
        later, _, _, _ = opened(notebook)
        assert later.recover(path) is None
        assert left_drafts(path) == ()
        later.close()
