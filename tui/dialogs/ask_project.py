"""What a prototype's screen asks: correction or change, which mark, mine or theirs, a note. Each awaits its answer.

Called by the project screen from a worker; the answers go to the controller.
"""

from __future__ import annotations

from dataclasses import replace

from model.checks.touched import TOUCHES, likely_touched
from model.record import Project
from tui.dialogs.ask_entry import Asker, known_day
from tui.dialogs.base import ChoiceDialog, LineDialog, Option
from tui.dialogs.ticks import TickDialog
from tui.state.controller import REBUILT, ProjectController
from tui.state.diary_edits import drops_carried, new_entry, with_carried
from tui.state.pending import pending_text
from tui.state.recovery import enter_pending, set_offered, with_offered
from tui.state.sharing import join_theirs
from tui.text.days import last_day

REASON = "reason"
"""Where the reason of a mark to be begun stands among the held texts of a file."""


async def ask_why_changed(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Ask whether a text of a mark with readings was corrected or the engine changed; Escape drops what was typed.

    Nothing is written before the answer; what can be taken back by deleting a mark stands first.
    """
    prototype = controller.session.prototype
    if prototype.pending is None:
        return
    number = prototype.pending.number
    following = prototype.project.latest.number + 1
    change = Option(
        key="n",
        label=f"A change: the engine is now Mk {following}",
        help=f"Mk {number} keeps its old figure and its readings; Mk {following} begins with the new one.",
    )
    options = (
        change,
        Option(
            key="c",
            label=f"A correction: Mk {number} was measured wrongly",
            help="The engine is as it was; its readings are compared with the corrected figure. "
            "Not asked again while this prototype is open.",
        ),
    )
    changed = pending_text(prototype.project, prototype.pending)
    text = f"{changed}. Nothing is written yet. Esc: as it was (ctrl+y brings the typed text back)."
    answer = await app.push_screen_wait(
        ChoiceDialog(f"Mk {number} has readings: a correction, or a change?", text, options, colour=colour)
    )
    if answer == "n":
        controller.settle_as_change()
        controller.leave_field()  # the mark is saved before more is asked
        await ask_touched(app, controller, colour)
    elif answer == "c":
        controller.settle_as_correction()
    else:
        controller.step(back=True)
    controller.leave_field()


async def keep_typed(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Write what was brought back, after asking what has to be asked."""
    prototype = controller.session.prototype
    if prototype.notice:  # nothing can be written now: what was brought back goes on waiting
        return
    if prototype.offered is not None:
        controller.change(with_offered(prototype))
        set_offered(controller.persistence, prototype, None)
    if prototype.pending is None:
        return
    enter_pending(prototype)
    if controller.must_ask:
        await ask_why_changed(app, controller, colour)
    else:
        controller.settle_as_correction()
        controller.leave_field()


async def ask_mark(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Look at another mark, or begin the next."""
    session = controller.session
    project = session.prototype.project
    following = project.latest.number + 1
    options = [
        Option(
            key=f"mark {number}",
            label=f"Mk {number}{' (shown now)' if number == session.number else ''}",
            help=_told_of_mark(project, number),
        )
        for number in sorted(project.marks, reverse=True)
    ]
    at = next((i for i, o in enumerate(options) if o.key == f"mark {session.number}"), 0)
    options += [
        Option(key="r", label=f"Begin Mk {following}: {REBUILT.lower()}", help="Taken apart and put together again."),
        Option(key="c", label=f"Begin Mk {following}: a change", help="Say what; then edit the fields."),
    ]
    dropped = drops_carried(project, session.number)
    if session.number > min(project.marks, default=1):
        what = "Take over again" if dropped else "Drop"
        options.append(Option(key="d", label=f"{what} what earlier marks showed of Mk {session.number}"))
    text = "A mark is one numbered state of the build. Readings stay on the mark they were taken on."
    answer = await app.push_screen_wait(
        ChoiceDialog(f"Marks of {project.name}", text, tuple(options), colour=colour, at=at)
    )
    if answer.startswith("mark "):
        controller.look_at(int(answer.removeprefix("mark ")))
    elif answer == "d":
        day = known_day(controller, project) or last_day(project)
        controller.change(with_carried(project, session.number, day=day, dropped=not dropped))
    elif answer == "r":
        controller.next_mark(REBUILT)
        await ask_touched(app, controller, colour)
    elif answer == "c":
        path, draft_store = session.prototype.path, controller.persistence.draft_store
        asked = LineDialog(
            f"What changes in Mk {following}?",
            "One thing at a time tells most.",
            draft_store.held(path, REASON),
            colour=colour,
            hold=lambda text: draft_store.hold(path, REASON, text),
        )
        reason, use = await app.push_screen_wait(asked)
        if use:
            draft_store.hold(path, REASON, "")
            controller.next_mark(reason.strip())
            await ask_touched(app, controller, colour)


async def ask_touched(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Ask what was done to the engine of a mark that was begun, where an earlier one showed anything; Escape: not said.

    What was not touched stays as it was shown to be. The answer is ticked in an entry of the day, as any tick.
    """
    session = controller.session
    project, number = session.prototype.project, session.number
    before = max((n for n in project.marks if n < number), default=None)
    if before is None or session.prototype.notice or not any(shows_anything(project, n) for n in project.marks):
        return
    likely = likely_touched(project.marks[before].build, project.marks[number].build)
    text = (
        f"What Mk {before} showed stays known for what was not touched. Likely answers are ticked; Enter goes on, and "
        "they stand in the diary, where they can be changed."
    )
    title = f"Mk {number}: what was touched since Mk {before}?"
    answer = await app.push_screen_wait(TickDialog(title, text, TOUCHES, likely, colour=colour))
    if answer:
        day = known_day(controller, project) or last_day(project)
        entry = replace(new_entry(project, day=day, mark=number), ticks=answer)
        controller.change(session.prototype.project.with_entry(entry))


def shows_anything(project: Project, number: int) -> bool:
    """Whether anything was found on a mark: a reading, or a tick."""
    return any(entry.readings or entry.ticks for entry in project.entries.values() if entry.mark in (number, None))


async def ask_theirs(app: Asker, controller: ProjectController, colour: bool) -> None:
    """Somebody else wrote the file: join both, and ask where both changed the same; Escape leaves theirs as it is."""
    theirs = join_theirs(controller.persistence, controller.session.prototype)
    if theirs is None:
        return
    if not theirs.clashes:
        controller.settle_theirs(
            theirs, theirs.merged, "Another window wrote this file; both are joined. ctrl+z: mine alone."
        )
        return
    options = (
        Option(key="m", label="Mine", help="Where both changed the same, what is typed here stands."),
        Option(key="t", label="Theirs", help="Where both changed the same, what is on the disk stands."),
        Option(key="b", label="Both", help="Texts are joined, a mark becomes two, the rest is told in the diary."),
    )
    places = ", ".join(theirs.clashes[:4]) + (" ..." if len(theirs.clashes) > 4 else "")
    text = f"Everything else is joined either way. Both changed: {places}."
    answer = await app.push_screen_wait(ChoiceDialog("Another window wrote this file", text, options, colour=colour))
    if answer:
        project = {"t": theirs.yielding, "b": theirs.both}.get(answer, theirs.merged)
        controller.settle_theirs(theirs, project, "Joined with the file on the disk; ctrl+z takes it back.")


def _told_of_mark(project: Project, number: int) -> str:
    readings = len(project.readings_of(number))
    count = f"{readings} reading{'' if readings == 1 else 's'}"
    reason = project.marks[number].reason
    return f"{reason} ({count})" if reason else count
