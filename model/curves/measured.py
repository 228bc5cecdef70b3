"""What was measured on a mark, as it stands among curves: speed, power, temperatures, each with its interval."""

from __future__ import annotations

from dataclasses import dataclass

from model.bench.kinds import kind_of
from model.bench.reading import measured_of, values_of
from model.record import Project

WIDTH = 1.645
"""Standard uncertainties on each side of a 90 % interval."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A reading of an engine that ran; SI."""

    name: str
    """Day and kind, as written."""
    speed: float
    speed_ends: tuple[float, float]
    power: tuple[float, float, float]
    """Shaft power and its ends; nil where it ran free."""
    braked: bool
    """Whether it drove a brake; else it ran free."""
    difference: tuple[float, float, float] | None
    """Temperature difference of the metals and its ends, where both were measured."""


def seen_on(project: Project, number: int) -> tuple[Seen, ...]:
    """Return what ran on a mark, in file order."""
    found = []
    for entry, reading in project.readings_of(number):
        values = values_of(reading)
        measured = measured_of(values)
        if measured is None:
            continue
        kind, half = kind_of(reading.kind), WIDTH * measured.spread
        braked = measured.quantity == "shaft_power"
        difference = None
        if values.hot_metal is not None and values.cold_metal is not None:
            apart = values.hot_metal.value - values.cold_metal.value
            wide = WIDTH * (values.hot_metal.spread**2 + values.cold_metal.spread**2) ** 0.5
            difference = (apart, apart - wide, apart + wide)
        found.append(
            Seen(
                name=f"{entry.day} {kind.label if kind else reading.kind}".strip(),
                speed=measured.speed,
                speed_ends=(measured.speed, measured.speed)
                if braked
                else (measured.speed - half, measured.speed + half),
                power=(measured.value, measured.value - half, measured.value + half) if braked else (0.0, 0.0, 0.0),
                braked=braked,
                difference=difference,
            )
        )
    return tuple(found)
