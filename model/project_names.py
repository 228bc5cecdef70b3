"""The names of the projects in a folder, from the first lines of their files: quick to import and to run.

For the first screen, which shows names before anything else is loaded. Reads only, and takes nothing for certain: a
name that cannot be seen here is the file's name until the store has read it.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

HEAD = 2048
"""Bytes of a file that are looked at: the name stands in the second line of what the store writes."""
_NAME = re.compile(rb'^name[ \t]*=[ \t]*(?:"([^"\\\n\r]*)"|\'([^\'\n\r]*)\')[ \t]*(?:#[^\n]*)?\r?$', re.MULTILINE)
_TABLE = re.compile(rb"^[ \t]*\[", re.MULTILINE)


def names_in(folder: Path) -> tuple[tuple[Path, str], ...]:
    """Return file and name of each project of a folder, by name.

    Raises
    ------
    OSError
        The folder cannot be read.
    """
    with os.scandir(folder) as entries:
        files = [entry.name for entry in entries if entry.name.endswith(".toml") and not entry.name.startswith(".")]
    named = [(folder / name, name_in(folder / name)) for name in files]
    return tuple(sorted(named, key=lambda item: (item[1].casefold(), item[0].name)))


def name_in(path: Path) -> str:
    """Return the name in a project file as far as its first lines tell it, else the file's own name."""
    try:
        # Not to be held up by anything that is no plain file.
        file = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY)
        try:
            head = os.read(file, HEAD)
        finally:
            os.close(file)
    except OSError:
        return path.stem
    table = _TABLE.search(head)
    match = _NAME.search(head, 0, table.start() if table else len(head))
    if match is None:
        return path.stem
    return (match[1] if match[1] is not None else match[2]).decode("utf-8", "replace") or path.stem
