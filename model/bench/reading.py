"""A reading as parsed: its texts read once by the fields that its kind asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from model.bench.kinds import KINDS, kind_of
from model.bench.quantities import Measured
from model.errors import Problem
from model.fields import parse_fields
from model.fields.field import words
from model.fields.reading import OPENED, PISTON_OFF, UNLINKED, WHAT, ReadingFields
from model.record import Reading

MOST_KEPT = 4096
"""Readings that are remembered with what they say: a project is looked at again and again with one changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingValues(ReadingFields):
    """One reading as parsed; SI. `kind` decides which fields apply."""

    kind: str | None = words("Reading", KINDS, group=WHAT, help="What was measured.")

    def asks(self, name: str) -> bool:
        """Whether the kind of this reading asks for a field."""
        kind = kind_of(self.kind)
        return kind is not None and name in kind.fields


def values_of(reading: Reading) -> ReadingValues:
    """Return what a reading says: None where a text is empty or flagged, an unknown kind as it is written."""
    return parsed(reading.kind, tuple(reading.texts.items()))[0]


def problems_in(reading: Reading) -> Mapping[str, Problem]:
    """Return the flagged texts of a reading by the name of their field; what is wrong with its kind is not among them.

    `where` of each is that name alone.
    """
    return parsed(reading.kind, tuple(reading.texts.items()))[1]


@lru_cache(maxsize=MOST_KEPT)
def parsed(kind: str, texts: tuple[tuple[str, str], ...]) -> tuple[ReadingValues, Mapping[str, Problem]]:
    """Return what texts say as a reading of a kind, and those that are flagged, as `values_of` and `problems_in` do."""
    values, problems = parse_fields(ReadingValues, {**dict(texts), "kind": ""})
    return replace(values, kind=kind or None), problems


def is_cold(reading: Reading) -> bool:
    """Whether a reading is of a cold engine: by its kind, by what it says, or because the engine stood open."""
    kind, values = kind_of(reading.kind), values_of(reading)
    return (kind is not None and kind.cold) or values.warmth == "cold" or values.stood in (OPENED, UNLINKED, PISTON_OFF)


def measured_of(values: ReadingFields) -> Measured | None:
    """Return what a reading measured that a prediction can be held against; None for other kinds or when incomplete."""
    kind = kind_of(values.kind)
    return kind.measures(values) if kind is not None and kind.measures is not None else None
