"""What stands in a form: its rows, from the declarations of a dataclass and the builder's texts. Pure; no widget.

A row owns raw text. A text that cannot be read stays as it is and carries its `Problem`.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from model.checks.plausibility import Doubt
from model.errors import Problem
from model.fields import Field, applies, fields_of, is_unknown, of_source, problem_of, read_field, show
from model.fields.field import Parsed
from model.quantities.units import UnitError, digits

HOW = ("measured", "drawn", "guessed")
"""Words that say how a value is known."""
_NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class FormRow:
    """One row: a heading, or a field with its text."""

    heading: str = ""
    """Text of a heading; empty for a field."""
    field: Field | None = None
    """The declaration; None for a heading."""
    text: str = ""
    """The text as typed."""
    problem: Problem | None = None
    """What is wrong with the text."""
    assumed: str = ""
    """What is taken while the text says nothing, with its unit: ``1 to 3 mm``."""
    doubt: Problem | None = None
    """What the text cannot be together with; it is read all the same."""
    caution: str = ""
    """Titles of the cautions that stand beside this field."""
    sharp: bool = False
    """Whether one of them is not a usual one."""

    @property
    def name(self) -> str:
        """Key of the field; empty for a heading."""
        return self.field.name if self.field else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Everything that a form shows."""

    rows: tuple[FormRow, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Keys of the fields, in order."""
        return tuple(row.name for row in self.rows if row.field)

    def row(self, name: str) -> FormRow | None:
        """Return the row of a field."""
        return next((row for row in self.rows if row.field and row.name == name), None)

    def index(self, name: str) -> int:
        """Return the position of a field among the rows; -1 when it is not shown."""
        return next((i for i, row in enumerate(self.rows) if row.field and row.name == name), -1)


@lru_cache(maxsize=4096)
def _judged(field: Field, text: str) -> tuple[Parsed | None, Problem | None]:
    try:
        return read_field(field, text), None
    except UnitError:
        return None, problem_of(field, text)


def content_of(
    holder: type,
    texts: Mapping[str, str],
    *,
    pane: str | None = None,
    assumed: Mapping[str, str] = _NOTHING,
    cautions: Mapping[str, str] = _NOTHING,
    doubts: Iterable[Doubt] = (),
    sharp: Container[str] = (),
    heat_source: str = "",
    last_valid: object = None,
) -> Content:
    """Return the rows of a declared dataclass, fields that do not apply left out.

    Parameters
    ----------
    holder : type
        Dataclass with declared fields, such as `model.fields.Build`.
    texts : mapping
        Field name -> text as typed.
    pane : str or None
        Only the fields of this pane; None: all.
    assumed : mapping
        Field name -> what the prediction took in its place.
    cautions : mapping
        Field name -> title of the caution that stands beside it.
    sharp : container
        Names of the fields whose caution is not a usual one.
    heat_source : str
        What heats it, where the texts do not say so: some fields are called otherwise.
    doubts : iterable
        What cannot be together; each is told beside all of its fields that say something.
    last_valid : object
        An instance of `holder` that says which fields apply; None: what the texts say.
    """
    doubted = {name: clash.problem for clash in doubts for name in clash.names}
    fields = fields_of(holder)
    judged = {name: _judged(field, texts.get(name, "")) for name, field in fields.items()}
    values: Any = last_valid or holder(**{name: value for name, (value, _) in judged.items()})
    rows: list[FormRow] = []
    group = ""
    for name, field in fields.items():
        if (pane is not None and field.pane != pane) or not applies(field, values):
            continue
        if field.group != group:
            group = field.group
            rows.append(FormRow(heading=group))
        rows.append(
            FormRow(
                field=of_source(field, texts.get("heat_source", "") or heat_source),
                sharp=name in sharp,
                text=texts.get(name, ""),
                problem=judged[name][1],
                assumed=assumed.get(name, "") or guess_text(field),
                doubt=doubted.get(name) if texts.get(name, "").strip() else None,
                caution=cautions.get(name, ""),
            )
        )
    return Content(rows=tuple(rows))


def guess_text(field: Field) -> str:
    """Return the range that is taken for an empty field: ``1 to 3 mm``; empty where the declaration has none."""
    if field.guess is None:
        return ""
    low, high = digits(field.guess.low), digits(field.guess.high)
    unit = f" {field.unit}" if field.unit else ""
    return (low if low == high else f"{low} to {high}") + unit


def short_guess(assumed: str) -> str:
    """Return what is taken for an empty field as briefly as its row wants it.

    Examples
    --------
    >>> short_guess("between 5 and 80 N/m"), short_guess("4.9 s +-8.2 (from readings: drop time)")
    ('5 to 80 N/m', '4.9 s +-8.2')
    """
    text = assumed.split(" (")[0]
    return text.removeprefix("between ").replace(" and ", " to ", 1) if text.startswith("between ") else text


def fitting_text(text: str, width: int) -> str:
    """Return a text for its row; where it is too long, a range is told shorter, and the rest is left to the help below.

    Examples
    --------
    >>> fitting_text("3/8 in +-0.1 mm measured", 20), fitting_text("12 mm measured", 20)
    ('3/8 in +-0.1 mm', '12 mm measured')
    >>> fitting_text("between 20 and 70 %", 18)
    '20 to 70 %'
    >>> fitting_text("? 0.00011 W/K +-0.000023", 20)
    '? 0.00011 W/K'
    """
    text = short_guess(text) if len(text) > width else text
    if len(text) > width and text.startswith("?"):
        return text.split(" +-")[0]
    body, _, word = text.rstrip().rpartition(" ")
    return body.rstrip() if len(text) > width and word.lower() in HOW else text


def shown_text(row: FormRow) -> tuple[str, str]:
    """Return what a field's row shows in place of its value, and the role in which it is drawn."""
    field = row.field
    if field is None:
        return "", ""
    text = row.text
    if row.problem is not None:
        return text, "flag"
    assumed = short_guess(row.assumed)
    if field.takes_words:
        choice = next((c for c in field.choices if c.key == text), None)
        empty = f"? {assumed}" if assumed else "?"
        return (choice.label if choice else text or empty), "" if text else "guess"
    if is_unknown(text) and field.kind is not None:
        return (f"? {assumed}" if assumed else "?"), "guess"
    bare = bool(field.unit) and text.replace(",", "").replace(".", "").strip().isdecimal()
    return (f"{text.strip()} {field.unit}" if bare else text), ""


def reading_of(row: FormRow) -> str:
    """Return how a text is understood: ``9.53 mm +-0.2``; empty where it says nothing or cannot be read."""
    field = row.field
    if field is None or row.problem or field.kind is None or is_unknown(row.text):
        return ""
    return show(_judged(field, row.text)[0], field)


def next_word(field: Field, text: str, step: int) -> str:
    """Return the key of the word after (or before) the one that a text says; round the end."""
    keys = [choice.key for choice in field.choices]
    if text in keys:
        return keys[(keys.index(text) + step) % len(keys)]
    return keys[0 if step > 0 else -1]


def settled_text(field: Field, text: str) -> str:
    """Return the text to keep when a field is left: a word begun is completed, anything else stays as typed."""
    if not field.takes_words:
        return text
    value, problem = _judged(field, text)
    return value if problem is None and isinstance(value, str) else text
