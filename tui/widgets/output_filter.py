"""The last look at every line before it is drawn: no control character passes; in plain mode nothing but ASCII."""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_CONTROL: dict[int, str | None] = dict.fromkeys(
    [
        *range(32),
        *range(127, 160),
        0x061C,
        0x200E,
        0x200F,
        0x2028,
        0x2029,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    ]
)
_ASCII = str.maketrans(
    {
        "─": "-", "━": "-", "│": "|", "┃": "|", "┌": "+", "┐": "+", "└": "+", "┘": "+", "├": "+", "┤": "+", "┬": "+",
        "┴": "+", "┼": "+", "±": "+", "×": "x", "·": ".", "°": " ", "µ": "u", "μ": "u", "²": "2", "³": "3", "–": "-",
        "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "▔": "-", "▁": "_", "▎": "|", "▊": "|",
    }
)  # fmt: skip


def without_control(text: str) -> str:
    """Return a text with every control and direction character dropped."""
    if text.isascii() and text.isprintable():
        return text
    return text.translate(_CONTROL)


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
