"""What a field of the build is called where its group is not in sight. Pure."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from model.bench.reading import ReadingValues
from model.errors import Problem
from model.fields import Build, fields_of


def told_problem(problem: Problem) -> str:
    """Return a problem with its place in a builder's words.

    Examples
    --------
    >>> print(told_problem(Problem(where="mark.2.build.hot_rod", value="70 mm", message="Too long.")))
    Mk 2, Hot connecting rod '70 mm': Too long.
    >>> print(told_problem(Problem(where="entry.k7f3m2.reading.a.hot_metal", value="", message="What?")))
    Reading, Hot metal: What?
    """
    parts = problem.where.split(".")
    name = parts[-1]
    if parts[0] == "mark" and len(parts) == 4:
        place = f"Mk {parts[1]}, {full_label(name)}"
    elif parts[0] == "entry" and len(parts) > 2:
        field = fields_of(ReadingValues).get(name)
        what = "Reading" if "reading" in parts or "readings" in parts else "Entry"
        place = f"{what}, {field.label.split(' (')[0] if field else name}"
    else:
        place = problem.where
    return str(replace(problem, where=place))


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
