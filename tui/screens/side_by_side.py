"""Two or three prototypes side by side: `tui.view.comparison` makes the cells, `table_lines` the lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from tui.dialogs.base import ScrolledPage
from tui.state.prototype import Prototype
from tui.view.comparison import MOST, Compared, table_rows
from tui.view.keys import SIDE_BY_SIDE
from tui.view.lines import Line, cut, fitted, width_of, wrapped
from tui.widgets.screen import bindings

CELL = 36
"""Most cells of a column."""


def table_lines(rows: Sequence[Compared], columns: int, width: int) -> list[Line]:
    """Return the rows as lines: the label at the left, cells broken within their columns."""
    label, cell = _widths(columns, width)
    lines: list[Line] = []
    for row in rows:
        if not row.cells:
            lines += [*([()] if lines else []), ((cut(row.label, width), "head"),)]
            continue
        indent = "  " if row.label.startswith(" ") else ""
        broken = [[line for part in text.split("\n") for line in wrapped(part, cell)] for text in row.cells]
        role = "strong" if any(len(part) > 1 for part in broken) else ""  # a value over its interval
        label_lines = wrapped(row.label, label, first=indent, rest=indent + " ")
        for at in range(max(len(label_lines), *(len(part) for part in broken))):
            start = label_lines[at] if at < len(label_lines) else ()
            line: list[tuple[str, str]] = [*start, (" " * (label - width_of(start)), "")]
            for part in broken:
                text = "".join(span for span, _ in part[at]) if at < len(part) else ""
                line.append((" " + fitted(text, cell), "" if at else role))
            lines.append(tuple(line))
    return lines


def _widths(columns: int, width: int) -> tuple[int, int]:
    """Return the cells of the label and of each column."""
    label = 17 if width < 100 else 26
    return label, max(8, min(CELL, (width - label) // columns - 1))


class SideBySideScreen(ScrolledPage):
    """Shows the comparison; scrolls."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(SIDE_BY_SIDE)
    live = True

    def __init__(self, prototypes: Sequence[Prototype], *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.prototypes = tuple(prototypes)[:MOST]

    def bar_lines(self, width: int) -> list[Line]:
        """Return names and marks."""
        label, cell = _widths(len(self.prototypes), width)
        names: Line = tuple((" " + fitted(p.project.name, cell), "name") for p in self.prototypes)
        marks: Line = tuple((" " + fitted(f"Mk {p.project.latest.number}", cell), "") for p in self.prototypes)
        return [((" " * label, ""), *names), ((" " * label, ""), *marks)]

    def page_lines(self, width: int) -> list[Line]:
        """Return the table."""
        return table_lines(table_rows(self.prototypes), len(self.prototypes), width)
