"""An input of one line: what is pasted into it is one line of text, whole, or it is said that it is not."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.widgets import Input

from tui.text.sanitise import one_line


class LineInput(Input):
    """Takes a paste as one line, cut at the longest text that it holds."""

    class Shortened(Message):
        """A paste did not fit."""

    def on_paste(self, event: events.Paste) -> None:
        """Make one line of the paste, which the input then takes (stock: its first line alone, or nothing)."""
        text = one_line(event.text)
        free = len(text) if self.max_length is None else self.max_length - len(self.value) + len(self.selected_text)
        event.text = text[: max(0, free)]
        if len(event.text) < len(text):
            self.post_message(self.Shortened())
