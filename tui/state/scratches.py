"""What is done with scratch copies of the open prototype: begin, look at, rename, keep as the next mark, throw away.

Each is one step that undo takes back; all of them stand in the draft. A part of the `ProjectController`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from model.bench.promise import gain_text
from model.quantities.phrases import chance_text
from model.record import Mark, new_key
from tui.state.changes import tried_of
from tui.state.prototype import Prototype, SaveState
from tui.state.scratch import LONGEST_NAME, Scratch, as_held, changes_of, from_held
from tui.state.session import Session
from tui.storage.persistence import Persistence

if TYPE_CHECKING:
    from model.changes.result import Effect, Option, Outcome
    from tui.state.controller import ProjectController


def put_scratch(session: Session, scratch: Scratch) -> None:
    """Take a changed scratch copy into the session."""
    prototype = session.prototype
    session.put(prototype.project, {**prototype.scratches, scratch.key: scratch})


def hold_scratches(persistence: Persistence, prototype: Prototype) -> None:
    """Let the draft hold the scratch copies as they are now."""
    texts = as_held(prototype.scratches)
    held = persistence.draft_store.all_held(prototype.path)
    for address in dict.fromkeys((*as_held(from_held(held)), *texts)):
        if held.get(address, "") != texts.get(address, ""):
            persistence.draft_store.hold(prototype.path, address, texts.get(address, ""))


def take_held(persistence: Persistence, prototype: Prototype) -> None:
    """Take the scratch copies that the draft holds, of this window and of ended ones."""
    prototype.scratches = from_held(persistence.draft_store.all_held(prototype.path))


def tell_scratches(prototype: Prototype) -> None:
    """Say which scratch copies there are."""
    names = ", ".join(each.name for each in prototype.scratches.values())
    many = "copies" if len(prototype.scratches) > 1 else "copy"
    prototype.done = f"Scratch {many}: {names} (i: what if)." if names else ""


def begin_scratch(controller: ProjectController, name: str) -> None:
    """Begin a scratch copy of the mark that is looked at, or of the copy, and look at it."""
    session = controller.session
    prototype, number = session.prototype, session.number
    if prototype.notice:
        prototype.save_state, prototype.message = SaveState.READ_ONLY, prototype.notice
        return
    texts = dict(session.scratch.texts) if session.scratch else {}
    scratch = Scratch(key=new_key(prototype.scratches), name=name, number=number, texts=texts)
    _step(controller, scratch, prototype)


def promised(change: Option, since: int) -> dict[str, str]:
    """Return what a change promises, as it is kept with its mark."""
    return _promise(change.words, since, change.effect, change.outcome)


def _promised_of_all(session: Session, scratch: Scratch) -> dict[str, str]:
    """Return what all that a copy changes promises together, as far as it was tried by now; else nothing."""
    tried = tried_of(session)
    words = "; ".join(changes_of(scratch, session.own))
    if tried is None or tried.effect is None or not words:
        return {}
    return _promise(words, scratch.number, tried.effect, tried.outcome)


def _promise(words: str, since: int, effect: Effect, outcome: Outcome) -> dict[str, str]:
    gains = {"power": effect.power, "speed": effect.free_speed}
    texts = {"change": words, "since": str(since)}
    for key, each in gains.items():
        if each is not None and (each.low, each.high) != (0.0, 0.0):
            texts[key] = gain_text(each, key)
    return {**texts, "runs": chance_text(outcome.runs)}


def begin_with(controller: ProjectController, change: Option) -> None:
    """Begin a scratch copy that has a change of the list in it, and look at it."""
    session = controller.session
    prototype, own = session.prototype, session.own
    texts = {name: text for name, text in change.texts.items() if text != own.build.get(name, "")}
    if prototype.notice or not texts:
        return
    scratch = Scratch(
        key=new_key(prototype.scratches), name=change.words[:LONGEST_NAME], number=session.number, texts=texts,
        promise=promised(change, session.number),
    )  # fmt: skip
    _step(controller, scratch, prototype)
    prototype.done = f"Scratch copy of Mk {session.number} with {change.words}; i: keep it as a mark, or throw it away."


def made_as_mark(controller: ProjectController, change: Option) -> None:
    """Begin the mark that has a change of the list in it, with what was promised for it."""
    session = controller.session
    prototype, own = session.prototype, session.own
    if prototype.notice:
        prototype.save_state, prototype.message = SaveState.READ_ONLY, prototype.notice
        return
    following = prototype.project.latest.number + 1
    build = {name: text for name, text in {**own.build, **change.texts}.items() if text}
    reason = f"{change.words[0].upper()}{change.words[1:]}"
    mark = Mark(number=following, reason=reason, build=build, promise=promised(change, session.number))
    controller.change(prototype.project.with_mark(mark))
    controller.look_at(following)


def look_at_scratch(controller: ProjectController, key: str) -> None:
    """Look at a scratch copy, with its mark beside it."""
    session = controller.session
    scratch = session.prototype.scratches[key]
    marks = session.prototype.project.marks
    controller.look_at(scratch.number if scratch.number in marks else session.prototype.project.latest.number)
    session.scratch_key = key
    controller.requests.ask()


def rename_scratch(controller: ProjectController, name: str) -> None:
    """Give the scratch copy that is looked at another name."""
    scratch = controller.session.scratch
    if scratch is not None and name:
        _step(controller, replace(scratch, name=name), controller.session.prototype)


def _step(controller: ProjectController, scratch: Scratch, prototype: Prototype) -> None:
    controller.leave_field()
    controller.session.begin_visit()
    put_scratch(controller.session, scratch)
    controller.session.scratch_key = scratch.key
    controller.leave_field()
    controller.requests.ask()
    prototype.move_on()


def drop_scratch(controller: ProjectController) -> None:
    """Throw the scratch copy away that is looked at; its mark is shown."""
    session = controller.session
    scratch, prototype = session.scratch, session.prototype
    if scratch is None:
        return
    _without(controller, scratch)
    controller.leave_field()
    controller.requests.ask()
    prototype.done = f"Scratch copy {scratch.name} is thrown away; ctrl+z brings it back."


def keep_scratch(controller: ProjectController, reason: str) -> None:
    """Make the scratch copy that is looked at the next mark, with its reason."""
    session = controller.session
    scratch, prototype = session.scratch, session.prototype
    if scratch is None or prototype.notice:
        return
    following, build = prototype.project.latest.number + 1, session.mark.build
    promise = scratch.promise or _promised_of_all(session, scratch)
    _without(controller, scratch)
    mark = Mark(number=following, reason=reason, build=dict(build), promise=promise)
    controller.put(prototype.project.with_mark(mark))
    session.number = following
    controller.leave_field()
    controller.requests.ask()
    if not promise:
        prototype.done = f"Mk {following} is kept without a promise: what it changes was not tried to the end."


def _without(controller: ProjectController, scratch: Scratch) -> None:
    """Begin a step in which a scratch copy goes."""
    session = controller.session
    controller.leave_field()
    session.begin_visit()
    others = {key: each for key, each in session.prototype.scratches.items() if key != scratch.key}
    session.put(session.prototype.project, others)
