"""A row of values of one number: what the engine does at each; Enter takes one. Computed in the background."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType

from tui.dialogs.answer import AnswerDialog
from tui.state.changes import ask_row, give_up_row
from tui.state.controller import ProjectController
from tui.view.keys import ROW, Hints, hints
from tui.view.knowledge import learning_text
from tui.view.lines import Line
from tui.view.row import row_lines
from tui.view.scratch import scratch_title
from tui.widgets.screen import bindings


class RowDialog(AnswerDialog[str]):
    """Shows the row of values of a field; returns the text of the value that is taken, empty where none is."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(ROW)

    def __init__(self, controller: ProjectController, field: str, label: str, *, colour: bool, plain: bool) -> None:
        super().__init__(controller, colour=colour)
        self.field, self.plain = field, plain
        session = controller.session
        mark = f"Mk {session.number}" if session.scratch is None else scratch_title(session.scratch, session.number)
        self.head = f"{label}: a row of values, {mark}"
        self.at: int | None = None
        """Number of the value under the cursor; None: the present one."""

    def ask(self) -> None:
        """Ask for the row."""
        ask_row(self.controller.session, self.controller.runner, self.field)

    @property
    def number(self) -> int:
        """Number of the value under the cursor, from 0."""
        row = self.controller.session.prototype.row.answer
        steps = row.steps if row else ()
        present = next((n for n, step in enumerate(steps) if step.present), 0)
        return max(0, min(len(steps) - 1, present if self.at is None else self.at))

    def answer_lines(self, width: int, height: int) -> tuple[list[Line], int]:
        """Return the row as far as it is there."""
        asked = self.controller.session.prototype.row
        learning = learning_text(self.controller.session)
        lines = row_lines(
            asked, learning=learning, title=self.head, at=self.number, width=width, height=height,
            plain=self.plain,
        )  # fmt: skip
        return lines, 0

    def answer_hints(self) -> Hints:
        """Keys; without values only the way back."""
        row = self.controller.session.prototype.row.answer
        return hints(ROW) if row is not None and row.steps else hints(ROW, "close")

    def action_move(self, step: int) -> None:
        """Go to another value."""
        self.at = self.number + step
        self.at = self.number
        self.draw()

    def action_take(self) -> None:
        """Take the value under the cursor; the present one changes nothing."""
        row = self.controller.session.prototype.row.answer
        if row is None or not row.steps:
            return
        step = row.steps[self.number]
        self._end("" if step.present else step.text)

    def action_close(self) -> None:
        """Go back; what is being computed ends."""
        self._end("")

    def _end(self, text: str) -> None:
        give_up_row(self.controller.session, self.controller.runner)
        self.dismiss(text)
