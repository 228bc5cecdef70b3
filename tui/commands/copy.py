"""``quarterturn copy FOLDER TO``: a verified copy of a notebook, and what differs from the copy that was there."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from model.errors import NotWritten
from model.store import Copied, Outcome, copy_notebook
from tui.commands.common import json_argument, show, show_json
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

_MOST = 8
"""Most lines told of what differs in one file."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="the notebook")
    parser.add_argument("to", metavar="TO", type=Path, help="where the copy goes, such as a folder on a USB stick")
    json_argument(parser, "one object with what became of each file")


def run(options: argparse.Namespace) -> int:
    """Copy, and say what became of each file that was not there already as it is."""
    try:
        done = copy_notebook(options.folder, options.to)
    except NotWritten as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
    if options.json:
        show_json(
            {"folder": sanitise(options.folder), "to": sanitise(options.to), "files": [_json(each) for each in done]}
        )
    for copied in () if options.json else done:
        if copied.outcome is not Outcome.SAME:
            for line in _lines(copied):
                show(line)
    counts = Counter(copied.outcome for copied in done)
    failed = counts[Outcome.NOT_COPIED]
    total = sum(counts.values()) - counts[Outcome.ONLY_THERE] - failed
    if not options.json:
        show(f"{total} file{'' if total == 1 else 's'} in {options.to}, read back and compared: {_counted(counts)}.")
    if failed:
        raise CommandError(f"{failed} not copied.", code=Exit.CANNOT_WRITE, hint="See above; the others are.")
    return Exit.OK


def _json(copied: Copied) -> dict[str, object]:
    outcome = copied.outcome.name.lower()
    return {"name": sanitise(copied.name), "outcome": outcome, "differs": [sanitise(line) for line in copied.details]}


def _lines(copied: Copied) -> list[str]:
    more = [f"  and {len(copied.details) - _MOST} more"] if len(copied.details) > _MOST else []
    sentences = copied.details if not more else (*copied.details[: _MOST - 1], copied.details[-1])
    return [f"{sanitise(copied.name)}: {copied.outcome.value}", *(f"  {sanitise(line)}" for line in sentences), *more]


def _counted(counts: Counter[Outcome]) -> str:
    parts = [f"{counts[o]} {o.value}" for o in (Outcome.NEW, Outcome.REPLACED, Outcome.SAME) if counts[o]]
    return ", ".join(parts) or "the notebook holds none"
