"""Two or three prototypes side by side: `tui.view.comparison` makes the cells, `table_lines` the lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from tui.state.prototype import Prototype
from tui.view.comparison import MOST, Compared, table_rows
from tui.view.lines import Line, cut, fitted, width_of, wrapped
from tui.widgets.lines_view import LinesView
from tui.widgets.screen import KeyLine, QuietScreen, too_small


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
        label_lines = wrapped(row.label, label, first=indent, rest=indent + " ")
        for at in range(max(len(label_lines), *(len(part) for part in broken))):
            start = label_lines[at] if at < len(label_lines) else ()
            line: list[tuple[str, str]] = [*start, (" " * (label - width_of(start)), "")]
            for part in broken:
                text = "".join(span for span, _ in part[at]) if at < len(part) else ""
                line.append((" " + fitted(text, cell), "" if at else "strong"))
            lines.append(tuple(line))
    return lines


def _widths(columns: int, width: int) -> tuple[int, int]:
    """Return the cells of the label and of each column."""
    label = 17 if width < 100 else 26
    return label, max(8, (width - label) // columns - 1)


class SideBySideScreen(QuietScreen[None]):
    """Shows the comparison; scrolls."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,s,enter", "close", show=False),
        Binding("down,j", "move(1)", show=False),
        Binding("up,k", "move(-1)", show=False),
        Binding("pagedown,space", "move(15)", show=False),
        Binding("pageup", "move(-15)", show=False),
        Binding("home", "move(-99999)", show=False),
        Binding("end", "move(99999)", show=False),
        Binding("question_mark,f1", "app.help(False)", show=False),
    ]

    def __init__(self, prototypes: Sequence[Prototype], *, colour: bool) -> None:
        super().__init__()
        self.prototypes = tuple(prototypes)[:MOST]
        self.bar = LinesView(id="bar", colour=colour)
        self.view = LinesView(id="view", colour=colour)
        self.keys = KeyLine(colour=colour)

    def compose(self) -> ComposeResult:
        """Names, table, keys."""
        self.bar.styles.height = 2
        yield self.bar
        yield self.view
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        self.view.can_focus = True
        self.view.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Break the cells anew."""
        self.call_after_refresh(self.draw)

    def take_worker_result(self) -> None:
        """Draw what came back."""
        self.draw()

    def draw(self) -> None:
        """Draw the table where it stands."""
        self._draw(self.view.top)

    def _draw(self, top: int) -> None:
        width, height = self.view.size
        if too_small(*self.size):
            self.bar.show_lines(wrapped(too_small(*self.size), max(8, self.size.width)))
            self.view.show_lines([])
            return
        count = len(self.prototypes)
        label, cell = _widths(count, width)
        names: Line = tuple((" " + fitted(p.project.name, cell), "name") for p in self.prototypes)
        marks: Line = tuple((" " + fitted(f"Mk {p.project.latest.number}", cell), "dim") for p in self.prototypes)
        self.bar.show_lines([((" " * label, ""), *names), ((" " * label, ""), *marks)])
        lines = table_lines(table_rows(self.prototypes), count, width)
        top = max(0, min(top, len(lines) - height))
        more = len(lines) - height - top
        self.view.show_lines(lines, top)
        down = (("Down", f"{more} more lines"),) if more > 0 else ()
        self.keys.show_hints((("Esc", "back"), *down, *((("Up", "back up"),) if top else ())))

    def action_move(self, step: int) -> None:
        """Scroll."""
        self._draw(self.view.top + step)

    def action_close(self) -> None:
        """Go back to the list."""
        self.dismiss(None)
