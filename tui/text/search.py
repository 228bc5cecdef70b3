"""What a search knows keys by, and how a place is told. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from model.bench.kinds import KINDS
from model.bench.reading import ReadingValues
from model.checks.stage import SIGNS, TICKS
from model.checks.touched import TOUCHES
from model.fields import Build, fields_of
from model.record.search import Hit
from tui.text.labels import full_label


@cache
def search_labels() -> Mapping[str, str]:
    """Return what keys of fields, words, ticks and kinds are called."""
    labels = {name: field.label.split(" (")[0] for name, field in fields_of(ReadingValues).items()}
    labels |= {name: full_label(name) for name in fields_of(Build)}
    labels |= {choice.key: choice.label for choice in (*TICKS, *SIGNS, *TOUCHES, *KINDS)}
    return labels


def hit_heading(hit: Hit) -> str:
    """Return when and where it stands, short: ``2026-11-08 Mk 3, reading``."""
    what = "reading" if ".reading." in hit.place else "mark" if hit.place.startswith("mark.") else ""
    mark = f"Mk {hit.mark}" if hit.mark is not None else ""
    return " ".join(part for part in (hit.day, mark) if part) + (", reading" if what == "reading" else "")


def excerpt(text: str, words: tuple[str, ...], width: int) -> str:
    """Return the part of a line that holds the first word looked for, at most `width` characters.

    Examples
    --------
    >>> excerpt("it ran for ten minutes on tea and then the hose came off again", ("hose",), 30)
    '... then the hose came ...'
    """
    if len(text) <= width:
        return text
    low = text.lower()
    at = min((low.find(word) for word in words if word in low), default=0)
    start = max(0, min(at - width // 2, len(text) - width))
    part = text[start : start + width]
    if start:
        part = "... " + part[4:].partition(" ")[2] if " " in part[4:] else part
    return part if start + width >= len(text) else part[: width - 4].rpartition(" ")[0] + " ..."
