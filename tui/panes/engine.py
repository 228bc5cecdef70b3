"""The pane of the engine: to scale, turned by keys or slowly by itself, with what the air does at each angle.

It turns only while it is looked at, at most four steps a second. It stops after a minute without a key, and as soon as
something that was drawn still waits for the terminal.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.timer import Timer

from model.drawing.plan import DEGREES
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.engine import engine_of
from tui.textual_patches.writer import line_waits
from tui.view.engine import picture, width_of_picture
from tui.view.keys import ENGINE, Hints, hints
from tui.view.layout import Room
from tui.view.lines import Line, width_of, wrapped
from tui.view.moment import BESIDE, below_lines, moment_lines, next_contact, no_contact
from tui.widgets.listing import Listing
from tui.widgets.screen import own_keys

if TYPE_CHECKING:
    from model.drawing.result import EngineView

STEP = 5
"""Degrees of a step of the turning engine."""
PAUSE = 0.25
"""Between two steps, [s]."""
ALONE = 60.0
"""How long it turns without a key, [s]."""


class EnginePane(Pane):
    """Shows the engine at an angle."""

    room = Room.ALL
    wants_engine = True

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.listing.keys = own_keys(ENGINE, self)
        self.degree = 30
        """Crank angle; not 0, where the displacer hides what lies under it."""
        self.focus_field = ""
        """Name of the field that is pointed at; empty: none."""
        self.close = False
        self._timer: Timer | None = None
        self._until = 0.0

    def compose(self) -> ComposeResult:
        """The picture with its figures."""
        yield self.listing

    @property
    def view(self) -> EngineView | None:
        """What the engine looks like; None while it is not known."""
        return engine_of(self.controller.session)

    @property
    def turning(self) -> bool:
        """Whether it turns by itself."""
        return self._timer is not None

    # -- drawing ------------------------------------------------------------------------------------------------

    def refresh_pane(self) -> None:
        """Draw picture and figures."""
        width, height = self.listing.size
        if width <= 0 or height <= 0:
            return
        view, state = self.view, self.controller.session.prototype.engine
        if view is None:
            text = state.failure or "The engine is being drawn."
            self.listing.show_lines(wrapped(text, width, role="flag" if state.failure else "aside"))
            return
        room = width_of_picture(view.plan, width - BESIDE - 2, height, close=self.close)
        drawn = picture(
            view.plan, view.contacts, self.degree, width=room, height=height, plain=self.plain,
            focus=self.focus_field, close=self.close,
        )  # fmt: skip
        waiting = view.turn is None and (state.pending or self.controller.session.prototype.outlook.pending)
        figures = moment_lines(view, self.degree, BESIDE, waiting=waiting, plain=self.plain)
        self.listing.show_lines(_side_by_side(drawn, figures, room, height))

    def advice(self, width: int, height: int) -> list[Line]:
        """What is pointed at, what lacks, what to look out for."""
        view, field = self.view, self.focus_field
        if view is None:
            return []
        flagged = field in self.controller.session.parsed.problems
        return below_lines(view, self.degree, field, width, flagged=flagged)[:height]

    def take_focus(self) -> None:
        """Keys go to the picture."""
        self.listing.focus()

    def come_from(self, before: Pane) -> None:
        """Point at the field that was under the cursor."""
        self.focus_field = before.field_at
        self.refresh_pane()
        self.post_message(self.Changed())

    def leave(self) -> None:
        """It turns only while it is looked at."""
        self._stop()
        self.focus_field = ""

    def hints(self) -> Hints:
        """Keys of the picture."""
        more = hints(ENGINE, "next_contact") if self.view and self.view.contacts else ()
        own = tuple(
            ("Space", "stop") if key == "Space" and self.turning else (key, word) for key, word in hints(ENGINE)
        )
        return (*own, ("e", "back"), *more, *hints(ENGINE, "turn_by(90)"))

    # -- keys ---------------------------------------------------------------------------------------------------

    def action_turn_by(self, degrees: int) -> None:
        """Turn it on, or back."""
        self._until = time.monotonic() + ALONE
        self._turn(self.degree + degrees)

    def action_turn_to(self, degree: int) -> None:
        """Turn it to an angle."""
        self._turn(degree)

    def action_next_contact(self) -> None:
        """Turn it to where parts come closest, or say that none do."""
        if self.view is None:
            return
        if self.view.contacts:
            self._turn(next_contact(self.view, self.degree))
        else:
            self.controller.tell(no_contact(self.view))
            self.post_message(self.Changed())

    def action_close_up(self) -> None:
        """Show cylinders and pistons larger, or all of it."""
        self.close = not self.close
        self.refresh_pane()

    def action_run(self) -> None:
        """Let it turn, or stop it."""
        if self.turning:
            self._stop()
        else:
            self._until = time.monotonic() + ALONE
            self._timer = self.set_interval(PAUSE, self.step)
        self.post_message(self.Changed())

    def step(self) -> None:
        """Turn on by a step; or stop, where nobody looks or the line is slow."""
        seen = self.visible and self.app.screen is self.screen
        if not seen or time.monotonic() > self._until or line_waits(self.app):
            self._stop()
            self.post_message(self.Changed())
            return
        self._turn(self.degree + STEP)

    def _turn(self, degree: int) -> None:
        self.degree = degree % DEGREES
        self.refresh_pane()

    def _stop(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None


def _side_by_side(left: list[Line], right: list[Line], width: int, height: int) -> list[Line]:
    """Return the picture with its figures to the right, two columns between."""
    lines: list[Line] = []
    for row in range(height):
        one = left[row] if row < len(left) else ()
        gap = " " * (width - width_of(one) + 2)
        lines.append((*one, (gap, ""), *(right[row] if row < len(right) else ())))
    return lines
