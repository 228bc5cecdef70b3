"""What the open prototype looks like: asked while it is looked at, anew with every text that can be read. No widget."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.fields import Build
from tui.runs.model_api import EngineQuestion
from tui.runs.runner import Runner
from tui.state.asked import ask, is_asked
from tui.state.knowledge import about
from tui.state.last_valid import last_valid_build
from tui.state.session import Session, tried

if TYPE_CHECKING:
    from model.drawing.result import EngineView


def ask_engine(session: Session, runner: Runner) -> None:
    """Ask what the mark or scratch copy that is looked at looks like, unless that is asked."""
    build = last_valid_build(session)
    speed = _speed(session, build)
    wanted = (_place(session), build, about(tried(session), session.number), speed)
    state = session.prototype.engine
    if not is_asked(state, wanted, runner.engine.awaits):
        ask(session, runner.engine, state, wanted, EngineQuestion(build=build, speed=speed))


def _speed(session: Session, build: Build) -> float | None:
    """Return the speed at which the figures of this very build hold, [rad/s]; None while there are none."""
    outlook = session.prototype.outlook
    if outlook.prediction is None or outlook.mark != session.number or outlook.build != build:
        return None
    return outlook.prediction.at_speed


def _place(session: Session) -> tuple[int, str]:
    return session.number, session.scratch_key


def engine_of(session: Session) -> EngineView | None:
    """Return what the mark or scratch copy looks like, as it was drawn last; None where that is of another."""
    state = session.prototype.engine
    return state.answer if isinstance(state.of, tuple) and state.of[0] == _place(session) else None
