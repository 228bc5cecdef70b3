"""A build under the conditions of a reading: its own temperatures, heat and cooling."""

from __future__ import annotations

from dataclasses import replace

from model.bench.evidence import Evidence
from model.fields import Build
from model.fields.reading import ReadingFields
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs

OF_SOURCE = ("hot_metal", "heat_released", "heat_caught", "source_temperature")
"""What holds for one source of heat alone."""
OF_COOLING = ("cold_metal", "cold_area")
"""What holds for one way of cooling alone."""


def at_conditions(build: Build, values: ReadingFields) -> Build:
    """Return a build under the conditions of a reading; what the reading does not say stays as the mark says it.

    A metal temperature of the mark holds for the mark's own heat; with another source or cooling it is worked out anew.
    """
    changes: dict[str, object] = dict.fromkeys(_not_of_these(build, values))
    for name in ("hot_metal", "cold_metal", "room_temperature", "heat_source", "cold_side"):
        if (value := getattr(values, name)) is not None:
            changes[name] = value
    return replace(build, **changes)  # type: ignore[arg-type]


def inputs_at(build: Build, values: ReadingFields, evidence: Evidence) -> ModelInputs:
    """Return a build under the conditions of a reading, completed: by evidence too, but of the mark's heat and cooling
    nothing where the reading has another."""
    return complete_inputs(at_conditions(build, values), evidence.without(_not_of_these(build, values)))


def _not_of_these(build: Build, values: ReadingFields) -> tuple[str, ...]:
    """Return what of the mark does not hold under the conditions of a reading."""
    names: tuple[str, ...] = ()
    if values.heat_source not in (None, build.heat_source):
        names += OF_SOURCE
    if values.cold_side not in (None, build.cold_side):
        names += OF_COOLING
    return names
