"""The curves of the open prototype: asked while they are looked at, anew with everything that they stand on. No widget.

Those that were worked out stay on the screen until newer ones come, and are called old.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.runs.model_api import CurvesQuestion
from tui.runs.runner import Runner
from tui.state.asked import ask, is_asked
from tui.state.knowledge import About, about
from tui.state.session import Session, tried

if TYPE_CHECKING:
    from model.curves.chart import Curves


def ask_curves(session: Session, runner: Runner) -> None:
    """Ask for the curves of the mark or scratch copy that is looked at, unless they are asked or a field is open."""
    prototype = session.prototype
    if prototype.visit is None and not is_asked(prototype.curves, _wanted(session), runner.curves.awaits):
        ask(session, runner.curves, prototype.curves, _wanted(session), CurvesQuestion(project=tried(session)))


def curves_of(session: Session) -> Curves | None:
    """Return the curves of what is looked at, as they were worked out last; None where they are of another mark."""
    state = session.prototype.curves
    return state.answer if isinstance(state.of, tuple) and state.of[0] == _place(session) else None


def are_old(session: Session) -> bool:
    """Whether they are of other texts or readings than stand there now."""
    return session.prototype.curves.of != _wanted(session)


def _place(session: Session) -> tuple[int, str]:
    return session.number, session.scratch_key


def _wanted(session: Session) -> tuple[tuple[int, str], About]:
    """Return what the curves depend on; those over the marks look at all of them."""
    project = tried(session)
    return _place(session), about(project, project.latest.number)
