"""The one mutable object of the screens: what is open, as typed, with its history and its last good prediction.

Projects are frozen snapshots; undo is a list of them, one for each visit to a field. Raw texts, flagged ones too,
stand in the project itself; nothing is replaced by a default. Only this folder writes here: `ProjectController` to the
open prototype, `ProjectList` to the others; everything else reads. Knows neither textual nor the store nor the model.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from model.fields import ParsedBuild
from model.prediction.result import Verdict
from model.record import Mark, Project
from tui.state.pending import laid_over
from tui.state.prototype import Age, Outlook, Prototype, Snapshot, parsed_build
from tui.state.scratch import Scratch, Scratches

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
        self.scratch_key = ""
        """Key of the scratch copy that is looked at in place of that mark; empty: none."""

    def __iter__(self) -> Iterator[Prototype]:
        return iter(self.prototypes.values())

    def add(self, prototype: Prototype) -> None:
        """Take a prototype into the notebook, or in place of the one of the same file."""
        self.prototypes[prototype.path] = prototype

    def open(self, path: Path) -> Prototype:
        """Make a prototype the open one, at its latest mark."""
        self.current, self.scratch_key = path, ""
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
    def scratch(self) -> Scratch | None:
        """The scratch copy that is looked at."""
        return self.prototype.scratches.get(self.scratch_key) if self.scratch_key else None

    @property
    def own(self) -> Mark:
        """The mark that is looked at, without its scratch copy."""
        return laid_over(self.stored, self.prototype.pending)

    @property
    def mark(self) -> Mark:
        """The mark that is looked at, as it is shown: its scratch copy, where that is."""
        return self.scratch.over(self.own) if self.scratch else self.own

    @property
    def shown(self) -> Project:
        """The project as it is shown, without scratch copies."""
        return self.prototype.project.with_mark(self.own) if self.prototype.pending else self.prototype.project

    @property
    def texts(self) -> Mapping[str, str]:
        """The texts of the mark that is looked at, or of its scratch copy."""
        return self.mark.build

    @property
    def parsed(self) -> ParsedBuild:
        """What those texts say."""
        return parsed_build(self.mark)

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
            prototype.visit, prototype.before = prototype.snapshot, replace(prototype.outlook)

    def type(self, name: str, text: str) -> None:
        """Put a text into a field of the mark that is looked at, right or wrong, as typed."""
        mark = self.stored
        texts = dict(mark.build)
        if text == "" and name in texts:
            del texts[name]
        elif text != "":
            texts[name] = text
        self.put(self.prototype.project.with_mark(replace(mark, build=texts)))

    def put(self, project: Project, scratches: Scratches | None = None) -> None:
        """Take a changed project, or changed scratch copies (within a visit, or as a visit of its own)."""
        prototype = self.prototype
        prototype.move_on()
        prototype.project = project
        prototype.scratches = prototype.scratches if scratches is None else scratches
        if self.number not in project.marks and project.marks:
            self.number = project.latest.number
        if self.scratch_key not in prototype.scratches:
            self.scratch_key = ""

    def end_visit(self, *, forget: bool = False) -> Snapshot | None:
        """Close the visit; return what stood there before it, None where it changed nothing.

        `forget`: as if it had not been: what stands there stays, undo does not come back to it.
        """
        prototype = self.prototype
        before, prototype.visit, prototype.before = prototype.visit, None, None
        if forget or before is None or before == prototype.snapshot:
            return None
        record_step(prototype, before)
        return before

    def step_back(self) -> bool:
        """Undo the open visit, or the last one; return whether there was any."""
        prototype = self.prototype
        prototype.before = None
        if prototype.visit is not None and prototype.typed:
            prototype.redo = [prototype.snapshot]  # what was taken back before was of another text
            before, prototype.visit = prototype.visit, None
        elif prototype.undo:
            prototype.visit = None
            prototype.redo.append(prototype.snapshot)
            before = prototype.undo.pop()
        else:
            return False
        self.put(before.project, before.scratches)
        return True

    def step_forward(self) -> bool:
        """Redo what was last undone; return whether there was any."""
        prototype = self.prototype
        if not prototype.redo:
            return False
        prototype.undo.append(prototype.snapshot)
        after = prototype.redo.pop()
        self.put(after.project, after.scratches)
        return True


def tried(session: Session) -> Project:
    """Return the project as it is shown, the scratch copy that is looked at in place of its mark."""
    return session.shown.with_mark(session.mark) if session.scratch else session.shown


def record_step(prototype: Prototype, before: Snapshot) -> None:
    """Remember how a prototype stood before a step, for undo; what was undone before it is not redone."""
    prototype.undo.append(before)
    del prototype.undo[:-UNDO_LIMIT]
    prototype.redo.clear()
