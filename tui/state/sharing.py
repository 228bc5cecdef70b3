"""What another window, another machine or a file sync did to an open file. A part of the `ProjectController`."""

from __future__ import annotations

from dataclasses import replace

from model.errors import ProjectNotFound, StoreError
from model.store import Item, merge
from tui.state.project_list import prototype_of
from tui.state.prototype import Prototype, SaveState
from tui.storage.draft_store import Recovered
from tui.storage.persistence import Persistence, Theirs

NOT_SAVED = "NOT SAVED"


def read_again(persistence: Persistence, prototype: Prototype) -> None:
    """Take a file that was changed on the disk; undo takes back steps of this window alone, and nothing is redone."""
    try:
        stored = persistence.read(prototype.path)
    except StoreError as error:
        prototype.save_state, prototype.message = SaveState.UNREADABLE, f"{NOT_SAVED}; all of it stands here. {error}"
        return
    fresh = prototype_of(Item(path=prototype.path, stored=stored))
    before, theirs = prototype.project, fresh.project
    prototype.undo = [replace(s, project=merge(before, s.project, theirs).project) for s in prototype.undo]
    prototype.redo.clear()
    prototype.project, prototype.problems = fresh.project, fresh.problems
    prototype.notice, prototype.save_state = fresh.notice, fresh.save_state
    prototype.message = "Read again: the file was changed on the disk."


def tell_gone(persistence: Persistence, prototype: Prototype) -> None:
    """Say that the file is gone from the disk; what stands here is whole, and the next save writes it anew."""
    name = prototype.path.name
    prototype.save_state = SaveState.GONE
    prototype.message = f"{NOT_SAVED}: {name} was deleted or moved elsewhere. All of it stands here; ctrl+s writes it."
    persistence.start_from(prototype.path, None)


def take_changed(persistence: Persistence, prototype: Prototype) -> bool:
    """Take what another wrote while the file is open; what is being typed is joined with it when it is saved.

    Returns whether it was read again.
    """
    if persistence.on_disk.is_gone(prototype.path):
        tell_gone(persistence, prototype)
        return False
    if prototype.save_state is SaveState.FAILED:  # what is said of that is newer, and says what to do
        return False
    if trouble := persistence.on_disk.unreadable(prototype.path):
        if prototype.save_state in (SaveState.SAVED, SaveState.READ_ONLY):
            prototype.save_state = SaveState.UNREADABLE
        prototype.message = f"{NOT_SAVED}; all of it stands here. {trouble}"
        return False
    if prototype.save_state is SaveState.UNREADABLE:
        prototype.save_state = SaveState.READ_ONLY if prototype.notice else SaveState.SAVED
        prototype.message = ""
    if not persistence.on_disk.moved_on(prototype.path):
        return False
    if prototype.save_state not in (SaveState.SAVED, SaveState.READ_ONLY) or prototype.visit is not None:
        prototype.message = "Another window wrote this file. What is typed here is joined with it when it is saved."
        return False
    read_again(persistence, prototype)
    return True


def joined_copies(persistence: Persistence, prototype: Prototype) -> Recovered | None:
    """Return the project joined with its conflict copies, where a file sync left any."""
    try:
        return persistence.join_copies(prototype.path, prototype.project)
    except StoreError as error:
        prototype.message = str(error)
        return None


def join_theirs(persistence: Persistence, prototype: Prototype) -> Theirs | None:
    """Read what somebody else wrote over an open project; None (and a message) where it cannot be read."""
    try:
        return persistence.join_theirs(prototype.path, prototype.project)
    except ProjectNotFound:
        tell_gone(persistence, prototype)
    except StoreError as error:
        prototype.message = f"{NOT_SAVED}: {error} Or move that file elsewhere; then ctrl+s."
        persistence.start_from(prototype.path, None)
    return None
