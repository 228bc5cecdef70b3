"""A change of the list: what it brings and needs; put it into a scratch copy, or begin the mark that has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.dialogs.ask_entry import Asker
from tui.dialogs.ask_project import ask_touched
from tui.dialogs.base import ChoiceDialog, Option
from tui.state.controller import ProjectController
from tui.state.scratches import begin_with, made_as_mark
from tui.text.labels import full_label
from tui.view.next import effect_text

if TYPE_CHECKING:
    from model.changes.result import Option as Change


async def ask_change(
    app: Asker, controller: ProjectController, change: Change, *, running: bool, note: str, colour: bool
) -> None:
    """Tell a change in full and do with it what is answered; Escape goes back."""
    following = controller.session.prototype.project.latest.number + 1
    texts = "; ".join(f"{full_label(name)}: {text or '?'}" for name, text in change.texts.items())
    options = (
        *((Option(key="s", label="Put it into a scratch copy", help=f"{texts}. The file stays as it is."),)
          if change.texts else ()),
        Option(key="m", label=f"It is made: begin Mk {following} with it",
               help="What is promised for it is kept with the mark, and held against what comes."),
    )  # fmt: skip
    parts = [effect_text(change.effect, change, running=running)]
    parts += [f"Needs: {change.needs}."] if change.needs else []
    parts += [f"(!) {change.caution}"] if change.caution else []
    parts.append(f"Size of the step: {change.source}.")
    parts += [note] if note else []
    title = f"{change.words[0].upper()}{change.words[1:]}"
    answer = await app.push_screen_wait(ChoiceDialog(title, " ".join(parts), options, colour=colour))
    if answer == "s":
        begin_with(controller, change)
    elif answer == "m":
        made_as_mark(controller, change)
        await ask_touched(app, controller, colour)
