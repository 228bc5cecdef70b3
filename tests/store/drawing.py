"""Hypothesis strategies for projects: texts and keys of every kind, values that nobody knows."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from hypothesis import strategies as st

from model.record import Entry, Mark, Project, Reading
from model.store.document import WrittenNumber

# Half characters (surrogates) cannot stand in UTF-8; a test of their own covers them.
CHARACTERS = st.characters(exclude_categories=("Cs",))
NASTY = st.sampled_from(
    [
        "\r\n",
        "\r",
        "\n",
        "\0",
        "\x1b[31m",
        '"""',
        "'''",
        "\\",
        '"',
        "#",
        "\x7f",
        "\x85",
        "\u202e",
        "\u2028",
        "]",
        "\t",
        "=",
    ]
)
TEXT = st.lists(st.one_of(st.text(CHARACTERS, max_size=8), NASTY), max_size=6).map("".join)
KEY = st.one_of(
    st.from_regex(r"[a-z][a-z0-9_-]{0,8}", fullmatch=True), st.text(CHARACTERS, max_size=5), NASTY, st.just("")
)
KNOWN = {"format", "name", "about", "mark", "entry", "reason", "build", "day", "text", "ticks", "changed", "next_idea"}
KNOWN |= {"reading", "kind"}
NEW_KEY = KEY.filter(lambda key: key not in KNOWN)

_SCALARS = st.one_of(
    TEXT,
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.sampled_from(["12.50", "1e400", "-0.0", "nan", "inf", "6.02e23", "1_000.5"]).map(WrittenNumber),
    st.dates(),
    st.datetimes(),
    st.times(),
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    _SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(KEY, inner, max_size=3)),
    max_leaves=6,
)
UNKNOWN = st.dictionaries(NEW_KEY, VALUES, max_size=2)
NO_TEXT = st.one_of(
    st.booleans(),
    st.lists(st.integers(0, 9), max_size=2),
    st.dictionaries(NEW_KEY, st.integers(0, 9), max_size=2),
    st.just(datetime(2026, 11, 25, 19, 30)),
    st.just(time(19, 30)),
)
DAYS = st.one_of(st.just(""), st.dates().map(date.isoformat), TEXT)


def texts(keys: st.SearchStrategy[str] = KEY) -> st.SearchStrategy[dict[str, str]]:
    """Field name -> text."""
    return st.dictionaries(keys.filter(lambda key: key != "kind"), TEXT, max_size=3)


@st.composite
def readings(draw: st.DrawFn, key: str) -> Reading:
    fields = draw(texts())
    wrong = draw(st.dictionaries(KEY.filter(lambda k: k not in fields and k != "kind"), NO_TEXT, max_size=1))
    return Reading(key=key, kind=draw(TEXT), texts=fields, unknown=wrong)


@st.composite
def entries(draw: st.DrawFn, key: str) -> Entry:
    keys = draw(st.lists(KEY, max_size=2, unique=True))
    return Entry(
        key=key,
        day=draw(DAYS),
        mark=draw(st.one_of(st.none(), st.integers(-5, 10**9))),
        text=draw(TEXT),
        ticks=tuple(draw(st.lists(TEXT, max_size=3))),
        changed=draw(TEXT),
        next_idea=draw(TEXT),
        readings={k: draw(readings(k)) for k in keys},
        unknown=draw(UNKNOWN),
    )


@st.composite
def marks(draw: st.DrawFn, number: int) -> Mark:
    build = draw(texts())
    wrong = draw(st.dictionaries(KEY.filter(lambda k: k not in build), NO_TEXT, max_size=1))
    unknown = draw(UNKNOWN)
    return Mark(
        number=number, reason=draw(TEXT), build=build, unknown={**unknown, "build": wrong} if wrong else unknown
    )


@st.composite
def projects(draw: st.DrawFn) -> Project:
    """A project as `decode` could give it: anything in a wrong place is under ``unknown`` already."""
    numbers = draw(st.lists(st.integers(1, 999_999), max_size=3, unique=True))
    keys = draw(st.lists(KEY, max_size=3, unique=True))
    return Project(
        name=draw(TEXT),
        about=draw(TEXT),
        marks={n: draw(marks(n)) for n in sorted(numbers)},
        entries={k: draw(entries(k)) for k in keys},
        unknown=draw(UNKNOWN),
    )
