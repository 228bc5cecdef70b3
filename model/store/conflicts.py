"""Conflict copies: what a file sync leaves beside a file when two machines wrote it. Names only; opens nothing.

The patterns are those that the common ways of syncing a folder use: a stamp after ``.sync-conflict-`` or
``_conflict-``, or a remark in round brackets or after a dash that says "conflict".
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from model.store.faults import translate_os_errors

_COPY = re.compile(
    r"(?P<stem>.+?)"
    r"(?:\.sync-conflict-[0-9]{8}-[0-9]{6}(?:-[A-Za-z0-9]+)?"
    r"|[._]conflict-[A-Za-z0-9-]+"
    r"| ?\([^()]*conflict[^()]*\)"
    r"| - [^/]*conflict[^/]*)"
    r"\.toml",
    re.IGNORECASE,
)


def copy_of(name: str) -> str:
    """Return the name of the file that a conflict copy belongs to; empty for a name that is none.

    >>> copy_of("cup.sync-conflict-20261125-193000-ABCDEFG.toml"), copy_of("cup.toml")
    ('cup.toml', '')
    """
    match = _COPY.fullmatch(name)
    return f"{match['stem']}.toml" if match else ""


def copies_among(names: Iterable[str]) -> dict[str, str]:
    """Return the conflict copies among file names, each with the file it belongs to, where that is there too."""
    there = set(names)
    return {name: original for name in sorted(there) if (original := copy_of(name)) in there}


def conflict_copies(path: Path) -> tuple[Path, ...]:
    """Return the conflict copies that lie beside a project file, by name."""
    with translate_os_errors(path, "read"):
        names = [entry.name for entry in path.parent.iterdir() if not entry.name.startswith(".")]
    return tuple(path.with_name(name) for name, original in copies_among(names).items() if original == path.name)
