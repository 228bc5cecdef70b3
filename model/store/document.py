"""Between a `Project` and the plain document of tables and values that stands in its file.

Pure: no file, no TOML text. What the file holds and this version cannot place is kept under ``unknown`` at the level
where it stands and written back there; nothing is dropped. Called by ``format`` and ``merge``.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time
from sys import intern
from typing import Any

from model.errors import Problem
from model.record import Entry, Mark, Project, Reading
from model.store.faults import printable

FORMAT = 1
"""Number of the format that this version writes."""

Document = dict[str, Any]
Where = tuple[str, ...]

MARK_TABLES = ("build", "promise")
"""Tables of texts that a mark has."""

_NUMBER_KEY = re.compile(r"[1-9][0-9]{0,5}")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_LONGEST_SHOWN = 60
_MOST_GUESSES = 50
SHORT = 24
"""Longest text that is worth looking for another of its kind, [characters]."""


class WrittenNumber(float):
    """A decimal number as it was written: ``12.50`` stays ``12.50``, ``1e400`` stays ``1e400``."""

    written: str

    def __new__(cls, written: str) -> WrittenNumber:
        self = super().__new__(cls, written)
        self.written = written
        return self

    def __str__(self) -> str:
        return self.written

    def __repr__(self) -> str:
        return self.written

    def __eq__(self, other: object) -> bool:
        if isinstance(other, WrittenNumber):
            return self.written == other.written
        if math.isnan(self):
            return isinstance(other, float) and math.isnan(other)
        return float(self).__eq__(other) is True

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:
        return float.__hash__(self)


class _Wrong(Exception):
    """A value of a known key is of a kind that the key does not take."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy


def dotted(where: Iterable[str]) -> str:
    """Return a dotted key; parts that are not plain are quoted, with nothing in them that could steer a terminal.

    >>> dotted(("entry", "k7 f", "day"))
    'entry."k7 f".day'
    """
    return ".".join(p if _BARE_KEY.fullmatch(p) else '"' + printable(p).replace('"', '\\"') + '"' for p in where)


def from_document(document: Mapping[str, Any]) -> tuple[Project, tuple[Problem, ...]]:
    """Read a document as a project, with every value that had to be put aside as a `Problem`."""
    problems: list[Problem] = []
    unknown: Document = {}
    marks: dict[int, Mark] = {}
    entries: dict[str, Entry] = {}
    plain = {k: v for k, v in document.items() if k not in ("format", "mark", "entry")}
    known = _fields(plain, _PROJECT, ("name", "about", "mark", "entry"), (), unknown, problems)
    if "name" not in document:
        problems.append(Problem(where="name", value="", message="The project has no name.", remedy='Add name = "...".'))
    for key, table in _tables(document, "mark", (), unknown, problems):
        if _NUMBER_KEY.fullmatch(key):
            marks[int(key)] = _mark(key, table, problems)
        else:
            unknown.setdefault("mark", {})[key] = table
            problems.append(
                _problem(("mark", key), table, "A mark is numbered 1, 2, 3 ...", "Write [mark.1] or another number.")
            )
    for key, table in _tables(document, "entry", (), unknown, problems):
        entries[key] = _entry(key, table, problems)
    project = Project(
        name=known.get("name", ""),
        about=known.get("about", ""),
        marks=dict(sorted(marks.items())),
        entries=entries,
        unknown=unknown,
    )
    return project, tuple(problems)


def to_document(project: Project) -> Document:
    """Return the document of a project: its fields first, what this version does not know after them.

    A value that was put aside because its kind was wrong goes back to its key; when the key has been given a proper
    value since, the old one is kept beside it under a name that ends in ``_was``.
    """
    document: Document = {"format": FORMAT}
    if project.name or "name" not in project.unknown:
        document["name"] = project.name
    if project.about:
        document["about"] = project.about
    if project.marks:
        document["mark"] = {str(n): _mark_table(project.marks[n]) for n in sorted(project.marks)}
    if project.entries:
        document["entry"] = {key: _entry_table(entry) for key, entry in project.entries.items()}
    return _join(document, project.unknown)


def _mark_table(mark: Mark) -> Document:
    table: Document = {}
    if mark.reason:
        table["reason"] = mark.reason
    if mark.build:
        table["build"] = dict(mark.build)
    if mark.promise:
        table["promise"] = dict(mark.promise)
    return _join(table, mark.unknown)


def _entry_table(entry: Entry) -> Document:
    table: Document = {}
    if entry.day:
        table["day"] = _day_value(entry.day)
    if entry.mark is not None:
        table["mark"] = entry.mark
    for name in ("text", "ticks", "changed", "next_idea"):
        if value := getattr(entry, name):
            table[name] = _plain(value)
    if entry.readings:
        table["reading"] = {key: _reading_table(reading) for key, reading in entry.readings.items()}
    return _join(table, entry.unknown)


def _reading_table(reading: Reading) -> Document:
    table: Document = {"kind": reading.kind} if reading.kind else {}
    return _join(_join(table, reading.texts), reading.unknown)


def _day_value(day: str) -> date | str:
    """Return a day as a date where it is one, so that the file shows ``day = 2026-11-25``."""
    try:
        parsed = date.fromisoformat(day)
    except ValueError:
        return day
    return parsed if parsed.isoformat() == day else day


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _join(known: Document, unknown: Mapping[str, Any]) -> Document:
    """Put what was kept back into a table, without touching what stands there."""
    for key, value in unknown.items():
        if key not in known:
            known[key] = _plain(value)
        elif isinstance(known[key], dict) and isinstance(value, Mapping):
            _join(known[key], value)
        else:
            beside = f"{key}_was"
            number = 1
            while beside in known or beside in unknown:
                number += 1
                beside = f"{key}_was{number}"
            known[beside] = _plain(value)
    return known


def _mark(key: str, table: Mapping[str, Any], problems: list[Problem]) -> Mark:
    unknown: Document = {}
    plain = {k: v for k, v in table.items() if k not in MARK_TABLES}
    known = _fields(plain, _MARK, ("reason", *MARK_TABLES), ("mark", key), unknown, problems)
    texts: dict[str, dict[str, str]] = {each: {} for each in MARK_TABLES}
    for each in MARK_TABLES:
        for name, value in _items(table, each, ("mark", key), unknown, problems):
            _text_into(texts[each], name, value, ("mark", key, each), unknown.setdefault(each, {}), problems)
        _drop_if_empty(unknown, each)
    return Mark(number=int(key), reason=known.get("reason", ""), unknown=unknown, **texts)


def _entry(key: str, table: Mapping[str, Any], problems: list[Problem]) -> Entry:
    unknown: Document = {}
    where = ("entry", key)
    plain = {k: v for k, v in table.items() if k != "reading"}
    known = _fields(plain, _ENTRY, (*_ENTRY, "reading"), where, unknown, problems)
    readings = {
        name: _reading(name, inner, (*where, "reading", name), problems)
        for name, inner in _tables(table, "reading", where, unknown, problems)
    }
    return Entry(key=key, readings=readings, unknown=unknown, **known)


def _reading(key: str, table: Mapping[str, Any], where: Where, problems: list[Problem]) -> Reading:
    unknown: Document = {}
    texts: dict[str, str] = {}
    for name, value in table.items():
        _text_into(texts, name, value, where, unknown, problems)
    kind = texts.pop("kind", "")
    if "kind" not in table:
        problems.append(
            Problem(where=dotted(where), value="", message="The reading has no kind.", remedy='Add kind = "...".')
        )
    return Reading(key=key, kind=kind, texts=texts, unknown=unknown)


def _drop_if_empty(table: Document, key: str) -> None:
    if table.get(key) == {}:
        del table[key]


def _text_into(
    texts: dict[str, str], name: str, value: Any, where: Where, unknown: Document, problems: list[Problem]
) -> None:
    try:
        texts[_shared(name)] = _shared(_text(value))
    except _Wrong as wrong:
        unknown[name] = value
        problems.append(_problem((*where, name), value, wrong.message, wrong.remedy))


def _fields(
    table: Mapping[str, Any],
    readers: Mapping[str, Callable[[Any], Any]],
    names: tuple[str, ...],
    where: Where,
    unknown: Document,
    problems: list[Problem],
) -> Document:
    """Read the plain keys of a table; what is wrong or not known goes to `unknown` with a problem."""
    known: Document = {}
    for key, value in table.items():
        if key not in readers:
            unknown[key] = value
            # Looking for the near key is slow, and nobody reads so many.
            near = difflib.get_close_matches(key, names, n=1) if len(problems) < _MOST_GUESSES else []
            guess = f"Did you mean {near[0]}?" if near else ""
            problems.append(_problem((*where, key), value, "This version does not know this key; it is kept.", guess))
            continue
        try:
            known[key] = readers[key](value)
        except _Wrong as wrong:
            unknown[key] = value
            problems.append(_problem((*where, key), value, wrong.message, wrong.remedy))
    return known


def _items(
    table: Mapping[str, Any], key: str, where: Where, unknown: Document, problems: list[Problem]
) -> Iterable[tuple[str, Any]]:
    """Yield what stands in the table under `key`; a value that is not a table is put aside."""
    inner = table.get(key, {})
    if isinstance(inner, Mapping):
        return list(inner.items())
    unknown[key] = inner
    wrong = f"Here stands {_kind_of(inner)}, where a table is expected; it is kept."
    problems.append(_problem((*where, key), inner, wrong, f"Write [{dotted((*where, key, '...'))}]."))
    return []


def _tables(
    table: Mapping[str, Any], key: str, where: Where, unknown: Document, problems: list[Problem]
) -> Iterable[tuple[str, Mapping[str, Any]]]:
    """Yield the tables that stand in the table under `key`; anything else there is put aside."""
    for name, value in _items(table, key, where, unknown, problems):
        if isinstance(value, Mapping):
            yield name, value
            continue
        aside = unknown.setdefault(key, {})
        aside[name] = value
        wrong = f"Here stands {_kind_of(value)}, where a table is expected; it is kept."
        problems.append(
            _problem((*where, key, name), value, wrong, f"Write [{dotted((*where, key, name))}] above its keys.")
        )


def _problem(where: Where, value: Any, message: str, remedy: str) -> Problem:
    written = "" if isinstance(value, Mapping) else printable(str(value))
    if len(written) > _LONGEST_SHOWN:
        written = written[: _LONGEST_SHOWN - 3] + "..."
    return Problem(where=dotted(where), value=written, message=message, remedy=remedy)


def _kind_of(value: Any) -> str:
    for kinds, name in _KINDS:
        if isinstance(value, kinds):
            return name
    return "something else"


_KINDS: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (str, "text"),
    (bool, "true or false"),
    ((int, float), "a number"),
    (datetime, "a date with a time"),
    (date, "a date"),
    (time, "a time"),
    ((list, tuple), "a list"),
    (Mapping, "a table"),
)


def _text(value: Any) -> str:
    """Read a text; a number or a date written without quotes is taken as it was written."""
    if isinstance(value, str):
        return value
    if isinstance(value, WrittenNumber):
        return value.written.replace("_", "")
    if isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return _shared(value.isoformat())
    raise _Wrong(f"Here stands {_kind_of(value)}, where text is expected; it is kept.", "Put it in quotes.")


def _shared(text: str) -> str:
    """Return a short text as the one copy of it in the program: days, units and numbers come again in every entry."""
    return intern(text) if len(text) <= SHORT and type(text) is str else text


def _day(value: Any) -> str:
    if isinstance(value, str):
        return _shared(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return _shared(value.isoformat())
    raise _Wrong(f"Here stands {_kind_of(value)}, where a day is expected; it is kept.", "Write day = 2026-11-25.")


def _number(value: Any) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise _Wrong(
        f"Here stands {_kind_of(value)}, where the number of a mark is expected; it is kept.", "Write mark = 1."
    )


def _ticks(value: Any) -> tuple[str, ...]:
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return tuple(map(_shared, value))
    raise _Wrong("Here must stand a list of texts; what stands here is kept.", 'Write ticks = ["...", "..."].')


_PROJECT: Mapping[str, Callable[[Any], Any]] = {"name": _text, "about": _text}
_MARK: Mapping[str, Callable[[Any], Any]] = {"reason": _text}
_ENTRY: Mapping[str, Callable[[Any], Any]] = {
    "day": _day,
    "mark": _number,
    "text": _text,
    "ticks": _ticks,
    "changed": _text,
    "next_idea": _text,
}
