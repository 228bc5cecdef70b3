"""Small curves beside figures and rows of values, drawn as every other chart is. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from model.curves.chart import Axis, Chart, Points, Series, Stroke
from model.prediction.result import CurvePoint
from model.quantities.ladder import unit_for
from model.quantities.units import Kind
from tui.view.chart import chart_lines, legend
from tui.view.lines import Line, cut


def power_plot(
    curve: Sequence[CurvePoint],
    *,
    width: int,
    height: int,
    plain: bool,
    dots: Sequence[tuple[float, float]] = (),
) -> list[Line]:
    """Draw shaft power (whole line) and indicated power (broken line) over speed, readings as ``x``, and say so.

    Parameters
    ----------
    curve : sequence of CurvePoint
        Points by ascending speed.
    width, height : int
        Cells to fill; too few give nothing.
    plain : bool
        Whether only ASCII may be used.
    dots : sequence of tuple of float
        Speed and power of each reading, [rad/s, W].
    """
    if len(curve) < 2:
        return []
    speeds = tuple(point.speed for point in curve)
    shaft, inside = tuple(p.shaft for p in curve), tuple(p.indicated for p in curve)
    measured = Points(label="measured", x=tuple(x for x, _ in dots), y=tuple(y for _, y in dots))
    chart = Chart(
        key="power", title="Power over speed", short="power",
        x=Axis(label="Speed", kind=Kind.ROTATION, unit="rpm", nil=True),
        y=_power_axis(*shaft, *inside),
        series=(
            Series(label="shaft power", x=speeds, y=shaft),
            Series(label="indicated", x=speeds, y=inside, stroke=Stroke.BROKEN),
        ),
        points=(measured,) if dots else (),
    )  # fmt: skip
    drawn = chart_lines(chart, width=width, height=height - 1, plain=plain)
    return [*drawn, ((cut(legend(chart, plain=plain), max(width, 50)), "aside"),)] if drawn else []


def value_plot(
    points: Sequence[tuple[float, float]], present: Sequence[tuple[float, float]], axis: Axis, *,
    width: int, height: int, plain: bool,
) -> list[Line]:  # fmt: skip
    """Draw power over the values of a field, by ascending value, ``x`` at the present one."""
    powers = tuple(max(0.0, power) for _, power in points)
    chart = Chart(
        key="row", title="", short="", x=axis, y=_power_axis(*powers),
        series=(Series(label="power", x=tuple(value for value, _ in points), y=powers),),
        points=(Points(label="now", x=tuple(x for x, _ in present), y=tuple(max(0.0, y) for _, y in present)),),
    )  # fmt: skip
    return list(chart_lines(chart, width=width, height=height, plain=plain))


def _power_axis(*powers: float) -> Axis:
    return Axis(label="Power", kind=Kind.POWER, unit=unit_for(Kind.POWER, "W", max(powers)), nil=True)
