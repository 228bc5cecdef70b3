"""What if: scratch copies of a mark. Which to look at, its name, keep it as the next mark, throw it away.

Called by the project screen from a worker; the answers go to the controller.
"""

from __future__ import annotations

from tui.dialogs.ask_entry import Asker
from tui.dialogs.ask_project import ask_touched
from tui.dialogs.base import ChoiceDialog, LineDialog, Option
from tui.state.controller import ProjectController
from tui.state.scratch import LONGEST_NAME, Scratch, changes_of, free_name
from tui.state.scratches import begin_scratch, drop_scratch, keep_scratch, look_at_scratch, rename_scratch
from tui.text.sanitise import one_line

ABOUT = (
    "Change anything in the form and see both. A scratch copy stays in the draft of this notebook, over a kill too; "
    "the file has nothing of it before it is kept as a mark."
)


async def ask_scratch(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Offer what can be done with scratch copies; where there are none, begin one."""
    session = controller.session
    prototype, scratch = session.prototype, session.scratch
    if not prototype.scratches:
        await _ask_name(app, controller, colour)
        return
    options = (*(_of_this(controller, scratch) if scratch else ()), *_others(controller))
    head = f"What if: scratch copy {scratch.name}" if scratch else "What if: scratch copies"
    answer = await app.push_screen_wait(ChoiceDialog(head, ABOUT, options, colour=colour))
    if answer == "k":
        await _ask_reason(app, controller, colour)
    elif answer == "d":
        drop_scratch(controller)
    elif answer == "m":
        controller.look_at(session.number)
    elif answer == "r" and scratch:
        await _ask_name(app, controller, colour, of=scratch)
    elif answer == "n":
        await _ask_name(app, controller, colour)
    elif answer.startswith("look "):
        look_at_scratch(controller, answer.removeprefix("look "))


def _of_this(controller: ProjectController, scratch: Scratch) -> tuple[Option, ...]:
    session = controller.session
    following = session.prototype.project.latest.number + 1
    changes = "; ".join(changes_of(scratch, session.own)) or "Nothing is changed yet."
    keep = Option(key="k", label=f"Keep it as Mk {following}, with its reason", help=changes)
    return (
        *((keep,) if scratch.texts else ()),
        Option(key="m", label=f"Back to Mk {session.number}", help="The scratch copy stays."),
        Option(key="r", label="Rename it"),
        Option(key="d", label="Throw it away", help="ctrl+z brings it back."),
    )


def _others(controller: ProjectController) -> tuple[Option, ...]:
    session = controller.session
    project, scratch = session.prototype.project, session.scratch
    looks = tuple(
        Option(
            key=f"look {key}",
            label=f"Look at {each.name} (of Mk {each.number})",
            help="; ".join(changes_of(each, project.marks.get(each.number, session.own))) or "Nothing is changed yet.",
        )
        for key, each in session.prototype.scratches.items()
        if each is not scratch
    )
    of = f"what {scratch.name} has" if scratch else f"Mk {session.number}"
    return (*looks, Option(key="n", label=f"Begin another, from {of}"))


async def _ask_name(app: Asker, controller: ProjectController, colour: bool, of: Scratch | None = None) -> None:
    prototype = controller.session.prototype
    proposed = of.name if of else free_name(prototype.scratches)
    head = "Name of this scratch copy" if of else f"What if: a scratch copy of Mk {controller.session.number}"
    asked = LineDialog(head, "" if of else f"{ABOUT} Its name:", proposed, colour=colour, proposed=True, keeps=False)
    name, use = await app.push_screen_wait(asked)
    name = one_line(name).strip()[:LONGEST_NAME] or proposed
    if use and of:
        rename_scratch(controller, name)
    elif use:
        begin_scratch(controller, name)


async def _ask_reason(app: Asker, controller: ProjectController, colour: bool) -> None:
    session = controller.session
    if session.scratch is None:
        return
    following = session.prototype.project.latest.number + 1
    proposed = "; ".join(changes_of(session.scratch, session.own))
    asked = LineDialog(
        f"Why Mk {following}?", "What is changed stands as its reason, or say it in your words.", proposed,
        colour=colour, proposed=True, keeps=False,
    )  # fmt: skip
    reason, use = await app.push_screen_wait(asked)
    if use:
        keep_scratch(controller, one_line(reason).strip() or proposed)
        await ask_touched(app, controller, colour)
