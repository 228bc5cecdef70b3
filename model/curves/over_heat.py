"""Charts of heat: power over the temperature difference, where it stalls; temperatures and speed over the minutes."""

from __future__ import annotations

import math

import numpy as np

from model.curves.basis import Basis, band, ends, plain, told
from model.curves.chart import Axis, Chart, Mark, Points, Series, Stroke, Values
from model.curves.measured import Seen, seen_on
from model.physics.values import FloatArray
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text
from model.quantities.units import Kind
from model.running.overtime import History, over_time
from model.running.points import smooth

BATCH = 6
"""Engines that are followed together, as in `model.explain.lasting`."""
STEPS = 40
PLACES = 40
"""Places of a curve over the difference."""
BEYOND = 1.5
"""Times what it has, or needs, up to which the difference is shown. Chosen here."""
SHORTEST, LONGEST, UNKNOWN = 5.0, 240.0, 30.0
"""Minutes that are shown at least, at most, and where nothing says how long, [min]. Chosen here."""
DIFFERENCE = Axis(label="Hot less cold metal", kind=Kind.DIFFERENCE, unit="K", nil=True)


def heat_charts(basis: Basis) -> tuple[Chart, Chart, Chart]:
    """Return power over the temperature difference, temperatures and speed over the minutes."""
    first = over_time(basis.middle, speed=basis.speed, free=True)
    minutes = _minutes(float(first.warm_up[0]), float(first.run_time[0]))
    middle = over_time(basis.middle, speed=basis.speed, free=True, minutes=minutes, steps=STEPS)
    few = [
        over_time(basis.few.part(slice(at, at + BATCH)), speed=basis.speed, free=True, minutes=minutes, steps=STEPS)
        for at in range(0, basis.few.size, BATCH)
    ]
    return _over_difference(basis, middle, few), _temperatures(basis, middle, few), _speeds(basis, middle, few)


def _minutes(warm_up: float, run_time: float) -> float:
    """Return how long is shown: until it stops and a little more, else some times the warm-up."""
    wanted = 1.2 * run_time if math.isfinite(run_time) else 6 * warm_up if math.isfinite(warm_up) else UNKNOWN * 60
    return min(max(wanted / 60, SHORTEST), LONGEST)


def _joined(few: list[History], name: str) -> FloatArray:
    return np.concatenate([getattr(part, name) for part in few])


def _spread(values: FloatArray, middle: float) -> tuple[float | None, float | None]:
    """Return the ends of an interval round a middle; None where a part of the engines has no value at all."""
    if not np.isfinite(values).all():
        return None, None
    low, high = ends(values[:, None])
    return min(float(low[0]), middle), max(float(high[0]), middle)


def _over_difference(basis: Basis, middle: History, few: list[History]) -> Chart:
    difference, power = middle.tried_difference[0], middle.tried_power[0]
    has = float((basis.curve.operation.hot_metal - basis.curve.operation.cold_metal)[0, basis.curve.column])
    needs, needed = float(middle.least_difference[0]), _joined(few, "least_difference")
    matters = BEYOND * max(has, needs if math.isfinite(needs) else 0.0)
    at = np.linspace(difference[0], min(float(difference[-1]), matters), PLACES)
    tried, powers = _joined(few, "tried_difference"), _joined(few, "tried_power")
    over = smooth(tried, powers, np.repeat(at[None], len(tried), axis=0))
    if difference[0] < needs < difference[-1]:  # there it has nothing left, whatever lies between what was solved
        place = int(np.searchsorted(difference, needs))
        difference, power = np.insert(difference, place, needs), np.insert(power, place, 0.0)
        at = np.sort(np.append(at, needs))
        over = smooth(tried, powers, np.repeat(at[None], len(tried), axis=0))
    curve = smooth(difference[None], power[None], at[None])[0]
    low, high = band(curve, over)
    marks = [Mark(label="has", x=has)]
    if math.isfinite(needs):
        least, most = _spread(needed, needs)
        marks.insert(0, Mark(label="stalls", x=needs, low=least, high=most))
        verb = "It stalls below" if has >= needs else "It does not run: it needs"
        says = f"{verb} {told(Kind.DIFFERENCE, 'K', needs, least, most)}; it has {told(Kind.DIFFERENCE, 'K', has)}."
        never = 1 - float(np.isfinite(needed).mean())
        if never > 0:
            says += f" In {chance_text(never)} of the engines that it could be it stalls at every difference."
    else:
        says = f"It stalls at every difference that it can have; it has {told(Kind.DIFFERENCE, 'K', has)}."
    return Chart(
        key="difference",
        title="Power over temperature difference",
        short="stalls at",
        x=DIFFERENCE,
        y=Axis(label="Best shaft power", kind=Kind.POWER, nil=True,
               unit=unit_for(Kind.POWER, "mW", float(curve.max()), max(high))),
        series=(Series(label="best shaft power", x=plain(at), y=plain(curve), low=low, high=high),),
        points=_at_difference(seen_on(basis.project, basis.mark)),
        marks=tuple(marks),
        says=says,
        note=f"Predicted {basis.stands_on}, cold metal as it is in the end.",
    )  # fmt: skip


def _at_difference(seen: tuple[Seen, ...]) -> tuple[Points, ...]:
    rows = [(one, one.difference) for one in seen if one.difference is not None]
    if not rows:
        return ()
    return (
        Points(
            label="measured",
            x=tuple(difference[0] for _, difference in rows),
            y=tuple(one.power[0] for one, _ in rows),
            low=tuple(one.power[1] for one, _ in rows),
            high=tuple(one.power[2] for one, _ in rows),
            names=tuple(one.name if one.braked else f"{one.name}, ran free" for one, _ in rows),
        ),
    )


def _time_axis(middle: History) -> Axis:
    return Axis(label="Since lighting or pouring", kind=Kind.TIME, unit="min", nil=True)


def _begins_and_ends(middle: History, few: list[History]) -> tuple[tuple[Mark, ...], str]:
    """Return the marks where it can first run and where it no longer can, and both in a sentence."""
    begun, ended = float(middle.warm_up[0]), float(middle.run_time[0])
    if not math.isfinite(begun):
        return (), "It never gets warm enough to run."
    least, most = _spread(_joined(few, "warm_up"), begun)
    marks = [Mark(label="can run", x=begun, low=least, high=most)]
    says = f"It can run after {told(Kind.TIME, 's', begun, least, most)}"
    if math.isfinite(ended):
        least, most = _spread(_joined(few, "run_time"), ended)
        marks.append(Mark(label="stops", x=ended, low=least, high=most))
        says += f" and stops after {told(Kind.TIME, 's', ended, least, most)}"
    return tuple(marks), f"{says}."


def _temperatures(basis: Basis, middle: History, few: list[History]) -> Chart:
    time = plain(middle.time)
    marks, says = _begins_and_ends(middle, few)
    series = []
    for label, name, stroke in (
        ("hot metal", "hot_metal", Stroke.WHOLE), ("cold metal", "cold_metal", Stroke.BROKEN),
    ):  # fmt: skip
        values = getattr(middle, name)[0]
        low, high = band(values, _joined(few, name))
        series.append(Series(label=label, x=time, y=plain(values), low=low, high=high, stroke=stroke))
    if middle.source_temperature is not None and basis.middle.words.get("heat_source") == "water":
        series.append(Series(label="water", x=time, y=plain(middle.source_temperature[0]), stroke=Stroke.DOTTED))
    return Chart(
        key="temperatures",
        title="Temperatures over the minutes",
        short="warming",
        x=_time_axis(middle),
        y=Axis(label="Temperature", kind=Kind.TEMPERATURE, unit="C"),
        series=tuple(series),
        marks=marks,
        says=says,
        note=f"Predicted {basis.stands_on}, flicked on as soon as it can run, without a load.",
    )


def _speeds(basis: Basis, middle: History, few: list[History]) -> Chart:
    marks, says = _begins_and_ends(middle, few)
    speed: FloatArray = middle.free_speed[0]
    low, high = band(speed, _joined(few, "free_speed"))
    fastest: Values = plain(speed)
    return Chart(
        key="speed",
        title="Speed over the minutes",
        short="speed",
        x=_time_axis(middle),
        y=Axis(label="Free-running speed", kind=Kind.ROTATION, unit="rpm", nil=True),
        series=(Series(label="runs free", x=plain(middle.time), y=fastest, low=low, high=high),),
        marks=marks,
        says=f"{says[:-1]}, at most at {told(Kind.ROTATION, 'rpm', max(fastest))}." if max(fastest) > 0 else says,
        note=f"Predicted {basis.stands_on}, without a load.",
    )
