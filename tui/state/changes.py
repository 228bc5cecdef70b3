"""What was asked about changes of the open prototype, and what came back: rows of values. Knows no widget, no numpy."""

from __future__ import annotations

from typing import TypeVar

from tui.runs.model_api import Question, RowQuestion
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.newest_queue import NewestQueue
from tui.runs.runner import Runner
from tui.state.prototype import Asked, Prototype, parsed_build
from tui.state.session import Session

T = TypeVar("T")


def ask_row(session: Session, runner: Runner, field: str) -> None:
    """Ask for a row of values of a field of the mark that is looked at, or of its scratch copy."""
    question = RowQuestion(field=field, texts=dict(session.texts))
    _ask(session, runner.rows, session.prototype.row, question, question)


def give_up_row(session: Session, runner: Runner) -> None:
    """Let nobody wait for the row of values."""
    runner.rows.give_up()
    session.prototype.row = Asked()


def _ask(session: Session, queue: NewestQueue, state: Asked[T], question: Question, about: object) -> None:
    prototype, own = session.prototype, parsed_build(session.own)
    state.wanted, state.pending, state.share, state.failure = about, True, 0.0, ""
    request = ModelRequest(
        path=prototype.path, build=own.build, project=session.shown, mark=session.number, question=question
    )
    state.number = queue.ask(request)


def take_answer(prototype: Prototype, result: ModelResult) -> bool:
    """Take an answer, or how far it is; return whether it was in time."""
    state = prototype.row
    if result.request.number != state.number or state.wanted is None:
        return False
    if result.progress is not None:
        state.share, state.pending = result.progress, result.progress < 1.0
    if result.answer is not None:
        state.answer, state.of = result.answer, state.wanted
    if result.failure:
        state.failure, state.pending = result.failure, False
    return True
