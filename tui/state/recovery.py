"""What an ended window left, and what waits for an answer: offered, kept or dropped. Nothing is written unasked.

Texts of the build stand in their fields meanwhile, the rest (readings, diary, marks) only in the draft. Called by the
controller and the questions; knows no screen.
"""

from __future__ import annotations

from dataclasses import replace

from model.errors import StoreError
from model.record import Project
from tui.state.pending import Offered, Pending, apart, from_held, held_texts
from tui.state.prototype import Prototype
from tui.storage.draft_store import Recovered
from tui.storage.persistence import Persistence


def set_pending(persistence: Persistence, at: Prototype, pending: Pending | None) -> None:
    """Let a text wait, held in the draft; or let go of it."""
    old, new = held_texts(at.pending), held_texts(pending)
    at.pending = pending
    for where in {**old, **new}:
        if old.get(where) != new.get(where):
            persistence.draft_store.hold(at.path, where, new.get(where, ""))


def set_offered(persistence: Persistence, at: Prototype, offered: Offered | None) -> None:
    """Let what was brought back wait, held in the draft; or let go of it."""
    at.offered = offered
    persistence.draft_store.settle(at.path, Recovered(project=offered.project, base=offered.base) if offered else None)


def enter_pending(at: Prototype) -> None:
    """Take what was brought back as if it had just been typed: it asks what has to be asked."""
    if at.pending is not None:
        at.pending = replace(at.pending, left=False)


def bring_back(persistence: Persistence, at: Prototype) -> None:
    """Offer what drafts hold beyond the file; a draft that cannot be read is told."""
    try:
        recovered = persistence.recover(at.path)
    except StoreError as error:
        at.message = str(error)
        return
    if recovered is not None:
        whole = recovered.beside(at.project)
        rest, pending = apart(at.project, whole)
        if pending is not None and at.pending is not None and at.pending.number != pending.number:
            rest, pending = whole, None
        if pending is not None:
            others = at.pending.texts if at.pending is not None else {}
            set_pending(persistence, at, replace(pending, texts={**pending.texts, **others}))
        set_offered(persistence, at, Offered(base=at.project, project=rest) if rest != at.project else None)
        at.message = recovered.message or at.message
    if at.pending is None:
        at.pending = from_held(persistence.draft_store.all_held(at.path), at.project)


def with_offered(at: Prototype) -> Project:
    """Return the project as it would be with what was brought back."""
    offered = at.offered
    if offered is None:
        return at.project
    return Recovered(project=offered.project, base=offered.base).beside(at.project)


def step_aside(persistence: Persistence, at: Prototype, *, back: bool) -> bool:
    """Drop what waits for an answer, or (not `back`) take up again what was dropped last; return whether there was any.

    While a field is open its own text goes first.
    """
    if back:
        if at.pending is None and at.offered is None:
            return False
        at.dropped = at.pending
        if at.offered is not None and (at.pending is None or at.pending.left):
            at.declined = at.offered
            set_offered(persistence, at, None)
        set_pending(persistence, at, None)
        return True
    if at.dropped is None and at.declined is None:
        return False
    if at.dropped is not None:
        set_pending(persistence, at, replace(at.dropped, left=True))
    if at.declined is not None:
        set_offered(persistence, at, at.declined)
    at.dropped = at.declined = None
    return True
