"""A form of what was seen at the bench (a reading, an entry): visits, undo and the news to the screen.

Subclasses say what stands in it (`refresh_form`) and what a text does (`take_text`). It posts `Pane.Changed` and
`Pane.Left` as a leaf does.
"""

from __future__ import annotations

from tui.form.form import Form
from tui.panes.pane import Pane
from tui.state.desk import Desk


class BenchForm(Form):
    """A form whose texts go into the open prototype through the desk."""

    def __init__(self, desk: Desk, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.desk = desk

    def refresh_form(self) -> None:
        """Draw from the session."""

    def take_text(self, name: str, text: str) -> None:
        """Put a text that was typed into the project."""

    def rewind(self) -> None:
        """Begin at the first row."""
        self.name_at = ""
        self.rows.top = 0

    def on_form_entered(self, event: Form.Entered) -> None:
        """A field is opened."""
        event.stop()
        self.desk.enter_field()

    def on_form_typed(self, event: Form.Typed) -> None:
        """Its text changed."""
        event.stop()
        self.take_text(event.name, event.text)
        self.refresh_form()
        self.post_message(Pane.Changed())

    def on_form_left(self, event: Form.Left) -> None:
        """It is left."""
        event.stop()
        self.post_message(Pane.Left())

    def on_form_moved(self, event: Form.Moved) -> None:
        """Another row is under the cursor."""
        event.stop()
        self.post_message(Pane.Changed())

    def on_form_undo(self, event: Form.Undo) -> None:
        """Take back what was typed in this visit."""
        event.stop()
        at = self.desk.session.at
        if at.visit is not None and at.visit != at.project:
            self.desk.step(back=True)
        else:
            at.visit = None
        self.refresh_form()
        self.post_message(Pane.Changed())
