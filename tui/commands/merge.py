"""``quarterturn merge BASE OURS THEIRS``: two versions of a project brought together; a merge driver for git."""

from __future__ import annotations

import argparse
from pathlib import Path

from model.errors import StoreError
from model.store import Clash, merge_files
from tui.commands.common import show
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

_SETUP = """as a merge driver of git, once for each clone:
  git config merge.quarterturn.name "entries and readings of a notebook"
  git config merge.quarterturn.driver "quarterturn merge %O %A %B"
and in the file .gitattributes of the notebook:
  *.toml merge=quarterturn
"""
_LONGEST = 60


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.epilog = f"{_SETUP}\n{parser.epilog}"
    parser.add_argument("base", metavar="BASE", type=Path, help="the file that both started from (may be empty)")
    parser.add_argument("ours", metavar="OURS", type=Path, help="our version; the result is written here")
    parser.add_argument("theirs", metavar="THEIRS", type=Path, help="their version")


def run(options: argparse.Namespace) -> int:
    """Merge in place; exit 1 where both changed the same: then both are kept in the file, to be looked at."""
    try:
        clashes = merge_files(options.base, options.ours, options.theirs)
    except StoreError as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
    if not clashes:
        return Exit.OK
    show(f"Both sides changed the same in {len(clashes)} place{'' if len(clashes) == 1 else 's'}; both are kept:")
    for clash in clashes:
        show(f"  {_line(clash)}")
    return Exit.PROBLEMS


def _line(clash: Clash) -> str:
    return f"{clash.where}: here {_short(clash.ours)}, there {_short(clash.theirs)}"


def _short(value: object) -> str:
    if value is None:
        return "deleted"
    if isinstance(value, dict):
        return "changed"
    text = sanitise(str(value)).strip()
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."
