"""Fields: one declaration each, read by form, file, report and commands. Never imports numpy.

`parse_build` turns a builder's texts into a `Build` and a list of what is wrong; nothing is replaced or dropped.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from model.errors import Problem
from model.fields.build import PANES, Build
from model.fields.field import Choice, Field, Guess, Parsed, fields_of, of_source
from model.fields.grammar import is_unknown, problem_of, read_field, show
from model.quantities.units import UnitError

__all__ = [
    "PANES",
    "Build",
    "Choice",
    "Field",
    "Guess",
    "Parsed",
    "ParsedBuild",
    "applies",
    "fields_of",
    "is_unknown",
    "of_source",
    "parse_build",
    "parse_fields",
    "problem_of",
    "read_field",
    "show",
]

H = TypeVar("H")


@dataclass(frozen=True, slots=True, kw_only=True)
class ParsedBuild:
    """What a mark's texts say."""

    build: Build
    """Values that could be read; None where empty or flagged."""
    problems: Mapping[str, Problem]
    """Flagged fields by name."""


def parse_fields(holder: type[H], texts: Mapping[str, str], where: str = "") -> tuple[H, dict[str, Problem]]:
    """Read texts into a declared dataclass; fields that cannot be read are None there and named in the problems."""
    values: dict[str, Any] = {}
    problems: dict[str, Problem] = {}
    for name, field in fields_of(holder).items():  # type: ignore[arg-type]
        text = texts.get(name, "")
        place = f"{where}.{name}" if where else name
        try:
            values[name] = read_field(field, text)
        except UnitError as error:
            values[name] = None
            problems[name] = Problem(
                where=place, value=text, message=f"{field.label}: {error.message}", remedy=error.hint
            )
    return holder(**values), problems


def parse_build(texts: Mapping[str, str], where: str = "") -> ParsedBuild:
    """Read the texts of a mark."""
    build, problems = parse_fields(Build, texts, where)
    applying = {name: p for name, p in problems.items() if applies(fields_of(Build)[name], build)}
    return ParsedBuild(build=build, problems=applying)


def applies(field: Field, holder: Any) -> bool:
    """Whether a field has a meaning for this build (or reading)."""
    if field.by_kind:
        return bool(holder.asks(field.name))
    return field.when is None or bool(field.when(holder))
