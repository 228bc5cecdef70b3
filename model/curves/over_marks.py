"""Charts over the marks: the best that was measured on each, beside what each promises as drawn."""

from __future__ import annotations

from collections.abc import Callable

from model.curves.chart import Axis, Chart, Points, Series, Stroke
from model.curves.measured import Seen, seen_on
from model.explain.as_drawn import AsDrawn
from model.explain.cache import Cache, key_of
from model.prediction.predict import predict
from model.prediction.result import Figure, Prediction
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, digits, from_si
from model.record import Project

SAMPLES = 24
"""Samples of the interval of each mark."""
MOST = 12
"""Marks that are predicted, the last ones."""
_KEPT: Cache[Prediction] = Cache(4 * MOST)
POWER, SPEED = "shaft_power", "free_running_speed"

Ends = tuple[float, float, float]


def marks_charts(project: Project, *, predicted: bool) -> tuple[Chart, Chart]:
    """Return best power and fastest free run over the marks; `predicted`: beside what each promises as drawn."""
    seen = {number: seen_on(project, number) for number in project.marks}
    drawn = {number: _drawn(project, number) for number in list(project.marks)[-MOST:]} if predicted else {}

    def of(key: str) -> dict[int, Figure]:
        return {number: made.figures[key] for number, made in drawn.items() if made and key in made.figures}

    def power(one: Seen) -> Ends | None:
        return one.power if one.braked else None

    def speed(one: Seen) -> Ends | None:
        return None if one.braked else (one.speed, *one.speed_ends)

    return (
        _chart("best_power", "Best power over marks", "marks", Kind.POWER, "mW", seen, power, of(POWER)),
        _chart("best_speed", "Fastest run over marks", "marks, rpm", Kind.ROTATION, "rpm", seen, speed, of(SPEED)),
    )


def _drawn(project: Project, number: int) -> Prediction | None:
    inputs = AsDrawn(project, number).inputs()
    if inputs.missing or inputs.problems or not inputs.values:
        return None
    return _KEPT.get(key_of(inputs), lambda: predict(inputs, samples=SAMPLES))


def _chart(
    key: str, title: str, short: str, kind: Kind, unit: str, seen: dict[int, tuple[Seen, ...]],
    of: Callable[[Seen], Ends | None], figures: dict[int, Figure],
) -> Chart:  # fmt: skip
    rows = [(number, one, ends) for number, found in seen.items() for one in found if (ends := of(one)) is not None]
    best: dict[int, float] = {}
    for number, _, ends in rows:
        best[number] = max(ends[0], best.get(number, ends[0]))
    told = [(n, f) for n, f in figures.items() if f.value is not None or f.low is not None]
    series = []
    if told:
        series.append(_promised(told))
    if len(best) > 1:
        x = tuple(float(number) for number in best)
        series.append(Series(label="best measured", x=x, y=tuple(best.values()), stroke=Stroke.BROKEN))
    values = [*best.values(), *(f.value for _, f in told if f.value is not None)]
    shown_in = unit_for(kind, unit, *values)
    says = "Nothing of the kind was measured yet."
    if best:
        top = max(best, key=lambda number: best[number])
        says = f"Best measured: {digits(from_si(best[top], kind, shown_in), 2)} {shown_in} on Mk {top}."
    points = Points(
        label="measured",
        x=tuple(float(number) for number, _, _ in rows),
        y=tuple(ends[0] for _, _, ends in rows),
        low=tuple(ends[1] for _, _, ends in rows),
        high=tuple(ends[2] for _, _, ends in rows),
        names=tuple(one.name for _, one, _ in rows),
    )
    return Chart(
        key=key,
        title=title,
        short=short,
        x=Axis(label="Mark", kind=Kind.NUMBER, unit="", whole=True),
        y=Axis(label="Best shaft power" if kind is Kind.POWER else "Free-running speed", kind=kind, unit=shown_in,
               nil=True),
        series=tuple(series),
        points=(points,) if rows else (),
        says=says,
        note="Interval: as each mark was drawn, before anything was measured on it as a whole.",
    )  # fmt: skip


def _promised(told: list[tuple[int, Figure]]) -> Series:
    def number(value: float | None, otherwise: float | None) -> float:
        return value if value is not None else otherwise if otherwise is not None else float("nan")

    return Series(
        label="as drawn",
        x=tuple(float(n) for n, _ in told),
        y=tuple(max(0.0, number(f.value, 0.0)) for _, f in told),
        low=tuple(max(0.0, number(f.low, f.value)) for _, f in told),
        high=tuple(max(0.0, number(f.high, f.value)) for _, f in told),
    )
