"""Charts over speed: power and torque, with intervals and what was measured."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from model.curves.basis import SAMPLE_ANGLES, Basis, band, ends, plain, told
from model.curves.chart import Axis, Chart, Mark, Points, Series, Stroke
from model.curves.measured import Seen, seen_on
from model.physics.values import FloatArray
from model.prediction.predict import outcomes_over
from model.quantities.ladder import unit_for
from model.quantities.units import Kind
from model.running.operate import operate
from model.running.points import smooth
from model.running.shaft import friction

SPEEDS = 10
"""Speeds at which the interval is solved."""
SPEED = Axis(label="Speed", kind=Kind.ROTATION, unit="rpm", nil=True)


def speed_charts(basis: Basis) -> tuple[Chart, Chart]:
    """Return power and torque over speed."""
    o, few = basis.curve.operation, basis.few
    speed = o.speed[0]
    at = np.linspace(speed[0], speed[-1], SPEEDS)
    solved = operate(few, np.repeat(at[None], few.size, axis=0), passes=1, angles=SAMPLE_ANGLES, start=o)
    torque = smooth(solved.speed, solved.torque, np.repeat(speed[None], few.size, axis=0))
    points = outcomes_over(solved, basis.speed)
    seen = seen_on(basis.project, basis.mark)
    return _powers(basis, torque, points, seen), _torques(basis, torque, seen)


def _powers(basis: Basis, torque: FloatArray, points: dict[str, FloatArray], seen: tuple[Seen, ...]) -> Chart:
    o, best = basis.curve.operation, basis.curve.points
    speed = o.speed[0]
    shaft, inside = o.torque[0] * speed, o.indicated[0] * speed / (2 * np.pi)
    low, high = band(shaft, torque * speed)
    marks: tuple[Mark, ...] = ()
    short = float(best.best_power[0])
    says = f"It does not run: at {told(Kind.ROTATION, 'rpm', basis.speed)} it lacks {told(Kind.POWER, 'mW', -short)}."
    if best.runs[0]:
        free, power = float(best.free_speed[0]), float(best.best_power[0])
        runs = points["runs"] > 0
        spread = ends(points["free_running_speed"][runs][:, None]) if runs.sum() > 1 else None
        slow, fast = (
            (None, None) if spread is None else (min(float(spread[0][0]), free), max(float(spread[1][0]), free))
        )
        marks = (Mark(label="runs free", x=free, low=slow, high=fast),)
        least, most = (float(end[0]) for end in ends(points["shaft_power"][:, None]))
        says = (
            f"Best {told(Kind.POWER, 'mW', power, min(least, power), max(most, power))} at "
            f"{told(Kind.ROTATION, 'rpm', float(best.best_speed[0]))}; runs free at "
            f"{told(Kind.ROTATION, 'rpm', free, slow, fast)}."
        )
    return Chart(
        key="power",
        title="Power over speed",
        short="power",
        x=SPEED,
        y=Axis(
            label="Power", kind=Kind.POWER, nil=True,
            unit=unit_for(Kind.POWER, "mW", float(shaft.max()), float(inside.max())),
        ),
        series=(
            Series(label="shaft power", x=plain(speed), y=plain(shaft), low=low, high=high),
            Series(label="indicated", x=plain(speed), y=plain(inside), stroke=Stroke.BROKEN),
        ),
        points=_measured(seen, lambda one: one.power),
        marks=marks,
        says=says,
        note=f"Predicted {basis.stands_on}. Indicated: before crank and friction.",
    )  # fmt: skip


def _torques(basis: Basis, torque: FloatArray, seen: tuple[Seen, ...]) -> Chart:
    o = basis.curve.operation
    speed, left = o.speed[0], o.torque[0]
    gas = o.indicated[0] / (2 * np.pi)
    rubbed = np.broadcast_to(friction(o.inputs, o.speed)[0], speed.shape)
    low, high = band(left, torque)
    return Chart(
        key="torque_speed",
        title="Torque over speed",
        short="torque/speed",
        x=SPEED,
        y=Axis(
            label="Torque", kind=Kind.TORQUE, nil=True,
            unit=unit_for(Kind.TORQUE, "mN m", float(np.abs(left).max()), float(gas.max())),
        ),
        series=(
            Series(label="left at the shaft", x=plain(speed), y=plain(left), low=low, high=high),
            Series(label="of the air", x=plain(speed), y=plain(gas), stroke=Stroke.BROKEN),
            Series(label="friction and drag", x=plain(speed), y=plain(rubbed), stroke=Stroke.DOTTED),
        ),
        points=_measured(seen, lambda one: None if one.power is None else tuple(p / one.speed for p in one.power)),
        says="It speeds up until nothing is left at the shaft.",
        note=f"Predicted {basis.stands_on}. The crank's own loss lies between.",
    )  # fmt: skip


def _measured(seen: tuple[Seen, ...], of: Callable[[Seen], tuple[float, ...] | None]) -> tuple[Points, ...]:
    """Return what was measured, value and ends, where it was; nothing where none was."""
    rows = [(one, values) for one in seen if (values := of(one)) is not None and all(map(math.isfinite, values))]
    if not rows:
        return ()
    return (
        Points(
            label="measured",
            x=tuple(one.speed for one, _ in rows),
            y=tuple(values[0] for _, values in rows),
            low=tuple(values[1] for _, values in rows),
            high=tuple(values[2] for _, values in rows),
            names=tuple(one.name for one, _ in rows),
        ),
    )
