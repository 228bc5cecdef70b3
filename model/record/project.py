"""A project and its parts, frozen. A change makes a new object by `dataclasses.replace`."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

_ALPHABET = "23456789abcdefghjkmnpqrstvwxyz"

LONGEST_NUMBER = 6
"""Most digits in the number of a mark."""


def _nothing() -> Mapping[str, Any]:
    return MappingProxyType({})


def new_key(taken: object = (), length: int = 6) -> str:
    """Return a random key that is not in `taken` (any container): letters and digits that are hard to confuse.

    Keys are random so that two machines that add at the same time do not collide; the first character is a letter.
    """
    while True:
        key = secrets.choice(_ALPHABET[8:]) + "".join(secrets.choice(_ALPHABET) for _ in range(length - 1))
        if key not in taken:  # type: ignore[operator]
            return key


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measurement with its conditions."""

    key: str
    """Key within its entry."""
    kind: str
    """Kind of reading, a key of `model.bench.kinds.KINDS`; kept as written when unknown."""
    texts: Mapping[str, str] = field(default_factory=_nothing)
    """Field name -> the text that the builder typed."""
    unknown: Mapping[str, Any] = field(default_factory=_nothing)
    """Keys of the file that this version does not know, as read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One diary entry: what happened at the bench."""

    key: str
    """Random key, unique in the project."""
    day: str = ""
    """The day as text, ISO 8601 (2026-11-25) when the clock can be trusted; nothing is ordered by it alone."""
    mark: int | None = None
    """Number of the mark at hand."""
    text: str = ""
    """What the builder wrote; may have many lines."""
    ticks: tuple[str, ...] = ()
    """Observations ticked, keys of `model.checks.stage.TICKS`; unknown ones are kept."""
    changed: str = ""
    """What was changed, in the builder's words."""
    next_idea: str = ""
    """What to try next."""
    readings: Mapping[str, Reading] = field(default_factory=dict)
    """Readings by key, in file order."""
    unknown: Mapping[str, Any] = field(default_factory=_nothing)
    """Keys of the file that this version does not know, as read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One numbered state of a build."""

    number: int
    """1, 2, ...: "Mk 1"."""
    reason: str = ""
    """Why this mark was begun: "Rebuilt, same dimensions", or what was changed."""
    build: Mapping[str, str] = field(default_factory=_nothing)
    """Field name -> the text that the builder typed (right or wrong); a missing key is an empty field."""
    promise: Mapping[str, str] = field(default_factory=_nothing)
    """What was promised of the change with which it began, as texts (`model.bench.promise`); empty: nothing was."""
    unknown: Mapping[str, Any] = field(default_factory=_nothing)
    """Keys of the file that this version does not know, as read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """One prototype: its marks and its diary."""

    name: str
    """What the builder calls it."""
    about: str = ""
    """A line on what it is; the demo projects say here that they are invented."""
    marks: Mapping[int, Mark] = field(default_factory=dict)
    """Marks by number, ascending; at least one in a useful project."""
    entries: Mapping[str, Entry] = field(default_factory=dict)
    """Diary entries by key, in file order (the order in which they were added)."""
    unknown: Mapping[str, Any] = field(default_factory=_nothing)
    """Top-level keys of the file that this version does not know, as read."""

    @property
    def latest(self) -> Mark:
        """The mark with the highest number (an empty Mk 1 when there is none)."""
        return self.marks[max(self.marks)] if self.marks else Mark(number=1)

    def readings_of(self, number: int) -> tuple[tuple[Entry, Reading], ...]:
        """Return the readings taken on a mark, with their entries, in file order."""
        return tuple(
            (entry, reading)
            for entry in self.entries.values()
            for reading in entry.readings.values()
            if self.mark_of(entry, reading) == number
        )

    def until(self, number: int) -> Project:
        """Return the project as it stood while a mark was the latest: later marks and their entries are left out."""
        entries: dict[str, Entry] = {}
        later = False
        for key, entry in self.entries.items():
            later = later or (entry.mark is not None and entry.mark > number)
            if entry.mark <= number if entry.mark is not None else not later:
                entries[key] = entry
        return replace(self, marks={n: mark for n, mark in self.marks.items() if n <= number}, entries=entries)

    def mark_of(self, entry: Entry, reading: Reading) -> int | None:
        """Return the mark that a reading was taken on: its own, else its entry's, else the only one."""
        own = reading.texts.get("mark", "").strip()
        if own.isdecimal():
            # no mark has so many digits, and Python refuses to read some thousands of them
            return int(own) if len(own) <= LONGEST_NUMBER else None
        if entry.mark is not None:
            return entry.mark
        return self.latest.number if len(self.marks) <= 1 else None

    def with_mark(self, mark: Mark) -> Project:
        """Return a project with this mark added or replaced."""
        marks = dict(self.marks)
        marks[mark.number] = mark
        return replace(self, marks=dict(sorted(marks.items())))

    def with_entry(self, entry: Entry) -> Project:
        """Return a project with this entry added at the end, or replaced where it stands."""
        return replace(self, entries={**self.entries, entry.key: entry})
