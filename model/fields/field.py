"""What a field is, declared once on a dataclass attribute; form, file, report and commands all read the declaration."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One word of a field that takes words."""

    key: str
    """The word in the file."""
    label: str
    """The word on the screen."""
    help: str = ""
    """What it means."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """What an empty field is taken to be: a range, in the unit of the field, and where it comes from."""

    low: float
    high: float
    source: str = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """The declaration of one field. Equal to itself alone: there is one for each name of a holder (`fields_of`)."""

    name: str = ""
    """Attribute name and key in the file; filled in from the attribute."""
    label: str
    """Label on form and report."""
    kind: Kind | None = None
    """Kind of quantity; None for words and free text."""
    unit: str = ""
    """Unit taken when none is written, and shown."""
    limits: tuple[float, float] = (float("-inf"), float("inf"))
    """Lowest and highest value that can be meant, in `unit`; outside is flagged."""
    usual: str = ""
    """Usual range, as text."""
    help: str = ""
    """What it is."""
    measure: str = ""
    """How a builder measures it."""
    guess: Guess | None = None
    """Range taken when empty; None: taken from other fields (`model.inputs.guesses`) or not needed."""
    drawn: float = 0.02
    """Relative standard uncertainty of a value written without a spread."""
    drawn_at_least: float = 0.0
    """Least standard uncertainty of a value written without a spread, in `unit`."""
    choices: tuple[Choice, ...] = ()
    """The words it takes, when it takes words."""
    pane: str = ""
    """Pane of the form: dimensions, materials, heat."""
    group: str = ""
    """Heading within the pane."""
    when: Callable[[Any], bool] | None = None
    """Whether the field applies to a build (None: always). Called with the dataclass that holds it."""
    by_kind: bool = False
    """Whether its holder, a reading, says by its kind if the field applies (`asks`)."""
    by_source: Mapping[str, Mapping[str, str]] = dataclasses.field(default_factory=dict)
    """What it is called, and what is usual, with another heat source: key of the source -> attribute -> text."""
    around: bool = False
    """A diameter that may be given as a circumference: "210 mm around"."""

    @property
    def full_label(self) -> str:
        """Label, with its group before it where it does not say itself what it belongs to."""
        label = self.label.lower()
        own = not self.group or any(word.rstrip("s") in label for word in self.group.lower().split())
        return self.label if own else f"{self.group}: {self.label}"

    @property
    def takes_words(self) -> bool:
        """Whether the field takes one of a set of words."""
        return bool(self.choices)

    @property
    def takes_text(self) -> bool:
        """Whether the field takes any text."""
        return self.kind is None and not self.choices


@lru_cache(maxsize=256)
def of_source(field: Field, source: str) -> Field:
    """Return a field as it is called with this heat source; itself where that makes no difference."""
    own_text = field.by_source.get(source)
    return dataclasses.replace(field, **own_text) if own_text else field  # type: ignore[arg-type]


def quantity(label: str, kind: Kind, unit: str, **rest: Any) -> Any:
    """Declare a field that takes a number with a unit (use as a dataclass default)."""
    return dataclasses.field(default=None, metadata={"field": Field(label=label, kind=kind, unit=unit, **rest)})


def words(label: str, choices: tuple[Choice, ...], **rest: Any) -> Any:
    """Declare a field that takes one of a set of words (use as a dataclass default)."""
    return dataclasses.field(default=None, metadata={"field": Field(label=label, choices=choices, **rest)})


def free_text(label: str, **rest: Any) -> Any:
    """Declare a field that takes any text (use as a dataclass default)."""
    return dataclasses.field(default=None, metadata={"field": Field(label=label, **rest)})


@cache
def fields_of(holder: type) -> dict[str, Field]:
    """Return the declared fields of a dataclass by name, in order."""
    return {
        item.name: dataclasses.replace(item.metadata["field"], name=item.name)
        for item in dataclasses.fields(holder)
        if "field" in item.metadata
    }


Parsed = Uncertain | str
"""What a field's text becomes: a quantity, or a word."""
