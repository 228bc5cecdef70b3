"""Everything behind the screens, furnished at once: what is open, the callers of store and model, shelf, desk.

Importing this module loads records, fields and store, which takes longer than drawing the first screen: the app loads
it behind that. Knows no screen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tui.runs.model_calls import Answer
from tui.runs.runner import Runner
from tui.state.controller import Desk
from tui.state.project_list import Shelf
from tui.state.session import Session
from tui.storage.persistence import Keeper
from tui.storage.reader import Reader


@dataclass(frozen=True, slots=True, kw_only=True)
class Rooms:
    """What the screens stand on."""

    session: Session
    keeper: Keeper
    runner: Runner
    shelf: Shelf
    desk: Desk


def furnish(
    folder: Path,
    tell: Callable[[Any], None],
    *,
    runner: Callable[[Callable[[Answer], None]], Runner] | None,
    today: Callable[[], str],
) -> Rooms:
    """Return the rooms of a folder; what comes back from their threads goes to `tell`."""
    session = Session(folder)
    keeper = Keeper(tell)
    runs = (runner or Runner)(tell)
    shelf = Shelf(session, keeper, runs, today, Reader(keeper, tell))
    return Rooms(session=session, keeper=keeper, runner=runs, shelf=shelf, desk=Desk(session, keeper, runs, today))
