"""Keeping both sides of what clashed in a merge. Pure; works on what `merge` found.

Free text is joined where it stands; a mark that both sides began becomes two marks; any other place keeps our value,
and a diary entry says what stood on the other side. So the file can always be read, and nothing is lost.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import tomli_w

from model.record import Entry, Mark, Project
from model.store.document import from_document, to_document
from model.store.faults import printable
from model.store.merge import Clash, Merged

_ALPHABET = "abcdefghjkmnpqrstvwxyz"
_TITLE = "Two windows or machines changed the same; the value of the other is kept here."


def keep_both(merged: Merged, *, ours: Project, theirs: Project) -> Project:
    """Return a merged project that holds both sides of each clash.

    Parameters
    ----------
    merged : Merged
        What `merge` made of the two sides.
    ours, theirs : Project
        The two sides.

    Notes
    -----
    When a mark becomes two, the entries and readings that only their side has go with their mark: a reading never
    moves to another engine.
    """
    project = merged.project
    sentences: list[str] = []
    for clash in merged.clashes:
        if len(clash.place) == 2 and isinstance(clash.ours, Mapping) and isinstance(clash.theirs, Mapping):
            project = _as_next_mark(project, clash, ours=ours, theirs=theirs)
        elif (joined := _joined(clash)) is not None:
            project = _put(project, clash, joined)
        elif clash.ours is not None and clash.theirs is not None:
            sentences.append(f"{clash.where}: here {_written(clash.ours)}, there {_written(clash.theirs)}")
        else:
            chosen = clash.theirs if clash.ours is None else clash.ours
            sentences.append(f"{clash.where}: deleted on one side, kept as the other changed it")
            project = _put(project, clash, chosen)
    if not sentences:
        return project
    text = "\n".join((_TITLE, *sentences)) + "\n"
    key = _key(text)
    return project.with_entry(Entry(key=key, text=text))


def _as_next_mark(project: Project, clash: Clash, *, ours: Project, theirs: Project) -> Project:
    """Put their mark behind the last one, with what was measured on it by their side alone."""
    old = int(clash.place[1])
    number = max(project.marks, default=0) + 1
    theirs_mark: Mark = theirs.marks[old]
    reason = f"{theirs_mark.reason} (begun as Mk {old} elsewhere)".strip()
    moved = dict(project.entries)
    for key, entry in theirs.entries.items():
        if key not in ours.entries and key in moved:
            moved[key] = _renumbered(entry, old=old, number=number, only=len(theirs.marks) <= 1)
    project = replace(project, entries=moved)
    return project.with_mark(replace(theirs_mark, number=number, reason=reason))


def _renumbered(entry: Entry, *, old: int, number: int, only: bool) -> Entry:
    """Return an entry that speaks of another mark; `only`: without a number it spoke of `old`."""
    readings = {
        key: replace(reading, texts={**reading.texts, "mark": str(number)})
        if reading.texts.get("mark", "").strip() == str(old)
        else reading
        for key, reading in entry.readings.items()
    }
    speaks = entry.mark == old or (entry.mark is None and only and bool(readings))
    return replace(entry, readings=readings, mark=number if speaks else entry.mark)


def _joined(clash: Clash) -> str | None:
    """Return both texts, ours first, where the place takes free text; None where it does not."""
    ours, theirs = clash.ours, clash.theirs
    if not (isinstance(ours, str) and isinstance(theirs, str)):
        return None
    if len(clash.place) == 3 and clash.place[0] == "entry" and clash.place[2] == "text":
        return f"{ours.rstrip()}\n\n{theirs}"
    if clash.place == ("about",) or (len(clash.place) == 3 and clash.place[2] in ("changed", "next_idea", "reason")):
        return f"{ours}; {theirs}"
    return None


def _put(project: Project, clash: Clash, value: Any) -> Project:
    document = to_document(project)
    table = document
    for key in clash.place[:-1]:
        table = table.setdefault(key, {})
    table[clash.place[-1]] = value
    return from_document(document)[0]


def _written(value: Any) -> str:
    """Return a value as it would stand in the file, on one line."""
    if isinstance(value, str):
        return repr(printable(value)) if not value.isprintable() or not value.strip() else f'"{value}"'
    if isinstance(value, Mapping):
        return "; ".join(line for line in tomli_w.dumps(dict(value)).splitlines() if line)
    return tomli_w.dumps({"x": value}).removeprefix("x = ").strip().replace("\n", " ")


def _key(text: str) -> str:
    """Return a key that is the same whenever the same is merged again."""
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
    return "".join(_ALPHABET[byte % len(_ALPHABET)] for byte in digest[:8])
