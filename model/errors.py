"""What can go wrong, as facts.

Each error carries its facts as attributes; its sentence says what happened, to which quantity, with which value and
unit, and what to do. Raised anywhere in ``model``; shown by ``tui`` in the words that stand here.
"""

from __future__ import annotations

from dataclasses import dataclass

LONGEST_TOLD = 60
"""Most characters of a builder's text that are told beside what is wrong with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong with something a builder wrote."""

    where: str
    """Where it stands: a dotted key such as ``mark.2.build.piston_bore``."""
    value: str
    """The text as written, unchanged, or what was assumed for it; empty when there is none."""
    message: str
    """What is wrong, naming quantity, value and unit."""
    remedy: str = ""
    """What to do about it."""
    assumed: bool = False
    """Whether nobody typed the value: it is a guess."""

    def __str__(self) -> str:
        value = self.value if len(self.value) <= LONGEST_TOLD else f"{self.value[: LONGEST_TOLD - 3]}..."
        written = (f" (assumed {value})" if self.assumed else f" {value!r}") if value else ""
        return f"{self.where}{written}: {self.message}" + (f" {self.remedy}" if self.remedy else "")


class ModelError(Exception):
    """Base of all our errors: a sentence, and a hint that says what to do."""

    def __init__(self, message: str, *, hint: str = "", where: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.where = where

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        return f"{place}{self.message}" + (f" {self.hint}" if self.hint else "")


class NotUnderstood(ModelError):
    """What was asked for is no field, no value or no aim that is known."""


class TableError(ModelError):
    """A data table that ships with the program is malformed."""


class StoreError(ModelError):
    """A file or folder of the notebook cannot be read or written."""


class ProjectNotFound(StoreError):
    """There is no such project file or folder."""


class ProjectFormatError(StoreError):
    """A file is not a project of ours, or part of it cannot be read."""

    def __init__(self, message: str, *, path: str, key: str = "", line: int | None = None, hint: str = "") -> None:
        at = f"{path}, line {line}" if line is not None else path
        super().__init__(message, hint=hint, where=f"{at}, {key}" if key else at)
        self.path = path
        self.key = key
        self.line = line


class ProjectChangedOnDisk(StoreError):
    """Somebody else wrote the file since it was read."""


class NewerFormat(StoreError):
    """The file was written by a newer version; it opens for reading only."""


class NotWritten(StoreError):
    """The system refuses to write; what stood there is whole."""


class NotMerged(StoreError):
    """Two versions of a file are no projects that can be merged; it holds both, between conflict marks."""


class NotDurable(StoreError):
    """A file was saved whole, but the disk did not confirm it: a loss of power now could bring the old one back."""

    def __init__(self, message: str, *, revision: str, hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.revision = revision
