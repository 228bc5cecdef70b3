"""The one door to the model: a build and what was measured in, a `Prediction` out. Opens no file."""

from __future__ import annotations

from collections.abc import Callable

from model.fields import Build
from model.prediction import Prediction, Verdict


def predict(
    build: Build,
    *,
    samples: int = 200,
    seed: int = 1,
    cancelled: Callable[[], bool] = lambda: False,
) -> Prediction:
    """Predict what an engine will do.

    Parameters
    ----------
    build : Build
        What is known of it; None where it is not.
    samples : int
        Number of samples of the uncertain inputs; 0 gives values without intervals, quickly.
    seed : int
        Seed of the samples; equal seeds give equal results.
    cancelled : callable
        Polled between solves; when true the work stops early with what there is.
    """
    return Prediction(verdict=Verdict.NO_PREDICTION, reason="There is no model for this layout.")
