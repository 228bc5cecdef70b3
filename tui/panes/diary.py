"""The leaf of the diary: what happened at the bench."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult

from tui.desk import Desk
from tui.lines import Line, LinesView, wrapped
from tui.panes.pane import Pane


class DiaryPane(Pane):
    """Lists the entries, the latest first."""

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__(desk, id="diary", colour=colour, plain=plain)
        self.view = LinesView(colour=colour)
        self.view.can_focus = True

    def compose(self) -> ComposeResult:
        """One list."""
        yield self.view

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.refresh_pane()

    def refresh_pane(self) -> None:
        """Draw the entries."""
        width = max(20, self.view.size.width)
        lines: list[Line] = []
        for entry in reversed(list(self.desk.session.at.project.entries.values())):
            mark = f"  Mk {entry.mark}" if entry.mark else ""
            lines += [((f"{entry.day}{mark}", "head"),), *wrapped(entry.text, width, first="  ", rest="  ")]
        self.view.show_lines(lines)

    def take_focus(self) -> None:
        """Keys go to the list."""
        self.view.focus()
