"""What differs between two states of a project, in words: one line for each place. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from model.record import Project
from model.store.document import dotted, to_document


def differences(old: Project, new: Project) -> tuple[str, ...]:
    """Return one line for each place that differs, as seen from `old`.

    >>> differences(Project(name="Cup"), Project(name="Can", about="tin"))
    ('name: changed', 'about: added')
    """
    return tuple(_differ(to_document(old), to_document(new), ()))


def _differ(old: Mapping[str, Any], new: Mapping[str, Any], place: tuple[str, ...]) -> Iterator[str]:
    for key in dict.fromkeys((*old, *new)):
        here = (*place, key)
        if key not in old:
            yield from _each(new[key], here, "added")
        elif key not in new:
            yield from _each(old[key], here, "gone")
        elif isinstance(old[key], Mapping) and isinstance(new[key], Mapping):
            yield from _differ(old[key], new[key], here)
        elif type(old[key]) is not type(new[key]) or old[key] != new[key]:
            yield f"{dotted(here)}: changed"


def _each(value: Any, place: tuple[str, ...], what: str) -> Iterator[str]:
    """Tell marks and entries one by one, anything else as a whole."""
    if place in (("mark",), ("entry",)) and isinstance(value, Mapping):
        yield from (f"{dotted((*place, key))}: {what}" for key in value)
    else:
        yield f"{dotted(place)}: {what}"
