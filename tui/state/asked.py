"""The one way to ask the model about the open prototype, and to take what comes back: learning, causes, changes.

A queue is shared by all prototypes and holds the newest question alone, so that of one that was left may have lost
its place: it is asked again when that is opened again. Knows no widget, no numpy.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from tui.runs.model_api import Question
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.newest_queue import NewestQueue
from tui.state.prototype import Asked, parsed_build
from tui.state.session import Session

T = TypeVar("T")


def is_asked(state: Asked[T], wanted: object, awaits: Callable[[int], bool]) -> bool:
    """Whether that is what was asked last, and the answer has come whole or still comes."""
    return state.wanted == wanted and (not state.waits or awaits(state.number))


def ask(
    session: Session, queue: NewestQueue, state: Asked[T], wanted: object, question: Question | None = None
) -> None:
    """Ask about the mark that is looked at; `wanted` is what the answer depends on."""
    begin(state, wanted, queue.ask(request_of(session, question)))


def request_of(session: Session, question: Question | None = None) -> ModelRequest:
    """Return a question about the mark that is looked at, as its own texts have it."""
    own = parsed_build(session.own)
    return ModelRequest(
        path=session.prototype.path, build=own.build, project=session.shown, mark=session.number, question=question
    )


def begin(state: Asked[T], wanted: object, number: int) -> None:
    """Note what was asked under a number of its queue."""
    state.wanted, state.number, state.pending, state.share, state.failure = wanted, number, True, 0.0, ""


def take(state: Asked[T], result: ModelResult, answer: T | None) -> bool:
    """Take an answer, or how far it is; return whether it was in time."""
    if result.request.number != state.number or state.wanted is None:
        return False
    if result.progress is not None:
        state.share, state.pending = result.progress, result.progress < 1.0
    if answer is not None:
        state.answer, state.of = answer, state.wanted
    if result.failure:
        state.failure, state.pending = result.failure, False
    return True
