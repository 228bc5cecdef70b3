"""Symptoms in a builder's own words: what they point to, the test to do, and its caution. Never imports numpy.

The rows stand in ``model/tables/symptoms.toml``; all are common practice, no source.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import cache
from typing import Any

from model.checks.cautions import DEFER
from model.errors import TableError
from model.tables import text_of

_TABLE = "symptoms.toml"
_EMPTY = frozenset(
    re.findall(
        r"\w+",
        "a an the it its is are was be been my i in on of at to and or but then than that this with for from as so "
        "very too does do did just when engine get gets got have has will",
    )
)
"""Words that carry no meaning by themselves."""
_ENDINGS = ("ings", "ing", "ies", "ied", "ed", "es", "s", "y", "e")
NEAR = 0.82
"""Likeness of two words from which one is taken as a slip of the other."""
ENOUGH = 0.4
"""Share of a symptom's words, or of the text's, from which it is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom:
    """One thing that builders say of an engine that does not run."""

    id: str
    title: str
    words: tuple[str, ...]
    """Ways in which it is said."""
    points: Mapping[str, int]
    """Causes that it points to, with weights from 1 (also met) to 3 (usually this)."""
    test: str
    """Key of the test to do first."""
    meaning: str
    caution: str
    """What can hurt, ending with the deference to local rules; empty where nothing more than usual does."""
    source: str = "common practice, no source"
    likeness: float = 0.0
    """How well it fits what was searched, 0 to 1; 0 in the table itself."""


def search(text: str, *, most: int = 5) -> tuple[Symptom, ...]:
    """Return the symptoms that fit a text, best first.

    Parameters
    ----------
    text : str
        What the builder says, in any order and with slips of the pen.
    most : int
        How many at most, [-].

    Examples
    --------
    >>> [s.id for s in search("it only turns backwards")][0]
    'backwards'
    >>> search("")
    ()
    """
    words = _tokens(text)
    plain = " ".join(re.findall(r"[a-z0-9]+", text.lower()))
    if not words:
        return ()
    scored = [replace(row, likeness=round(_fit(words, plain, row), 3)) for row in all_symptoms()]
    likely = [row for row in scored if row.likeness >= ENOUGH]
    return tuple(sorted(likely, key=lambda row: -row.likeness)[:most])


def _fit(words: tuple[str, ...], plain: str, row: Symptom) -> float:
    """Return how well a row fits: the best of its ways of saying it, and a little for words of the others."""
    best = 0.0
    for way in (*row.words, row.title):
        wanted = _tokens(way)
        if not wanted:
            continue
        hit = sum(_worth(w) * max(_like(w, s) for s in words) for w in wanted) / sum(map(_worth, wanted))
        covered = sum(_worth(s) * max(_like(s, w) for w in wanted) for s in words) / sum(map(_worth, words))
        whole = 0.1 if " ".join(re.findall(r"[a-z0-9]+", way.lower())) in plain else 0.0
        best = max(best, 0.55 * hit + 0.45 * covered + whole if hit > 0.49 else 0.4 * hit)
    return min(best, 1.0)


@cache
def _worth(word: str) -> float:
    """Return what a word counts: less the more symptoms use it; a word that none uses counts a half."""
    uses = _uses().get(word, 0)
    return float(uses**-0.5) if uses else 0.5


@cache
def _uses() -> Mapping[str, int]:
    """Return in how many symptoms each word occurs."""
    uses: dict[str, int] = {}
    for row in all_symptoms():
        for word in {token for way in (*row.words, row.title) for token in _tokens(way)}:
            uses[word] = uses.get(word, 0) + 1
    return uses


@cache
def _like(a: str, b: str) -> float:
    """Return 1 for the same word, less for a slip of it, 0 for another."""
    if a == b:
        return 1.0
    if min(len(a), len(b)) < 4:
        return 0.0
    ratio = SequenceMatcher(None, a, b).ratio()
    return ratio if ratio >= NEAR else 0.0


def _tokens(text: str) -> tuple[str, ...]:
    stems = [_stem(word) for word in re.findall(r"[a-z0-9]+", text.lower().replace("'", "")) if word not in _EMPTY]
    return tuple(dict.fromkeys(stems))


@cache
def _stem(word: str) -> str:
    """Cut a common ending off; a doubled last letter with it (stopped, stop)."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    return word[:-1] if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "ls" else word


@cache
def all_symptoms() -> tuple[Symptom, ...]:
    """Return the table, checked.

    Raises
    ------
    TableError
        A row of the table is malformed; says which.
    """
    data = tomllib.loads(text_of(_TABLE))
    return tuple(_row(row) for row in data.get("symptom", []))


def _row(row: Mapping[str, Any]) -> Symptom:
    key = str(row.get("id", "?"))
    try:
        points = {str(k): int(v) for k, v in row["points"].items()}
        words = tuple(str(w) for w in row["words"])
        caution = f"{row['caution']} {DEFER}" if row["caution"] else ""
        made = Symptom(
            id=key, title=row["title"], words=words, points=points, test=row["test"], meaning=row["meaning"],
            caution=caution,
        )  # fmt: skip
    except (KeyError, AttributeError, TypeError, ValueError) as error:
        raise TableError(f"{_TABLE}: symptom {key}: {error}.") from error
    if not words or not points or not all(1 <= weight <= 3 for weight in points.values()):
        raise TableError(f"{_TABLE}: symptom {key} needs words, and points from 1 to 3.")
    return made
