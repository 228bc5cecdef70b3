"""A list with a cursor, for the panes of readings and entries: titles above, rows below. Draws; decides nothing.

The parent gives the rows by `show_rows`, and what its own keys do in `keys`; it listens to `Listing.Moved`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from textual import events
from textual.message import Message

from tui.view.lines import Line
from tui.widgets.lines_view import LinesView


class Listing(LinesView, can_focus=True):
    """Blocks of lines, one under the cursor."""

    @dataclass
    class Moved(Message):
        """Another row is under the cursor."""

        at: int

    def __init__(self, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.at = 0
        """Number of the row under the cursor."""
        self.count = 0
        self.first = 0
        """Number of the line that stands below the titles."""
        self.keys: dict[str, Callable[[], object]] = {}
        """What the parent does at its keys; they go before the list's own."""

    def show_rows(self, head: Sequence[Line], rows: Sequence[Sequence[Line]]) -> None:
        """Show titles and rows; the row under the cursor is in sight, the titles stay while there is room."""
        self.count = len(rows)
        self.at = max(0, min(self.at, len(rows) - 1))
        free_rows = max(1, self.size.height - len(head))
        starts = [0]
        for row in rows:
            starts.append(starts[-1] + len(row))
        lines = [line for row in rows for line in row]
        top = self.first
        if rows:
            top = min(top, starts[self.at])
            top = max(top, starts[self.at + 1] - free_rows)
        self.first = max(0, min(top, len(lines) - free_rows))
        self.show_lines([*head, *lines[self.first : self.first + free_rows]])

    async def on_key(self, event: events.Key) -> None:
        """Do what the parent does at this key, or move the cursor."""
        steps = {"up": -1, "k": -1, "down": 1, "j": 1, "pageup": -8, "pagedown": 8, "home": -99999, "end": 99999,
                 "tab": 1, "shift+tab": -1}  # fmt: skip
        if event.key in self.keys:
            event.stop()
            event.prevent_default()
            self.keys[event.key]()
        elif event.key in steps:
            event.stop()
            event.prevent_default()
            self.at = max(0, min(self.count - 1, self.at + steps[event.key]))
            self.post_message(self.Moved(self.at))
