"""``quarterturn note FILE TEXT``: a line in a project's diary."""

from __future__ import annotations

import argparse
import io
import sys
from datetime import date

from model.record import Entry, Project, new_key
from tui.commands.common import file_argument, json_argument
from tui.commands.writing import tell_written, write_change
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument(
        "text",
        metavar="TEXT",
        nargs="+",
        help="what happened; several words need no quotes, and - reads it from standard input",
    )
    json_argument(parser, "one object that names the new entry")


def run(options: argparse.Namespace) -> int:
    """Add the entry and save."""
    text = (_standard_input() if options.text == ["-"] else " ".join(options.text)).strip()
    if not text:
        hint = "Write what happened after the file's name, or - to read it from standard input."
        raise CommandError("The note is empty.", code=Exit.USAGE, hint=hint)
    added = Entry(key="")

    def change(project: Project) -> Project:
        nonlocal added
        mark = project.latest.number if project.marks else None
        added = Entry(key=new_key(project.entries), day=date.today().isoformat(), mark=mark, text=text)
        return project.with_entry(added)

    doubt = write_change(options.file, change, what="The note")
    keys = {"file": sanitise(options.file), "entry": added.key, "day": added.day, "mark": added.mark}
    tell_written(options, f"Added to {options.file} as entry {added.key}.", keys, doubt)
    return Exit.OK


def _standard_input() -> str:
    """Return what stands on standard input; bytes that are no text become half characters, which no file takes."""
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="surrogateescape")
    return "" if sys.stdin is None else sys.stdin.read()
