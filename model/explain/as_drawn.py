"""The one way in which anything measured reaches what a drawing predicts: parts that were measured on their own.

Grams on the rim stand for the friction, a half-time for the leak, of this very mark: parts like any that is typed with
a ruler. What an engine did as a whole (speeds, powers, coasts with air in them) never does; it weighs what the mark has
shown (`model.knowledge`).
"""

from __future__ import annotations

from collections.abc import Collection

from model.bench.evidence import evidence_of
from model.explain.conditions import inputs_at
from model.fields import Build, parse_build
from model.fields.reading import ReadingFields
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.record import Project


class AsDrawn:
    """A mark as drawn: dimensions, tables, guesses, and its parts that were measured on their own."""

    def __init__(
        self, project: Project, number: int, *, build: Build | None = None, without: str = "", visit: str = ""
    ) -> None:
        """Take the mark; a build that is not what its texts say; a kind of reading and a visit that are left out."""
        texts = project.marks[number].build if number in project.marks else {}
        self.build = parse_build(texts).build if build is None else build
        self.evidence = evidence_of(project, number, without=without, visit=visit)
        """What its parts showed that were measured on their own."""

    @property
    def measured(self) -> Collection[str]:
        """Names of the inputs that were measured on their own."""
        return self.evidence.values.keys()

    def inputs(self) -> ModelInputs:
        """Return the inputs of the mark."""
        return complete_inputs(self.build, self.evidence)

    def under(self, values: ReadingFields) -> ModelInputs:
        """Return them under the conditions of a reading."""
        return inputs_at(self.build, values, self.evidence)


__all__ = ["AsDrawn"]
