"""Which field may be meant by a name that none has: for messages that help. Stdlib only."""

from __future__ import annotations

from difflib import get_close_matches

from model.fields.build import Build
from model.fields.field import fields_of

MOST = 3
"""Most names that are offered."""


def nearest_names(name: str) -> tuple[str, ...]:
    """Return names of fields of a build that look like a name, or whose label has its words; nearest first.

    Examples
    --------
    >>> nearest_names("piston_thro"), nearest_names("wheel mass"), nearest_names("nonsense")
    (('piston_throw', 'piston_rod', 'piston_length'), ('wheel_mass',), ())
    """
    fields = fields_of(Build)
    said = name.strip().lower().replace(" ", "_")
    close = get_close_matches(said, fields, n=MOST, cutoff=0.75)
    within = [each for each in fields if len(said) > 2 and said in each]
    words = [each for each, field in fields.items() if field.full_label.lower().replace(" ", "_") == said]
    return tuple(dict.fromkeys([*words, *close, *within]))[:MOST]


def nearest_hint(name: str) -> str:
    """Return the question that goes with a name that is no field's."""
    near = nearest_names(name)
    known = "Fields are called as in the file: piston_throw, wheel_mass."
    return f"Did you mean {' or '.join(near)}?" if near else known


__all__ = ["nearest_hint", "nearest_names"]
