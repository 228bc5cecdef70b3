"""What changed between two states of a project, and how it is put over a third: what a draft holds. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from model.record import Project

K = TypeVar("K")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedParts:
    """Marks and entries that differ between two states of a project, as they were and as they are."""

    base: Project
    """The changed marks and entries as they were; one that was added is not there."""
    project: Project
    """The same as they are; one that was deleted is not there."""
    order: tuple[str, ...] = ()
    """Keys of all entries, where their order is not that of the base with what was added at the end."""


def changed_parts(base: Project, project: Project) -> ChangedParts:
    """Return what differs between two states. Costs little where they share what did not change."""
    marks = _differing(base.marks, project.marks)
    entries = _differing(base.entries, project.entries)
    same_rest = base.unknown == project.unknown
    expected = [key for key in base.entries if key in project.entries]
    expected += [key for key in project.entries if key not in base.entries]
    order = tuple(project.entries)

    def thin(state: Project) -> Project:
        return Project(
            name=state.name,
            about=state.about,
            marks={number: mark for number, mark in state.marks.items() if number in marks},
            entries={key: state.entries[key] for key in entries if key in state.entries},
            unknown={} if same_rest else state.unknown,
        )

    return ChangedParts(base=thin(base), project=thin(project), order=() if list(order) == expected else order)


def put_over(parts: ChangedParts, current: Project) -> tuple[Project, Project]:
    """Return a project with the parts as they were, and with the parts as they are.

    Over the very base these are base and project; over what another made of it meanwhile they are what to merge with
    that: what did not change stands in both as it stands there.
    """
    old, new = parts.base, parts.project
    entries = {*old.entries, *new.entries}
    marks = {*old.marks, *new.marks}

    def over(side: Project) -> Project:
        others = {number: mark for number, mark in current.marks.items() if number not in marks}
        return Project(
            name=current.name if old.name == new.name else side.name,
            about=current.about if old.about == new.about else side.about,
            marks=dict(sorted({**others, **side.marks}.items())),
            entries={
                key: side.entries.get(key) or current.entries[key]
                for key in dict.fromkeys((*current.entries, *side.entries))
                if key in side.entries or key not in entries
            },
            unknown=current.unknown if old.unknown == new.unknown else side.unknown,
        )

    project = over(new)
    if parts.order:
        known = [key for key in parts.order if key in project.entries]
        keys = dict.fromkeys((*known, *project.entries))
        project = replace(project, entries={key: project.entries[key] for key in keys})
    return over(old), project


def _differing(one: Mapping[K, object], other: Mapping[K, object]) -> list[K]:
    """Return the keys whose values differ or stand on one side only; what both share is not looked into."""
    return [key for key in dict.fromkeys((*other, *one)) if _differ(one.get(key), other.get(key))]


def _differ(one: object, other: object) -> bool:
    return one is not other and one != other
