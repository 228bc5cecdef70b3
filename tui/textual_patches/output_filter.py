"""The last look at every line before it is drawn: no control character passes; in plain mode nothing but ASCII."""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from tui.text.sanitise import without_control

_ASCII = str.maketrans(
    {
        "─": "-", "━": "-", "│": "|", "┃": "|", "┌": "+", "┐": "+", "└": "+", "┘": "+", "├": "+", "┤": "+", "┬": "+",
        "┴": "+", "┼": "+", "±": "+", "×": "x", "·": ".", "°": " ", "µ": "u", "μ": "u", "²": "2", "³": "3", "–": "-",
        "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "▔": "-", "▁": "_", "▎": "|", "▊": "|",
    }
)  # fmt: skip


def as_ascii(text: str) -> str:
    """Return a text of ASCII alone that takes the same number of cells."""
    if text.isascii():
        return text
    text = text.translate(_ASCII)
    return "".join(c if c.isascii() else "?" * cell_len(c) for c in text)


class ControlFilter(LineFilter):
    """Drops what could steer the terminal; in plain mode replaces what is not ASCII."""

    def __init__(self, plain: bool) -> None:
        super().__init__()
        self.plain = plain

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with harmless texts."""
        return [self._clean(segment) for segment in segments]

    def _clean(self, segment: Segment) -> Segment:
        text = without_control(segment.text)
        if self.plain:
            text = as_ascii(text)
        return segment if text == segment.text else Segment(text, segment.style, segment.control)
