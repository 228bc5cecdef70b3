"""The leaf of readings: what was measured, and its gap to the prediction."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult

from tui.desk import Desk
from tui.lines import Line, LinesView
from tui.panes.pane import Pane


class ResultsPane(Pane):
    """Lists the readings of the mark that is looked at."""

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__(desk, id="results", colour=colour, plain=plain)
        self.view = LinesView(colour=colour)
        self.view.can_focus = True

    def compose(self) -> ComposeResult:
        """One list."""
        yield self.view

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.refresh_pane()

    def refresh_pane(self) -> None:
        """Draw the readings."""
        session = self.desk.session
        lines: list[Line] = [((f"Readings of Mk {session.number}", "head"),)]
        for entry, reading in session.at.project.readings_of(session.number):
            words = ", ".join(f"{name} {text}" for name, text in reading.texts.items())
            lines.append(((f"  {entry.day} {reading.kind}: {words}", ""),))
        self.view.show_lines(lines)

    def take_focus(self) -> None:
        """Keys go to the list."""
        self.view.focus()
