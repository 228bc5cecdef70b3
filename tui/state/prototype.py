"""A prototype as it stands on the screen: project, undo, last prediction, last diagnosis, how safe its texts are. Data.

`Session` holds them; what is computed or saved for them is told to them by the `ProjectController`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from model.changes.result import Advice
from model.checks.problems import problems_of
from model.errors import Problem
from model.fields import Build, ParsedBuild, parse_build
from model.prediction.result import Gap, Prediction
from model.record import Mark, Project
from tui.state.pending import Offered, Pending
from tui.state.scratch import Scratches

if TYPE_CHECKING:
    from model.changes.result import Aim, Breakdown, Comparison, Row
    from model.curves.chart import Curves
    from model.drawing.result import EngineView
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Diagnosis
    from model.knowledge.result import Knowledge

T = TypeVar("T")


class SaveState(StrEnum):
    """How safe the texts are."""

    SAVED = "saved"
    TYPING = "not saved yet"
    SAVING = "saving"
    FAILED = "NOT SAVED"
    READ_ONLY = "read only"
    GONE = "GONE FROM THE DISK"
    UNREADABLE = "FILE CANNOT BE READ"


BAD = frozenset({SaveState.FAILED, SaveState.GONE, SaveState.UNREADABLE})
"""What is told in a colour."""


class Age(StrEnum):
    """How a prediction stands to the texts."""

    NONE = "none"
    UP_TO_DATE = "up to date"
    VALUE = "value"
    """The value is of these texts, its interval still comes."""
    COMPUTING = "computing"
    OLD = "old"


@dataclass(slots=True, kw_only=True)
class Outlook:
    """The last good prediction of a prototype and what it belongs to."""

    build: Build | None = None
    """Build of `prediction`."""
    mark: int = 0
    """Number of its mark."""
    prediction: Prediction | None = None
    """The newest; its interval may still come."""
    spread: Prediction | None = None
    """The newest that has intervals; old while `prediction` has none."""
    gaps: tuple[Gap, ...] = ()
    """Readings of the mark against the prediction."""
    gaps_old: bool = False
    """Whether `gaps` are of another build or other readings, and their own have not come."""
    failure: str = ""
    """Why the last run gave nothing."""
    pending: bool = False
    """Whether a newer prediction was asked for and has not come with its interval."""


@dataclass(slots=True, kw_only=True)
class Asked(Generic[T]):
    """A question to the model, and what came back (`tui.state.asked`)."""

    wanted: object = None
    """What was last asked about; None where nobody waits."""
    number: int = 0
    """Number of the newest question; answers to others come too late."""
    of: object = None
    """What `answer` is about."""
    answer: T | None = None
    share: float = 0.0
    """How much is done, 0 to 1."""
    pending: bool = False
    """Whether more of the answer still comes."""
    failure: str = ""
    """Why the last run gave nothing."""

    @property
    def waits(self) -> bool:
        """Whether anything that was asked has not come."""
        return self.pending


@dataclass(slots=True, kw_only=True)
class DiagnosisState(Asked[Any]):
    """Why a mark does not run; `pending` until the causes are there."""

    answer: Diagnosis | None = None

    mark: int = 0
    """Mark of `answer`."""
    allowances: tuple[Allowance, ...] = ()
    allowances_pending: bool = False
    """Whether allowances still come."""

    @property
    def waits(self) -> bool:
        """Whether causes or allowances have not come."""
        return self.pending or self.allowances_pending


@dataclass(slots=True, kw_only=True)
class NextState(Asked[Advice]):
    """What to change next, and what the engine loses by."""

    breakdown: Breakdown | None = None
    """What it loses by; of the same question as `answer`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """What undo comes back to."""

    project: Project
    scratches: Scratches = field(default_factory=dict)


@dataclass(slots=True, kw_only=True)
class Prototype:
    """One project as it stands on the screen."""

    path: Path
    project: Project
    problems: tuple[Problem, ...] = ()
    """What the file holds that could not be placed."""
    trouble: str = ""
    """Why the file cannot be read; then `project` is empty."""
    unread: bool = False
    """Whether the file is not read yet: `project` has its name alone."""
    notice: str = ""
    """Why the file may only be read."""
    scratches: Scratches = field(default_factory=dict)
    """Scratch copies of its marks: in the draft alone."""
    undo: list[Snapshot] = field(default_factory=list)
    redo: list[Snapshot] = field(default_factory=list)
    visit: Snapshot | None = None
    """What stood there when the open field was entered; None when no field is open."""
    pending: Pending | None = None
    """Texts that stand on the screen and in the draft alone."""
    dropped: Pending | None = None
    """The same, dropped last: redo brings them back."""
    offered: Offered | None = None
    """What was brought back, beside texts of the build, and waits for an answer."""
    declined: Offered | None = None
    """The same, dropped last."""
    before: Outlook | None = None
    """What was predicted when the open field was entered."""
    save_state: SaveState = SaveState.SAVED
    message: str = ""
    """What the last save or read said; stays until the next good save."""
    done: str = ""
    """What the last key did where it is not seen; stays until the next change or move."""
    outlook: Outlook = field(default_factory=Outlook)
    """Of the mark that is looked at, or of the scratch copy."""
    outlook_of: str = ""
    """Key of the scratch copy that `outlook` is of; empty: a mark."""
    own: Outlook | None = None
    """While a scratch copy is looked at: that of its mark."""
    diagnosis: DiagnosisState = field(default_factory=DiagnosisState)
    knowledge: Asked[Knowledge] = field(default_factory=Asked)
    """What the readings of its mark and of those before it have shown."""
    row: Asked[Row] = field(default_factory=Asked)
    """A row of values."""
    next: NextState = field(default_factory=NextState)
    """What to change next."""
    tried: Asked[Comparison] = field(default_factory=Asked)
    """The scratch copy that is looked at, on the engines that its mark could be."""
    engine: Asked[EngineView] = field(default_factory=Asked)
    """What it looks like, and what its air does over a turn."""
    aim: Asked[Aim] = field(default_factory=Asked)
    """What would have to change for it to do something."""
    curves: Asked[Curves] = field(default_factory=Asked)
    """What it does over speed, turn, difference, minutes and marks."""
    settled: set[int] = field(default_factory=set)
    """Marks with readings whose texts may be corrected without asking again while this prototype is open."""

    checked: tuple[Project, tuple[Problem, ...]] | None = None
    """The project that was last looked over, and what was found."""

    @property
    def all_problems(self) -> tuple[Problem, ...]:
        """Everything that is wrong in the file: what could not be placed, and what is flagged (remembered)."""
        if self.checked is None or self.checked[0] is not self.project:
            self.checked = (self.project, problems_of(self.project))
        return (*self.problems, *self.checked[1])

    @property
    def snapshot(self) -> Snapshot:
        """What stands there now."""
        return Snapshot(project=self.project, scratches=self.scratches)

    @property
    def typed(self) -> bool:
        """Whether anything changed in the open visit."""
        return self.visit is not None and self.visit != self.snapshot

    @property
    def waits(self) -> bool:
        """Whether something that was brought back waits for an answer."""
        return self.offered is not None or (self.pending is not None and self.pending.left)

    def move_on(self) -> None:
        """The cursor goes on, or something else changes: what the last key did has been read."""
        self.done = ""

    @property
    def usable(self) -> bool:
        """Whether the file was read and could be."""
        return not (self.trouble or self.unread)


@lru_cache(maxsize=256)
def _parsed(texts: tuple[tuple[str, str], ...]) -> ParsedBuild:
    return parse_build(dict(texts))


def parsed_build(mark: Mark) -> ParsedBuild:
    """Return what a mark's texts say (remembered for equal texts)."""
    return _parsed(tuple(mark.build.items()))
