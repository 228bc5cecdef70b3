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
from tui.state.scratches import take_held
from tui.storage.draft_store import Recovered
from tui.storage.persistence import Persistence


def set_pending(persistence: Persistence, prototype: Prototype, pending: Pending | None) -> None:
    """Let a text wait, held in the draft; or let go of it."""
    old, new = held_texts(prototype.pending), held_texts(pending)
    prototype.pending = pending
    for where in {**old, **new}:
        if old.get(where) != new.get(where):
            persistence.draft_store.hold(prototype.path, where, new.get(where, ""))


def set_offered(persistence: Persistence, prototype: Prototype, offered: Offered | None) -> None:
    """Let what was brought back wait, held in the draft; or let go of it."""
    prototype.offered = offered
    persistence.draft_store.settle(
        prototype.path, Recovered(project=offered.project, base=offered.base) if offered else None
    )


def enter_pending(prototype: Prototype) -> None:
    """Take what was brought back as if it had just been typed: it asks what has to be asked."""
    if prototype.pending is not None:
        prototype.pending = replace(prototype.pending, left=False)


def offer_drafts(persistence: Persistence, prototype: Prototype) -> None:
    """Offer what drafts hold beyond the file; a draft that cannot be read is told."""
    try:
        recovered = persistence.recover(prototype.path)
    except StoreError as error:
        prototype.message = str(error)
        return
    take_held(persistence, prototype)
    if recovered is not None:
        whole = recovered.beside(prototype.project)
        rest, pending = apart(prototype.project, whole)
        if pending is not None and prototype.pending is not None and prototype.pending.number != pending.number:
            rest, pending = whole, None
        if pending is not None:
            others = prototype.pending.texts if prototype.pending is not None else {}
            set_pending(persistence, prototype, replace(pending, texts={**pending.texts, **others}))
        set_offered(
            persistence, prototype, Offered(base=prototype.project, project=rest) if rest != prototype.project else None
        )
        prototype.message = recovered.message or prototype.message
    if prototype.pending is None:
        prototype.pending = from_held(persistence.draft_store.all_held(prototype.path), prototype.project)


def with_offered(prototype: Prototype) -> Project:
    """Return the project as it would be with what was brought back."""
    offered = prototype.offered
    if offered is None:
        return prototype.project
    return Recovered(project=offered.project, base=offered.base).beside(prototype.project)


def step_aside(persistence: Persistence, prototype: Prototype, *, back: bool) -> bool:
    """Drop what waits for an answer, or (not `back`) take up again what was dropped last; return whether there was any.

    While a field is open its own text goes first.
    """
    if back:
        if prototype.pending is None and prototype.offered is None:
            return False
        prototype.dropped = prototype.pending
        if prototype.offered is not None and (prototype.pending is None or prototype.pending.left):
            prototype.declined = prototype.offered
            set_offered(persistence, prototype, None)
        set_pending(persistence, prototype, None)
        return True
    if prototype.dropped is None and prototype.declined is None:
        return False
    if prototype.dropped is not None:
        set_pending(persistence, prototype, replace(prototype.dropped, left=True))
    if prototype.declined is not None:
        set_offered(persistence, prototype, prototype.declined)
    prototype.dropped = prototype.declined = None
    return True
