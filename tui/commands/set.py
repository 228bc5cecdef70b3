"""``quarterturn set FILE[:MARK] FIELD VALUE``: one field of a build, as it would be typed into the form."""

from __future__ import annotations

import argparse
from dataclasses import replace

from model.checks.problems import problems_of_mark
from model.errors import Problem
from model.fields import Build, applies, fields_of, parse_build
from model.fields import show as written
from model.fields.field import Field
from model.record import Mark, Project
from tui.commands.common import (
    file_and_mark,
    json_argument,
    mark_of,
    marked_file_argument,
    problem_json,
)
from tui.commands.writing import field_named, tell_written, write_change
from tui.exits import CommandError, Exit
from tui.text.labels import full_label, told_problem
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    marked_file_argument(parser)
    parser.add_argument("field", metavar="FIELD", help="a field of the build, as in the file or on the form")
    parser.add_argument(
        "value", metavar="VALUE", nargs="+",
        help="what would be typed into it; several words need no quotes, \"\" empties it; before one that begins with "
        "a dash write --",
    )  # fmt: skip
    why = parser.add_mutually_exclusive_group()
    why.add_argument(
        "--correction",
        action="store_true",
        help="of a mark that has readings: it was measured wrongly",
    )
    why.add_argument("--change", action="store_true", help="the engine was changed: begin the next mark with it")
    parser.add_argument("--why", metavar="TEXT", default="", help="with --change: the reason of the next mark")
    json_argument(parser, "one object that says what was written and what is flagged")


def run(options: argparse.Namespace) -> int:
    """Write the text as typed and say how it is read; exit 1 where it is flagged."""
    if options.why and not options.change:
        raise CommandError("--why is the reason of a change.", code=Exit.USAGE, hint="Add --change, or leave it out.")
    path, _, number = file_and_mark(options.file)
    fields = fields_of(Build)
    field = field_named(options.field, fields, {name: full_label(name) for name in fields}, of="a build")
    text = " ".join(options.value).strip()
    before, after = Mark(number=number), Mark(number=number)
    found: tuple[Problem, ...] = ()

    def change(project: Project) -> Project:
        nonlocal before, after, found
        before = mark_of(project, number, path) if project.marks else Mark(number=number)
        build = {name: old for name, old in {**before.build, field.name: text}.items() if old}
        after = _after(project, before, build, options, field)
        made = project.with_mark(after)
        earlier = _flagged(project, before.number)
        found = tuple(each for each in _flagged(made, after.number) if each not in earlier)
        return made

    doubt = write_change(path, change, what=f"{full_label(field.name)}")
    parsed = parse_build(after.build)
    value = getattr(parsed.build, field.name)
    read = "" if value is None else written(value, field)
    counts = applies(field, parsed.build)
    told = [
        f"{path}, Mk {after.number}: {full_label(field.name)}: {before.build.get(field.name) or '?'} -> {text or '?'}.",
        *([f"Read as {read}."] if read else []),
        *([f"Mk {after.number} was begun: {after.reason}."] if after.number != before.number else []),
        *(["It counts for nothing: the form of this build does not ask for it."] if not counts else []),
    ]
    flagged = (replace(each, where=f"mark.{after.number}.build.{each.where}") for each in found)
    lines = [" ".join(told), *(f"Flagged: {told_problem(each)}" for each in flagged)]
    keys = {
        "file": sanitise(path),
        "mark": after.number,
        "began": after.number != before.number,
        "field": field.name,
        "before": sanitise(before.build.get(field.name, "")),
        "text": sanitise(text),
        "read": sanitise(read),
        "counts": counts,
        "problems": [problem_json(each) for each in found],
    }
    tell_written(options, "\n".join(lines), keys, doubt)
    return Exit.PROBLEMS if found else Exit.OK


def _flagged(project: Project, number: int) -> tuple[Problem, ...]:
    """Return what is flagged in a mark, by the name of the field alone, so that two marks can be compared."""
    flagged = problems_of_mark(project, number) if number in project.marks else ()
    return tuple(replace(each, where=each.where.rpartition(".")[2]) for each in flagged)


def _after(project: Project, before: Mark, build: dict[str, str], options: argparse.Namespace, field: Field) -> Mark:
    """Return the mark that gets the text; one with readings is neither corrected nor followed unasked."""
    if options.change:
        old, new = before.build.get(field.name) or "?", build.get(field.name) or "?"
        reason = options.why.strip() or f"{full_label(field.name)}: {old} -> {new}"
        return Mark(number=project.latest.number + 1, reason=reason, build=build)
    if not options.correction and project.readings_of(before.number):
        raise CommandError(
            f"Mk {before.number} has readings: a correction, or a change?",
            code=Exit.USAGE,
            hint=f"--correction puts Mk {before.number} right, --change begins Mk {project.latest.number + 1}. "
            "Nothing is written.",
        )
    return replace(before, build=build)
