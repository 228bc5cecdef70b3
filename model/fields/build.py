"""The fields of a build: dimensions, materials, heat source, room by room, each with one declaration.

A value is None when the builder does not know it or it does not apply; `model.inputs.complete` fills it with a range.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.heat import Heat


@dataclass(frozen=True, slots=True, kw_only=True)
class Build(Heat):
    """One state of an engine as parsed from the builder's texts; SI."""


PANES = (("dimensions", "Dimensions"), ("materials", "Materials"), ("heat", "Heat source"))
"""Panes of the form in order: key and title."""
