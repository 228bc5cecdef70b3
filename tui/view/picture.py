"""The picture beside a form or a list on a large screen: the curve that matters for what is shown there. Pure."""

from __future__ import annotations

from model.prediction.result import Verdict
from tui.state.session import Session
from tui.view.lines import Line, cut
from tui.view.panel import measured_dots
from tui.view.plot import power_plot

FLATTEST = 2.2
"""Columns for each line of a curve at least: one that is higher than wide is hard to read."""


def picture_lines(session: Session, *, width: int, height: int, plain: bool) -> list[Line]:
    """Return a picture with its title; nothing where there is none."""
    prediction = (session.before or session.prototype.outlook).prediction
    if prediction is None or prediction.verdict is Verdict.NO_PREDICTION:
        return []
    rows = min(height - 1, round(width / FLATTEST))
    lines = power_plot(prediction.curve, width=width, height=rows, plain=plain, dots=measured_dots(session))
    return [((cut("Power over speed", width), "head"),), *lines] if lines else []
