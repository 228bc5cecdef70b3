"""What is asked about an entry or a reading: which day, which kind, whether to delete. Each awaits its answer.

Called by the panes from a worker; the answers change nothing by themselves.
"""

from __future__ import annotations

from typing import Any

from textual.app import App

from model.bench.kinds import KINDS
from model.checks.cautions import cautions_of_kind
from model.record import Project
from tui.dialogs.base import ChoiceDialog, LineDialog, Option
from tui.state.controller import ProjectController
from tui.text.days import is_day, last_day
from tui.view.lines import fitted

Asker = App[Any]
"""The app, on which small screens are shown."""


def known_day(controller: ProjectController, project: Project) -> str:
    """Return the day to write down where nothing has to be asked; empty where the clock runs behind the diary."""
    today = controller.today()
    return today if today >= last_day(project) else controller.said_day


async def ask_day(app: Asker, controller: ProjectController, project: Project, colour: bool) -> str:
    """Return the day to write down: the clock's, unless it runs behind the diary; empty where Escape goes back.

    Many small computers have no battery clock: what was said is remembered while the program runs.
    """
    today, last, known = controller.today(), last_day(project), known_day(controller, project)
    if known:
        return known
    options = (
        Option(key="l", label=f"The same day as the last entry, {last}"),
        Option(key="o", label="Another day", help="Write it; it holds until the program ends."),
        Option(key="c", label=f"The clock is right: {today}"),
    )
    text = f"The clock says {today}, and the last entry is of {last}. Small computers often wake with a wrong clock."
    answer = await app.push_screen_wait(ChoiceDialog("Which day is it?", text, options, colour=colour))
    day = {"l": last, "c": today}.get(answer, "")
    if answer == "o":
        day = await _write_day(app, last, colour)
    controller.said_day = day
    return day


async def _write_day(app: Asker, begun: str, colour: bool) -> str:
    text = "Year, month, day: 2026-11-25."
    while True:
        asked = LineDialog("Which day is it?", text, begun, colour=colour, keeps=False)
        answer, use = await app.push_screen_wait(asked)
        if not use:
            return ""
        if is_day(answer.strip()):
            return answer.strip()
        begun, text = answer, f"{answer.strip()[:40]!r} is not a day. Write year, month, day: 2026-11-25."


async def ask_kind(app: Asker, last: str, colour: bool) -> str:
    """Return the kind of reading to add, a key of `KINDS`; empty where Escape goes back."""
    keys = {f"{number}": choice.key for number, choice in enumerate(KINDS, 1)}
    options = tuple(
        Option(key=f"{number}", label=_one_line(choice.label, choice.help, number), help=_warned(choice.key))
        for number, choice in enumerate(KINDS, 1)
    )
    at = next((i for i, choice in enumerate(KINDS) if choice.key == last), 0)
    answer = await app.push_screen_wait(ChoiceDialog("What was measured?", "", options, colour=colour, at=at))
    return keys.get(answer, "")


def _one_line(label: str, about: str, number: int) -> str:
    """Return a kind and what it is in one line; those above nine have no key of their own."""
    return ("" if number < 10 else "   ") + fitted(label, 29) + _shortened(about, 45)


def _shortened(text: str, width: int) -> str:
    """Return a text that fits, cut after a part of the sentence or else after a word."""
    if len(text) <= width:
        return text
    end = max(text.rfind(mark, 0, width + 1) for mark in (";", ","))
    return text[:end] if end > width // 2 else text[: text.rfind(" ", 0, width - 3)] + " ..."


def _warned(kind: str) -> str:
    titles = [caution.title for caution in cautions_of_kind(kind)]
    return f"(!) {'; '.join(titles)}" if titles else ""


async def ask_delete(
    app: Asker, what: str, text: str, colour: bool, *, way_back: str = "ctrl+z brings it back while the program runs."
) -> bool:
    """Return whether something is to be deleted; `way_back` is how it comes back."""
    options = (Option(key="k", label="Keep it"), Option(key="d", label="Delete it", help=way_back))
    return await app.push_screen_wait(ChoiceDialog(what, text, options, colour=colour)) == "d"
