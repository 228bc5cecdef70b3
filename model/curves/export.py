"""A chart as a file: SVG for looking at, CSV for a spreadsheet. Text stays text; names are escaped. Pure."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Callable, Iterator, Sequence
from textwrap import wrap
from xml.etree.ElementTree import Element, SubElement, tostring

from model.curves.chart import Axis, Chart, Stroke
from model.curves.frame import round_frame
from model.curves.ranges import shown
from model.quantities.units import from_si

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 70, 24, 66, 82
"""Room round the axes, in pixels."""
LONGEST = 80
"""Letters of a line."""
DASHES = {Stroke.WHOLE: "", Stroke.BROKEN: "8 5", Stroke.DOTTED: "2 4"}
LINE, BAND, FAINT = "#222222", "#9db7c4", "#888888"
_BAD_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (2.2, Characters) does not take."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""With what a spreadsheet begins a formula. Source: OWASP, CSV injection."""


def chart_svg(chart: Chart) -> str:
    """Return a chart as an SVG document of its own, title, units and what is to be read off it included."""
    root = Element("svg", {
        "xmlns": "http://www.w3.org/2000/svg", "width": str(WIDTH), "height": str(HEIGHT),
        "viewBox": f"0 0 {WIDTH} {HEIGHT}", "font-family": "sans-serif", "font-size": "12",
    })  # fmt: skip
    SubElement(root, "title").text = _clean(chart.title)
    SubElement(root, "rect", {"width": str(WIDTH), "height": str(HEIGHT), "fill": "white"})
    _text(root, LEFT, 20, chart.title, size=16)
    for number, line in enumerate(wrap(chart.says or chart.lacks, LONGEST)[:2]):
        _text(root, LEFT, 36 + 14 * number, line)
    if chart.bars:
        _bars(root, chart)
    elif not chart.empty:
        _Frame(root, chart).draw()
    for number, line in enumerate(wrap(chart.note, LONGEST)[:2]):
        _text(root, LEFT, HEIGHT - 18 + 13 * number, line, colour=FAINT)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


def chart_csv(chart: Chart) -> str:
    """Return a chart as lines of comma separated values, units in the heading: one row for each place of each line."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\r\n")  # as RFC 4180 has it
    for row in _rows(chart):
        writer.writerow([_safe(cell) for cell in row])
    return file.getvalue()


def _rows(chart: Chart) -> Iterator[Sequence[str | float]]:
    if chart.bars:
        yield ("part", _heading(chart.x), "low", "high")
        for bar in chart.bars:
            yield (bar.label, *(_number(value, chart.x) for value in (bar.value, bar.low, bar.high)))
        return
    ahead = [_heading(chart.along)] if chart.along else []
    yield ("what", *ahead, _heading(chart.x), _heading(chart.y), "low", "high", "name")
    for line in chart.series:
        low, high = line.low or (None,) * len(line.y), line.high or (None,) * len(line.y)
        for i, (x, y, least, most) in enumerate(zip(line.x, line.y, low, high, strict=True)):
            place = [_number(chart.places[i], chart.along)] if chart.along else []
            numbers = (_number(x, chart.x), *(_number(value, chart.y) for value in (y, least, most)))
            yield (line.label, *place, *numbers, "")
    nowhere = [""] if chart.along else []
    for cloud in chart.points:
        low, high = cloud.low or (None,) * len(cloud.y), cloud.high or (None,) * len(cloud.y)
        names = cloud.names or ("",) * len(cloud.y)
        for x, y, least, most, name in zip(cloud.x, cloud.y, low, high, names, strict=True):
            numbers = (_number(x, chart.x), *(_number(value, chart.y) for value in (y, least, most)))
            yield (cloud.label, *nowhere, *numbers, name)
    for mark in chart.marks:
        ends = "" if mark.low is None or mark.high is None else f"{_number(mark.low, chart.x)} to "
        until = "" if mark.low is None or mark.high is None else f"{_number(mark.high, chart.x)}"
        yield (mark.label, *nowhere, _number(mark.x, chart.x), "", "", "", f"{ends}{until}")
    for arc in chart.arcs:
        ends = f"{_number(arc.begin, chart.x)} to {_number(arc.end, chart.x)}"
        yield ("driven" if arc.driven else "carried", *nowhere, "", "", "", "", ends)


def _heading(axis: Axis) -> str:
    return f"{axis.label} [{axis.unit}]" if axis.unit else axis.label


def _number(value: float | None, axis: Axis | None) -> float | str:
    """Return a number of the axis' unit to six digits; empty where there is none."""
    if value is None or axis is None or not math.isfinite(value):
        return ""
    return float(f"{from_si(value, axis.kind, axis.unit):.6g}")


def _safe(cell: str | float) -> str | float:
    """Return a cell that no spreadsheet takes as a formula; control characters become spaces."""
    if not isinstance(cell, str):
        return cell
    text = "".join(char if char.isprintable() else " " for char in cell)
    return f"'{text}" if text.startswith(_FORMULA) or cell.startswith(_FORMULA) else text


def _clean(text: str) -> str:
    return _BAD_XML.sub(" ", text)


def _text(
    parent: Element, x: float, y: float, text: str, *, anchor: str = "start", size: int = 12, colour: str = LINE
) -> None:
    at = {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor, "font-size": str(size), "fill": colour}
    if len(text) * size > 12 * LONGEST + 60:
        # a long text is drawn closer, so that it stays on the sheet
        at |= {"textLength": str(WIDTH - LEFT - 8), "lengthAdjust": "spacingAndGlyphs"}
    SubElement(parent, "text", at).text = _clean(text)


class _Frame:
    """The axes of one chart, and what is drawn within them."""

    def __init__(self, root: Element, chart: Chart) -> None:
        self.root, self.chart = root, chart
        self.xs, self.ys, self.shown = round_frame(chart, shown(chart), across=8, up=6)
        self.plot = SubElement(root, "g", {"fill": "none", "stroke": LINE, "stroke-width": "1.5"})

    def x(self, value: float) -> float:
        """Return the pixel of a value along x."""
        s = self.shown
        return LEFT + (value - s.left) / (s.right - s.left) * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        """Return the pixel of a value along y."""
        s = self.shown
        return TOP + (s.high - value) / (s.high - s.low) * (HEIGHT - TOP - BOTTOM)

    def draw(self) -> None:
        """Draw arcs, bands, axes, lines, points, marks and the legend."""
        self._arcs()
        for line in self.chart.series:
            if line.low and line.high and self.chart.along is None:
                self._band(line.x, line.low, line.high)
        self._axes()
        for line in self.chart.series:
            self._path(list(zip(line.x, line.y, strict=True)), DASHES[line.stroke])
        self._marks()
        self._points()
        self._legend()

    def _held(self, value: float, of: Callable[[float], float], least: float, most: float) -> float:
        return of(max(least, min(most, value)))

    def _band(self, xs: Sequence[float], low: Sequence[float], high: Sequence[float]) -> None:
        s = self.shown
        rows = [row for row in zip(xs, low, high, strict=True) if all(map(math.isfinite, row))]
        there = [(self.x(x), self._held(b, self.y, s.low, s.high)) for x, _, b in rows]
        back = [(self.x(x), self._held(a, self.y, s.low, s.high)) for x, a, _ in reversed(rows)]
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in there + back)
        SubElement(self.plot, "polygon", {"points": points, "fill": BAND, "fill-opacity": "0.5", "stroke": "none"})

    def _path(self, places: Sequence[tuple[float, float]], dash: str) -> None:
        parts, pen = [], "M"
        for x, y in places:
            if not (math.isfinite(y) and self.shown.holds(x, y)):
                pen = "M"
                continue
            parts.append(f"{pen}{self.x(x):.1f} {self.y(y):.1f}")
            pen = "L"
        SubElement(self.plot, "path", {"d": " ".join(parts), **({"stroke-dasharray": dash} if dash else {})})

    def _arcs(self) -> None:
        for arc in self.chart.arcs:
            left, right = self.x(arc.begin), self.x(arc.end)
            fill = {"fill": "#eeeeee" if arc.driven else "white", "stroke": "none"}
            place = {"x": f"{left:.1f}", "y": str(TOP), "width": f"{right - left:.1f}"}
            SubElement(self.plot, "rect", {**place, **fill, "height": str(HEIGHT - TOP - BOTTOM)})
            _text(self.root, (left + right) / 2, TOP + 12, "driven" if arc.driven else "carried", anchor="middle")

    def _axes(self) -> None:
        chart, s = self.chart, self.shown
        left, right, top, bottom = LEFT, WIDTH - RIGHT, TOP, HEIGHT - BOTTOM
        SubElement(self.plot, "path", {"d": f"M{left} {top} L{left} {bottom} L{right} {bottom}", "stroke": FAINT})
        if s.low < 0 < s.high:
            at = f"{self.y(0.0):.1f}"
            SubElement(self.plot, "path", {"d": f"M{left} {at} L{right} {at}", "stroke": FAINT, "stroke-width": "0.7"})
        for value, text in self.xs:
            _text(self.root, self.x(value), bottom + 16, text, anchor="middle")
        for value, text in self.ys:
            _text(self.root, left - 6, self.y(value) + 4, text, anchor="end")
        _text(self.root, right, bottom + 32, _heading(chart.x), anchor="end")
        _text(self.root, 8, TOP - 8, f"[{chart.y.unit}]" if chart.y.unit else "")

    def _marks(self) -> None:
        for number, mark in enumerate(self.chart.marks):
            if self.shown.left <= mark.x <= self.shown.right:
                at = self.x(mark.x)
                line = {"d": f"M{at:.1f} {TOP} L{at:.1f} {HEIGHT - BOTTOM}", "stroke-dasharray": "1 3"}
                SubElement(self.plot, "path", line)
                value = _number(mark.x, self.chart.x)
                _text(self.root, at + 4, TOP + 26 + 14 * number, f"{mark.label} {value:.3g} {self.chart.x.unit}")

    def _points(self) -> None:
        s = self.shown
        for cloud in self.chart.points:
            for i, (x, y) in enumerate(zip(cloud.x, cloud.y, strict=True)):
                if not (math.isfinite(x) and math.isfinite(y)):
                    continue
                px, py = self._held(x, self.x, s.left, s.right), self._held(y, self.y, s.low, s.high)
                cross = f"M{px - 4:.1f} {py - 4:.1f} l8 8 m0 -8 l-8 8"
                SubElement(self.plot, "path", {"d": cross, "stroke-width": "2"})
                if not s.holds(x, y):
                    ends_at = (f"{_number(v, axis)} {axis.unit}" for v, axis in ((x, self.chart.x), (y, self.chart.y)))
                    _text(
                        self.root,
                        px,
                        py - 8,
                        f"beyond: {', '.join(ends_at)}",
                        anchor="end" if px > WIDTH / 2 else "start",
                    )
                elif cloud.low and cloud.high and cloud.high[i] > cloud.low[i]:
                    ends = [self._held(end, self.y, s.low, s.high) for end in (cloud.low[i], cloud.high[i])]
                    SubElement(self.plot, "path", {"d": f"M{px:.1f} {ends[0]:.1f} L{px:.1f} {ends[1]:.1f}"})

    def _legend(self) -> None:
        words = [f"{line.stroke.value}: {line.label}" for line in self.chart.series]
        if any(line.low for line in self.chart.series) and self.chart.along is None:
            words.append("band: 90 in 100")
        words += [f"x: {cloud.label}" for cloud in self.chart.points]
        _text(self.root, LEFT, HEIGHT - 34, ", ".join(words))


def _bars(root: Element, chart: Chart) -> None:
    most = max(0.0, *(bar.high or bar.value for bar in chart.bars)) or 1.0
    unit, row = chart.x.unit, (HEIGHT - TOP - 40) / max(1, len(chart.bars))
    begin, room = 250, WIDTH - 250 - 110
    for number, bar in enumerate(chart.bars):
        y = TOP + number * row
        _text(root, begin - 8, y + 0.7 * row, bar.label, anchor="end")
        wide = max(0.0, bar.value) / most * room
        fill = LINE if bar.level == 0 else BAND
        SubElement(root, "rect", {"x": str(begin), "y": f"{y + 0.2 * row:.1f}", "width": f"{wide:.1f}",
                                  "height": f"{0.6 * row:.1f}", "fill": fill})  # fmt: skip
        value = _number(bar.value, chart.x)
        _text(root, begin + wide + 6, y + 0.7 * row, f"{value:.3g} {unit}")
