"""A form of what was seen at the bench (a reading, an entry): visits, undo and the news to the screen.

Subclasses say what stands in it (`refresh_form`) and what a text does (`take_text`). It posts `Pane.Changed` and
`Pane.FieldLeft` as a pane does.
"""

from __future__ import annotations

from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.widgets.form import Form


class BenchForm(Form):
    """A form whose texts go into the open prototype through the controller."""

    def __init__(self, controller: ProjectController, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.controller = controller

    def refresh_form(self) -> None:
        """Draw from the session."""

    def take_text(self, name: str, text: str) -> None:
        """Put a text that was typed into the project."""

    def rewind(self) -> None:
        """Begin at the first row."""
        self.name_at = ""
        self.rows.top = 0

    def field_entered(self, name: str) -> None:
        """A field is opened."""
        self.controller.enter_field()

    def field_typed(self, name: str, text: str) -> None:
        """Its text changed."""
        self.take_text(name, text)
        self.refresh_form()
        self.post_message(Pane.Changed())

    def field_left(self, name: str) -> None:
        """It is left."""
        self.controller.leave_field(unless_asked=True)
        self.post_message(Pane.FieldLeft())

    def field_moved(self, name: str) -> None:
        """Another field is under the cursor."""
        self.controller.session.prototype.move_on()
        self.post_message(Pane.Changed())

    def field_undone(self, name: str) -> None:
        """Take back what was typed in this visit."""
        self.controller.undo_field()
        self.refresh_form()
        self.post_message(Pane.Changed())
