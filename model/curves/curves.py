"""The charts of a mark, as soon as there are more of them: over speed and turn, then heat, then the other marks."""

from __future__ import annotations

from collections.abc import Iterator

from model.checkpoint import Progress, checkpoint, silent
from model.curves.basis import Basis, basis_of
from model.curves.chart import Axis, Chart, Curves
from model.curves.over_heat import heat_charts
from model.curves.over_marks import marks_charts
from model.curves.over_speed import speed_charts
from model.curves.over_turn import one_turn, turn_charts
from model.curves.where_watts_go import watts_chart
from model.explain.as_drawn import AsDrawn
from model.prediction.predict import refusal
from model.quantities.units import Kind
from model.record import Project

ORDER = (
    "power", "difference", "loop", "torque", "pressure", "volumes", "torque_speed", "temperatures", "speed", "watts",
    "best_power", "best_speed",
)  # fmt: skip
"""Keys of the charts, most looked at first."""
COMES = "Being worked out."


def curves_of(project: Project, mark: int, *, progress: Progress = silent) -> Curves:
    """Return all charts of a mark.

    Parameters
    ----------
    project, mark
        The prototype and its mark.
    progress : callable
        Told the share that is done.
    """
    *_, whole = curves_stepwise(project, mark, progress=progress)
    return whole


def curves_stepwise(project: Project, mark: int, *, progress: Progress = silent) -> Iterator[Curves]:
    """Yield the charts of a mark as soon as there are more of them; parameters as for `curves_of`.

    What was measured over the marks stands in every one; where the mark cannot be predicted it is all there is, and
    the reason says what lacks.
    """
    measured = {chart.key: chart for chart in marks_charts(project, predicted=False)}
    refused = refusal(AsDrawn(project, mark).inputs())
    basis = None if refused else basis_of(project, mark, progress=lambda share: progress(0.5 * share))
    if basis is None:
        reason = refused.reason if refused else "This mark cannot be predicted."
        yield Curves(charts=_ordered(measured), reason=reason)
        return
    progress(0.5)
    made = dict(measured)
    for step, share in ((_quick, 0.6), (_heat, 0.9)):
        made |= {chart.key: chart for chart in step(basis)}
        progress(share)
        yield Curves(charts=_ordered(made, waiting=True), learned=basis.learned)
        checkpoint()
    made |= {chart.key: chart for chart in marks_charts(project, predicted=True)}
    progress(1.0)
    yield Curves(charts=_ordered(made), learned=basis.learned)


def _quick(basis: Basis) -> tuple[Chart, ...]:
    turn = one_turn(basis)
    return (*speed_charts(basis), *turn_charts(turn), watts_chart(turn))


def _heat(basis: Basis) -> tuple[Chart, ...]:
    return heat_charts(basis)


TITLES = {
    "difference": ("Power over temperature difference", "stalls at"),
    "temperatures": ("Temperatures over the minutes", "warming"),
    "speed": ("Speed over the minutes", "speed"),
}
"""Of the charts that come late."""
_NOTHING = Axis(label="", kind=Kind.NUMBER, unit="")


def _ordered(made: dict[str, Chart], *, waiting: bool = False) -> tuple[Chart, ...]:
    """Return charts in their order; those that still come as empty ones that say so."""
    late = {
        key: Chart(key=key, title=title, short=short, x=_NOTHING, y=_NOTHING, lacks=COMES)
        for key, (title, short) in TITLES.items()
    }
    return tuple(made.get(key) or late[key] for key in ORDER if key in made or (waiting and key in late))
