"""A prototype's outlook: its build and what was measured on it, resolved and predicted together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from model.bench.evidence import left_behind
from model.explain.as_drawn import AsDrawn
from model.explain.lasting import lasting
from model.fields import Build
from model.prediction.predict import predict_stepwise
from model.prediction.result import Prediction
from model.record import Project


def outlook(
    project: Project,
    *,
    mark: int,
    build: Build | None = None,
    samples: int = 100,
    seed: int = 1,
) -> Prediction:
    """Predict a mark of a project with the evidence of its own readings.

    Parameters
    ----------
    project : Project
        The prototype.
    mark : int
        Number of the mark, which need not exist (then nothing is known of it).
    build : Build, optional
        What is known of it, when that is not what its texts say (a field is flagged and the last good build stands).
    samples, seed
        As for `model.prediction.predict.predict`.
    """
    *_, whole = outlook_stepwise(project, mark=mark, build=build, samples=samples, seed=seed)
    return whole


def outlook_stepwise(
    project: Project, *, mark: int, build: Build | None = None, samples: int = 100, seed: int = 1
) -> Iterator[Prediction]:
    """Yield the outlook as soon as there is more of it, as `predict_stepwise` does; parameters as for `outlook`."""
    model_inputs = AsDrawn(project, mark, build=build).inputs()
    warnings = tuple(
        f"{word} was measured on Mk {number}: as drawn leaves it out, what the engine has shown takes it over. "
        f"Measure it on Mk {mark}, or type it if nothing "
        "about it changed."
        for word, number in left_behind(project, mark).items()
    )
    for prediction in predict_stepwise(model_inputs, samples=samples, seed=seed):
        yield replace(prediction, warnings=(*prediction.warnings, *warnings)) if warnings else prediction


def whole_outlook(project: Project, *, mark: int) -> Prediction:
    """Return the outlook of a mark with how long it takes to warm up and how long it lasts: for sheets."""
    prediction = outlook(project, mark=mark)
    return replace(prediction, figures={**prediction.figures, **lasting(project, mark=mark, prediction=prediction)})
