"""The pane of the curves: one at a time, read with a cursor, zoomed, written to a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult

from tui.dialogs.ask_file import ask_file
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.curves import are_old, curves_of
from tui.view.chart import NO_LOOK, Look
from tui.view.chart_look import first_look, moved, zoomed
from tui.view.curves import below_lines, curves_lines
from tui.view.keys import CURVES, Hints, hints
from tui.view.layout import Room
from tui.view.lines import Line
from tui.widgets.listing import Listing
from tui.widgets.screen import own_keys

if TYPE_CHECKING:
    from model.curves.chart import Chart, Curves


class CurvesPane(Pane):
    """Shows the curves of the mark or scratch copy that is looked at."""

    room: ClassVar[Room] = Room.ALL
    wants_curves: ClassVar[bool] = True

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.listing.keys = own_keys(CURVES, self)
        self.key = ""
        """Key of the curve that is shown; empty: the first."""
        self.looks: dict[tuple[object, str], Look] = {}
        """How each is looked at, by what it is of and its key."""

    def compose(self) -> ComposeResult:
        """The curve."""
        yield self.listing

    @property
    def curves(self) -> Curves | None:
        """What was worked out of the mark that is looked at."""
        return curves_of(self.controller.session)

    @property
    def number(self) -> int:
        """Number of the curve that is shown, from 0."""
        charts = self.curves.charts if self.curves else ()
        return next((number for number, chart in enumerate(charts) if chart.key == self.key), 0)

    @property
    def chart(self) -> Chart | None:
        """The curve that is shown."""
        return self.curves.charts[self.number] if self.curves and self.curves.charts else None

    @property
    def look(self) -> Look:
        """How it is looked at."""
        chart = self.chart
        if chart is None or chart.empty:
            return NO_LOOK
        return self.looks.get(self._place(chart)) or first_look(chart)

    def _place(self, chart: Chart) -> tuple[object, str]:
        session = self.controller.session
        return (session.current, session.number, session.scratch_key), chart.key

    # -- drawing ------------------------------------------------------------------------------------------------

    def refresh_pane(self) -> None:
        """Draw the curve."""
        width, height = self.listing.size
        if width <= 0 or height <= 0:
            return
        state = self.controller.session.prototype.curves
        self.listing.show_lines(
            curves_lines(
                self.curves, self.number, self.look, width=width, height=height, plain=self.plain, age=self.age,
                failure=state.failure,
            )
        )  # fmt: skip

    @property
    def age(self) -> str:
        """How the curves stand to the texts."""
        session = self.controller.session
        state = session.prototype.curves
        if state.pending:
            learning = session.prototype.knowledge
            first = learning.pending and not state.share
            share = learning.share if first else state.share
            return f"{'learning first' if first else 'computing'}{f' {100 * share:.0f} %' if share else ''}"
        return "old: leave the field" if are_old(session) else "up to date"

    def take_focus(self) -> None:
        """Keys go to the curve."""
        self.screen.set_focus(self.listing, scroll_visible=False)

    def advice(self, width: int, height: int) -> list[Line]:
        """Say which line is which, and what it stands on."""
        return below_lines(self.chart, width, plain=self.plain)[:height] if self.chart else []

    def hints(self) -> Hints:
        """Keys of the curves."""
        return hints(CURVES)

    # -- keys ---------------------------------------------------------------------------------------------------

    def action_move_curve(self, step: int) -> None:
        """Turn to another curve, round and round."""
        if self.curves and self.curves.charts:
            self.key = self.curves.charts[(self.number + step) % len(self.curves.charts)].key
            self.refresh_pane()
            self.post_message(self.Changed())

    def action_move_cursor(self, steps: int) -> None:
        """Move the cursor so many steps."""
        self._look_anew(moved, steps)

    def action_zoom(self, times: float) -> None:
        """Zoom in at the cursor so many times; nil shows all of it again."""
        self._look_anew(zoomed, times)

    def _look_anew(self, change: object, by: float) -> None:
        chart = self.chart
        if chart is not None and not chart.empty and callable(change):
            self.looks[self._place(chart)] = change(chart, self.look, by)
            self.refresh_pane()

    @work
    async def action_write(self) -> None:
        """Ask for the name of a file, and write the curve to it."""
        chart = self.chart
        if chart is not None and not chart.empty:
            await ask_file(self.app, self.controller, chart, colour=self.colour)
            self.post_message(self.FieldLeft())
