"""The chart of where the watts go, from heat released to the shaft, at the stated speed."""

from __future__ import annotations

import math

from model.curves.basis import ends
from model.curves.chart import Axis, Bar, Chart
from model.curves.over_turn import OneTurn
from model.physics.values import FloatArray
from model.prediction.figure_table import FIGURES
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, digits, from_si
from model.running.balance import HEAT_PATHS
from model.running.operate import Operation
from model.running.watts import watts

STAGES = ("heat_released", "heat_to_air", "indicated", "shaft")
WAY = (
    "heat_released", "heat_missed", *(path.key for path in HEAT_PATHS), "heat_to_air", "heat_from_air", "flow_loss",
    "indicated", "crank_loss", "friction_loss", "shaft",
)  # fmt: skip
LABELS = {"indicated": "Indicated power", "shaft": "Shaft power", "heat_from_air": "Heat to the cold end"}
"""Where a chart says it shorter than the figure."""


def watts_chart(turn: OneTurn) -> Chart:
    """Return where every watt goes."""
    middle, few = _flows(turn.operation), _flows(turn.few)
    bars = []
    for key in WAY:
        value = float(middle[key][0])
        low, high = (float(end[0]) for end in ends(few[key][:, None]))
        label = LABELS.get(key) or FIGURES[key].label
        bars.append(
            Bar(label=label, value=value, low=min(low, value), high=max(high, value), level=int(key not in STAGES))
        )
    basis, shaft = turn.basis, float(middle["shaft"][0])
    released = float(middle["heat_released"][0])
    rpm = digits(from_si(basis.speed, Kind.ROTATION, "rpm"), 3)
    power = unit_for(Kind.POWER, "W", shaft)
    unit = unit_for(Kind.POWER, "W", released)
    reaches = f"{digits(abs(from_si(shaft, Kind.POWER, power)), 2)} {power}"
    return Chart(
        key="watts",
        title="Where the watts go",
        short="watts",
        x=Axis(label="Power", kind=Kind.POWER, unit=unit, nil=True),
        y=Axis(label="", kind=Kind.NUMBER, unit=""),
        bars=tuple(bars),
        says=f"Of {digits(from_si(released, Kind.POWER, unit), 2)} {unit}, {reaches} reach the shaft."
        if shaft > 0
        else f"Nothing reaches the shaft: {reaches} are missing.",
        note=f"At {rpm} rpm, {basis.stands_on}.",
    )


def _flows(operation: Operation) -> dict[str, FloatArray]:
    """Return each part at the operation's only speed, (samples,) [W]."""
    o = operation
    parts = {key: values[:, 0] for key, values in watts(o).items()}
    turns = o.speed[:, 0] / (2 * math.pi)
    return {**parts, "indicated": o.indicated[:, 0] * turns, "shaft": o.torque[:, 0] * o.speed[:, 0]}
