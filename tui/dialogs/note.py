"""A one-line note for the diary, from anywhere: an entry of today with the mark at hand.

What is typed is held in the draft of the project's file from the first letter on, and offered again after Escape, after
quitting and after a kill, until it is used or emptied.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.app import App

from tui.dialogs.ask_entry import ask_day
from tui.dialogs.base import LineDialog
from tui.state.controller import ProjectController
from tui.state.diary_edits import clean_lines
from tui.state.project_list import ProjectList

NEW = "One line for the diary, with today's day and the mark."
BEGUN = "Begun before and not used yet. Enter adds it to the diary; empty it to let it go."


def open_note(
    app: App[Any],
    controller: ProjectController,
    project_list: ProjectList,
    path: Path,
    mark: int,
    *,
    colour: bool,
    done: Callable[[str], None],
) -> None:
    """Show the line to write; `done` is called when it is closed, used or not.

    Parameters
    ----------
    app : App
        The app, on which the screen is shown.
    controller : ProjectController
        Knows the day.
    project list : ProjectList
        Adds the entry.
    path : Path
        File of the prototype.
    mark : int
        Mark at hand.
    colour : bool
        Whether colours may be used.
    done : callable
        Draws what changed, and says what was noted, if anything.
    """
    prototype = controller.session.prototypes[path]

    async def settle(text_typed: str) -> None:
        day = await ask_day(app, controller, prototype.project, colour)
        if day:
            project_list.add_note(path, text_typed, mark, day)
            project_list.hold(path, "")
        done(f"Noted in the diary: {day}, Mk {mark}." if day else "")

    def closed(answer: tuple[str, bool] | None) -> None:
        text, use = answer or ("", False)
        text_typed = clean_lines(text).strip()
        if use and text_typed and not prototype.notice:
            app.run_worker(settle(text_typed))
        else:
            project_list.hold(path, text if text_typed else "")
            done("")

    title = f"Note for {prototype.project.name}, Mk {mark}"
    begun = project_list.begun(path)
    asked = LineDialog(
        title, BEGUN if begun else NEW, begun, colour=colour, hold=lambda text: project_list.hold(path, text)
    )
    app.push_screen(asked, closed)
