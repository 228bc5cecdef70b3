"""Every problem of a project: flagged fields, what cannot be placed, values that cannot be together. Opens no file."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from model.bench.kinds import KINDS, kind_of
from model.bench.reading import ReadingValues, problems_in
from model.checks.plausibility import doubts_of_entry, doubts_of_mark, doubts_of_reading
from model.checks.stage import SIGNS, TICKS
from model.checks.touched import TOUCHES
from model.errors import Problem
from model.fields import Build, fields_of, is_unknown, parse_build
from model.inputs.complete import complete_inputs
from model.record import LONGEST_NUMBER, Entry, Project, Reading

_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")

_MOST_GUESSES, _SHORT = 20, 48
"""Most unknown keys of a table for which a near one is looked for, and the longest key, [characters]."""


def problems_of(project: Project) -> tuple[Problem, ...]:
    """Return what is flagged in a project, in file order: texts of its marks, then of its entries and readings."""
    return tuple(_problems(project))


def problems_of_mark(project: Project, number: int) -> tuple[Problem, ...]:
    """Return the flagged fields of one mark, and what cannot be together though each field alone can."""
    texts = project.marks[number].build
    where = f"mark.{number}.build"
    parsed = parse_build(texts, where)
    together = (_as_typed(problem, texts, where) for problem in complete_inputs(parsed.build).problems)
    unknown = _unknown(Build, texts, where)
    clashes = (clash.problem for clash in doubts_of_mark(project, number))
    return (*unknown, *parsed.problems.values(), *together, *clashes)


def _as_typed(problem: Problem, texts: Mapping[str, str], where: str) -> Problem:
    """Return what is said of a completed field with the text as typed; where none is, with the guess, called so."""
    name, typed = problem.where, texts.get(problem.where, "")
    if is_unknown(typed):
        return replace(problem, where=f"{where}.{name}", assumed=True)
    return replace(problem, where=f"{where}.{name}", value=typed)


def problems_of_reading(project: Project, entry: Entry, reading: Reading) -> tuple[Problem, ...]:
    """Return what is flagged in one reading."""
    return tuple(_reading_problems(project, entry, reading))


def _problems(project: Project) -> Iterator[Problem]:
    for number in project.marks:
        yield from problems_of_mark(project, number)
    for entry in project.entries.values():
        yield from _entry_problems(project, entry)
        for reading in entry.readings.values():
            yield from _reading_problems(project, entry, reading)


def _entry_problems(project: Project, entry: Entry) -> Iterator[Problem]:
    place = f"entry.{entry.key}"
    if entry.day and not _is_day(entry.day):
        yield Problem(
            where=f"{place}.day",
            value=entry.day,
            message="The day is not a date.",
            remedy="Write year, month, day: 2026-11-25.",
        )
    if entry.mark is not None and entry.mark not in project.marks:
        yield _no_such_mark(f"{place}.mark", str(entry.mark), project)
    known = {choice.key for choice in (*TICKS, *SIGNS, *TOUCHES)}
    for tick in entry.ticks:
        if tick not in known:
            yield Problem(
                where=f"{place}.ticks",
                value=tick,
                message="This observation is not known here; it is kept and counts for nothing.",
                remedy=f"Use one of: {', '.join(choice.key for choice in (*TICKS, *SIGNS, *TOUCHES))}.",
            )
    yield from (clash.problem for clash in doubts_of_entry(entry))


def _reading_problems(project: Project, entry: Entry, reading: Reading) -> Iterator[Problem]:
    place = f"entry.{entry.key}.reading.{reading.key}"
    if reading.kind and kind_of(reading.kind) is None:
        yield Problem(
            where=f"{place}.kind",
            value=reading.kind,
            message="This kind of reading is not known here.",
            remedy=f"Use one of: {', '.join(choice.key for choice in KINDS)}.",
        )
    yield from _unknown(ReadingValues, reading.texts, place)
    for name, problem in problems_in(reading).items():
        yield replace(problem, where=f"{place}.{name}")
    own = reading.texts.get("mark", "").strip()
    if own and not (own.isascii() and own.isdecimal() and len(own) <= LONGEST_NUMBER and int(own) in project.marks):
        yield _no_such_mark(f"{place}.mark", own, project)
        return
    yield from (clash.problem for clash in doubts_of_reading(project, entry, reading))


def _unknown(holder: type, texts: Mapping[str, str], place: str) -> Iterator[Problem]:
    """Yield the keys that are no field: a misspelt one would else take a whole reading out of the gaps unseen."""
    known = fields_of(holder)
    for number, name in enumerate(name for name in texts if name not in known):
        # looking for the near key is slow, and nobody reads so many
        near = difflib.get_close_matches(name, known, n=1) if number < _MOST_GUESSES and len(name) <= _SHORT else []
        yield Problem(
            where=f"{place}.{name}",
            value=texts[name],
            message="This key is not known here; it is kept and counts for nothing.",
            remedy=f"Did you mean {near[0]}?" if near else "Take it out, or look for its right name in the form.",
        )


def _no_such_mark(where: str, value: str, project: Project) -> Problem:
    known = ", ".join(str(number) for number in project.marks) or "none"
    return Problem(where=where, value=value, message="There is no such mark.", remedy=f"Marks here: {known}.")


def _is_day(text: str) -> bool:
    if not _ISO_DAY.fullmatch(text):
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
