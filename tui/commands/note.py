"""``quarterturn note FILE TEXT``: a line in a project's diary."""

from __future__ import annotations

import argparse
import io
import sys
from datetime import date

from model.errors import NotDurable, StoreError
from model.record import Entry, new_key
from model.store import save_project
from tui.commands.common import file_argument, json_argument, open_file, show, show_json
from tui.exits import CommandError, Exit, drop_output
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
    stored = open_file(options.file)
    if stored.read_only:
        raise CommandError(f"The note is not saved: {stored.decoded.notice}", code=Exit.CANNOT_WRITE)
    project = stored.project
    key = new_key(project.entries)
    entry = Entry(
        key=key, day=date.today().isoformat(), mark=project.latest.number if project.marks else None, text=text
    )
    doubt = ""
    try:
        save_project(options.file, project.with_entry(entry), revision=stored.revision)
    except NotDurable as error:
        doubt = str(error)
    except StoreError as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
    try:
        if options.json:
            at = {"file": sanitise(options.file), "entry": key, "day": entry.day, "mark": entry.mark}
            show_json({**at, "warning": sanitise(doubt)})
        else:
            show(f"Added to {options.file} as entry {key}" + (f", but: {doubt}" if doubt else "."))
        sys.stdout.flush()
    except OSError as error:
        # the note is in the file: an error here would make a script write it twice
        drop_output()
        sys.stderr.write(
            sanitise(f"Added to {options.file} as entry {key}; the output was not: {error.strerror}.") + "\n"
        )
    return Exit.OK


def _standard_input() -> str:
    """Return what stands on standard input; bytes that are no text become half characters, which no file takes."""
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="surrogateescape")
    return "" if sys.stdin is None else sys.stdin.read()
