"""An engine as it stands, as the catalogue of changes asks for it: what a field is taken as, and what it may become."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from model.changes.values import unit_of
from model.fields import Build, Parsed, applies, fields_of, is_unknown, read_field, show
from model.inputs.model_inputs import ModelInputs
from model.quantities.uncertain import Uncertain
from model.quantities.units import UnitError, digits, find_unit, from_si

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """What a change does to a build."""

    fields: Mapping[str, Parsed | None] = field(default_factory=dict)
    """Field -> what it becomes."""
    texts: Mapping[str, str] = field(default_factory=dict)
    """The same as typed."""
    factors: Mapping[str, Uncertain] = field(default_factory=dict)
    """Input -> what it is multiplied by."""
    size: str = ""
    """How far it goes: ``3 mm to 3.8 mm``."""

    def with_(self, other: Edit) -> Edit:
        """Return both edits as one."""
        return Edit(
            fields={**self.fields, **other.fields},
            texts={**self.texts, **other.texts},
            factors={**self.factors, **other.factors},
            size=", ".join(size for size in (self.size, other.size) if size),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Present:
    """An engine as it stands."""

    build: Build
    inputs: ModelInputs
    texts: Mapping[str, str]
    """As typed."""

    def value(self, name: str) -> float | None:
        """Return what an input is taken as, SI; None where it has no meaning here."""
        known = self.inputs.values.get(name)
        return None if known is None else known.value

    def word(self, name: str) -> str:
        """Return a word of the build, typed or taken."""
        return self.inputs.words.get(name, "")

    def has(self, name: str) -> bool:
        """Whether a field has a meaning for this build."""
        return applies(fields_of(Build)[name], self.build)

    def times(self, name: str, factor: float) -> Edit | str:
        """Return a field some times what it is; a sentence where its limits do not let it."""
        known = self.inputs.values.get(name)
        declared = fields_of(Build)[name]
        if known is None:
            return f"{declared.label} is not known here."
        if known.value == 0:
            return f"{declared.label} is nil."
        if not is_unknown(self.texts.get(name, "")):
            return self.to(name, known.value * factor)
        made = known.scaled(factor)
        kind = declared.kind
        if kind is None:
            return f"{declared.label} takes a word."
        number = from_si(made.value, kind, declared.unit)
        low, high = declared.limits
        if not low <= number <= high:
            return f"{declared.label} cannot be {digits(number, 2)} {declared.unit}."
        size = " to ".join(show(each, declared, significant=2, spread=False) for each in (known, made))
        return Edit(fields={name: made}, texts={name: show(made, declared, significant=2)}, size=size)

    def to(self, name: str, value: float) -> Edit | str:
        """Return a field at a value, SI, rounded as a builder would write it, in the unit that was typed."""
        declared = fields_of(Build)[name]
        if declared.kind is None:
            return f"{declared.label} takes a word."
        typed = self.texts.get(name, "")
        unit = unit_of(declared, "" if is_unknown(typed) else typed)
        number = from_si(value, declared.kind, unit)
        text = f"{digits(number, 2 if abs(number) < 100 else 3)} {unit}".strip()
        try:
            made = read_field(declared, text)
        except UnitError as error:
            return f"{declared.label}: {error.message}"
        known = self.inputs.values.get(name)
        was = "" if known is None else digits(from_si(known.value, declared.kind, unit), 2)
        return Edit(fields={name: made}, texts={name: text}, size=f"{was} to {text}" if was else text)

    def becomes(self, name: str, word: str) -> Edit | str:
        """Return a field at another word; a sentence where it is that already."""
        declared = fields_of(Build)[name]
        label = show(word, declared)
        if self.word(name) == word:
            return f"{declared.label} is {label} already."
        if not self.has(name):
            return f"{declared.label} has no meaning for this build."
        return Edit(fields={name: word}, texts={name: label})


Make = Callable[[Present], Edit | str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that a builder can make, as data; what it brings is solved, never said here."""

    key: str
    words: str
    short: str = ""
    """The same where there is little room; empty: `words`."""
    make: Make
    """What it does to this build; a sentence that says why not, or ``""`` where there is no such part."""
    hours: float
    """At the bench; common practice, no source."""
    needs: str = ""
    cautions: tuple[str, ...] = ()
    """Of the table of cautions."""
    source: str = PRACTICE
    """Where the size of the step comes from."""
    farther: tuple[Make, ...] = ()
    """The same taken farther: tried where the first step helps, and told where it is surer."""


def all_of(*makes: Make) -> Make:
    """Return the change that makes several edits at once; the first that cannot be made says why."""

    def make(present: Present) -> Edit | str:
        whole = Edit()
        for each in makes:
            made = each(present)
            if isinstance(made, str):
                return made
            whole = whole.with_(made)
        return whole

    return make


def scaled(name: str, factor: float) -> Make:
    """Return the change of a field to some times what it is."""
    return lambda present: present.times(name, factor) if present.has(name) else ""


def word(name: str, choice: str) -> Make:
    """Return the change of a field to another word."""
    return lambda present: present.becomes(name, choice)


def multiplied(size: str, **factors: Uncertain) -> Make:
    """Return the change of inputs that no field says, each by a factor within a range."""
    return lambda present: Edit(factors=factors, size=size) if set(factors) & set(present.inputs.values) else ""


def si(number: float, name: str) -> float:
    """Return a number in the unit of a field as SI."""
    declared = fields_of(Build)[name]
    if declared.kind is None:
        return number
    unit = find_unit(declared.unit, declared.kind)
    return number * unit.factor + unit.offset


__all__ = ["PRACTICE", "Change", "Edit", "Make", "Present", "all_of", "multiplied", "scaled", "si", "word"]
