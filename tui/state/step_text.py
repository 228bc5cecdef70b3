"""What two states of a project differ in, in a builder's words: what undo takes back, and redo does again. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from model.bench.kinds import KINDS
from model.bench.reading import ReadingValues
from model.fields import fields_of
from model.record import Entry, Project, Reading
from tui.state.prototype import Snapshot
from tui.text.labels import full_label

LONGEST = 40
"""Most characters of a text that are told."""
MOST = 2
"""Most changes that are told one by one."""
_LINES = {"day": "day", "text": "text", "ticks": "ticks", "changed": "changed", "next_idea": "next"}


def step_text(before: Snapshot, after: Snapshot, *, back: bool) -> str:
    """Return what a step from one state to another did: ``Taken back: Piston throw 6 mm; it is 4 mm again.``"""
    again = " again" if back else ""
    changes = [*_changes(before.project, after.project, again=again), *_scratch_changes(before, after, again)]
    more = f" And {len(changes) - MOST} more." if len(changes) > MOST else ""
    return f"{'Taken back' if back else 'Done again'}: {' '.join(changes[:MOST])}{more}" if changes else ""


def _changes(old: Project, new: Project, *, again: str) -> Iterator[str]:
    for number in sorted({*old.marks, *new.marks}):
        if number not in new.marks or number not in old.marks:
            yield f"Mk {number} is {'there' if number in new.marks else 'gone'}{again}."
            continue
        before, after = old.marks[number].build, new.marks[number].build
        mark = f"Mk {number}, " if len(new.marks) > 1 else ""
        for name in dict.fromkeys((*before, *after)):
            if before.get(name, "") != after.get(name, ""):
                yield mark + _one(full_label(name), before.get(name, ""), after.get(name, ""), again)
        if old.marks[number].reason != new.marks[number].reason:
            yield f"Mk {number}, " + _one("reason", old.marks[number].reason, new.marks[number].reason, again)
    for key in dict.fromkeys((*old.entries, *new.entries)):
        yield from _entry_changes(old.entries.get(key), new.entries.get(key), again)
    if old.name != new.name:
        yield _one("Name", old.name, new.name, again)


def _scratch_changes(old: Snapshot, new: Snapshot, again: str) -> Iterator[str]:
    for key in dict.fromkeys((*old.scratches, *new.scratches)):
        before, after = old.scratches.get(key), new.scratches.get(key)
        each = after or before
        if each is None or before == after:
            continue
        copy = f"Scratch copy {_short(each.name)} of Mk {each.number}"
        if before is None or after is None:
            yield f"{copy} is {'gone' if after is None else 'there'}{again}."
            continue
        if before.name != after.name:
            yield _one("Name of the scratch copy", before.name, after.name, again)
        for name in dict.fromkeys((*before.texts, *after.texts)):
            was, now = before.texts.get(name), after.texts.get(name)
            if was != now:
                is_now = "as on the mark" if now is None else _short(now) or "empty"
                yield f"{copy}, {full_label(name)} is {is_now}{again}."


def _entry_changes(old: Entry | None, new: Entry | None, again: str) -> Iterator[str]:
    whole = new or old
    if whole is None or old == new:
        return
    day = f"diary of {whole.day or 'no day'}"
    if old is None or new is None:
        yield f"{day[0].upper()}{day[1:]} is {'gone' if new is None else 'there'}{again}."
        return
    for name, label in _LINES.items():
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            yield f"{day[0].upper()}{day[1:]}, " + _one(label, _joined(before), _joined(after), again)
    for key in dict.fromkeys((*old.readings, *new.readings)):
        yield from _reading_changes(old.readings.get(key), new.readings.get(key), again)


def _reading_changes(old: Reading | None, new: Reading | None, again: str) -> Iterator[str]:
    whole = new or old
    if whole is None or old == new:
        return
    kind = next((choice.label for choice in KINDS if choice.key == whole.kind), whole.kind)
    if old is None or new is None:
        yield f"Reading {kind} is {'gone' if new is None else 'there'}{again}."
        return
    fields = fields_of(ReadingValues)
    for name in dict.fromkeys((*old.texts, *new.texts)):
        before, after = old.texts.get(name, ""), new.texts.get(name, "")
        if before != after:
            label = fields[name].label if name in fields else name
            yield f"Reading {kind}, " + _one(label, before, after, again)


def _one(label: str, before: str, after: str, again: str) -> str:
    """Return one text that changed: what it was first, then what it is."""
    was = f" {_short(before)}" if before else " emptied"
    return f"{label}{was}; it is {_short(after) or 'empty'}{again}."


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= LONGEST else f"{line[: LONGEST - 4]} ..."


def _joined(value: str | tuple[str, ...]) -> str:
    return value if isinstance(value, str) else ", ".join(value)
