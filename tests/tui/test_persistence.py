"""Persistence: saved means synced, nothing is written over, and what cannot be saved is kept as a draft."""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest

from model.record import Entry, Project
from model.store import Draft, Stored, left_drafts, read_project, save_project
from tests.tui.stage import can, silent_persistence
from tests.tui.waiting import read_folder, wait_until_idle
from tui.storage import persistence as persistence_module
from tui.storage.persistence import NotSaved, Persistence, Saved

WAIT = 240.0


def opened(notebook: Path) -> tuple[Persistence, list[object], Path, Project]:
    persistence, news = silent_persistence()
    read_folder(persistence, notebook)
    path = notebook / "paint-tin.toml"
    return persistence, news, path, read_project(path).project


def left(persistence: Persistence, path: Path) -> Draft:
    """Return the draft that a window leaves when it is killed."""
    persistence.close()
    (draft,) = left_drafts(path)
    return draft


def test_a_save_is_told_after_it_is_in_the_file(notebook: Path) -> None:
    persistence, news, path, project = opened(notebook)
    changed = replace(project, name="Other")
    persistence.save(path, changed)
    assert wait_until_idle(persistence, WAIT)
    assert news == [Saved(path=path, project=changed)]
    assert read_project(path).project == changed


def test_what_is_typed_is_in_a_draft_within_half_a_second_and_the_file_is_untouched(notebook: Path) -> None:
    persistence, news, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typ"))
    persistence.note(path, replace(project, name="Typed"))
    assert wait_until_idle(persistence, WAIT)
    draft = left(persistence, path)
    assert draft.project.name == "Typed"
    assert read_project(path).project == project
    assert not news


def test_a_draft_rests_before_the_next_unless_it_is_wanted_at_once(
    notebook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is synced, and a card wears."""
    persistence, _, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typ"))
    assert wait_until_idle(persistence, WAIT)
    monkeypatch.setattr("tui.storage.draft_store.DRAFTS_APART", 1e6)
    persistence.note(path, replace(project, name="Typed"))
    assert not wait_until_idle(persistence, 0.1)
    persistence.draft_store.at_once(path)
    assert wait_until_idle(persistence, WAIT)
    assert left(persistence, path).project.name == "Typed"


def test_a_save_clears_the_draft(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typed"))
    wait_until_idle(persistence, WAIT)
    persistence.save(path, replace(project, name="Typed"))
    wait_until_idle(persistence, WAIT)
    persistence.close()
    assert left_drafts(path) == ()


def test_a_draft_comes_back_in_the_next_session(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typed"))
    wait_until_idle(persistence, WAIT)
    persistence.close()
    later, _, _, _ = opened(notebook)
    found = later.recover(path)
    assert found is not None
    assert found.project.name == "Typed"


def test_a_draft_is_joined_with_a_file_that_moved_on(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typed"))
    wait_until_idle(persistence, WAIT)
    theirs = project.with_entry(Entry(key="zzzzzz", text="From elsewhere."))
    save_project(path, theirs, revision=read_project(path).revision)
    persistence.close()
    later, _, _, _ = opened(notebook)
    found = later.recover(path)
    assert found is not None
    assert found.project.name == "Typed"
    assert "zzzzzz" in found.project.entries


def test_a_file_changed_by_someone_else_is_not_written_over(notebook: Path) -> None:
    persistence, news, path, project = opened(notebook)
    theirs = project.with_entry(Entry(key="zzzzzz", text="From elsewhere."))
    save_project(path, theirs, revision=read_project(path).revision)
    persistence.save(path, replace(project, name="Mine"))
    wait_until_idle(persistence, WAIT)
    (told,) = news
    assert isinstance(told, NotSaved)
    assert told.changed
    assert read_project(path).project == theirs
    draft = left(persistence, path)
    assert draft.project.name == "Mine"


def test_both_sides_are_joined_and_then_saved(notebook: Path) -> None:
    persistence, news, path, project = opened(notebook)
    theirs = replace(project.with_entry(Entry(key="zzzzzz", text="From elsewhere.")), name="Theirs")
    save_project(path, theirs, revision=read_project(path).revision)
    found = persistence.join_theirs(path, replace(project, name="Mine"))
    assert found.merged.name == "Mine"
    assert found.yielding.name == "Theirs"
    assert found.clashes == ("name",)
    assert "zzzzzz" in found.merged.entries
    persistence.start_from(path, found.stored)
    persistence.save(path, found.merged)
    wait_until_idle(persistence, WAIT)
    assert isinstance(news[-1], Saved)
    assert read_project(path).project == found.merged


def test_a_write_protected_file_is_told_and_the_text_kept_as_a_draft(notebook: Path) -> None:
    persistence, news, path, project = opened(notebook)
    path.chmod(0o444)
    persistence.save(path, replace(project, name="Mine"))
    wait_until_idle(persistence, WAIT)
    (told,) = news
    assert isinstance(told, NotSaved)
    assert "write-protected" in told.message
    assert persistence.unsaved == (path,)
    draft = left(persistence, path)
    assert draft.project.name == "Mine"


def test_what_another_wrote_stands_until_it_is_said_what_to_do_with_it(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    theirs = replace(project, name="Theirs")
    save_project(path, theirs, revision=read_project(path).revision)
    mine = replace(project, name="Mine")
    persistence.note(path, mine)
    persistence.join_theirs(path, mine)
    persistence.save_now()
    assert read_project(path).project == theirs
    assert left(persistence, path).project == mine


def test_what_is_typed_while_the_file_is_read_is_saved(notebook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    persistence, _, path, project = opened(notebook)
    mine = replace(project, name="Mine")

    def slowly(path: Path) -> Stored:
        found = read_project(path)
        persistence.note(path, mine)
        return found

    monkeypatch.setattr(persistence_module, "read_project", slowly)
    persistence.read(path)
    persistence.save_now()
    assert read_project(path).project == mine


def test_a_save_that_waits_while_its_prototype_is_deleted_does_not_bring_it_back(
    notebook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The saver has taken the project and waits for the disk, which the deletion has."""
    persistence, _, path, project = opened(notebook)

    def meanwhile(path: Path) -> None:
        persistence.save(path, replace(project, about="waits"))
        end = time.monotonic() + WAIT
        while not persistence._jobs._working:
            assert time.monotonic() < end
            time.sleep(0.005)

    monkeypatch.setattr(persistence.draft_store, "adopt", meanwhile)
    gone = persistence.bin.delete(path)
    assert wait_until_idle(persistence, WAIT)
    assert not path.exists()
    assert read_project(gone).project.about == "waits"


def test_a_closed_keeper_leaves_no_thread(notebook: Path) -> None:
    before = set(threading.enumerate())
    persistence, _, path, project = opened(notebook)
    persistence.watcher.watch(path)
    persistence.save(path, replace(project, name="Mine"))
    persistence.close()
    for thread in set(threading.enumerate()) - before:
        thread.join(WAIT)
        assert not thread.is_alive()
    assert read_project(path).project.name == "Mine"


def test_save_now_saves_before_it_returns(notebook: Path) -> None:
    persistence, _, path, project = opened(notebook)
    persistence.note(path, replace(project, name="Typed"))
    persistence.save_now()
    assert read_project(path).project.name == "Typed"
    assert persistence.unsaved == ()


def test_two_new_prototypes_of_one_name_get_two_files(notebook: Path) -> None:
    persistence, _, _, _ = opened(notebook)
    first = persistence.start_new(notebook, can())
    second = persistence.start_new(notebook, can())
    wait_until_idle(persistence, WAIT)
    assert len({first, second, notebook / "paint-tin.toml"}) == 3
    assert read_project(first).project == read_project(second).project


def test_a_new_prototype_keeps_clear_of_a_file_that_is_not_read_yet(notebook: Path) -> None:
    """The first of the name is not on the disk yet, the second is there and was never looked at."""
    save_project(notebook / "mug-2.toml", replace(can(), name="Old mug"), revision=None)
    persistence, news = silent_persistence()
    persistence.list_folder(notebook)
    persistence._known.revisions[notebook / "mug.toml"] = None
    path = persistence.start_new(notebook, replace(can(), name="Mug"))
    assert wait_until_idle(persistence, WAIT)
    assert path.name == "mug-3.toml"
    assert isinstance(news[-1], Saved)
