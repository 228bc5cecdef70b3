"""``quarterturn merge BASE OURS THEIRS``: two versions of a project brought together; a merge driver for git."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path

from model.errors import NotMerged, NotWritten
from model.store import Clash, merge_files
from tui.commands.common import show
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise

_LONGEST = 60


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    driver = shlex.quote(f"{_installed()} merge %O %A %B")
    setup = f"""as a merge driver of git, once for each clone:
  git config merge.quarterturn.name "entries and readings of a notebook"
  git config merge.quarterturn.driver {driver}
and in the file .gitattributes of the notebook:
  *.toml merge=quarterturn
"""
    parser.epilog = f"{setup}\n{parser.epilog}"
    parser.add_argument("base", metavar="BASE", type=Path, help="the file that both started from (may be empty)")
    parser.add_argument("ours", metavar="OURS", type=Path, help="our version; the result is written here")
    parser.add_argument("theirs", metavar="THEIRS", type=Path, help="their version")


def run(options: argparse.Namespace) -> int:
    """Merge in place; exit 1 where both changed the same: then both are kept in the file, to be looked at."""
    try:
        clashes = merge_files(options.base, options.ours, options.theirs)
    except NotMerged as error:
        raise CommandError(error.message, code=Exit.PROBLEMS, hint=error.hint) from error
    except NotWritten as error:
        raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
    if not clashes:
        return Exit.OK
    show(f"Both sides changed the same in {len(clashes)} place{'' if len(clashes) == 1 else 's'}; both are kept:")
    for clash in clashes:
        show(f"  {_line(clash)}")
    return Exit.PROBLEMS


def _installed() -> str:
    """Return this installation's command for a shell, by its whole path: the search path of git need not have it."""
    named = Path(sys.executable).with_name("quarterturn")
    if named.is_file():
        return shlex.quote(str(named))
    return f"{shlex.quote(sys.executable)} -m tui"


def _line(clash: Clash) -> str:
    return f"{clash.where}: here {_short(clash.ours)}, there {_short(clash.theirs)}"


def _short(value: object) -> str:
    if value is None:
        return "deleted"
    if isinstance(value, dict):
        return "changed"
    text = sanitise(str(value)).strip()
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."
