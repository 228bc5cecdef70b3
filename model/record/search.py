"""Looking for words in a project: its name, marks, diary entries and readings. Pure.

A word is found where a word of the text begins with it; case and accents make no difference, and all words that are
looked for must stand in one place.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from model.record.project import Entry, Mark, Project, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """One place where all words stand."""

    place: str
    """As in the file: ``entry.k7f3m2.reading.a``, ``entry.k7f3m2``, ``mark.3``; empty for the project itself."""
    day: str
    """The day of its entry; empty where it has none."""
    mark: int | None
    """The mark that it is of."""
    text: str
    """What stands there, in one line."""


def words_of(text: str) -> tuple[str, ...]:
    """Return the words to look for, as `search` takes them.

    Examples
    --------
    >>> words_of("  Größe  GEPRÜFT ")
    ('grosse', 'gepruft')
    """
    return tuple(folded(text).split())


def folded(text: str) -> str:
    """Return a text without case and accents."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in apart if not unicodedata.combining(char))


def search(project: Project, words: tuple[str, ...], labels: Mapping[str, str]) -> tuple[Hit, ...]:
    """Return the places of a project where every word stands, the latest first.

    Parameters
    ----------
    project : Project
        Where to look.
    words : tuple of str
        From `words_of`; none finds nothing.
    labels : mapping
        What keys of kinds of reading, of ticks and of fields are called, so that a builder's words find them.
    """
    if not words:
        return ()
    begins = [re.compile(r"(?<![^\W_])" + re.escape(word)) for word in words]
    found = []
    for place in _places(project, labels):
        low = folded(place.text)
        if all(word in low for word in words) and all(begin.search(low) for begin in begins):
            found.append(place)
    return tuple(reversed(found))


def _places(project: Project, labels: Mapping[str, str]) -> Iterator[Hit]:
    yield Hit(place="", day="", mark=None, text=_line(project.name, project.about))
    before: Mapping[str, str] = {}
    for number, mark in project.marks.items():
        yield Hit(place=f"mark.{number}", day="", mark=number, text=_mark_text(mark, before, labels))
        before = mark.build
    for key, entry in project.entries.items():
        yield Hit(place=f"entry.{key}", day=entry.day, mark=entry.mark, text=_entry_text(entry, labels))
        for own, reading in entry.readings.items():
            number_of = project.mark_of(entry, reading)
            text = _reading_text(reading, labels)
            yield Hit(place=f"entry.{key}.reading.{own}", day=entry.day, mark=number_of, text=text)


def _mark_text(mark: Mark, before: Mapping[str, str], labels: Mapping[str, str]) -> str:
    """Return why a mark was begun and what differs from the one before; of the first all that was typed."""
    changed = (f"{labels.get(name, name)} {text}" for name, text in mark.build.items() if before.get(name) != text)
    return _line(mark.reason, ", ".join(changed))


def _entry_text(entry: Entry, labels: Mapping[str, str]) -> str:
    ticks = ", ".join(labels.get(tick, tick) for tick in entry.ticks)
    return _line(entry.text, entry.changed, entry.next_idea, ticks)


def _reading_text(reading: Reading, labels: Mapping[str, str]) -> str:
    said = ", ".join(f"{labels.get(name, name)} {labels.get(text, text)}" for name, text in reading.texts.items())
    return _line(labels.get(reading.kind, reading.kind), said)


def _line(*parts: str) -> str:
    """Return the parts that say anything, in one line."""
    return ": ".join(" ".join(part.split()) for part in parts if part.strip())
