"""What the open prototype has shown: what was asked, what came back, whether it is of what stands there now. No widget.

It is worked out anew from all readings and ticks of the mark and of those before it whenever one of them changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.record import Entry, Project
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner
from tui.state.prototype import KnowledgeState, Prototype, parsed_build
from tui.state.session import Session

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge


def ask_knowledge(session: Session, runner: Runner) -> None:
    """Ask what the mark at hand has shown, unless that is asked, nothing was found, or a field is open or flagged."""
    prototype = session.prototype
    state, project = prototype.knowledge_state, session.shown
    own = parsed_build(session.own)  # a scratch copy has shown nothing
    if own.problems or prototype.visit is not None:
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
    request = ModelRequest(path=prototype.path, build=own.build, project=project, mark=session.number)
    state.asked = runner.knowledge.ask(request)


def shows_anything(project: Project, number: int) -> bool:
    """Whether anything was found on a mark or on one before it: a reading, or a tick."""
    return any(
        entry.ticks or entry.readings
        for entry in project.entries.values()
        if entry.mark is None or entry.mark <= number
    )


@dataclass(frozen=True, slots=True, eq=False)
class About:
    """What is learnt of a mark depends on; compared at every key, so what is the very same is not looked into."""

    project: Project
    number: int

    def __eq__(self, other: object) -> bool:
        """Whether the same would be learnt: builds up to the mark, and what was found, whatever else was written."""
        if not isinstance(other, About) or self.number != other.number:
            return False
        mine, theirs = self.project, other.project
        return mine is theirs or (self._builds() == other._builds() and _alike(mine, theirs))

    __hash__ = None  # type: ignore[assignment]

    def _builds(self) -> list[tuple[int, Mapping[str, str]]]:
        return [(n, mark.build) for n, mark in self.project.marks.items() if n <= self.number]


def _alike(mine: Project, theirs: Project) -> bool:
    if mine.entries is theirs.entries:
        return True
    found = [
        [entry for entry in project.entries.values() if entry.readings or entry.ticks] for project in (mine, theirs)
    ]
    if len(found[0]) != len(found[1]):
        return False
    return all(a is b or _found_in(a) == _found_in(b) for a, b in zip(*found, strict=True))


def _found_in(entry: Entry) -> tuple[object, ...]:
    return entry.key, entry.day, entry.mark, entry.ticks, entry.readings


def about(project: Project, number: int) -> About:
    """Return what is learnt of a mark depends on."""
    return About(project, number)


def take_knowledge(state: KnowledgeState, answer: ModelResult) -> bool:
    """Take what was learnt, or how far it is; return whether it was in time."""
    if answer.request.number != state.asked:
        return False
    if answer.progress is not None:
        state.share = answer.progress
    if answer.knowledge is not None:
        state.knowledge, state.of, state.pending = answer.knowledge, state.wanted, answer.knowledge.first_look
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
