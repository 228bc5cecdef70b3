"""The widget that draws lines of text one by one and repaints only those that changed: the base of every other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.text.sanitise import sanitise
from tui.view.inks import PLAINEST, Ground, style_of
from tui.view.lines import EMPTY, Line, marks


class LinesView(Widget):
    """Shows lines; the parent gives them by `show_lines`. `top` is the first line that is seen."""

    DEFAULT_CSS = "LinesView { height: 1fr; width: 1fr; }"

    def __init__(self, *, id: str | None = None, colour: bool = True) -> None:
        super().__init__(id=id)
        self.colour = colour
        self.lines: tuple[Line, ...] = ()
        self.top = 0
        """First line in sight; who sets it alone has to call `show_lines` after."""
        self._drawn: tuple[tuple[Line, ...], int] = ((), 0)

    def show_lines(self, lines: Iterable[Line], top: int = 0) -> None:
        """Show these lines from `top` on; only rows of the screen that changed are painted."""
        new = tuple(lines)
        old, old_top = self._drawn
        self.lines, self.top = new, top
        self._drawn = new, top
        width, height = self.size
        for y in range(height):
            if _at(old, y + old_top) != _at(new, y + top):
                self.refresh(Region(0, y, width, 1))

    @property
    def marked(self) -> int | None:
        """Row of the widget that carries the cursor's mark; None where none in sight does."""
        lines, top = self._drawn
        return next((y for y in range(self.size.height) if marks(_at(lines, y + top))), None)

    def render_line(self, y: int) -> Strip:
        """Draw one row of the screen."""
        lines, top = self._drawn
        line = _at(lines, y + top)
        ground = getattr(self.app, "ground", Ground.UNKNOWN) if self.colour else Ground.COLOURLESS
        segments = [Segment(sanitise(text), style_of(role, ground)) for text, role in line]
        return Strip(segments).adjust_cell_length(self.size.width, PLAINEST)


def _at(lines: Sequence[Line], index: int) -> Line:
    return lines[index] if 0 <= index < len(lines) else EMPTY
