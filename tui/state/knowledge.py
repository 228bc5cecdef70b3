"""What the open prototype has shown: what was asked, what came back, whether it is of what stands there now. No widget.

It is worked out anew from all readings and ticks of the mark and of those before it whenever one of them changes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.record import Project
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner
from tui.state.prototype import KnowledgeState, Prototype
from tui.state.session import Session

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge


def ask_knowledge(session: Session, runner: Runner) -> None:
    """Ask what the mark at hand has shown, unless that is asked, nothing was found, or a field is open or flagged."""
    prototype = session.prototype
    state, project = prototype.knowledge_state, session.shown
    if session.parsed.problems or prototype.visit is not None:
        return
    wanted = about(project, session.number)
    if state.wanted == wanted:
        return
    state.wanted, state.share, state.failure = wanted, 0.0, ""
    if not shows_anything(project, session.number):
        state.pending, state.knowledge, state.of = False, None, None
        runner.knowledge.give_up()
        return
    state.pending = True
    request = ModelRequest(path=prototype.path, build=session.parsed.build, project=project, mark=session.number)
    state.asked = runner.knowledge.ask(request)


def shows_anything(project: Project, number: int) -> bool:
    """Whether anything was found on a mark or on one before it: a reading, or a tick."""
    return any(
        entry.ticks or entry.readings
        for entry in project.entries.values()
        if entry.mark is None or entry.mark <= number
    )


def about(project: Project, number: int) -> tuple[object, ...]:
    """Return what is learnt of a mark depends on."""
    builds = tuple((n, dict(mark.build)) for n, mark in project.marks.items() if n <= number)
    found = tuple(
        (e.key, e.day, e.mark, e.ticks, dict(e.readings)) for e in project.entries.values() if e.readings or e.ticks
    )
    return number, builds, found


def take_knowledge(state: KnowledgeState, answer: ModelResult) -> bool:
    """Take what was learnt, or how far it is; return whether it was in time."""
    if answer.request.number != state.asked:
        return False
    if answer.progress is not None:
        state.share = answer.progress
    if answer.knowledge is not None:
        state.knowledge, state.of, state.pending = answer.knowledge, state.wanted, False
    if answer.failure:
        state.failure, state.pending = answer.failure, False
    return True


def known_of(prototype: Prototype) -> Knowledge | None:
    """Return what the latest mark of a prototype has shown, where that was worked out and nothing changed since."""
    state, number = prototype.knowledge_state, prototype.project.latest.number
    if state.knowledge is None or not state.knowledge.learned or state.of != about(prototype.project, number):
        return None
    return state.knowledge


def knowledge_of(session: Session) -> Knowledge | None:
    """Return what the mark at hand has shown; None where it is of something else, or nothing took part."""
    state = session.prototype.knowledge_state
    if state.knowledge is None or not state.knowledge.learned or state.of != about(session.shown, session.number):
        return None
    return state.knowledge
