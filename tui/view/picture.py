"""The picture beside a form or a list on a large screen: the engine where it is built, else a curve. Pure.

It is drawn where the keys rest, and only from what is worked out already or was asked for it.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from model.prediction.result import Verdict
from tui.state.curves import curves_of
from tui.state.engine import engine_of
from tui.state.session import Session
from tui.view.lines import Line, cut, wrapped
from tui.view.panel import measured_dots
from tui.view.plot import power_plot

if TYPE_CHECKING:
    from model.curves.chart import Chart
    from model.drawing.contacts import Contact
    from model.drawing.plan import Plan

BUILT = ("dimensions", "materials")
"""Panes beside which the engine stands: a field of theirs is seen on it."""
CHARTS = {"heat": "difference", "results": "power", "diary": "best_power", "next": "watts"}
"""Panes beside which a curve stands, and its key."""
FLATTEST = 2.2
"""Columns for each line of a curve at least: one that is higher than wide is hard to read."""
SMALL = 20
"""Lines below which cylinders and pistons are drawn alone, larger, unless the field is on the crank or wheel."""
DEGREE = 30
"""Crank angle: not 0, where the displacer hides what lies under it."""


def asks_curves(pane: str) -> bool:
    """Whether curves are worked out for what stands beside a pane; beside What next those that are there are shown."""
    return pane in CHARTS and pane != "next"


def shows_engine(pane: str) -> bool:
    """Whether the engine stands beside a pane."""
    return pane in BUILT


def picture_lines(session: Session, pane: str, field: str, *, width: int, height: int, plain: bool) -> list[Line]:
    """Return a picture with its title; nothing where there is none.

    Parameters
    ----------
    session
        The open prototype.
    pane : str
        Key of the pane that is shown.
    field : str
        Name of the field under the cursor, which is pointed at; empty: none.
    width, height : int
        Cells to fill.
    plain : bool
        Whether only ASCII may be used.
    """
    if shows_engine(pane):
        return _engine(session, field, width, height, plain)
    return _curve(session, CHARTS.get(pane, ""), width, height, plain)


def _engine(session: Session, field: str, width: int, height: int, plain: bool) -> list[Line]:
    view, state = engine_of(session), session.prototype.engine
    title: Line = (("Engine to scale", "head"), ("   e: turn it", "aside"))
    if view is None:
        text = state.failure or "The engine is being drawn."
        return [title, *wrapped(text, width, role="flag" if state.failure else "aside")]
    return [title, *_drawn(view.plan, view.contacts, field, width, height - 1, plain)]


@lru_cache(maxsize=4)
def _drawn(
    plan: Plan, contacts: tuple[Contact, ...], field: str, width: int, height: int, plain: bool
) -> tuple[Line, ...]:
    from tui.view.engine import picture  # loaded for large screens alone

    for close in (True, False) if height < SMALL else (False,):
        lines = picture(plan, contacts, DEGREE, width=width, height=height, plain=plain, focus=field, close=close)
        if not field or any(role == "on" for line in lines for _, role in line):
            break
    return tuple(lines)


def _curve(session: Session, key: str, width: int, height: int, plain: bool) -> list[Line]:
    """Return the chart of a pane; until it is worked out, power over speed as the prediction has it."""
    curves = curves_of(session)
    chart = next((each for each in curves.charts if each.key == key and not each.empty), None) if curves else None
    if chart is not None:
        return _chart(chart, width, height, plain)
    prediction = (session.before or session.prototype.outlook).prediction
    if prediction is None or prediction.verdict is Verdict.NO_PREDICTION:
        return []
    rows = min(height - 1, round(width / FLATTEST))
    lines = power_plot(prediction.curve, width=width, height=rows, plain=plain, dots=measured_dots(session))
    return [((cut("Power over speed", width), "head"),), *lines] if lines else []


def _chart(chart: Chart, width: int, height: int, plain: bool) -> list[Line]:
    from tui.view.chart import chart_lines, legend  # loaded for large screens alone

    title: Line = ((cut(chart.title, width - 20), "head"), ("   p: read it", "aside"))
    says = wrapped(chart.says, width, role="strong")[:2]
    words = legend(chart, plain=plain)
    foot = wrapped(words, width)[:2] if words else []
    rows = min(height - 1 - len(says) - len(foot), round(width / FLATTEST))
    return [title, *says, *chart_lines(chart, width=width, height=rows, plain=plain), *foot]
