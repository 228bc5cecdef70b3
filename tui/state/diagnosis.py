"""Why the open prototype does not run: what was asked, what came back, how old it is. Knows no widget and no numpy.

A diagnosis belongs to a mark's build and to its observations; what is shown of another is flagged as old. It
is asked only while it is looked at.
"""

from __future__ import annotations

from enum import StrEnum

from model.checks.seen_running import Standing, seen_running, standing_of
from model.checks.stage import stage_of_mark
from model.prediction.result import Verdict
from model.record import Project
from tui.runs.model_calls import ModelResult
from tui.runs.runner import Runner
from tui.state.asked import begin, is_asked, request_of, take
from tui.state.prototype import DiagnosisState, Prototype, parsed_build
from tui.state.session import Session

Observed = tuple[tuple[object, ...], ...]


class DiagnosisAge(StrEnum):
    """How a diagnosis stands to what is written down."""

    UP_TO_DATE = "up to date"
    COMPUTING = "computing"
    OLD_COMPUTING = "old, computing"
    OLD = "old"
    NONE = "none"


def ask_diagnosis(session: Session, runner: Runner) -> None:
    """Ask why the open prototype does not run, unless it is asked, or was seen running, or a flagged field stands.

    Of a mark that was not tried the list of changes comes first, which is asked beside it.
    """
    prototype, number = session.prototype, session.number
    state = prototype.diagnosis
    if state.mark != number:
        state.answer, state.allowances, state.mark = None, (), number
        state.wanted = None
    own = parsed_build(session.own)
    standing = standing_of(prototype.project, number)
    if standing is Standing.RUNS or (own.problems and state.answer is not None):
        return
    if standing is not Standing.STOPS and prototype.next.pending:
        return
    wanted = _about(session)
    if not is_asked(state, wanted, runner.awaits_diagnosis):
        begin(state, wanted, runner.ask_diagnosis(request_of(session)))
        state.allowances_pending = False


def _about(session: Session) -> tuple[object, ...]:
    return session.number, dict(session.own.build), _observed(session.prototype.project)


def _observed(project: Project) -> Observed:
    """Return what observations are read from."""
    return tuple((e.key, e.mark, e.ticks, dict(e.readings)) for e in project.entries.values() if e.readings or e.ticks)


def take_diagnosis(state: DiagnosisState, result: ModelResult) -> bool:
    """Take a diagnosis, its progress or its allowances; return whether it was in time."""
    if not take(state, result, result.diagnosis):
        return False
    if result.diagnosis is not None:
        state.pending, state.allowances_pending = False, not result.diagnosis.reason
    if result.allowances is not None or result.failure:
        state.allowances, state.allowances_pending = result.allowances or state.allowances, False
    return True


def diagnosis_age(session: Session) -> DiagnosisAge:
    """Return how the diagnosis on the screen stands to what is written down."""
    state = session.prototype.diagnosis
    if state.answer is None:
        return DiagnosisAge.COMPUTING if state.pending else DiagnosisAge.NONE
    if state.of == _about(session):
        return DiagnosisAge.UP_TO_DATE
    return DiagnosisAge.OLD_COMPUTING if state.pending else DiagnosisAge.OLD


def does_not_run(prototype: Prototype) -> bool:
    """Whether the latest mark is one that does not run yet: by what was seen of it, else by the prediction."""
    project, number = prototype.project, prototype.project.latest.number
    if seen_running(project, number):
        return False
    if any(stage_of_mark(project, entry, number) for entry in project.entries.values()):
        return True
    prediction = prototype.outlook.prediction
    return prediction is not None and prediction.verdict is Verdict.DOES_NOT_RUN
