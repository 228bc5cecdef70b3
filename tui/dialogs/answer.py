"""What was asked of the model, in a dialog that fills as the answer comes: rows of values, ways to a goal."""

from __future__ import annotations

from typing import Generic, TypeVar

from tui.dialogs.base import LinesDialog
from tui.state.controller import ProjectController
from tui.view.keys import Hints
from tui.view.lines import Line, wrapped
from tui.widgets.screen import too_small

R = TypeVar("R")


class AnswerDialog(LinesDialog[R], Generic[R]):
    """Asks when it opens and draws whatever is there. Subclasses say what is asked, what is shown, and the keys."""

    live = True

    def __init__(self, controller: ProjectController, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.controller = controller

    def ask(self) -> None:
        """Ask the model."""

    def answer_lines(self, width: int, height: int) -> tuple[list[Line], int]:
        """Return what is there by now, and the number of the line that must be seen."""
        return [], 0

    def answer_hints(self) -> Hints:
        """Return the keys that do something with it."""
        return ()

    def on_mount(self) -> None:
        """Ask, and take the keys."""
        super().on_mount()
        self.ask()

    def draw(self) -> None:
        """Show what is there by now."""
        if self.controller.session.current is None:
            return
        width, height = self.view.size
        if small := too_small(*self.size):
            self.view.show_lines(wrapped(small, max(8, self.size.width)))
            return
        lines, here = self.answer_lines(max(20, width), height)
        self.view.show_lines(lines, max(0, min(here - height + 2, len(lines) - height)))
        self.keys.show_hints(self.answer_hints())
