"""Cautions: what can hurt, declared in ``model/tables/cautions.toml`` with what triggers it. Never imports numpy.

Shown where they arise and in the report. Each defers to local rules and licensed advice.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from model.bench.kinds import KINDS, kind_of
from model.errors import TableError
from model.fields import Build, fields_of
from model.fields.reading import CONDITIONS
from model.quantities.uncertain import Uncertain
from model.tables import text_of

DEFER = "Local rules and the advice of licensed people come first."
"""Ends every caution."""

_TABLE = "cautions.toml"
SHEET = 0.6e-3
"""Thickness up to which metal is cut with shears and has sharp edges, [m]; cans have 0.1 to 0.3 mm. No source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing that can hurt, and what to do about it."""

    id: str
    """Stable key."""
    title: str
    """In one line."""
    body: str
    """What happens and what to do, without the closing sentence."""
    source: str
    """Where it comes from; "common practice, no source" where there is none."""
    sharp: bool = False
    """Whether it is not a usual one: a part of this very build that burns, melts or blinds."""
    when: tuple[Mapping[str, Any], ...]
    """Triggers: it arises where every key of one of them fits."""

    @property
    def text(self) -> str:
        """The body and the sentence that defers to local rules."""
        return f"{self.body} {DEFER}"


def cautions_for(build: Build, reading_kinds: Iterable[str] = ()) -> tuple[Caution, ...]:
    """Return the cautions that a build, and readings of these kinds, give rise to, in the order of the table."""
    kinds = frozenset(reading_kinds)
    return tuple(c for c in all_cautions() if any(_fits(trigger, build, kinds) for trigger in c.when))


def cautions_of_kind(kind: str) -> tuple[Caution, ...]:
    """Return the cautions that a kind of reading brings about."""
    return tuple(c for c in all_cautions() if any(kind in trigger.get("reading", ()) for trigger in c.when))


def cautions_at(kind: str) -> dict[str, Caution]:
    """Return, for the fields of a kind of reading where a risk arises, its caution; the hot metal's for every kind."""
    declared = kind_of(kind)
    asked = declared.fields if declared is not None else ()
    by_field: dict[str, Caution] = {}
    for caution in all_cautions():
        for trigger in caution.when:
            for name in trigger.get("at", ()):
                if name in CONDITIONS or (kind in trigger["reading"] and name in asked):
                    by_field[name] = caution
    return by_field


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Return the table, checked.

    Raises
    ------
    TableError
        A row of the table is malformed; says which.
    """
    document = tomllib.loads(text_of(_TABLE))
    return tuple(_caution(row) for row in document["caution"])


def _caution(row: Mapping[str, Any]) -> Caution:
    name = str(row.get("id", "?"))
    for key in ("title", "text", "source", "when"):
        if not row.get(key):
            raise TableError(f"{_TABLE}: caution {name} has no {key}.")
    for trigger in row["when"]:
        _check_trigger(name, trigger)
    return Caution(
        id=name,
        title=row["title"],
        body=row["text"],
        source=row["source"],
        sharp=bool(row.get("sharp", False)),
        when=tuple(row["when"]),
    )


def _check_trigger(name: str, trigger: Mapping[str, Any]) -> None:
    """Refuse a trigger that could never fit: a key or a word that no field knows."""
    fields = fields_of(Build)
    known: set[str]
    if not trigger:
        raise TableError(f"{_TABLE}: caution {name} has an empty trigger.")
    for key, wanted in trigger.items():
        if key == "always":
            continue
        if key == "reading":
            known = {choice.key for choice in KINDS}
        elif key in ("given", "thin", "not_thick"):
            known = set(fields)
        elif key == "at":
            kinds = [kind for kind in map(kind_of, trigger.get("reading", ())) if kind is not None]
            known = {name for kind in kinds for name in (*kind.fields, *CONDITIONS)}
        elif key in fields:
            known = {choice.key for choice in fields[key].choices}
        else:
            raise TableError(f"{_TABLE}: caution {name} names a field {key!r} that does not exist.")
        strange = [word for word in wanted if word not in known]
        if strange:
            raise TableError(f"{_TABLE}: caution {name}, {key}: {strange[0]!r} is not known.")


def _fits(trigger: Mapping[str, Any], build: Build, kinds: frozenset[str]) -> bool:
    for key, wanted in trigger.items():
        if key in ("always", "at"):
            continue
        if key == "reading":
            if not kinds.intersection(wanted):
                return False
        elif key == "given":
            if any(getattr(build, name) is None for name in wanted):
                return False
        elif key in ("thin", "not_thick"):
            if not all(_is_sheet(getattr(build, name), unknown=key == "not_thick") for name in wanted):
                return False
        elif getattr(build, key) not in wanted:
            return False
    return True


def _is_sheet(thickness: Uncertain | None, *, unknown: bool) -> bool:
    """Whether a wall is thin sheet; where its thickness is not known, as is said."""
    return unknown if thickness is None else thickness.value <= SHEET
