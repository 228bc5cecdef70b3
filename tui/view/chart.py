"""A chart as lines of text at any size: axes, curves, intervals, measured points, arcs, marks, and a cursor. Pure.

Nothing is told by colour alone. A curve is whole, broken or dotted; an interval is a field of light dots, and what was
measured an ``x``. A reading far beyond the rest stands at the edge, with its value and an arrow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from model.curves.chart import Axis, Chart, Points, Series, Stroke
from model.curves.frame import round_frame
from model.curves.ranges import Shown, at, shown
from model.quantities.units import digits, from_si
from tui.view.bars import bar_lines
from tui.view.canvas import Canvas, Mode, Pattern, half, light
from tui.view.lines import Line, Span

LEAST = (24, 4)
"""Columns and lines below which nothing is drawn."""
DASH: dict[Stroke, tuple[float, float] | None] = {
    Stroke.WHOLE: None, Stroke.BROKEN: (2.0, 1.5), Stroke.DOTTED: (0.5, 1.5)
}  # fmt: skip
"""Cells across that are drawn and left out."""
PLAIN = {Stroke.WHOLE: "*", Stroke.BROKEN: "+", Stroke.DOTTED: ","}
PLAIN_BAND = "."
COLUMNS_A_TICK, ROWS_A_TICK = 12, 3
AXES = {True: tuple("|++-=^"), False: tuple("\u2502\u2514\u2534\u2500\u2501^")}
"""Upright, corner, tick, level, a level part that is driven, and the cursor, by whether only ASCII may be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a chart is looked at."""

    cursor: float | None = None
    """Value of the cursor along x, or along what a closed line is counted by; SI. None: there is none."""
    left: float | None = None
    """Where it is zoomed in: the sides along x, SI."""
    right: float | None = None


NO_LOOK = Look()


@lru_cache(maxsize=64)
def chart_lines(chart: Chart, *, width: int, height: int, plain: bool, look: Look = NO_LOOK) -> tuple[Line, ...]:
    """Draw a chart into so many cells, without title and legend; nothing where there is too little room or nothing.

    Examples
    --------
    >>> from model.curves.chart import Axis, Chart, Series
    >>> from model.quantities.units import Kind
    >>> from tui.view.lines import text_of
    >>> axis = Axis(label="", kind=Kind.NUMBER, unit="")
    >>> line = Series(label="", x=(0.0, 10.0), y=(0.0, 4.0))
    >>> rise = Chart(key="", title="", short="", x=axis, y=axis, series=(line,))
    >>> for drawn in chart_lines(rise, width=26, height=6, plain=True):
    ...     print(text_of(drawn).rstrip())
    4 |                   ****
      |           ********
    2 |    ********
    0 |****
      ++---------------------+
       0                    10
    """
    if width < LEAST[0] or height < LEAST[1] or chart.empty:
        return ()
    if chart.bars:
        return tuple(bar_lines(chart.bars, chart.x, width=width, height=height, plain=plain))
    return tuple(_Drawing(chart, width, height, plain, look).lines())


class _Drawing:
    """One chart in one size."""

    def __init__(self, chart: Chart, width: int, height: int, plain: bool, look: Look) -> None:
        self.chart, self.plain, self.look = chart, plain, look
        self.rows = height - 2
        inside = shown(chart, left=look.left, right=look.right)
        up = max(2, self.rows // ROWS_A_TICK + 1)
        self.xs, self.ys, self.frame = round_frame(chart, inside, across=3, up=up)
        labels = [text for _, text in self.ys]
        unit = chart.y.unit
        labels[-1] = f"{labels[-1]} {unit}".strip()
        self.margin = max(len(text) for text in labels) + 2
        self.columns = max(8, width - self.margin)
        across = max(2, self.columns // COLUMNS_A_TICK + 1)
        self.xs, _, self.frame = round_frame(chart, inside, across=across, up=up)
        if look.left is not None and look.right is not None:  # zoomed in, the sides are what was asked for
            self.xs = [tick for tick in self.xs if look.left <= tick[0] <= look.right]
            self.frame = Shown(left=look.left, right=look.right, low=self.frame.low, high=self.frame.high)
        self.labels = dict(zip((int(self.place(0.0, y)[1] + 1e-9) for y, _ in self.ys), labels, strict=True))
        self.canvas = Canvas(self.columns, self.rows, mode=Mode.of(plain))

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of a value on the canvas; the middle of the first cell is the left end."""
        f = self.frame
        across = (x - f.left) / ((f.right - f.left) or 1.0)
        up = (y - f.low) / ((f.high - f.low) or 1.0)
        return 0.5 + across * (self.columns - 1), 0.5 + (1 - up) * (self.rows - 1)

    def lines(self) -> list[Line]:
        """Draw it."""
        for line in self.chart.series:
            if line.low and line.high and self.chart.along is None:
                self._band(line)
        self._nil()
        self._arcs()
        for line in self.chart.series:
            self._series(line)
        self._marks()
        for cloud in self.chart.points:
            self._points(cloud)
        self._cursor()
        upright = AXES[self.plain][0]
        head = (self.labels.get(row, "") for row in range(self.rows))
        drawn: list[Line] = [
            ((label.rjust(self.margin - 2) + " " + upright, "aside"), *spans)
            for label, spans in zip(head, self.canvas.lines(), strict=True)
        ]
        return [*drawn, self._axis(), self._x_labels()]

    # -- what is drawn ------------------------------------------------------------------------------------------

    def _band(self, line: Series) -> None:
        rows = [row for row in zip(line.x, line.low, line.high, strict=True) if all(map(math.isfinite, row))]
        ring = [self.place(x, high) for x, _, high in rows]
        ring += [self.place(x, low) for x, low, _ in reversed(rows)]
        pattern: Pattern = half if self.plain else light
        self.canvas.fill([ring], pattern=pattern, role="band", char=PLAIN_BAND)

    def _nil(self) -> None:
        if self.frame.low < 0 < self.frame.high:
            y = self.place(0.0, 0.0)[1]
            self.canvas.line((0.0, y), (self.columns, y), role="band", char="-", dash=(0.5, 1.0))

    def _arcs(self) -> None:
        for arc in self.chart.arcs:
            left, right = (self.place(angle, 0.0)[0] for angle in (arc.begin, arc.end))
            if self.frame.left < arc.begin < self.frame.right:
                self.canvas.line((left, 0.0), (left, self.rows), role="band", char=":", dash=(0.5, 1.5))
            begin, end = max(0, math.ceil(left)), min(self.columns, math.floor(right))
            word = "driven" if arc.driven else "carried"
            word = word if len(word) + 1 < end - begin else word[0] if end > begin else ""
            self.canvas.text((begin + end - len(word)) // 2, 0, word, role="aside")

    def _marks(self) -> None:
        taken: list[int] = []
        for mark in self.chart.marks:
            if not self.frame.left <= mark.x <= self.frame.right:
                continue
            x, _ = self.place(mark.x, 0.0)
            self.canvas.line((x, 0.0), (x, self.rows), char="|", dash=(0.5, 1.0))
            text = f" {mark.label} {value_words(mark.x, self.chart.x)} "
            column = int(x) + 1 if int(x) + 1 + len(text) <= self.columns else max(0, int(x) - len(text))
            row = next((row for row in range(min(3, self.rows)) if row not in taken), 0)
            taken.append(row)
            self.canvas.text(column, row, text, role="strong")

    def _series(self, line: Series) -> None:
        places = [
            self.place(x, y) if math.isfinite(x) and math.isfinite(y) else (math.nan, math.nan)
            for x, y in zip(line.x, line.y, strict=True)
        ]
        self.canvas.path(places, char=PLAIN[line.stroke], dash=DASH[line.stroke])
        if len(places) == 1:
            self.canvas.text(int(places[0][0]), int(places[0][1]), "o")

    def _points(self, cloud: Points) -> None:
        for i, (x, y) in enumerate(zip(cloud.x, cloud.y, strict=True)):
            if not (math.isfinite(x) and math.isfinite(y)):
                continue
            if not self.frame.holds(x, y):
                self._beyond(x, y)
                continue
            column, row = self.place(x, y)
            if cloud.low and cloud.high and cloud.high[i] > cloud.low[i]:
                ends = [self.place(x, end) for end in (cloud.low[i], cloud.high[i])]
                self.canvas.line(ends[0], ends[1], role="measured", char="|")
            self.canvas.text(int(column), int(row), "x", role="measured")

    def _beyond(self, x: float, y: float) -> None:
        """Put a wild reading at the edge: an arrow that points to it, and what it is."""
        f, chart = self.frame, self.chart
        sideways = not f.left <= x <= f.right
        if chart.along is None and sideways and self.look.left is not None and not self._wild(x):
            return  # outside of what is zoomed in on, and nothing else
        arrow = ("<" if x < f.left else ">") if sideways else ("^" if y > f.high else "v")
        axis, value = (chart.x, x) if sideways else (chart.y, y)
        column, row = self.place(min(max(x, f.left), f.right), min(max(y, f.low), f.high))
        text = (
            f"{value_words(value, axis)} {arrow}"
            if column > self.columns / 2
            else f"{arrow} {value_words(value, axis)}"
        )
        start = int(column) - len(text) + 1 if column > self.columns / 2 else int(column)
        self.canvas.text(max(0, min(start, self.columns - len(text))), int(row), text, role="measured")

    def _wild(self, x: float) -> bool:
        whole = shown(self.chart)
        return not whole.left <= x <= whole.right

    def _cursor(self) -> None:
        for column, row in self._cursor_places():
            self.canvas.text(int(column), int(row), "o", role="on")

    def _cursor_places(self) -> list[tuple[float, float]]:
        cursor = self.look.cursor
        if cursor is None:
            return []
        places = []
        for line in self.chart.series:
            if self.chart.along is None:
                found = (cursor, at(line.x, line.y, cursor))
            else:
                found = (at(self.chart.places, line.x, cursor) or 0.0, at(self.chart.places, line.y, cursor))
            x, y = found
            if y is not None and self.frame.holds(x, y):
                places.append(self.place(x, y))
        return places

    # -- below --------------------------------------------------------------------------------------------------

    def _axis(self) -> Line:
        """Return the axis line: ticks, the driven parts heavy, intervals of marks in brackets, the cursor."""
        _, corner, tick, level, heavy, arrow = AXES[self.plain]
        cells = [level] * self.columns
        for arc in self.chart.arcs:
            if arc.driven:
                begin, end = (self._column(angle) for angle in (arc.begin, arc.end))
                cells[begin : end + 1] = [heavy] * (end + 1 - begin)
        for value, _ in self.xs:
            cells[self._column(value)] = tick
        for mark in self.chart.marks:
            if mark.low is not None and mark.high is not None:
                for place, sign in ((mark.low, "("), (mark.high, ")")):
                    if self.frame.left <= place <= self.frame.right:
                        cells[self._column(place)] = sign
        ahead: Span = (" " * (self.margin - 1) + corner, "aside")
        cursor = self.look.cursor
        if cursor is None or self.chart.along is not None or not self.frame.left <= cursor <= self.frame.right:
            return (ahead, ("".join(cells), "aside"))
        at_column = self._column(cursor)
        return (
            ahead, ("".join(cells[:at_column]), "aside"), (arrow, "strong"),
            ("".join(cells[at_column + 1 :]), "aside"),
        )  # fmt: skip

    def _column(self, x: float) -> int:
        return max(0, min(self.columns - 1, int(self.place(x, 0.0)[0])))

    def _x_labels(self) -> Line:
        """Return the texts of the ticks that have room, and the unit behind the last."""
        unit = f" {self.chart.x.unit}" if self.chart.x.unit else ""
        cells = [" "] * (self.margin + self.columns)
        last = len(self.xs) - 1
        for number in (last, *range(last)):
            value, text = self.xs[number]
            text += unit if number == last else ""
            start = max(0, self.margin + self._column(value) - len(self.xs[number][1]) // 2)
            start = min(start, len(cells) - len(text))
            if not "".join(cells[max(0, start - 1) : start + len(text) + 1]).strip():
                cells[start : start + len(text)] = text
        return (("".join(cells), "aside"),)


def value_words(value: float, axis: Axis) -> str:
    """Return a value of an axis to two or three digits with its unit: ``35 K``."""
    number = from_si(value, axis.kind, axis.unit)
    return f"{digits(number, 3 if abs(number) >= 100 else 2)} {axis.unit}".strip()


def legend(chart: Chart, *, plain: bool) -> str:
    """Say which line is which: ``whole: shaft power, broken: indicated, light: 90 in 100, x: measured``.

    Plain characters have no fine lines; there the characters themselves are named.
    """
    words = [f"{PLAIN[line.stroke] if plain else line.stroke.value}: {line.label}" for line in chart.series]
    if chart.along is None and any(line.low for line in chart.series):
        words.append(f"{PLAIN_BAND if plain else 'light'}: 90 in 100")
    words += [f"x: {cloud.label}" for cloud in chart.points]
    return ", ".join(words)
