"""``quarterturn reading FILE[:MARK] KIND FIELD=VALUE ...``: one reading, as it would be filled in at the bench."""

from __future__ import annotations

import argparse
from datetime import date

from model.bench.kinds import KINDS, ReadingKind
from model.bench.reading import ReadingValues, values_of
from model.checks.problems import problems_of_reading
from model.errors import Problem
from model.fields import fields_of
from model.fields import show as written
from model.fields.field import Field
from model.fields.reading import CONDITIONS
from model.record import Entry, Project, Reading, new_key
from tui.commands.common import (
    file_and_mark,
    json_argument,
    marked_file_argument,
    problem_json,
)
from tui.commands.writing import field_named, tell_written, write_change
from tui.exits import CommandError, Exit
from tui.state.diary_edits import entry_of_day, new_entry, with_reading
from tui.text.days import is_day
from tui.text.labels import told_problem
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    marked_file_argument(parser)
    kinds = ", ".join(kind.key for kind in KINDS)
    parser.add_argument("kind", metavar="KIND", help=f"what was measured: {kinds}")
    parser.add_argument(
        "texts", metavar="FIELD=VALUE", nargs="+",
        help='a field of the reading and what would be typed into it: turns=50 "time=20 s" "hot_metal=82 C"',
    )  # fmt: skip
    parser.add_argument("--day", metavar="DAY", default="", help="the day it was taken, 2026-11-25; else today")
    json_argument(parser, "one object that says what was written, how it is read and what is flagged")


def run(options: argparse.Namespace) -> int:
    """Add the reading to the day's entry and say how it is read; exit 1 where something is flagged."""
    day = options.day or date.today().isoformat()
    if not is_day(day):
        raise CommandError(f"{day} is not a day.", code=Exit.USAGE, hint="Write year, month, day: 2026-11-25.")
    kind = _kind(options.kind)
    fields = {name: field for name, field in fields_of(ReadingValues).items() if name in (*kind.fields, *CONDITIONS)}
    texts = _texts(options.texts, kind, fields)
    path, _, number = file_and_mark(options.file)
    entry, reading = Entry(key=""), Reading(key="", kind=kind.key)
    found: tuple[Problem, ...] = ()

    def change(project: Project) -> Project:
        nonlocal entry, reading, found
        entry = entry_of_day(project, day) or new_entry(project, day=day, mark=number)
        # a reading that says no mark of its own takes its entry's
        own = {} if entry.mark == number else {"mark": str(number)}
        reading = Reading(key=new_key(entry.readings, 1), kind=kind.key, texts={**texts, **own})
        made = with_reading(project, entry, reading)
        found = problems_of_reading(made, made.entries[entry.key], reading)
        return made

    doubt = write_change(path, change, what="The reading")
    values = values_of(reading)
    read = {name: written(getattr(values, name), fields[name]) for name in texts if getattr(values, name) is not None}
    told = [f"{path}, Mk {number}, {day}: {kind.label}, as reading {reading.key} of entry {entry.key}."]
    told += [f"  {fields[name].label.split(' (')[0]}: {read.get(name, 'not read')}" for name in texts]
    told += [f"Flagged: {told_problem(each)}" for each in found]
    keys = {
        "file": sanitise(path),
        "entry": entry.key,
        "reading": reading.key,
        "mark": number,
        "day": day,
        "kind": kind.key,
        "read": {name: sanitise(text) for name, text in read.items()},
        "problems": [problem_json(each) for each in found],
    }
    tell_written(options, "\n".join(told), keys, doubt)
    return Exit.PROBLEMS if found else Exit.OK


def _kind(word: str) -> ReadingKind:
    """Return the kind of reading that a word names."""
    names = {kind.key: Field(name=kind.key, label=kind.label) for kind in KINDS}
    try:
        name = field_named(word, names, {kind.key: kind.label for kind in KINDS}, of="the bench").name
    except CommandError as error:
        raise CommandError(
            f"No kind of reading is called {word}.", code=Exit.USAGE,
            hint=error.hint.replace("Its fields", "There are"),
        ) from None  # fmt: skip
    return next(kind for kind in KINDS if kind.key == name)


def _texts(pairs: list[str], kind: ReadingKind, fields: dict[str, Field]) -> dict[str, str]:
    """Return the texts by field; each may be said once."""
    labels = {name: field.label for name, field in fields.items()}
    texts: dict[str, str] = {}
    for pair in pairs:
        word, sign, text = pair.partition("=")
        if not sign or not text.strip():
            raise CommandError(
                f"{pair} says no value.", code=Exit.USAGE,
                hint='Write FIELD=VALUE, in quotes where there are spaces: "time=20 s".',
            )  # fmt: skip
        name = field_named(word, fields, labels, of=f"a reading of the kind {kind.key}").name
        if name in texts:
            raise CommandError(f"{name} is said twice.", code=Exit.USAGE, hint="Say it once, or write two readings.")
        texts[name] = text.strip()
    return texts
