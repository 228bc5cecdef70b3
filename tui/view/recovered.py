"""Readings, diary texts and marks that were brought back after an end: kept in the draft until the builder says.

They are neither shown among those of the project nor written to its file before Enter keeps them: a reading of which
half was typed would else be compared with the prediction. ctrl+z drops them. Called by the controller and the screen.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.record import Entry, Project
from tui.state.pending import Offered
from tui.view.lines import cut
from tui.view.readings import fact_text, short_kind

MOST = 2
"""Most of them that are told one by one."""


def offered_text(offered: Offered | None) -> str:
    """Return what is said on every pane of what was brought back."""
    if offered is None:
        return ""
    parts = list(_parts(offered.base, offered.project))
    more = f" and {len(parts) - MOST} more" if len(parts) > MOST else ""
    it = "it" if len(parts) == 1 else "them"
    return f"Brought back: {', '.join(parts[:MOST])}{more}, not saved. Enter keeps {it}, ctrl+z drops {it}."


def _parts(base: Project, project: Project) -> Iterator[str]:
    """Yield in words what one project has and the other has not."""
    for key, entry in project.entries.items():
        yield from _parts_of_entry(base.entries.get(key, Entry(key=key)), entry)
    for key, entry in base.entries.items():
        if key not in project.entries:
            yield f"the entry of {entry.day or 'no day'} deleted"
    for number, mark in project.marks.items():
        if base.marks.get(number) != mark:
            yield f"Mk {number}{'' if number in base.marks else ' begun'}"
    for number in base.marks:
        if number not in project.marks:
            yield f"Mk {number} taken back"
    if base.name != project.name:
        yield f"the name {cut(project.name, 30)}"
    if base.about != project.about:
        yield f"the line {cut(repr(project.about), 40)}"


def _parts_of_entry(old: Entry, entry: Entry) -> Iterator[str]:
    day = entry.day or "no day"
    if entry.text != old.text:
        words = " ".join(entry.text.split())
        length = f" ({len(entry.text)} characters)" if len(words) > 30 else ""
        yield f"diary text of {day} {cut(repr(words), 32)}{length}"
    for key, reading in entry.readings.items():
        if old.readings.get(key) != reading:
            yield f"{short_kind(reading.kind).lower()} reading of {day} ({cut(fact_text(reading), 30)})"
    for key, reading in old.readings.items():
        if key not in entry.readings:
            yield f"{short_kind(reading.kind).lower()} reading of {day} deleted"
    if (entry.ticks, entry.changed, entry.next_idea) != (old.ticks, old.changed, old.next_idea):
        yield f"what was seen on {day}"
    elif old.day and (entry.day, entry.mark) != (old.day, old.mark):
        yield f"the day of {day}"
