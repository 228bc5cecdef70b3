"""One question put to the model API: what comes back is posted, an error as words, what nobody awaits not at all.

Called by the runner's queues, each on its own thread. Between the steps of the model's work (`model.checkpoint`) a call
gives way to the screen, and ends where nobody waits for it any more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from model.checkpoint import set_checkpoint
from model.errors import ModelError
from model.fields import Build
from model.prediction.result import Gap, Prediction
from model.record import Project
from tui.host.logfile import write_fault
from tui.runs.model_api import (
    Allowances,
    Answer,
    Changes,
    Diagnose,
    Expect,
    Gaps,
    Lasting,
    Learn,
    Look,
    Predict,
    Question,
)

if TYPE_CHECKING:
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Diagnosis
    from model.knowledge.result import Knowledge


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelRequest:
    """What is to be predicted."""

    path: Path
    build: Build
    project: Project
    mark: int
    number: int = 0
    """Set by the runner; ascending within a queue."""
    gap_samples: int = 0
    """In the list's queue: samples of the gaps' intervals; 0 gives values alone."""
    scratch: bool = False
    """Whether it is of a scratch copy: no reading is its own."""
    beside: ModelRequest | None = None
    """What is to be predicted behind it, to stand beside it: the mark of a scratch copy."""
    question: Question | None = None
    """What is asked about changes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelResult:
    """One result of a run."""

    request: ModelRequest
    listed: bool
    """Whether it is of the list's queue."""
    beside: bool = False
    """Whether it is of what stands beside a scratch copy."""
    prediction: Prediction | None = None
    gaps: tuple[Gap, ...] | None = None
    of_diagnosis: bool = False
    """Whether it is of the diagnosis' queue."""
    diagnosis: Diagnosis | None = None
    allowances: tuple[Allowance, ...] | None = None
    of_knowledge: bool = False
    """Whether it is of the queue of what was learnt."""
    knowledge: Knowledge | None = None
    answer: Answer | None = None
    """To what was asked about changes."""
    progress: float | None = None
    """Share of the diagnosis, or of what is learnt, that is done, 0 to 1, in an answer that tells nothing else."""
    failure: str = ""
    """Why there is no result, in the model's words or as an error in the program."""


ALMOST = 0.99
"""The most that is told to be done while more of an answer comes."""
T = TypeVar("T")
Late = Callable[[], bool]
"""Whether nobody waits for an answer any more."""


class _LateError(Exception):
    """Nobody waits any more for what is being worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelCalls:
    """The model API, where answers go, and what is done at each checkpoint for others' sake."""

    post: Callable[[ModelResult], None]
    predict: Predict
    lasting: Lasting
    gaps: Gaps
    diagnose: Diagnose
    allowances: Allowances
    look: Look
    learn: Learn
    expect: Expect
    changes: Changes
    yield_to_ui: Callable[[], None]

    def stages(
        self, request: ModelRequest, late: Late, pause: Callable[[], bool], *, beside: bool = False
    ) -> Prediction | None:
        """Predict and post each stage, `pause` behind the first; return the last, None where it failed or came late."""

        def go() -> Prediction | None:
            whole: Prediction | None = None
            for stage in self.predict(request.project, mark=request.mark, build=request.build):
                if late():
                    return None
                first, whole = whole is None, stage
                self.post(replace(blank, prediction=stage))
                if first and pause():
                    return None
            return whole

        blank = ModelResult(request=request, listed=False, beside=beside)
        return self._try(blank, go, late)

    def whole(self, request: ModelRequest, late: Late) -> bool:
        """Predict for the list and post the last stage; return whether it was."""

        def go() -> Prediction | None:
            *_, whole = self.predict(request.project, mark=request.mark, build=request.build)
            return whole

        blank = ModelResult(request=request, listed=True)
        prediction = self._try(blank, go, late)
        if prediction is None or late():
            return False
        self.post(replace(blank, prediction=prediction))
        return True

    def compare(self, request: ModelRequest, *, samples: int, listed: bool, late: Late) -> bool:
        """Post the gaps of a mark that has readings; return whether there is no more to do."""
        if not request.project.readings_of(request.mark):
            return True
        blank = ModelResult(request=request, listed=listed)
        gaps = self._try(blank, lambda: self.gaps(request.project, mark=request.mark, samples=samples), late)
        if gaps is None or late():
            return False
        self.post(replace(blank, gaps=gaps))
        return True

    def add_lasting(self, request: ModelRequest, prediction: Prediction, late: Late) -> None:
        """Post a prediction with warm-up and run time; without them the other figures stand."""
        project, mark, build = request.project, request.mark, request.build
        self._checkpoint_until(late)
        try:
            more = self.lasting(project, mark=mark, build=build, prediction=prediction)
        except _LateError:
            return
        except Exception as error:
            write_fault(error)
            return
        if more and not late():
            whole = replace(prediction, figures={**prediction.figures, **more})
            self.post(ModelResult(request=request, listed=False, prediction=whole))

    def post_diagnosis(self, request: ModelRequest, late: Late, diagnosed: Callable[[], None]) -> bool:
        """Post how far a diagnosis is, then, after `diagnosed`, the diagnosis; return whether it tells of causes."""
        blank = ModelResult(request=request, listed=False, of_diagnosis=True)
        tell = self._telling(blank, late)
        diagnosis = self._try(blank, lambda: self.diagnose(request.project, mark=request.mark, progress=tell), late)
        if diagnosis is None or late():
            return False
        diagnosed()
        self.post(replace(blank, diagnosis=diagnosis))
        return not diagnosis.reason

    def post_knowledge(self, request: ModelRequest, late: Late) -> None:
        """Post a first look, how far learning is, what was learnt, then with it what was to be expected of readings."""
        blank = ModelResult(request=request, listed=False, of_knowledge=True)
        tell = self._telling(blank, late)
        first = self._try(blank, lambda: self.look(request.project, mark=request.mark), late)
        if first is not None and not late():
            self.post(replace(blank, knowledge=first))
        knowledge = self._try(blank, lambda: self.learn(request.project, mark=request.mark, progress=tell), late)
        if knowledge is None or late():
            return
        self.post(replace(blank, knowledge=knowledge))
        if knowledge.learned:
            expected = self._try(blank, lambda: self.expect(request.project, mark=request.mark, progress=tell), late)
            if expected and not late():
                self.post(replace(blank, knowledge=replace(knowledge, expected=expected)))
        if not late():
            self.post(replace(blank, progress=1.0))

    def post_changes(self, request: ModelRequest, late: Late) -> None:
        """Post how far the answer to a question about changes is, and each answer as there is more of it."""
        question = request.question
        if question is None:
            return

        def go() -> bool:
            for answer in self.changes(request.project, mark=request.mark, question=question, progress=tell):
                if late():
                    return False
                self.post(replace(blank, answer=answer))
            return True

        blank = ModelResult(request=request, listed=False)
        tell = self._telling(blank, late)
        if self._try(blank, go, late):
            self.post(replace(blank, progress=1.0))

    def post_allowances(self, request: ModelRequest, late: Late) -> None:
        """Post the allowances."""
        blank = ModelResult(request=request, listed=False, of_diagnosis=True)
        allowances = self._try(blank, lambda: self.allowances(request.project, mark=request.mark), late)
        if allowances is not None and not late():
            self.post(replace(blank, allowances=allowances))

    def _telling(self, blank: ModelResult, late: Late) -> Callable[[float], None]:
        """Return what posts how far an answer is, and ends the work where nobody waits; only its end is told as 1."""

        def tell(share: float) -> None:
            if late():
                raise _LateError
            self.post(replace(blank, progress=min(share, ALMOST)))

        return tell

    def _try(self, blank: ModelResult, go: Callable[[], T | None], late: Late) -> T | None:
        """Return what was worked out, or None: it came too late, or it failed, and why is posted."""
        self._checkpoint_until(late)
        try:
            return go()
        except _LateError:
            return None
        except ModelError as error:
            failure = str(error)
        except Exception as error:
            failure = write_fault(error)
        if not ((blank.of_diagnosis or blank.of_knowledge or blank.request.question) and late()):
            self.post(replace(blank, failure=failure))
        return None

    def _checkpoint_until(self, late: Late) -> None:
        """Between the steps of this thread's work give way, and end it where nobody waits for it any more."""

        def between() -> None:
            self.yield_to_ui()
            if late():
                raise _LateError

        set_checkpoint(between)
