"""Three-way merge of a project, field by field, entry by entry, reading by reading. Pure.

One merge serves a second window, a file sync's conflict copy and a version control system. It never loses an entry, a
reading or a mark: deleting one counts only when the other side left it as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from model.record import Project
from model.store.document import Document, Where, dotted, from_document, to_document


class _Absent:
    """Stands for a key that is not there."""


_ABSENT: Final = _Absent()


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """One place that both sides changed, each otherwise. A value is None where the key is not there."""

    place: tuple[str, ...]
    """Keys of the file that lead to it: ``("entry", "k7f3m2", "text")``."""
    base: Any
    """What both started from."""
    ours: Any
    """What our side made of it."""
    theirs: Any
    """What their side made of it."""

    @property
    def where(self) -> str:
        """The place as a dotted key."""
        return dotted(self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """A merged project and what could not be decided."""

    project: Project
    """The merged project; where sides clash it holds ours, or theirs where ours had deleted it."""
    clashes: tuple[Clash, ...]
    """What the builder has to decide; empty when nothing clashes."""


def merge(base: Project, ours: Project, theirs: Project) -> Merged:
    """Merge two projects that started from one.

    Parameters
    ----------
    base : Project
        What both started from; an empty project when it is not known.
    ours, theirs : Project
        What became of it on either side.

    Returns
    -------
    Merged
        ``merge(b, x, b)`` and ``merge(b, b, x)`` give x; exchanging the sides changes only which of two clashing
        values stands in the result.

    Notes
    -----
    A mark of one number that both sides began, each otherwise, is one clash as a whole: two builds mixed field by
    field would be an engine that nobody built. So is what was promised of a mark. Ticks are merged as sets.
    """
    clashes: list[Clash] = []
    document = _tables((), to_document(base), to_document(ours), to_document(theirs), clashes)
    return Merged(project=from_document(document)[0], clashes=tuple(clashes))


def common(one: Project, other: Project) -> Project:
    """Return what two projects have in common: what to merge from when nobody knows what both started from.

    What only one of them has counts as added, so nothing is taken for deleted.
    """
    return from_document(_shared(to_document(one), to_document(other)))[0]


def _shared(one: Document, other: Document) -> Document:
    shared: Document = {}
    for key in one:
        if isinstance(one[key], dict) and isinstance(other.get(key), dict):
            shared[key] = _shared(one[key], other[key])
        elif key in other and _same(one[key], other[key]):
            shared[key] = one[key]
    return shared


def take_theirs(project: Project, clash: Clash) -> Project:
    """Return a merged project with their side of a clash in place of ours."""
    document = to_document(project)
    table = document
    for key in clash.place[:-1]:
        table = table.setdefault(key, {})
    if clash.theirs is None:
        table.pop(clash.place[-1], None)
    else:
        table[clash.place[-1]] = clash.theirs
    return from_document(document)[0]


def _value(place: Where, base: Any, ours: Any, theirs: Any, clashes: list[Clash]) -> Any:
    """Return the merged value of one key, `_ABSENT` when it is not there."""
    both_tables = isinstance(ours, dict) and isinstance(theirs, dict)
    equal = _alike if both_tables else _same
    if equal(ours, theirs) or equal(theirs, base):
        return ours
    if equal(ours, base):
        return theirs
    begun_twice = _is_mark(place) and base is _ABSENT and not _same(ours, theirs)
    if both_tables and not (begun_twice or _is_promise(place)):
        return _tables(place, base if isinstance(base, dict) else {}, ours, theirs, clashes)
    if _is_holder(place) and all(isinstance(side, dict | _Absent) for side in (base, ours, theirs)):
        merged = _tables(place, _held(base), _held(ours), _held(theirs), clashes)
        return merged or _ABSENT
    if _is_ticks(place) and all(_are_texts(side) for side in (base, ours, theirs)):
        return _ticks(_listed(base), _listed(ours), _listed(theirs))
    clashes.append(Clash(place=place, base=_or_none(base), ours=_or_none(ours), theirs=_or_none(theirs)))
    return theirs if ours is _ABSENT and _is_item(place) else ours


def _held(side: Any) -> Document:
    return {} if side is _ABSENT else dict(side)


def _listed(side: Any) -> list[str]:
    return [] if side is _ABSENT else list(side)


def _or_none(side: Any) -> Any:
    return None if side is _ABSENT else side


def _tables(place: Where, base: Document, ours: Document, theirs: Document, clashes: list[Clash]) -> Document:
    merged: Document = {}
    for key in _order(base, ours, theirs):
        value = _value((*place, key), base.get(key, _ABSENT), ours.get(key, _ABSENT), theirs.get(key, _ABSENT), clashes)
        if value is not _ABSENT:
            merged[key] = value
    return merged


def _order(base: Document, ours: Document, theirs: Document) -> list[str]:
    """Return all keys, in an order that is the same when the sides are exchanged.

    A side that kept the order of the base gives way to the other; when both added, the one whose keys sort first comes
    first.
    """
    if list(ours) == list(base):
        first, second = theirs, ours
    elif list(theirs) == list(base):
        first, second = ours, theirs
    else:
        sides = ((ours, theirs), (theirs, ours))
        first, second = min(sides, key=lambda pair: _rank(base, *pair))
    return list(dict.fromkeys((*first, *second)))


def _rank(base: Document, side: Document, other: Document) -> tuple[bool, list[str]]:
    """Return what decides whose order comes first: having added something, then the keys themselves."""
    return all(key in base or key in other for key in side), list(side)


def _ticks(base: list[str], ours: list[str], theirs: list[str]) -> list[str] | _Absent:
    """Return the ticks that stayed, in their order, then those that either side added, sorted."""
    stayed = [tick for tick in base if tick in ours and tick in theirs]
    added = sorted({*ours, *theirs} - set(base))
    return list(dict.fromkeys((*stayed, *added))) or _ABSENT


def _same(one: Any, other: Any) -> bool:
    """Whether two values are equal, in kind too: ``true`` is not ``1``."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(_same(a, b) for a, b in zip(one, other, strict=True))
    return type(one) is type(other) and bool(one == other)


def _alike(one: Any, other: Any) -> bool:
    """Whether two values are equal and their tables stand in the same order too."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return list(one) == list(other) and all(_alike(one[key], other[key]) for key in one)
    return _same(one, other)


def _are_texts(value: Any) -> bool:
    return value is _ABSENT or (isinstance(value, list) and all(isinstance(item, str) for item in value))


def _is_mark(place: Where) -> bool:
    return len(place) == 2 and place[0] == "mark"


def _is_promise(place: Where) -> bool:
    return len(place) == 3 and place[0] == "mark" and place[2] == "promise"


def _is_item(place: Where) -> bool:
    """Whether the place is a mark, an entry or a reading, none of which is ever lost."""
    return (len(place) == 2 and place[0] in ("mark", "entry")) or (
        len(place) == 4 and place[0] == "entry" and place[2] == "reading"
    )


def _is_holder(place: Where) -> bool:
    """Whether the place is a table that only holds others' fields, and is not there when it is empty."""
    return (
        place in (("mark",), ("entry",))
        or (len(place) == 3 and place[0] == "mark" and place[2] == "build")
        or (len(place) == 3 and place[0] == "entry" and place[2] == "reading")
    )


def _is_ticks(place: Where) -> bool:
    return len(place) == 3 and place[0] == "entry" and place[2] == "ticks"
