"""What is added to a project at the bench: entries, readings, the conditions of last time. Pure; knows no screen.

Everything returns a new project and leaves the old one as it was. Readings never move: one that says no mark of its
own takes its entry's, so it is given that mark in words before its entry gets another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from model.bench.reading import is_cold
from model.checks.touched import NOTHING_KEPT
from model.fields import is_unknown
from model.fields.reading import CONDITIONS, HOT_CONDITIONS
from model.record import Entry, Project, Reading, new_key
from tui.text.sanitise import without_control

ReadingPlace = tuple[str, str]
"""Key of an entry, key of a reading within it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A condition that is offered and not stored until the builder takes it."""

    text: str
    """As it was typed then."""
    whence: str
    """Where it comes from: ``last time``, ``Mk 3``."""


def entry_of_day(project: Project, day: str) -> Entry | None:
    """Return the last entry of a day."""
    entries = [entry for entry in project.entries.values() if entry.day == day]
    return entries[-1] if entries else None


def new_entry(project: Project, *, day: str, mark: int, text: str = "") -> Entry:
    """Return an entry that is not in the project yet."""
    return Entry(key=new_key(project.entries), day=day, mark=mark, text=text)


def drops_carried(project: Project, mark: int) -> bool:
    """Whether what earlier marks showed is not taken over to a mark: a tick of one of its entries."""
    return any(NOTHING_KEPT in entry.ticks for entry in project.entries.values() if entry.mark == mark)


def with_carried(project: Project, mark: int, *, day: str, dropped: bool) -> Project:
    """Return a project in which what earlier marks showed is dropped from a mark, or taken over again."""
    if dropped:
        return project.with_entry(replace(new_entry(project, day=day, mark=mark), ticks=(NOTHING_KEPT,)))
    entries = {
        key: replace(entry, ticks=tuple(tick for tick in entry.ticks if tick != NOTHING_KEPT))
        if entry.mark == mark
        else entry
        for key, entry in project.entries.items()
    }
    return replace(project, entries=entries)


def with_reading(project: Project, entry: Entry, reading: Reading) -> Project:
    """Return a project in which the entry holds this reading, added or in place of the one of the same key."""
    stored = project.entries.get(entry.key, entry)
    return project.with_entry(replace(stored, readings={**stored.readings, reading.key: reading}))


def without_reading(project: Project, place: ReadingPlace) -> Project:
    """Return a project without a reading; its entry stays."""
    entry = project.entries[place[0]]
    readings = {key: reading for key, reading in entry.readings.items() if key != place[1]}
    return project.with_entry(replace(entry, readings=readings))


def without_entry(project: Project, key: str) -> Project:
    """Return a project without an entry and its readings."""
    return replace(project, entries={k: entry for k, entry in project.entries.items() if k != key})


def with_mark_of_entry(project: Project, entry: Entry, mark: int | None) -> Project:
    """Return a project whose entry is of another mark; its readings keep the mark that they were taken on."""
    pinned: dict[str, Reading] = {}
    for key, reading in entry.readings.items():
        number = project.mark_of(entry, reading)
        own_mark = bool(reading.texts.get("mark", "").strip())
        if number is not None and not own_mark:
            reading = replace(reading, texts={**reading.texts, "mark": str(number)})
        pinned[key] = reading
    return project.with_entry(replace(entry, mark=mark, readings=pinned))


def with_text(reading: Reading, name: str, text: str) -> Reading:
    """Return a reading with another text in a field; an empty one is not kept."""
    if name == "kind":
        return replace(reading, kind=text)
    texts = {key: old for key, old in reading.texts.items() if key != name or text}
    return replace(reading, texts={**texts, name: text} if text else texts)


def offers(project: Project, number: int, reading: Reading, place: ReadingPlace | None) -> dict[str, Offer]:
    """Return the conditions to offer for a reading: each of the last reading that says it, else of its mark.

    A test of a cold engine is not offered what the heat did last time.

    Parameters
    ----------
    project : Project
        The project.
    number : int
        Mark of the reading; a reading of the same mark is preferred.
    reading : Reading
        The reading; fields that it fills are not offered.
    place : tuple of str or None
        Where it stands; None for one that is not stored yet.
    """
    by_field: dict[str, Offer] = {}
    earlier = _before(project, number, place)
    build = project.marks[number].build if number in project.marks else {}
    cold = is_cold(reading)
    for name in CONDITIONS:
        if reading.texts.get(name, "").strip() or (cold and name in HOT_CONDITIONS):
            continue
        last_text = next((texts[name] for texts in earlier if not is_unknown(texts.get(name, ""))), "")
        if last_text:
            by_field[name] = Offer(text=last_text, whence="last time")
        elif not is_unknown(build.get(name, "")):
            by_field[name] = Offer(text=build[name], whence=f"Mk {number}")
    return by_field


def _before(project: Project, number: int, place: ReadingPlace | None) -> list[Mapping[str, str]]:
    """Return the texts of the readings before a place, the latest first; those of the same mark before all others."""
    earlier: list[tuple[Entry, Reading]] = []
    for entry in project.entries.values():
        for reading in entry.readings.values():
            if (entry.key, reading.key) == place:
                break
            earlier.append((entry, reading))
        else:
            continue
        break
    earlier.reverse()
    own = [reading.texts for entry, reading in earlier if project.mark_of(entry, reading) == number]
    return [*own, *(reading.texts for entry, reading in earlier if project.mark_of(entry, reading) != number)]


def clean_lines(text: str) -> str:
    """Return a text of several lines without control characters; tabs and line ends stay.

    Examples
    --------
    >>> clean_lines("ran\\x1b[2J\\r\\ntwice")
    'ran[2J\\ntwice'
    """
    unified = text.replace("\r\n", "\n").replace("\r", "\n").replace("\v", "\n").replace("\f", "\n")
    return "\n".join("\t".join(without_control(cell) for cell in line.split("\t")) for line in unified.split("\n"))
