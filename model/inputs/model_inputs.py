"""A complete set of inputs for the model: plain data, made by `complete_inputs`, taken by `predict`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from model.errors import Problem
from model.quantities.uncertain import Uncertain


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelInputs:
    """A complete set of inputs, or what is missing for one."""

    layout: str
    words: Mapping[str, str]
    """Fields that take words, by name; empty string where there is none."""
    values: Mapping[str, Uncertain]
    """Quantities by name, SI: the fields, and the factors of the model."""
    labels: Mapping[str, str]
    """Label of each value for people."""
    assumed: Mapping[str, str] = field(default_factory=dict)
    """Field name -> range taken, as text, where the builder left it empty or it is flagged."""
    missing: tuple[str, ...] = ()
    """Names of fields without which there is no prediction."""
    problems: tuple[Problem, ...] = ()
    """What cannot be, though each field alone can: names, values, remedy."""
    warnings: tuple[str, ...] = ()
    """What is doubtful but does not stand in the way of a prediction; sentences that say what to do."""
