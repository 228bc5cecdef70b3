"""Charts over one turn at the stated speed: the loop, pressure, volumes, torque with driven and carried arcs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from model.curves.basis import Basis, band, ends, plain, told
from model.curves.chart import Arc, Axis, Chart, Series, Stroke, Values
from model.physics.values import FloatArray
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, digits, from_si
from model.running.operate import Operation, ideal_pressure, operate
from model.running.watts import torque_over_turn

ANGLES = 120
"""Places of a turn, three degrees apart: the area of the loop is the solved work to half a per cent."""
ANGLE = Axis(label="Angle of the crank", kind=Kind.ANGLE, unit="deg", nil=True)
FROM = "0 deg: displacer, or hot piston, at its hot end"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OneTurn:
    """A turn of the engine in the middle, and of the few, at the stated speed; angles from 0 to a whole turn."""

    basis: Basis
    operation: Operation
    few: Operation
    angle: FloatArray
    """(angles + 1,) [rad]."""


def one_turn(basis: Basis) -> OneTurn:
    """Solve a turn at the stated speed."""
    few, speed = basis.few, basis.speed
    start = basis.curve.operation
    return OneTurn(
        basis=basis,
        operation=operate(basis.middle, np.array([[speed]]), angles=ANGLES, start=start),
        few=operate(few, np.full((few.size, 1), speed), passes=1, angles=ANGLES, start=start, refined=False),
        angle=np.linspace(0.0, 2 * np.pi, ANGLES + 1),
    )


def turn_charts(turn: OneTurn) -> tuple[Chart, ...]:
    """Return the charts over a turn: loop, pressure, volumes, torque."""
    torque, few_torque = _torque(turn.operation)[0], _torque(turn.few)
    arcs = arcs_of(turn.angle, torque)
    return (_loop(turn), _pressure(turn, arcs), _volumes(turn), _torques(turn, torque, few_torque, arcs))


def arcs_of(angle: FloatArray, torque: FloatArray) -> tuple[Arc, ...]:
    """Return the parts of a turn: driven where the air's torque is above its mean over the turn, carried elsewhere.

    Above the mean the air gives the wheel more than is taken from it; below, the wheel carries the turn. A turn whose
    torque is a sine of twice the angle, the ideal one, has four arcs of a quarter. `angle` and `torque` go from 0 to a
    whole turn, ends included.
    """
    over = torque - torque[:-1].mean()
    signs = over > 0
    crossings = [0.0]
    for i in np.flatnonzero(signs[1:] != signs[:-1]):
        share = over[i] / (over[i] - over[i + 1])
        crossings.append(float(angle[i] + share * (angle[i + 1] - angle[i])))
    crossings.append(float(angle[-1]))
    made = []
    for begin, end in pairwise(crossings):
        if end > begin:
            middle = np.interp((begin + end) / 2, angle, over)
            made.append(Arc(begin=begin, end=end, driven=bool(middle > 0)))
    return tuple(made)


def _closed(values: FloatArray) -> FloatArray:
    """Put the first place behind the last, (..., angles) to (..., angles + 1)."""
    return np.concatenate([values, values[..., :1]], axis=-1)


def _torque(operation: Operation) -> FloatArray:
    """Return the torque of the air at the angles, (samples, angles + 1) [N m]: the mean of the steps beside each."""
    steps = torque_over_turn(operation)[:, 0]
    return _closed((steps + np.roll(steps, 1, axis=-1)) / 2)


def _gauge(operation: Operation) -> FloatArray:
    """Return the pressure above the room's, (samples, angles + 1) [Pa]."""
    return _closed(operation.pressure[:, 0] - operation.inputs.column("room_pressure"))


def _pressure_axis(turn: OneTurn, *more: float) -> Axis:
    largest = float(np.abs(_gauge(turn.operation)).max())
    return Axis(
        label="Pressure above the room's", kind=Kind.PRESSURE, unit=unit_for(Kind.PRESSURE, "Pa", largest, *more)
    )


def _ideal(turn: OneTurn) -> FloatArray:
    o = turn.operation
    return np.asarray(_closed(ideal_pressure(o)[0, 0] - o.inputs["room_pressure"][0]))


def _note(turn: OneTurn, more: str = "") -> str:
    rpm = digits(from_si(turn.basis.speed, Kind.ROTATION, "rpm"), 3)
    return f"At {rpm} rpm, {turn.basis.stands_on}. {more}".strip()


def _works(operation: Operation) -> FloatArray:
    """Return the work of a turn of the air in its loop, flow losses not yet taken off, (samples,) [J]."""
    return np.asarray(operation.state.work.reshape(operation.shape)[:, 0])


def _loop(turn: OneTurn) -> Chart:
    o, ideal = turn.operation, _ideal(turn)
    volume = _volume(o)[0]
    low, high = band(_gauge(o)[0], _gauge(turn.few))
    work, (least, most) = float(_works(o)[0]), (float(end[0]) for end in ends(_works(turn.few)[:, None]))
    says = f"The loop is {told(Kind.ENERGY, 'mJ', work, least, most)} of work a turn"
    ceiling = float(o.isothermal[0, 0])
    if work <= 0:
        says = "The loop goes round backwards: the air takes work from the wheel"
    elif ceiling > 0:
        says += f", {100 * work / ceiling:.0f} % of the ideal one"
    x = plain(volume)
    return Chart(
        key="loop",
        title="Pressure over volume",
        short="loop",
        x=Axis(label="Air inside", kind=Kind.VOLUME, unit="ml"),
        y=_pressure_axis(turn, float(np.abs(ideal).max())),
        series=(
            Series(label="predicted", x=x, y=plain(_gauge(o)[0]), low=low, high=high),
            Series(label="ideal", x=x, y=plain(ideal), stroke=Stroke.BROKEN),
        ),
        along=ANGLE,
        places=plain(turn.angle),
        says=f"{says}.",
        note=_note(turn, "Ideal: all air at its metal's temperature, no losses."),
    )


def _pressure(turn: OneTurn, arcs: tuple[Arc, ...]) -> Chart:
    gauge = _gauge(turn.operation)[0]
    low, high = band(gauge, _gauge(turn.few))
    swing = np.ptp(_gauge(turn.few), axis=1)
    least, most = (float(end[0]) for end in ends(swing[:, None]))
    return Chart(
        key="pressure",
        title="Pressure over the turn",
        short="pressure",
        x=ANGLE,
        y=_pressure_axis(turn),
        series=(Series(label="pressure", x=plain(turn.angle), y=plain(gauge), low=low, high=high),),
        arcs=arcs,
        says=f"It swings by {told(Kind.PRESSURE, 'Pa', float(np.ptp(gauge)), least, most)}.",
        note=_note(turn, f"{FROM}."),
    )


def _volume(operation: Operation) -> FloatArray:
    form = operation.geometry
    return _closed(form.volume_hot + form.volume_cold + form.volume_gap[:, None])


def _volumes(turn: OneTurn) -> Chart:
    form, angle = turn.operation.geometry, plain(turn.angle)
    total = _volume(turn.operation)[0]

    def line(label: str, values: FloatArray, stroke: Stroke) -> Series:
        return Series(label=label, x=angle, y=plain(values), stroke=stroke)

    squeezed = 100 * float(1 - total.min() / total.max())
    return Chart(
        key="volumes",
        title="Volumes over the turn",
        short="volumes",
        x=ANGLE,
        y=Axis(label="Volume", kind=Kind.VOLUME, unit="ml", nil=True),
        series=(
            line("all", total, Stroke.WHOLE),
            line("hot space", _closed(form.volume_hot)[0], Stroke.BROKEN),
            line("cold space", _closed(form.volume_cold)[0], Stroke.DOTTED),
        ),
        says=f"The air inside is squeezed by {digits(squeezed, 2)} %.",
        note=_note(turn, f"{FROM}. Cold space with the power cylinder."),
    )


def _torques(turn: OneTurn, torque: FloatArray, few: FloatArray, arcs: tuple[Arc, ...]) -> Chart:
    low, high = band(torque, few)
    mean = float(torque[:-1].mean())
    largest = float(np.abs(torque).max())
    driven = sum(arc.end - arc.begin for arc in arcs if arc.driven) / (2 * np.pi)
    angle: Values = plain(turn.angle)
    return Chart(
        key="torque",
        title="Torque over the turn",
        short="torque",
        x=ANGLE,
        y=Axis(label="Torque of the air", kind=Kind.TORQUE, unit=unit_for(Kind.TORQUE, "mN m", largest)),
        series=(
            Series(label="torque of the air", x=angle, y=plain(torque), low=low, high=high),
            Series(label="its mean", x=(angle[0], angle[-1]), y=(mean, mean), stroke=Stroke.BROKEN),
        ),
        arcs=arcs,
        says=f"The air drives {100 * driven:.0f} % of the turn, the wheel carries the rest.",
        note=_note(turn, f"{FROM}. Driven: above the mean."),
    )
