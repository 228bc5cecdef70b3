"""Parts of a whole as bars, one a line, each with its value and interval. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from model.curves.chart import Axis, Bar
from model.prediction.result import Figure
from tui.text.figures import interval_text, value_text
from tui.view.lines import Line, cut, fitted

LABEL, VALUE = 34, 10
"""Most cells of label and value."""


def bar_lines(
    bars: Sequence[Bar], axis: Axis, *, width: int, height: int, plain: bool, at: int | None = None
) -> list[Line]:
    """Draw each part: label, bar as long as its share of the largest, value, and the interval where there is room.

    A stage on the way is a full bar, what is lost there a light one, set in. Where not all fit, the smallest losses go.
    `at` is the number of the one under the cursor.
    """
    chosen = bars[at] if at is not None and 0 <= at < len(bars) else None
    drawn = list(bars)
    while len(drawn) > height:
        losses = [bar for bar in drawn if bar.level and bar is not chosen] or drawn
        drawn.remove(min(losses, key=lambda bar: abs(bar.value)))
    most = max([abs(bar.value) for bar in drawn], default=0.0) or 1.0
    label = min(LABEL, width // 2, max(len(bar.label) + 2 * bar.level for bar in drawn) + 1)
    spread = 26 if width >= 90 else 0
    room = max(4, width - label - VALUE - spread - 3)
    lines: list[Line] = []
    for bar in drawn:
        figure = Figure(
            key="", label=bar.label, kind=axis.kind, unit=axis.unit, value=bar.value, low=bar.low, high=bar.high
        )
        name = fitted("  " * bar.level + bar.label, label)
        here = bar is chosen
        lines.append((
            ("> " if here else "  ", "here"),
            (name, "" if bar.level else "strong"),
            (value_text(figure).rjust(VALUE) + " ", "" if bar.level else "strong"),
            (_bar(bar.value / most * room, plain, bar.level), "band" if bar.level else ""),
            *(((cut(f" {interval_text(figure)}", spread), "aside"),) if spread else ()),
        ))  # fmt: skip
    return lines


def _bar(long: float, plain: bool, level: int) -> str:
    """Return a bar so many cells long; what is not nil is seen."""
    if long <= 0:
        return ""
    full = ("-" if level else "#") if plain else ("\u2592" if level else "\u2588")
    cells = int(long)
    if plain:
        return full * max(1, round(long))
    eighths = int((long - cells) * 8)
    rest = "" if level or not eighths else chr(0x2590 - eighths)
    return (full * cells + rest) or ("\u258f" if not level else "\u2591")
