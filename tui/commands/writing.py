"""What the commands that write share: change the file as it is at that moment, and tell it once."""

from __future__ import annotations

import argparse
import difflib
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from model.errors import NotDurable, ProjectChangedOnDisk, StoreError
from model.fields.field import Field
from model.record import Project
from model.store import save_project
from tui.commands.common import open_file, show, show_json
from tui.exits import CommandError, Exit, drop_output
from tui.text.sanitise import sanitise

TRIES = 5
"""How often a change is made anew where a window or another command wrote the file in that moment."""


def write_change(path: Path, change: Callable[[Project], Project], *, what: str) -> str:
    """Change a project file and save it; where somebody wrote it meanwhile the change is made to what they wrote.

    Parameters
    ----------
    path : Path
        The project file.
    change : callable
        Makes the changed project of the one that was read; may raise `CommandError`, and is called anew for each try.
    what : str
        What is written, as in "The note is not saved".

    Returns
    -------
    str
        What is to be said beside "saved": that a loss of power now could take it back; else empty.
    """
    for left in reversed(range(TRIES)):
        stored = open_file(path)
        if stored.read_only:
            raise CommandError(f"{what} is not saved: {stored.decoded.notice}", code=Exit.CANNOT_WRITE)
        try:
            save_project(path, change(stored.project), revision=stored.revision)
        except NotDurable as error:
            return str(error)
        except ProjectChangedOnDisk as error:
            if not left:
                raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
        except StoreError as error:
            raise CommandError(error.message, code=Exit.CANNOT_WRITE, hint=error.hint) from error
        else:
            break
    return ""


def tell_written(options: argparse.Namespace, text: str, keys: Mapping[str, object], doubt: str) -> None:
    """Say what was written, as text or JSON; an output that fails is no error, or a script would write it twice."""
    try:
        if options.json:
            show_json({**keys, "warning": sanitise(doubt)})
        else:
            show(text + (f" But: {doubt}" if doubt else ""))
        sys.stdout.flush()
    except OSError as error:
        drop_output()
        sys.stderr.write(sanitise(f"{text} the output was not written: {error.strerror}.") + "\n")


def field_named(word: str, fields: Mapping[str, Field], labels: Mapping[str, str], *, of: str) -> Field:
    """Return the field that a word names: its name in the file, or its label on the screen; case does not matter.

    Parameters
    ----------
    word : str
        What was typed.
    fields, labels : mapping
        The fields to choose from, and what each is called, by name.
    of : str
        What they are fields of, as in "No field of a build is called ...".
    """
    folded = word.strip().casefold().replace("-", "_")
    spaced = folded.replace("_", " ")
    for name, field in fields.items():
        if folded == name or spaced in (labels[name].casefold(), labels[name].partition(" (")[0].casefold()):
            return field
    known = {**{name: name for name in fields}, **{label.casefold(): name for name, label in labels.items()}}
    near = list(dict.fromkeys(known[each] for each in difflib.get_close_matches(folded, known, n=4, cutoff=0.5)))
    hint = f"Did you mean {' or '.join(near[:2])}?" if near else f"Its fields: {', '.join(fields)}."
    raise CommandError(f"No field of {of} is called {word}.", code=Exit.USAGE, hint=hint)
