"""The only caller of the model on screen: numbered runs in four lanes, each with a thread; late results are dropped.

A lane holds the newest question only (the list lane: one for each prototype). An answer carries its question; `Desk`
drops those that are not of the newest. The value comes first, its interval after a pause without new questions, the
rest behind it. Work that nobody waits for any more ends at the model's next breath (`model.breath`), at which it also
gives way to the screen. Knows no widget: answers go to `post`, a function that is safe to call from any thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from model.breath import breathe_by
from model.errors import ModelError
from model.fields import Build
from model.prediction import Figure, Gap, Prediction
from model.record import Project
from tui.logfile import write_fault
from tui.memory import trim

if TYPE_CHECKING:
    from model.explain.trouble.allowances import Allowance
    from model.explain.trouble.diagnose import Diagnosis

SAMPLES = 100
"""Samples of an interval."""
PAUSE = 0.03
"""How long without a new question before an interval is begun, [s]."""


class Predict(Protocol):
    """The model's door: a prediction as soon as there is more of it."""

    def __call__(self, project: Project, *, mark: int, build: Build) -> Iterator[Prediction]: ...


class Lasting(Protocol):
    """The door to warm-up and run time."""

    def __call__(
        self, project: Project, *, mark: int, build: Build, prediction: Prediction
    ) -> Mapping[str, Figure]: ...


class Gaps(Protocol):
    """The gap's door."""

    def __call__(self, project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]: ...


class Diagnose(Protocol):
    """The door to the causes of an engine that does not run."""

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis: ...


class Allow(Protocol):
    """The door to what an engine can bear."""

    def __call__(self, project: Project, *, mark: int) -> tuple[Allowance, ...]: ...


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


def default_predict(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
    """Call the model; imported at the first call, in the lane's thread, so that numpy waits for the first paint."""
    from model.explain.outlook import outlook_stages

    yield from outlook_stages(project, mark=mark, build=build, samples=SAMPLES)


def default_lasting(project: Project, *, mark: int, build: Build, prediction: Prediction) -> Mapping[str, Figure]:
    """Work out warm-up and run time; imported at the first call, in the lane's thread."""
    from model.explain.lasting import lasting

    return lasting(project, mark=mark, prediction=prediction, build=build)


def no_lasting(project: Project, *, mark: int, build: Build, prediction: Prediction) -> Mapping[str, Figure]:
    """Work out neither."""
    return {}


def default_gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
    """Call the gap; imported at the first call, in the lane's thread."""
    from model.explain.gap import gaps

    return gaps(project, mark=mark, samples=samples)


def default_diagnose(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
    """Weigh the causes; imported at the first call, in the lane's thread."""
    from model.explain.trouble.diagnose import diagnose

    return diagnose(project, mark=mark, progress=progress)


def default_allow(project: Project, *, mark: int) -> tuple[Allowance, ...]:
    """Work out the allowances with what was measured on the mark; imported at the first call."""
    from model.explain.trouble.allowances import allowances_of

    return allowances_of(project, mark=mark)


class _LateError(Exception):
    """Nobody waits any more for what is being worked out."""


class Runner:
    """Lanes of runs: the open prototype's, which goes first, the list's, the causes', and their allowances."""

    def __init__(
        self,
        post: Callable[[Answer], None],
        *,
        predict: Predict = default_predict,
        lasting: Lasting = no_lasting,
        gaps: Gaps = default_gaps,
        diagnose: Diagnose = default_diagnose,
        allow: Allow = default_allow,
        give_way: Callable[[], None] = lambda: None,
    ) -> None:
        """Take where answers go, the model's doors, and what a lane does at each breath for others' sake."""
        self._post = post
        self._give_way = give_way
        self._predict = predict
        self._lasting = lasting
        self._gaps = gaps
        self._diagnose = diagnose
        self._allow = allow
        self._bell = threading.Condition()
        self._open: Question | None = None
        self._listed: dict[Path, Question] = {}
        self._sought: Question | None = None
        self._allowing: Question | None = None
        self._weighed: Build | None = None
        """Build of the last diagnosis: what is found on the same build is weighed at once, before any interval."""
        self._latest: Prediction | None = None
        self._number = 0
        self._asked = 0
        """Questions in the lane of the open prototype so far: a run of the list gives way to one, however short."""
        self._busy = 0
        self._opening = False
        self._stopped = False
        self._started = False

    def start(self) -> None:
        """Begin to work; call after the first paint."""
        if not self._started:
            self._started = True
            for name, work in (
                ("open", self._work_open), ("list", self._work_list), ("cause", self._work_sought),
                ("allow", self._work_allow),
            ):  # fmt: skip
                threading.Thread(target=work, name=f"predict-{name}", daemon=True).start()

    def stop(self) -> None:
        """Give up all questions and end the threads."""
        with self._bell:
            self._stopped = True
            self._open = self._sought = self._allowing = None
            self._listed.clear()
            self._bell.notify_all()

    def ask(self, question: Question) -> int:
        """Ask in the lane of the open prototype: takes the place of the question before; returns its number."""
        with self._bell:
            self._number += 1
            self._asked += 1
            self._open = _numbered(question, self._number)
            self._bell.notify_all()
            return self._number

    def ask_listed(self, question: Question) -> None:
        """Ask in the list's lane: takes the place of the question of the same prototype only."""
        with self._bell:
            self._number += 1
            self._listed[question.path] = _numbered(question, self._number)
            self._bell.notify_all()

    def keep_listed(self, paths: Collection[Path]) -> set[Path]:
        """Give up the questions of the list that are of other prototypes; return theirs."""
        with self._bell:
            given_up = set(self._listed) - set(paths)
            for path in given_up:
                del self._listed[path]
            return given_up

    def ask_causes(self, question: Question) -> int:
        """Ask why a prototype does not run: takes the place of the question before; returns its number."""
        with self._bell:
            self._number += 1
            self._sought = _numbered(question, self._number)
            self._bell.notify_all()
            return self._number

    @property
    def idle(self) -> bool:
        """Whether nothing is asked or being worked on."""
        with self._bell:
            return not (self._busy or self._opening or self._open or self._listed or self._sought or self._allowing)

    def _work_open(self) -> None:
        while True:
            with self._bell:
                self._bell.wait_for(lambda: self._open is not None or self._stopped)
                if self._stopped or self._open is None:
                    return
                question, self._open = self._open, None
                self._opening = True
            try:
                self._run_open(question)
            finally:
                with self._bell:
                    self._opening = False
                    self._bell.notify_all()
            _rest(self)

    def _run_open(self, question: Question) -> None:
        if self._try(question, listed=False, late=self._late):
            self._try_gaps(question, samples=SAMPLES, listed=False, late=self._late)
            if self._latest is not None and not self._late():  # last, as it costs more than all the rest
                self._try_lasting(question, self._latest)

    def _work_list(self) -> None:
        while True:
            with self._bell:
                self._bell.wait_for(lambda: (self._listed and not self._first) or self._stopped)
                if self._stopped:
                    return
                path = next(iter(self._listed))
                question = self._listed.pop(path)
                self._busy += 1
            try:
                self._run_listed(question)
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _run_listed(self, question: Question) -> None:
        """Work on the list's question; one that has to give way to the open prototype is put back."""
        asked = self._asked

        def late() -> bool:
            return self._first or self._asked != asked

        if self._try(question, listed=True, late=late):
            self._try_gaps(question, samples=question.gap_samples, listed=True, late=lambda: self._stopped)
        elif late():
            with self._bell:
                self._listed.setdefault(question.path, question)

    def _work_sought(self) -> None:
        def may() -> bool:
            """Causes wait for the open prototype; where only a finding is new, they are weighed at once."""
            return self._sought is not None and (not self._first or self._sought.build == self._weighed)

        while True:
            with self._bell:
                self._bell.wait_for(lambda: may() or self._stopped)
                if self._stopped or self._sought is None:
                    return
                question, self._sought = self._sought, None
                self._busy += 1
            try:
                if self._seek(question, self._diagnosed):
                    with self._bell:
                        self._allowing = question
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _work_allow(self) -> None:
        """Work out allowances on a thread of their own: a new finding need not wait for them."""
        while True:
            with self._bell:
                self._bell.wait_for(lambda: (self._allowing is not None and not self._first) or self._stopped)
                if self._stopped or self._allowing is None:
                    return
                question, self._allowing = self._allowing, None
                self._busy += 1
            try:
                self._seek(question, partial(_allowed, self._allow))
            finally:
                with self._bell:
                    self._busy -= 1
                    self._bell.notify_all()
            _rest(self)

    def _seek(self, question: Question, find: Callable[[Question], Answer]) -> bool:
        """Find one thing and post it; return whether to go on."""
        try:
            self._breathe_until(lambda: self._sought is not None or self._stopped)
            answer = find(question)
        except _LateError:
            return False
        except ModelError as error:
            answer = Answer(question=question, listed=False, sought=True, failure=str(error))
        except Exception as error:
            answer = Answer(question=question, listed=False, sought=True, failure=write_fault(error))
        with self._bell:
            late = self._sought is not None or self._stopped
        if not late:
            self._post(answer)
        return not (late or answer.failure or (answer.diagnosis is not None and answer.diagnosis.reason))

    def _diagnosed(self, question: Question) -> Answer:
        def tell(share: float) -> None:
            with self._bell:
                if self._sought is not None or self._stopped:
                    raise _LateError
            self._post(Answer(question=question, listed=False, sought=True, progress=share))

        found = self._diagnose(question.project, mark=question.mark, progress=tell)
        self._weighed = question.build
        return Answer(question=question, listed=False, sought=True, diagnosis=found)

    @property
    def _first(self) -> bool:
        """Whether the open prototype's lane has work, which goes first."""
        return self._open is not None or self._opening or self._stopped

    def _late(self) -> bool:
        return self._open is not None or self._stopped

    def _try(self, question: Question, *, listed: bool, late: Callable[[], bool]) -> bool:
        """Predict and post, for the list the whole, else each stage; return whether to go on."""
        whole: Prediction | None = None
        try:
            self._breathe_until(late)
            for stage in self._predict(question.project, mark=question.mark, build=question.build):
                if late():
                    return False
                first, whole = whole is None, stage
                if listed:
                    continue
                self._latest = stage
                self._post(Answer(question=question, listed=False, prediction=stage))
                with self._bell:  # a pause behind the value: while keys come, no interval is begun
                    if first and self._bell.wait_for(late, timeout=PAUSE):
                        return False
        except _LateError:
            return False
        except ModelError as error:
            self._post(Answer(question=question, listed=listed, failure=str(error)))
            return False
        except Exception as error:
            self._post(Answer(question=question, listed=listed, failure=write_fault(error)))
            return False
        if listed:
            self._post(Answer(question=question, listed=True, prediction=whole))
        return True

    def _try_gaps(self, question: Question, *, samples: int, listed: bool, late: Callable[[], bool]) -> None:
        if not question.project.readings_of(question.mark) or late():
            return
        try:
            self._breathe_until(late)
            found = self._gaps(question.project, mark=question.mark, samples=samples)
        except _LateError:
            return
        except ModelError as error:
            self._post(Answer(question=question, listed=listed, failure=str(error)))
            return
        except Exception as error:
            self._post(Answer(question=question, listed=listed, failure=write_fault(error)))
            return
        if not late():
            self._post(Answer(question=question, listed=listed, gaps=found))

    def _try_lasting(self, question: Question, prediction: Prediction) -> None:
        """Add warm-up and run time; the other figures stand without them."""
        try:
            self._breathe_until(self._late)
            more = self._lasting(question.project, mark=question.mark, build=question.build, prediction=prediction)
        except _LateError:
            return
        except Exception as error:
            write_fault(error)
            return
        if more and not self._late():
            whole = replace(prediction, figures={**prediction.figures, **more})
            self._post(Answer(question=question, listed=False, prediction=whole))

    def _breathe_until(self, late: Callable[[], bool]) -> None:
        """Between the steps of this thread's work give way, and end it where nobody waits for it any more."""

        def between() -> None:
            self._give_way()
            if late():
                raise _LateError

        breathe_by(between)


def _allowed(allow: Allow, question: Question) -> Answer:
    found = allow(question.project, mark=question.mark)
    return Answer(question=question, listed=False, sought=True, allowances=found)


def _rest(runner: Runner) -> None:
    """Where nothing more is asked, give back what the work took."""
    if runner.idle:
        trim()


def _numbered(question: Question, number: int) -> Question:
    return replace(question, number=number)
