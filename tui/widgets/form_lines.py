"""The drawn rows of a form: marker, sign, label and text, and where the text of a row lies."""

from __future__ import annotations

from collections.abc import Callable

from textual.geometry import Region

from tui.view.form_rows import Content, FormRow, fitting_text, shown_text
from tui.view.lines import Line, cut, fitted
from tui.widgets.lines_view import LinesView

MARKER = 4
"""Cells before a label: cursor marker, sign of a flag, indent."""
LABEL = 25
"""Most cells of a label; fewer where all labels shown are shorter."""


class FormLines(LinesView):
    """Draws the rows of a form, the one under the cursor in sight."""

    def __init__(self, resized: Callable[[], None], *, colour: bool) -> None:
        super().__init__(id="rows", colour=colour)
        self.resized = resized
        """Is called where the rows have another size."""
        self.content = Content()
        self.text_at = 0
        """First cell of the texts."""

    def on_resize(self) -> None:
        """Let the form draw for the new size."""
        self.resized()

    def show_content(self, content: Content, name: str) -> None:
        """Show these rows, the cursor on a field."""
        self.content = content
        labels = max((len(_label(row.field.label)) for row in content.rows if row.field), default=LABEL)
        self.text_at = MARKER + labels + 1
        width, height = self.size
        lines = [_line(row, width, labels, here=row.name == name) for row in content.rows]
        self.show_lines(lines, _top(content, name, self.top, height))

    def text_region(self, name: str) -> Region:
        """Return where the text of a field lies, as shown last."""
        return Region(self.text_at, self.content.index(name) - self.top, self.size.width - self.text_at, 1)


def _top(content: Content, name: str, top: int, height: int) -> int:
    """Return the first row to show so that a field, and the heading over it, can be seen."""
    at = content.index(name)
    above = at - 1 if at > 0 and content.rows[at - 1].field is None else at
    if above < top:
        top = above
    elif at >= top + height:
        top = at - height + 1
    return max(0, min(top, len(content.rows) - height))


def _line(row: FormRow, width: int, label_width: int, *, here: bool) -> Line:
    """Return a row as it is drawn: cursor marker, sign, label, text."""
    if row.field is None:
        return ((cut(row.heading, width), "head"),)
    text, role = shown_text(row)
    text = fitting_text(text, width - MARKER - label_width - 1)
    sign = " ! " if row.problem or row.doubt else "(!)" if row.sharp else "   "
    return (
        (">" if here else " ", "here"),
        (sign, "flag" if row.problem else "warn"),
        (fitted(_label(row.field.label), label_width) + " ", "here" if here else ""),
        (cut(text, max(1, width - MARKER - label_width - 1)), role),
    )


def _label(label: str) -> str:
    """Return a label that fits; a remark in brackets is left to the help."""
    return label if len(label) <= LABEL else label.split(" (")[0]
