"""The model API as the screens use them: what each is called with, and the model behind it.

Each imports the model at its first call, on the thread that calls it, so that numpy waits for the first paint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias

from model.fields import Build
from model.prediction.result import Figure, Gap, Prediction
from model.record import Project

if TYPE_CHECKING:
    from model.changes.result import Advice, Aim, Breakdown, Comparison, Row
    from model.curves.chart import Curves
    from model.drawing.result import EngineView
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Diagnosis
    from model.knowledge.result import Expected, Knowledge

TRIED = "scratch"
"""Name of the scratch copy in a comparison."""
ADVICE = 0.7
"""Share of the work on what next that is the list of changes; the rest takes the newest reading apart."""
SAMPLES = 100
"""Samples of an interval."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowQuestion:
    """What an engine does at a row of values."""

    field: str
    """Name of a field that takes a number."""
    texts: Mapping[str, str]
    """Texts of the build that it stands on: the mark's, or those of its scratch copy."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextQuestion:
    """What to change next, and what an engine loses by."""

    apart: bool
    """Whether the newest reading is to be taken apart too: that learns anew without it, which takes as long again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AimQuestion:
    """What would have to change for an engine to do something."""

    goal: str
    """As typed: ``150 rpm``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareQuestion:
    """What a scratch copy does on the engines that its mark could be."""

    texts: Mapping[str, str]
    """Texts of its build."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvesQuestion:
    """What an engine does over speed, turn, temperature difference, minutes and marks."""

    project: Project
    """With the scratch copy that is looked at in place of its mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineQuestion:
    """What an engine looks like, and what its air does over a turn."""

    build: Build
    speed: float | None
    """At which the turn is solved, [rad/s]; None: only what it looks like."""


Question: TypeAlias = RowQuestion | NextQuestion | AimQuestion | CompareQuestion | CurvesQuestion | EngineQuestion
Answer: TypeAlias = "Row | Advice | Breakdown | Aim | Comparison | Curves | EngineView"


class Predict(Protocol):
    """A prediction as soon as there is more of it."""

    def __call__(self, project: Project, *, mark: int, build: Build) -> Iterator[Prediction]: ...


class Lasting(Protocol):
    """Warm-up and run time."""

    def __call__(
        self, project: Project, *, mark: int, build: Build, prediction: Prediction
    ) -> Mapping[str, Figure]: ...


class Gaps(Protocol):
    """The gaps of a mark."""

    def __call__(self, project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]: ...


class Diagnose(Protocol):
    """The diagnosis of an engine that does not run."""

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis: ...


class Allowances(Protocol):
    """The allowances of an engine: what it can bear and still run."""

    def __call__(self, project: Project, *, mark: int) -> tuple[Allowance, ...]: ...


class Learn(Protocol):
    """What a mark has shown, from everything that was found on it and before."""

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> Knowledge: ...


class Look(Protocol):
    """What the engines of before say of a new finding, at once; None where they cannot."""

    def __call__(self, project: Project, *, mark: int) -> Knowledge | None: ...


class Expect(Protocol):
    """What was to be expected at the readings of a mark, each from all but its own visit."""

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> tuple[Expected, ...]: ...


class Changes(Protocol):
    """The answer to a question about changes, as soon as there is more of it."""

    def __call__(
        self, project: Project, *, mark: int, question: Question, progress: Callable[[float], None]
    ) -> Iterator[Answer]: ...


def default_changes(
    project: Project, *, mark: int, question: Question, progress: Callable[[float], None]
) -> Iterator[Answer]:
    """Try changes on the engines that the build could be; look at the engine."""
    if isinstance(question, EngineQuestion):
        from model.drawing.engine import engine_stepwise

        yield from engine_stepwise(project, mark, build=question.build, speed=question.speed)
    elif isinstance(question, RowQuestion):
        from model.changes.sweep import sweep

        yield from sweep(project, mark, question.field, build=question.texts, progress=progress)
    elif isinstance(question, NextQuestion):
        from model.changes.advice import advice
        from model.changes.breakdown import breakdowns

        whole = ADVICE if question.apart else 1.0
        yield from advice(project, mark, progress=lambda share: progress(whole * share))
        if not question.apart:
            return
        for newest in breakdowns(project, mark, progress=lambda share: progress(ADVICE + (1 - ADVICE) * share)):
            yield newest
            break
    elif isinstance(question, CurvesQuestion):
        from model.curves.curves import curves_stepwise

        yield from curves_stepwise(question.project, mark, progress=progress)
    elif isinstance(question, CompareQuestion):
        from model.changes.compare import compare

        yield compare(project, mark, {TRIED: question.texts}, progress=progress)
    else:
        from model.changes.aim import aim

        yield aim(project, mark, question.goal, progress=progress)


def no_changes(
    project: Project, *, mark: int, question: Question, progress: Callable[[float], None]
) -> Iterator[Answer]:
    """Answer nothing."""
    yield from ()


def default_learn(project: Project, *, mark: int, progress: Callable[[float], None]) -> Knowledge:
    """Learn from all that was found."""
    from model.knowledge.learn import learn

    return learn(project, mark, progress=progress)


def default_look(project: Project, *, mark: int) -> Knowledge | None:
    """Weigh the engines of before."""
    from model.knowledge.first_look import first_look

    return first_look(project, mark)


def no_look(project: Project, *, mark: int) -> Knowledge | None:
    """Look at nothing first."""
    return None


def no_learn(project: Project, *, mark: int, progress: Callable[[float], None]) -> Knowledge:
    """Learn nothing."""
    from model.knowledge.result import Knowledge
    from model.prediction.result import Verdict

    return Knowledge(mark=mark, prediction=Prediction(verdict=Verdict.NO_PREDICTION))


def default_expect(project: Project, *, mark: int, progress: Callable[[float], None]) -> tuple[Expected, ...]:
    """Work out what was to be expected at each reading."""
    from model.knowledge.expect import expected

    return expected(project, mark, progress=progress)


def no_expect(project: Project, *, mark: int, progress: Callable[[float], None]) -> tuple[Expected, ...]:
    """Expect nothing."""
    return ()


def default_predict(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
    """Call the model."""
    from model.explain.outlook import outlook_stepwise

    yield from outlook_stepwise(project, mark=mark, build=build, samples=SAMPLES)


def default_lasting(project: Project, *, mark: int, build: Build, prediction: Prediction) -> Mapping[str, Figure]:
    """Work out warm-up and run time."""
    from model.explain.lasting import lasting

    return lasting(project, mark=mark, prediction=prediction, build=build)


def no_lasting(project: Project, *, mark: int, build: Build, prediction: Prediction) -> Mapping[str, Figure]:
    """Work out neither."""
    return {}


def default_gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
    """Call the gap."""
    from model.explain.gap import gaps

    return gaps(project, mark=mark, samples=samples)


def default_diagnose(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
    """Diagnose why it does not run."""
    from model.knowledge.not_running import diagnose

    return diagnose(project, mark=mark, progress=progress)


def default_allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
    """Work out the allowances from what the mark has shown."""
    from model.knowledge.allowances import allowances_of

    return allowances_of(project, mark=mark)
