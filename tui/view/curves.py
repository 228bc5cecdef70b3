"""The pane of the curves as lines: their names, the one that is shown, and what is read off it. Pure.

Every curve is read in one way: a sentence that says it, the picture, what the cursor reads, and which line is which.
"""

from __future__ import annotations

from model.curves.chart import Chart, Curves
from tui.view.bars import bar_lines
from tui.view.chart import Look, chart_lines, legend
from tui.view.chart_look import readings
from tui.view.layout import READABLE
from tui.view.lines import Line, Span, beside, cut, fitted, wrapped

LISTED = 110
"""Columns from which the names stand in a list beside the curve; below, in a line over it."""
LIST = 36
WIDEST = 160
"""Columns that a curve takes at most: wider, ends of its axes are too far from each other."""
READ = 2
"""Lines for what the cursor reads: always so many, so that the picture stands still."""


def curves_lines(
    curves: Curves | None, number: int, look: Look, *, width: int, height: int, plain: bool, age: str, failure: str = ""
) -> list[Line]:
    """Return the lines of the pane.

    Parameters
    ----------
    curves : Curves or None
        What was worked out; None while nothing was.
    number : int
        Number of the one that is shown.
    look : Look
        Cursor and zoom.
    width, height : int
        Cells.
    plain : bool
        Whether only ASCII may be used.
    age : str
        How they stand to the texts: ``up to date``, ``computing 40 %``.
    failure : str
        Why the last run gave nothing.
    """
    if failure:
        return wrapped(f"! {failure}", width, role="flag", rest="  ")
    if curves is None:
        return [((cut(f"The curves are being worked out: {age}.", width), ""),)]
    reason = wrapped(f"! {curves.reason}", width, role="flag", rest="  ") if curves.reason else []
    if not curves.charts:
        return reason
    number = max(0, min(len(curves.charts) - 1, number))
    chart = curves.charts[number]
    if width >= LISTED:
        names = [_listed(each, index == number) for index, each in enumerate(curves.charts)]
        room = min(width - LIST, WIDEST)
        drawn = _chart(chart, look, room, height - len(reason), plain=plain, age=age)
        rows = max(len(names), len(drawn))
        empty: Line = ((" " * LIST, ""),)
        return [
            *reason,
            *(
                (*(names[row] if row < len(names) else empty), *(drawn[row] if row < len(drawn) else ()))
                for row in range(rows)
            ),
        ]
    left = height - len(reason) - 1
    return [_names(curves.charts, number, width), *reason, *_chart(chart, look, width, left, plain=plain, age=age)]


def _listed(chart: Chart, here: bool) -> Line:
    return ((">" if here else " ", "here"), (fitted(f" {chart.title}", LIST - 1), "here" if here else ""))


def _names(charts: tuple[Chart, ...], number: int, width: int) -> Line:
    """Return the short names in one line, the one that is shown in brackets; those around it where not all fit."""
    first, last = number, number + 1
    names = [f"[{chart.short}]" if index == number else f" {chart.short} " for index, chart in enumerate(charts)]
    while first > 0 or last < len(names):
        if last < len(names) and sum(map(len, names[first : last + 1])) <= width - 4:
            last += 1
        elif first > 0 and sum(map(len, names[first - 1 : last])) <= width - 4:
            first -= 1
        else:
            break
    spans: list[Span] = [("< " if first else "", "aside")]
    spans += [(names[n], "on" if n == number else "") for n in range(first, last)]
    spans.append((" >" if last < len(names) else "", "aside"))
    return tuple(spans)


def _chart(chart: Chart, look: Look, width: int, height: int, *, plain: bool, age: str) -> list[Line]:
    """Return title, sentence, picture and readings, as they fit; the picture has what the rest leaves."""
    lines: list[Line] = [beside(((cut(chart.title, max(8, width - len(age) - 2)), "name"),), ((age, "aside"),), width)]
    if chart.lacks:
        return [*lines, *wrapped(chart.lacks, width)]
    says = wrapped(chart.says, width, role="strong")
    place, values = readings(chart, look)
    read = wrapped("; ".join(values), width, first=f"{place}: ", rest="  ")[:READ] if place and values else []
    read += [()] * (READ - len(read))
    room = height - len(lines) - len(says) - len(read)
    if chart.bars:
        at = None if look.cursor is None else int(look.cursor)
        picture = bar_lines(chart.bars, chart.x, width=width, height=room, plain=plain, at=at)
    else:
        picture = list(chart_lines(chart, width=width, height=room, plain=plain, look=look))
    if not picture and chart.empty:
        picture = wrapped("There is nothing to draw yet.", width)
    return [*lines, *says, *picture, *read]


def below_lines(chart: Chart, width: int, *, plain: bool) -> list[Line]:
    """Return what stands in the place of help: which line is which, and what the curve stands on."""
    width = min(width, READABLE)
    words = legend(chart, plain=plain)
    return [*(wrapped(words, width) if words else []), *wrapped(chart.note, width, role="aside")]
