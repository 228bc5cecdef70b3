"""What is to be measured first on a mark: the one place that decides it, for list, panel and What next. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.checks.seen_running import Standing, standing_of
from model.prediction.result import Verdict
from tui.state.prototype import Prototype
from tui.text.promise import first_reading_text
from tui.text.verdicts import first_test_text

if TYPE_CHECKING:
    from model.explain.diagnosis.diagnose import Advice


NOT_TRIED = "not tried yet"


def first_test_of(prototype: Prototype, number: int) -> str:
    """Return what to measure first and what it would mean; empty where that is said elsewhere, or it runs.

    Of an engine that was tried and does not run the diagnosis says it, once it was asked; of a changed mark the reading
    that the mark before has; of any other the test that the drawing leaves most to.
    """
    project, prediction = prototype.project, prototype.outlook.prediction
    standing = standing_of(project, number)
    if standing is Standing.RUNS:
        return ""
    if standing is Standing.STOPS:
        return _of_diagnosis(prototype, number)
    if standing is Standing.UNTRIED and (compared := first_reading_text(project, number)):
        return f"{NOT_TRIED}. {compared.removesuffix('.')}"
    if prediction is None or prediction.verdict in (Verdict.NO_PREDICTION, Verdict.DOES_NOT_RUN):
        return ""
    return first_test_text(prediction, measured=bool(project.readings_of(number)))


def _of_diagnosis(prototype: Prototype, number: int) -> str:
    state = prototype.diagnosis
    test = state.answer.next if state.answer is not None and state.mark == number else None
    return f"next test: {test.label} ({test.minutes:.0f} min)" if test is not None and test.minutes else ""


def in_order(prototype: Prototype, number: int, tests: tuple[Advice, ...]) -> tuple[Advice, ...]:
    """Return tests with the one first that the drawing leaves most to, where nothing was tried on the mark."""
    prediction = prototype.outlook.prediction
    first = prediction.first_test if prediction is not None else None
    if first is None or standing_of(prototype.project, number) in (Standing.RUNS, Standing.STOPS):
        return tests
    from model.explain.diagnosis.bench_tests import bench_test  # loads much

    return tuple(sorted(tests, key=lambda test: first.key not in (test.key, *bench_test(test.key).yields)))
