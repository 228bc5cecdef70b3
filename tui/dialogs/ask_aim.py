"""Aim at something: a goal is asked for, and what would have to change is shown, least work first."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType

from tui.dialogs.answer import AnswerDialog
from tui.dialogs.ask_change import ask_change
from tui.dialogs.ask_entry import Asker
from tui.dialogs.base import LineDialog
from tui.state.changes import advice_of, ask_aim, give_up_aim
from tui.state.controller import ProjectController
from tui.text.sanitise import one_line
from tui.view.aim import EXAMPLES, aim_lines, ways_of
from tui.view.keys import AIM, Hints, hints
from tui.view.lines import Line
from tui.widgets.screen import bindings

GOAL = "goal"
"""Where a goal that was begun stands among the held texts of a file."""


EDIT = -2
"""In place of a number: the goal's text is to be edited."""


class AimDialog(AnswerDialog[int]):
    """Shows what would have to change; returns the number of the way that is chosen, -1 where none is, or `EDIT`."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(AIM)

    def __init__(self, controller: ProjectController, goal: str, *, colour: bool) -> None:
        super().__init__(controller, colour=colour)
        self.goal, self.at = goal, 0

    def ask(self) -> None:
        """Ask what would have to change."""
        ask_aim(self.controller.session, self.controller.runner, self.goal)

    def answer_lines(self, width: int, height: int) -> tuple[list[Line], int]:
        """Return the ways as far as they are there."""
        session = self.controller.session
        return aim_lines(session, session.prototype.aim, width=width, at=self.at)

    def answer_hints(self) -> Hints:
        """Keys of ways; of a goal that cannot be, the way back to its text."""
        if ways_of(self.controller.session.prototype.aim.answer):
            return hints(AIM)
        again: Hints = (("Enter", "another goal"),) if self.wrong else ()
        return (*again, *hints(AIM, "close"))

    @property
    def wrong(self) -> bool:
        """Whether the goal could not be understood, or nothing can be told of it."""
        asked = self.controller.session.prototype.aim
        return not asked.pending and (bool(asked.failure) or (asked.answer is not None and bool(asked.answer.reason)))

    def action_move(self, step: int) -> None:
        """Go to another way."""
        ways = ways_of(self.controller.session.prototype.aim.answer)
        self.at = max(0, min(len(ways) - 1, self.at + step))
        self.draw()

    def action_take(self) -> None:
        """Open the way under the cursor; of a goal that cannot be, go back to its text."""
        if ways_of(self.controller.session.prototype.aim.answer):
            self.dismiss(self.at)
        elif self.wrong:
            self.dismiss(EDIT)

    def action_close(self) -> None:
        """Go back; what is being computed ends."""
        self.dismiss(-1)


async def ask_goal(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Ask for a goal and show the ways to it; a way can be opened, and put into a scratch copy."""
    session, draft_store = controller.session, controller.persistence.draft_store
    path, goal, chosen = session.prototype.path, "", EDIT
    while chosen == EDIT:
        asked = LineDialog(
            f"What is Mk {session.number} to do?", f"For instance {EXAMPLES}.", goal or draft_store.held(path, GOAL),
            colour=colour, hold=lambda text: draft_store.hold(path, GOAL, text),
        )  # fmt: skip
        goal, use = await app.push_screen_wait(asked)
        goal = one_line(goal).strip()
        if not use:
            return
        draft_store.hold(path, GOAL, "")
        if not goal or session.current != path:
            return
        chosen = await app.push_screen_wait(AimDialog(controller, goal, colour=colour))
        ways = ways_of(session.prototype.aim.answer)
        give_up_aim(session, controller.runner)
    advice = advice_of(session)
    if 0 <= chosen < len(ways):
        running = advice is None or advice.running
        note = advice.note if advice else ""
        await ask_change(app, controller, ways[chosen][0], running=running, note=note, colour=colour)
