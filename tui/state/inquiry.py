"""Why the open prototype does not run: what was asked, what came back, how old it is. Knows no widget and no numpy.

A diagnosis belongs to a mark's build and to everything that was found; what is shown of another is flagged as old. It
is asked only while it is looked at.
"""

from __future__ import annotations

from enum import StrEnum

from model.checks.running import seen_running
from model.checks.stage import stage_of_mark
from model.prediction.result import Verdict
from model.record import Project
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner
from tui.state.prototype import Inquiry, Prototype
from tui.state.session import Session

Found = tuple[tuple[object, ...], ...]


class DiagnosisAge(StrEnum):
    """How a diagnosis stands to what is written down."""

    UP_TO_DATE = "up to date"
    COMPUTING = "computing"
    OLD_COMPUTING = "old, computing"
    OLD = "old"
    NONE = "none"


def inquire(session: Session, runner: Runner) -> None:
    """Ask why the open prototype does not run, unless it is asked, or was seen running, or a flagged field stands."""
    at, number = session.at, session.number
    inquiry = at.inquiry
    if inquiry.mark != number:
        inquiry.diagnosis, inquiry.allowances, inquiry.mark = None, (), number
        inquiry.wanted = None
    if seen_running(session.at.project, number) or (session.parsed.problems and inquiry.diagnosis is not None):
        return
    wanted = _about(session)
    if inquiry.wanted == wanted:
        return
    inquiry.wanted, inquiry.pending, inquiry.failure, inquiry.share = wanted, True, "", 0.0
    request = ModelRequest(path=at.path, build=session.parsed.build, project=session.shown, mark=number)
    inquiry.asked = runner.ask_causes(request)


def _about(session: Session) -> tuple[object, ...]:
    return session.number, dict(session.texts), _found(session.at.project)


def _found(project: Project) -> Found:
    """Return what findings are read from."""
    return tuple((e.key, e.mark, e.ticks, dict(e.readings)) for e in project.entries.values() if e.readings or e.ticks)


def take_found(inquiry: Inquiry, answer: ModelResult) -> bool:
    """Take what came back; return whether it was in time."""
    if answer.request.number != inquiry.asked:
        return False
    if answer.progress is not None:
        inquiry.share = answer.progress
    if answer.diagnosis is not None:
        inquiry.diagnosis, inquiry.of = answer.diagnosis, inquiry.wanted
        inquiry.pending, inquiry.allowing = False, not answer.diagnosis.reason
    if answer.allowances is not None:
        inquiry.allowances, inquiry.allowing = answer.allowances, False
    if answer.failure:
        inquiry.failure, inquiry.pending, inquiry.allowing = answer.failure, False, False
    return True


def diagnosis_age(session: Session) -> DiagnosisAge:
    """Return how the diagnosis on the screen stands to what is written down."""
    inquiry = session.at.inquiry
    if inquiry.diagnosis is None:
        return DiagnosisAge.COMPUTING if inquiry.pending else DiagnosisAge.NONE
    if inquiry.of == _about(session):
        return DiagnosisAge.UP_TO_DATE
    return DiagnosisAge.OLD_COMPUTING if inquiry.pending else DiagnosisAge.OLD


def does_not_run(prototype: Prototype) -> bool:
    """Whether the latest mark is one that does not run yet: by what was seen of it, else by the prediction."""
    project, number = prototype.project, prototype.project.latest.number
    if seen_running(project, number):
        return False
    if any(stage_of_mark(project, entry, number) for entry in project.entries.values()):
        return True
    prediction = prototype.outlook.prediction
    return prediction is not None and prediction.verdict is Verdict.DOES_NOT_RUN
