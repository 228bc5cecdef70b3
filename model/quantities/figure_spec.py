"""The declaration of a figure: what is told of it wherever it is shown."""

from __future__ import annotations

from dataclasses import dataclass

from model.quantities.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSpec:
    """Declaration of a figure."""

    label: str
    kind: Kind
    unit: str
    formula: str
    source: str
    inputs: tuple[str, ...] = ()
    """Names of the inputs that are shown with it."""
    note: str = ""
