"""Everything behind the screens, built at once: what is open, the callers of store and model, project list, controller.

Importing this module loads records, fields and store, which takes longer than drawing the first screen: the app loads
it behind that. Knows no screen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tui.runs.model_calls import ModelResult
from tui.runs.runner import Runner
from tui.state.controller import ProjectController
from tui.state.project_list import ProjectList
from tui.state.session import Session
from tui.storage.persistence import Persistence
from tui.storage.reader import Reader


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """What the screens stand on."""

    session: Session
    persistence: Persistence
    runner: Runner
    project_list: ProjectList
    controller: ProjectController


def build_services(
    folder: Path,
    post: Callable[[Any], None],
    *,
    runner: Callable[[Callable[[ModelResult], None]], Runner] | None,
    today: Callable[[], str],
) -> Services:
    """Return the services of a folder; what comes back from their threads goes to `post`."""
    session = Session(folder)
    persistence = Persistence(post)
    runs = (runner or Runner)(post)
    project_list = ProjectList(session, persistence, runs, today, Reader(persistence, post))
    return Services(
        session=session,
        persistence=persistence,
        runner=runs,
        project_list=project_list,
        controller=ProjectController(session, persistence, runs, today),
    )
