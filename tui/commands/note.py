"""``quarterturn note FILE TEXT``: a line in a project's diary."""

from __future__ import annotations

import argparse
import sys
from datetime import date

from model.errors import NotDurable, StoreError
from model.record import Entry, new_key
from model.store import save_project
from tui.commands.common import file_argument, open_file, show
from tui.exits import CommandError, Exit, drop_output


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("text", metavar="TEXT", nargs="+", help="what happened; several words need no quotes")


def run(options: argparse.Namespace) -> int:
    """Add the entry and save."""
    text = " ".join(options.text).strip()
    if not text:
        raise CommandError("The note is empty.", code=Exit.USAGE, hint="Write what happened after the file's name.")
    stored = open_file(options.file)
    if stored.read_only:
        raise CommandError(f"The note is not saved: {stored.decoded.notice}", code=Exit.CANNOT_WRITE)
    project = stored.project
    key = new_key(project.entries)
    entry = Entry(
        key=key, day=date.today().isoformat(), mark=project.latest.number if project.marks else None, text=text
    )
    try:
        save_project(options.file, project.with_entry(entry), revision=stored.revision)
    except NotDurable as error:
        return _said(f"Added to {options.file} as entry {key}, but: {error}")
    except StoreError as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
    return _said(f"Added to {options.file} as entry {key}.")


def _said(text: str) -> Exit:
    """Say that the note is in the file; that this cannot be printed is no failure: a retry would write it twice."""
    try:
        show(text)
        sys.stdout.flush()
    except OSError as error:
        drop_output()
        raise CommandError(f"{text} (Standard output took no word of it: {error.strerror}.)", code=Exit.OK) from error
    return Exit.OK
