"""A build under the conditions of a reading: its own temperatures, heat and cooling."""

from __future__ import annotations

from dataclasses import replace

from model.fields import Build
from model.fields.reading import ReadingFields


def at_conditions(build: Build, values: ReadingFields) -> Build:
    """Return a build under the conditions of a reading; what the reading does not say stays as the mark says it.

    A metal temperature of the mark holds for the mark's own heat; with another source or cooling it is worked out anew.
    """
    changes: dict[str, object] = {
        name: value
        for name in ("hot_metal", "cold_metal", "room_temperature", "heat_source", "cold_side")
        if (value := getattr(values, name)) is not None
    }
    if values.heat_source not in (None, build.heat_source):
        changes.setdefault("hot_metal", None)
        changes.update(heat_released=None, heat_caught=None, source_temperature=None)
    if values.cold_side not in (None, build.cold_side):
        changes.setdefault("cold_metal", None)
        changes.update(cold_area=None)
    return replace(build, **changes)  # type: ignore[arg-type]
