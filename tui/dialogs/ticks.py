"""A question with answers to tick, the likely ones ticked beforehand: Enter goes on with what is ticked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from model.fields.field import Choice
from tui.dialogs.base import LinesDialog, more_below
from tui.view.keys import TICKED, hints
from tui.view.layout import READABLE
from tui.view.lines import Line, cut, wrapped
from tui.widgets.screen import bindings


class TickDialog(LinesDialog[tuple[str, ...] | None]):
    """Returns the keys that are ticked, in the order of the choices; None where Escape says nothing."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(TICKED)

    def __init__(
        self, title: str, text: str, choices: Sequence[Choice], ticked: Sequence[str], *, colour: bool
    ) -> None:
        super().__init__(colour=colour)
        self.head, self.text, self.choices = title, text, tuple(choices)
        self.ticked = set(ticked)
        self.at = 0

    def draw(self) -> None:
        """Show question and answers, each with its box."""
        width, height = max(20, min(READABLE, self.view.size.width)), self.view.size.height
        lines: list[Line] = [((cut(self.head, width), "name"),), (), *wrapped(self.text, width), ()]
        ends: list[int] = []
        for index, choice in enumerate(self.choices):
            here = index == self.at
            box = "[x]" if choice.key in self.ticked else "[ ]"
            row = cut(f" {box} {choice.label}: {choice.help}", width - 1)
            lines.append(((">" if here else " ", "here"), (row, "here" if here else "")))
            ends.append(len(lines))
        top = max(0, ends[self.at] - height)
        self.view.show_lines(lines, top)
        self.keys.show_hints((*hints(TICKED), *more_below(ends, top + height)))

    def action_move(self, step: int) -> None:
        """Go to the next answer."""
        self.at = max(0, min(len(self.choices) - 1, self.at + step))
        self.draw()

    def action_tick(self) -> None:
        """Tick the answer under the cursor, or not any more."""
        self.ticked ^= {self.choices[self.at].key}
        self.draw()

    def action_take(self) -> None:
        """Return what is ticked."""
        self.dismiss(tuple(choice.key for choice in self.choices if choice.key in self.ticked))

    def action_close(self) -> None:
        """Say nothing."""
        self.dismiss(None)
