"""What was asked about changes of the open prototype, and what came back: rows of values, what next, aims.

Knows no widget, no numpy.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from model.changes.result import Advice, Breakdown, Effect, Outcome
from model.checks.seen_running import seen_running
from tui.runs.model_api import (
    TRIED,
    AimQuestion,
    CompareQuestion,
    CurvesQuestion,
    EngineQuestion,
    NextQuestion,
    RowQuestion,
)
from tui.runs.model_calls import ModelResult
from tui.runs.runner import Runner
from tui.state.asked import ask, is_asked, take
from tui.state.knowledge import about
from tui.state.prototype import Asked, NextState, Prototype, parsed_build
from tui.state.session import Session


def ask_row(session: Session, runner: Runner, field: str) -> None:
    """Ask for a row of values of a field of the mark that is looked at, or of its scratch copy."""
    question = RowQuestion(field=field, texts=dict(session.texts))
    ask(session, runner.rows, session.prototype.row, question, question)


def give_up_row(session: Session, runner: Runner) -> None:
    """Let nobody wait for the row of values."""
    runner.rows.give_up()
    session.prototype.row = Asked()


def ask_aim(session: Session, runner: Runner, goal: str) -> None:
    """Ask what would have to change for the mark that is looked at to reach a goal."""
    ask(session, runner.rows, session.prototype.aim, goal, AimQuestion(goal=goal))


def give_up_aim(session: Session, runner: Runner) -> None:
    """Let nobody wait for an aim."""
    runner.rows.give_up()
    session.prototype.aim = Asked()


def ask_next(session: Session, runner: Runner, *, looked_at: bool) -> None:
    """Ask what to change next, unless it is asked, or a field is open or flagged.

    For a mark that was seen running always, as the panel says the best; for another while it is looked at. A reading
    is taken apart once it was looked at.
    """
    prototype, state = session.prototype, session.prototype.next
    if parsed_build(session.own).problems or prototype.visit is not None:
        return
    if not (looked_at or seen_running(prototype.project, session.number)):
        return
    mark = about(session.shown, session.number)
    wanted = (mark, looked_at or state.wanted == (mark, True))
    if not is_asked(state, wanted, runner.changes.awaits):
        ask(session, runner.changes, state, wanted, NextQuestion(apart=wanted[1]))


def ask_tried(session: Session, runner: Runner) -> None:
    """Ask what the scratch copy that is looked at changes, unless it is asked, or a field is open or flagged."""
    prototype, state = session.prototype, session.prototype.tried
    if session.scratch is None or session.parsed.problems or prototype.visit is not None:
        return
    wanted = _tried(session)
    if not is_asked(state, wanted, runner.tries.awaits):
        ask(session, runner.tries, state, wanted, CompareQuestion(texts=dict(session.texts)))


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedScratch:
    """A scratch copy on the engines that its mark could be."""

    outcome: Outcome
    effect: Effect | None
    now: Outcome
    """Of the mark as it is."""
    learned: bool
    """Whether the engines are those that the mark has shown; else those of its drawing."""
    running: bool
    """Whether the mark runs as it is."""


def tried_of(session: Session) -> TriedScratch | None:
    """Return what the scratch copy changes; None where there is none of what stands there now."""
    state = session.prototype.tried
    made = state.answer if session.scratch is not None and state.of == _tried(session) else None
    if made is None or made.reason or not session.texts:
        return None
    return TriedScratch(
        outcome=made.others[TRIED], effect=made.effects.get(TRIED), now=made.now, learned=made.learned,
        running=made.running,
    )  # fmt: skip


def _tried(session: Session) -> tuple[object, dict[str, str]]:
    return about(session.shown, session.number), dict(session.texts)


def give_up_next(session: Session, runner: Runner) -> None:
    """Let nobody wait for what to change next, where it is wanted only while it is looked at."""
    if session.current is None:
        return
    prototype = session.prototype
    if prototype.next.pending and not seen_running(prototype.project, session.number):
        runner.changes.give_up()


def take_answer(prototype: Prototype, result: ModelResult) -> bool:
    """Take an answer, or how far it is; return whether it was in time."""
    question = result.request.question
    states: dict[type[Any], Asked[Any]] = {
        RowQuestion: prototype.row, NextQuestion: prototype.next, AimQuestion: prototype.aim,
        CompareQuestion: prototype.tried, CurvesQuestion: prototype.curves, EngineQuestion: prototype.engine,
    }  # fmt: skip
    state = states[type(question)]
    was_of = state.of
    if isinstance(result.answer, Breakdown):
        in_time = take(state, result, None)
        prototype.next.breakdown = result.answer if in_time else prototype.next.breakdown
        return in_time
    if not take(state, result, result.answer):
        return False
    if isinstance(result.answer, Advice) and was_of != state.wanted:
        prototype.next.breakdown = None
    return True


def next_of(session: Session) -> NextState | None:
    """Return what to change next of the mark that is looked at; None where there is none of what stands there now."""
    state = session.prototype.next
    mark = about(session.shown, session.number)
    return state if state.answer is not None and state.of in ((mark, False), (mark, True)) else None


def advice_of(session: Session) -> Advice | None:
    """Return the list of changes; None where there is none of what stands there now."""
    state = next_of(session)
    return state.answer if state else None
