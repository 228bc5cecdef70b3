"""The pane What next: of a running engine what it loses by and what to change, of another why it does not run.

Causes and tests come from `notrunning`; this adds the changes, which an engine that does not run shows at a key.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import work

from model.checks.seen_running import Standing, standing_of
from tui.dialogs.ask_aim import ask_goal
from tui.dialogs.ask_change import ask_change
from tui.panes.notrunning import NotRunningPane, seen_by
from tui.state.changes import advice_of
from tui.view.keys import NEXT, Hints, hints
from tui.view.layout import READABLE
from tui.view.lines import Line
from tui.view.next import about_option, all_lines, next_lines

if TYPE_CHECKING:
    from model.changes.result import Option


class NextPane(NotRunningPane):
    """Shows what to change next, and what keeps the engine from running or from its power."""

    option_at = ""
    """Key of the change under the cursor; empty for the first."""
    turned: tuple[int, bool] | None = None
    """Number of the mark of which the other face was asked for, and whether that is its changes."""

    @property
    def on_changes(self) -> bool:
        """Whether changes come before causes: of every mark but one that was tried and does not run, unless turned."""
        session = self.controller.session
        if self.turned is not None and self.turned[0] == session.number:
            return self.turned[1]
        return standing_of(session.prototype.project, session.number) is not Standing.STOPS

    @property
    def shows_changes(self) -> bool:
        """Whether the changes are the face that is shown, once they are asked; without a prediction never."""
        state = self.controller.session.prototype.next
        if seen_by(self) is None and not self.on_changes:
            return False
        there = state.answer is not None and (not state.answer.reason or seen_by(self) is not None)
        return there or (state.answer is None and state.pending)

    @property
    def options(self) -> tuple[Option, ...]:
        """The changes that can be turned to."""
        advice = advice_of(self.controller.session)
        return advice.options if advice and self.shows_changes else ()

    @property
    def option_number(self) -> int:
        """Number of the change under the cursor, from 0."""
        return next((n for n, option in enumerate(self.options) if option.key == self.option_at), 0)

    def show_face(self) -> None:
        """Draw changes, or causes."""
        if not self.shows_changes:
            super().show_face()
            return
        width, height = max(40, min(READABLE, self.listing.size.width)), self.listing.size.height
        lines, here = next_lines(self.controller.session, width, height, at=self.option_number)
        top = max(0, min(here - height + 2, len(lines) - height))
        self.listing.show_lines(lines, top)

    def why(self, width: int) -> list[Line]:
        """Return everything, what is shown first: changes and losses, or causes."""
        advice, causes = advice_of(self.controller.session), super().why(width)
        if advice is not None and advice.reason and causes:
            return causes  # the causes say why there is nothing
        changes = all_lines(self.controller.session, width)
        return [*changes, *causes] if self.shows_changes else [*causes, *changes]

    def advice(self, width: int, height: int) -> list[Line]:
        """Say what the change under the cursor brings and needs."""
        if self.form.opened is not None or not self.shows_changes:
            return super().advice(width, height)
        advice = advice_of(self.controller.session)
        if advice is None or not self.options:
            return []
        return about_option(self.options[self.option_number], width, running=advice.running)[:height]

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.form.opened is not None:
            return self.form.hints()
        turned = seen_by(self) is None
        if not self.shows_changes:
            causes, cause = super().hints(), hints(NEXT, "move_cause(1)")
            first = (
                (*causes[:2], *(hint for hint in cause if hint in causes), *hints(NEXT, "turn_face")) if turned else ()
            )
            return (*first, *(hint for hint in causes if hint not in first), *hints(NEXT, "aim"))
        own: Hints = (("Enter", "details"), ("Up, Down".replace(",", ""), "change")) if self.options else ()
        face: Hints = (("c", "causes"),) if turned else ()
        return (*own, *hints(NEXT, "aim"), *face, ("w", "all of it"), *hints(NEXT, "symptom", "add"))

    def action_turn_face(self) -> None:
        """Turn between causes and changes of an engine that does not run."""
        if seen_by(self) is None:
            self.turned = (self.controller.session.number, not self.on_changes)
            self._redraw(top=0)

    def action_move_row(self, step: int) -> None:
        """Turn to another change, or to another test."""
        options = self.options
        if not self.shows_changes:
            super().action_move_row(step)
        elif options:
            self.option_at = options[max(0, min(len(options) - 1, self.option_number + step))].key
            self._redraw(top=0)

    def action_scroll_lines(self, step: int) -> None:
        """Show what is below or above; among changes, go on by so many."""
        if self.shows_changes:
            self.action_move_row(step)
        else:
            super().action_scroll_lines(step)

    def action_move_cause(self, step: int) -> None:
        """Go to another cause; among changes, to another change."""
        if self.shows_changes:
            self.action_move_row(step)
        else:
            super().action_move_cause(step)

    def action_write(self) -> None:
        """Open the change under the cursor; of causes, write down what was seen."""
        if self.shows_changes:
            self._open_change()
        else:
            super().action_write()

    @work
    async def _open_change(self) -> None:
        """Show what the change under the cursor brings, and do with it what is answered."""
        advice = advice_of(self.controller.session)
        if advice is not None and self.options:
            change, running, note = self.options[self.option_number], advice.running, advice.note
            await ask_change(self.app, self.controller, change, running=running, note=note, colour=self.colour)
            self.post_message(self.FieldLeft())

    @work
    async def action_aim(self) -> None:
        """Ask for a goal, and show what would have to change."""
        await ask_goal(self.app, self.controller, self.colour)
        self.post_message(self.FieldLeft())
