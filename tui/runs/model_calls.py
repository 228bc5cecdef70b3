"""One question put to the model's doors: what comes back is posted, an error as words, what nobody awaits not at all.

Called by the runner's lanes, each on its own thread. Between the steps of the model's work (`model.checkpoint`) a call
gives way to the screen, and ends where nobody waits for it any more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from model.checkpoint import breathe_by
from model.errors import ModelError
from model.fields import Build
from model.prediction.result import Gap, Prediction
from model.record import Project
from tui.host.logfile import write_fault
from tui.runs.model_api import Allow, Diagnose, Gaps, Lasting, Predict

if TYPE_CHECKING:
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Diagnosis


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is to be predicted."""

    path: Path
    build: Build
    project: Project
    mark: int
    number: int = 0
    """Set by the runner; ascending within a lane."""
    gap_samples: int = 0
    """In the list's lane: samples of the gaps' intervals; 0 gives values alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One result of a run."""

    question: Question
    listed: bool
    """Whether it is of the list's lane."""
    prediction: Prediction | None = None
    gaps: tuple[Gap, ...] | None = None
    sought: bool = False
    """Whether it is of the lane of causes."""
    diagnosis: Diagnosis | None = None
    allowances: tuple[Allowance, ...] | None = None
    progress: float | None = None
    """Share of the weighing that is done, 0 to 1, in an answer that tells nothing else."""
    failure: str = ""
    """Why there is no result, in the model's words or as an error in the program."""


T = TypeVar("T")
Late = Callable[[], bool]
"""Whether nobody waits for an answer any more."""


class _LateError(Exception):
    """Nobody waits any more for what is being worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calls:
    """The doors, where answers go, and what is done at each breath for others' sake."""

    post: Callable[[Answer], None]
    predict: Predict
    lasting: Lasting
    gaps: Gaps
    diagnose: Diagnose
    allow: Allow
    give_way: Callable[[], None]

    def stages(self, question: Question, late: Late, pause: Callable[[], bool]) -> Prediction | None:
        """Predict and post each stage, `pause` behind the first; return the last, None where it failed or came late."""

        def go() -> Prediction | None:
            whole: Prediction | None = None
            for stage in self.predict(question.project, mark=question.mark, build=question.build):
                if late():
                    return None
                first, whole = whole is None, stage
                self.post(Answer(question=question, listed=False, prediction=stage))
                if first and pause():
                    return None
            return whole

        return self._try(Answer(question=question, listed=False), go, late)

    def whole(self, question: Question, late: Late) -> bool:
        """Predict for the list and post the last stage; return whether it was."""

        def go() -> Prediction | None:
            *_, whole = self.predict(question.project, mark=question.mark, build=question.build)
            return whole

        blank = Answer(question=question, listed=True)
        found = self._try(blank, go, late)
        if found is None or late():
            return False
        self.post(replace(blank, prediction=found))
        return True

    def compare(self, question: Question, *, samples: int, listed: bool, late: Late) -> bool:
        """Post the gaps of a mark that has readings; return whether there is no more to do."""
        if not question.project.readings_of(question.mark):
            return True
        blank = Answer(question=question, listed=listed)
        found = self._try(blank, lambda: self.gaps(question.project, mark=question.mark, samples=samples), late)
        if found is None or late():
            return False
        self.post(replace(blank, gaps=found))
        return True

    def add_lasting(self, question: Question, prediction: Prediction, late: Late) -> None:
        """Post a prediction with warm-up and run time; without them the other figures stand."""
        project, mark, build = question.project, question.mark, question.build
        self._breathe_until(late)
        try:
            more = self.lasting(project, mark=mark, build=build, prediction=prediction)
        except _LateError:
            return
        except Exception as error:
            write_fault(error)
            return
        if more and not late():
            whole = replace(prediction, figures={**prediction.figures, **more})
            self.post(Answer(question=question, listed=False, prediction=whole))

    def weigh(self, question: Question, late: Late, weighed: Callable[[], None]) -> bool:
        """Post how far the weighing of the causes is, then, after `weighed`, these; return whether there are any."""

        def tell(share: float) -> None:
            if late():
                raise _LateError
            self.post(replace(blank, progress=share))

        blank = Answer(question=question, listed=False, sought=True)
        found = self._try(blank, lambda: self.diagnose(question.project, mark=question.mark, progress=tell), late)
        if found is None or late():
            return False
        weighed()
        self.post(replace(blank, diagnosis=found))
        return not found.reason

    def bear(self, question: Question, late: Late) -> None:
        """Post what the engine can bear."""
        blank = Answer(question=question, listed=False, sought=True)
        found = self._try(blank, lambda: self.allow(question.project, mark=question.mark), late)
        if found is not None and not late():
            self.post(replace(blank, allowances=found))

    def _try(self, blank: Answer, go: Callable[[], T | None], late: Late) -> T | None:
        """Return what is found, or None: it came too late, or it failed, and why is posted."""
        self._breathe_until(late)
        try:
            return go()
        except _LateError:
            return None
        except ModelError as error:
            failure = str(error)
        except Exception as error:
            failure = write_fault(error)
        if not (blank.sought and late()):
            self.post(replace(blank, failure=failure))
        return None

    def _breathe_until(self, late: Late) -> None:
        """Between the steps of this thread's work give way, and end it where nobody waits for it any more."""

        def between() -> None:
            self.give_way()
            if late():
                raise _LateError

        breathe_by(between)
