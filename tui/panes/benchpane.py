"""A pane with two faces: a list, and the form of one reading. Shared by Results and What next.

Subclasses draw the list's face in `show_face`, and say in `closed` what is to be done when the form goes back to it.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from model.record import Reading, new_key
from tui.panes.pane import Pane
from tui.panes.readingform import ReadingForm
from tui.state.controller import ProjectController
from tui.state.diary_edits import entry_of_day, new_entry
from tui.view.keys import BACK
from tui.view.readings import ReadingRow
from tui.widgets.listing import Listing
from tui.widgets.screen import bindings


class BenchPane(Pane):
    """Shows a list, or the form of the reading that is open."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(BACK)

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.form = ReadingForm(controller, colour=colour)
        self.form.display = False

    def compose(self) -> ComposeResult:
        """List and form; one of them is shown."""
        yield self.listing
        yield self.form

    def show_face(self) -> None:
        """Draw the list's face."""

    def closed(self, reading_row: ReadingRow) -> None:
        """The form of a reading goes back to the list."""

    def refresh_pane(self) -> None:
        """Draw the face that is shown."""
        if self.form.opened is not None:
            self.form.refresh_form()
        else:
            self.show_face()

    def take_focus(self) -> None:
        """Keys go to the face that is shown."""
        if self.form.opened is not None:
            self.form.take_focus()
        else:
            self.screen.set_focus(self.listing, scroll_visible=False)

    def leave(self) -> None:
        """Close the open field; its text stands."""
        self.form.leave()

    @property
    def editing(self) -> bool:
        """Whether a field is open."""
        return self.form.editing

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Escape leaves the form; on the list it is the screen's."""
        if action == "back":
            return self.form.opened is not None and not self.editing
        return super().check_action(action, parameters)

    def action_back(self) -> None:
        """Go back to the list; the reading stands."""
        opened, self.form.opened = self.form.opened, None
        self.form.display = False
        self.listing.display = True
        if opened is not None:
            self.closed(opened)
        self.take_focus()
        self.call_after_refresh(self.refresh_pane)
        self.post_message(self.Changed())

    def open_form(self, reading_row: ReadingRow) -> None:
        """Show a reading in the form."""
        self.form.open_reading(reading_row)
        self.listing.display = False
        self.form.display = True
        self.take_focus()
        self.call_after_refresh(self.refresh_pane)
        self.post_message(self.Changed())


def begun(controller: ProjectController, *, day: str, kind: str, texts: dict[str, str] | None = None) -> ReadingRow:
    """Return a reading of the mark that is looked at, begun in the entry of a day; stored with its first text."""
    session = controller.session
    project = session.prototype.project
    entry = entry_of_day(project, day) or new_entry(project, day=day, mark=session.number)
    texts_typed = {"mark": str(session.number), **(texts or {})}
    return ReadingRow(
        entry=entry, reading=Reading(key=new_key(entry.readings), kind=kind, texts=texts_typed), mark=session.number
    )
