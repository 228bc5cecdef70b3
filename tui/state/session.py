"""The one mutable object of the screens: what is open, as typed, with its history and its last good prediction.

Projects are frozen snapshots; undo is a list of them, one for each visit to a field. Raw texts, flagged ones too,
stand in the project itself; nothing is replaced by a default. Only this folder writes here: `ProjectController` to the
open prototype, `ProjectList` to the others; everything else reads. Knows neither textual nor the store nor the model.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from model.fields import Build, ParsedBuild, fields_of
from model.prediction.result import Verdict
from model.record import Mark, Project
from tui.state.pending import laid_over
from tui.state.prototype import Age, Outlook, Prototype, parsed_build

UNDO_LIMIT = 500
"""Visits kept for undo, for each prototype."""


class Session:
    """What is open, and what was done to it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.prototypes: dict[Path, Prototype] = {}
        self.current: Path | None = None
        self.number = 1
        """Number of the mark that is looked at."""

    def __iter__(self) -> Iterator[Prototype]:
        return iter(self.prototypes.values())

    def add(self, prototype: Prototype) -> None:
        """Take a prototype into the notebook, or in place of the one of the same file."""
        self.prototypes[prototype.path] = prototype

    def open(self, path: Path) -> Prototype:
        """Make a prototype the open one, at its latest mark."""
        self.current = path
        prototype = self.prototypes[path]
        self.number = prototype.project.latest.number
        return prototype

    @property
    def prototype(self) -> Prototype:
        """The open prototype.

        Raises
        ------
        LookupError
            None is open.
        """
        if self.current is None:
            raise LookupError("no prototype is open")
        return self.prototypes[self.current]

    @property
    def stored(self) -> Mark:
        """The mark that is looked at, without what is typed and not written to it."""
        return self.prototype.project.marks.get(self.number) or Mark(number=self.number)

    @property
    def mark(self) -> Mark:
        """The mark that is looked at, as it is shown."""
        return laid_over(self.stored, self.prototype.pending)

    @property
    def shown(self) -> Project:
        """The project as it is shown."""
        return self.prototype.project.with_mark(self.mark) if self.prototype.pending else self.prototype.project

    @property
    def texts(self) -> Mapping[str, str]:
        """The texts of the mark that is looked at."""
        return self.mark.build

    @property
    def parsed(self) -> ParsedBuild:
        """What those texts say."""
        return parsed_build(self.mark)

    @property
    def flagged(self) -> tuple[str, ...]:
        """Labels of the flagged fields."""
        return tuple(fields_of(Build)[name].label for name in self.parsed.problems)

    @property
    def before(self) -> Outlook | None:
        """What was predicted before the open field was edited; None where it was not."""
        before = self.prototype.before
        edited = before is not None and before.prediction is not None and before.build != self.parsed.build
        return before if edited else None

    @property
    def age(self) -> Age:
        """How the prediction on the screen stands to the texts."""
        outlook, parsed = self.prototype.outlook, self.parsed
        if outlook.prediction is None:
            return Age.NONE if outlook.failure else Age.COMPUTING
        if outlook.build == parsed.build and not (parsed.problems and outlook.spread is None):
            whole = outlook.prediction.has_interval or outlook.prediction.verdict is Verdict.NO_PREDICTION
            if whole and outlook.pending:
                return Age.COMPUTING
            return Age.UP_TO_DATE if whole or outlook.failure else Age.VALUE
        return Age.OLD if parsed.problems or outlook.failure else Age.COMPUTING

    def begin_visit(self) -> None:
        """Remember the project as it stands, for undo, and its prediction, until `end_visit`."""
        prototype = self.prototype
        if prototype.visit is None:
            prototype.visit, prototype.before = prototype.project, replace(prototype.outlook)

    def type(self, name: str, text: str) -> None:
        """Put a text into a field of the mark that is looked at, right or wrong, as typed."""
        mark = self.stored
        texts = dict(mark.build)
        if text == "" and name in texts:
            del texts[name]
        elif text != "":
            texts[name] = text
        self.put(self.prototype.project.with_mark(replace(mark, build=texts)))

    def put(self, project: Project) -> None:
        """Take a changed project (within a visit, or as a visit of its own)."""
        self.prototype.project = project
        if self.number not in project.marks and project.marks:
            self.number = project.latest.number

    def end_visit(self) -> bool:
        """Close the visit; return whether it changed anything."""
        prototype = self.prototype
        before, prototype.visit, prototype.before = prototype.visit, None, None
        if before is None or before == prototype.project:
            return False
        record_step(prototype, before)
        return True

    def forget_visit(self) -> None:
        """Close the visit as if it had not been: what stands in the project stays, undo does not come back to it."""
        self.prototype.visit = self.prototype.before = None

    def step_back(self) -> bool:
        """Undo the open visit, or the last one; return whether there was any."""
        prototype = self.prototype
        prototype.before = None
        if prototype.visit is not None and prototype.visit != prototype.project:
            prototype.redo = [prototype.project]  # what was taken back before was of another text
            project, prototype.visit = prototype.visit, None
        elif prototype.undo:
            prototype.visit = None
            prototype.redo.append(prototype.project)
            project = prototype.undo.pop()
        else:
            return False
        self.put(project)
        return True

    def step_forward(self) -> bool:
        """Redo what was last undone; return whether there was any."""
        prototype = self.prototype
        if not prototype.redo:
            return False
        prototype.undo.append(prototype.project)
        self.put(prototype.redo.pop())
        return True


def record_step(prototype: Prototype, before: Project) -> None:
    """Remember how a prototype stood before a step, for undo; what was undone before it is not redone."""
    prototype.undo.append(before)
    del prototype.undo[:-UNDO_LIMIT]
    prototype.redo.clear()
