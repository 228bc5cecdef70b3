"""What a field of the build is called where its group is not in sight. Pure."""

from __future__ import annotations

from functools import cache

from model.fields import Build, fields_of


@cache
def full_label(name: str) -> str:
    """Return the label of a field, its group before it where another field has the same; an unknown one as it is.

    Examples
    --------
    >>> full_label("displacer_throw"), full_label("hot_rod"), full_label("plumage")
    ('Displacer throw', 'Hot connecting rod', 'plumage')
    """
    fields = fields_of(Build)
    if name not in fields:
        return name
    field = fields[name]
    short = field.label.split(" (")[0]
    alike = [other for other in fields.values() if other.label == field.label]
    return f"{field.group} {short[0].lower()}{short[1:]}" if len(alike) > 1 else short
