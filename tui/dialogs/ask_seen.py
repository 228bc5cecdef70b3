"""What is seen of a cause: "sticky here", "hisses here". Written down as ticks of the day, with where in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from model.checks.stage import LABELS, SIGNS, TICKS
from tui.dialogs.ask_entry import Asker, ask_day
from tui.dialogs.base import LineDialog
from tui.dialogs.ticks import TickDialog
from tui.state.controller import ProjectController
from tui.state.diary_edits import new_entry
from tui.text.sanitise import without_control

SHOWN_BY: Mapping[str, tuple[str, ...]] = {
    "friction": ("binds", "rubs", "turns_free"),
    "leak": ("hisses", "bounces"),
    "heat": ("coasts_hot",),
    "cold": ("cold_side_hot",),
    "phase": ("favours",),
    "balance": ("binds", "favours"),
    "displacer": ("rubs",),
}
"""Cause -> what can be ticked that tells of it; the first is ticked beforehand."""


async def ask_seen(app: Asker, controller: ProjectController, cause: str, label: str, colour: bool) -> None:
    """Ask what is seen of a cause and where, and write it down in one entry of the day; Escape writes nothing."""
    project, number = controller.session.prototype.project, controller.session.number
    first = SHOWN_BY.get(cause, ())
    choices = sorted((*TICKS[:5], *SIGNS), key=lambda choice: first.index(choice.key) if choice.key in first else 99)
    text = "What is ticked moves the causes and stands in the diary, where it can be changed."
    dialog = TickDialog(f"{label}: what is seen here?", text, choices, first[:1], colour=colour)
    ticked = await app.push_screen_wait(dialog)
    if not ticked:
        return
    words = ", ".join(LABELS[tick] for tick in ticked)
    asked = LineDialog(f"Where? ({words})", "The part, the angle, hot or cold. Empty: not said.", "", colour=colour,
                       keeps=False)  # fmt: skip
    where, use = await app.push_screen_wait(asked)
    if not use:
        return
    day = await ask_day(app, controller, project, colour)
    if day and controller.session.number == number:
        where = without_control(where).strip()
        entry = new_entry(
            project, day=day, mark=number, text=f"{words[0].upper()}{words[1:]}: {where}" if where else ""
        )
        controller.change(controller.session.prototype.project.with_entry(replace(entry, ticks=ticked)))
