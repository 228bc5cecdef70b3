"""Why a figure is what it is: the declaration that stands beside each formula.

A formula is declared once, beside its function, with the source it was taken from, the range in which that source
holds, and how far measurements scatter about it. What is used outside its range is told from here.
Owns no physics; imports no numpy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import ParamSpec, TypeVar

from model.quantities.units import digits

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """What is known about a formula."""

    name: str
    """The function's own name, a stable key."""
    quantity: str
    """What the formula gives, in the words of the trade: "heat transfer from a hot plate to still air"."""
    formula: str
    """The formula as plain text, as in the source."""
    source: str
    """Key in ``model/tables/sources.toml``, or "common practice, no source", or "derived here"."""
    where: str = ""
    """Equation, table or page in the source; "from memory" when it was not seen."""
    valid: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """For each named group, the range in which the source holds, e.g. ``{"reynolds": (0.0, 2300.0)}``."""
    spread: float = 0.0
    """Relative standard uncertainty of the result within the range, as a fraction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfRange:
    """A formula used outside the range of its source: told beside the result, never silent, never fatal."""

    quantity: str
    group: str
    value: float
    low: float
    high: float
    source: str

    def __str__(self) -> str:
        """Return where it was tried and where it is: ``a share of holes (porosity) from 0.69 to 0.97, here 0.99``."""
        group = _IN_WORDS.get(self.group, self.group.replace("_", " "))
        low, high, value = (digits(number) for number in (self.low, self.high, self.value))
        tried = f"up to {high}" if self.low in (0.0, float("-inf")) else f"from {low} to {high}"
        tried = f"from {low}" if self.high == float("inf") else tried
        return f"{group} {tried}, here {value}"


def sentences(notes: Iterable[OutOfRange]) -> tuple[str, ...]:
    """Return one sentence for each formula that was used beyond what its source tried."""
    groups: dict[tuple[str, str], list[str]] = {}
    for note in notes:
        groups.setdefault((note.quantity, note.source), []).append(str(note))
    return tuple(
        f"Less sure: {quantity}. Its source ({source}) tried {'; '.join(dict.fromkeys(texts))}."
        for (quantity, source), texts in groups.items()
    )


_IN_WORDS = {
    "reynolds": "how fast the air flows for its size (Reynolds number)",
    "porosity": "a share of holes (porosity)",
    "ntu": "a wall's area for the flow (NTU)",
    "capacity_ratio": "the heat that a wall holds, over a blow's",
    "stroke_over_length": "a stroke over the length of the wall",
    "excess": "kelvins above the room",
    "radial_clearance": "metres of clearance on a side",
    "deflection_over_thickness": "a bend over the thickness",
    "reach": "the reach of a jet over its width",
    "radius": "the reach of a jet over its width",
    "height": "the height of a jet over its width",
    "prandtl": "kinds of gas (Prandtl number)",
}
"""Groups as a builder would say them."""


DECLARED: dict[str, Declaration] = {}
"""Every declaration of the modules imported so far, by its function's name."""


def declared(
    *,
    quantity: str,
    formula: str,
    source: str,
    where: str = "",
    valid: Mapping[str, tuple[float, float]] | None = None,
    spread: float = 0.0,
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Attach a `Declaration` to a function (the decorated function is returned unchanged)."""

    def attach(function: Callable[P, R]) -> Callable[P, R]:
        name = function.__name__
        DECLARED[name] = Declaration(
            name=name,
            quantity=quantity,
            formula=formula,
            source=source,
            where=where,
            valid=dict(valid or {}),
            spread=spread,
        )
        return function

    return attach


def outside(name: str, **groups: float) -> tuple[OutOfRange, ...]:
    """Return a note for each named group that lies outside the range of the formula's source."""
    entry = DECLARED[name]
    notes = []
    for group, value in groups.items():
        low, high = entry.valid.get(group, (float("-inf"), float("inf")))
        if not low <= value <= high:
            notes.append(
                OutOfRange(quantity=entry.quantity, group=group, value=value, low=low, high=high, source=entry.source)
            )
    return tuple(notes)
