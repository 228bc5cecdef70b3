"""What the list asks and changes: a new prototype, a copy, another name, the bin, the examples.

Each is called by the list's screen from a worker, which draws afterwards.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path
from typing import Any, Protocol

from textual import events
from textual.app import App

from model.errors import ModelError
from model.fields.starts import STARTS
from model.record import Mark, Project
from tui.dialogs.ask_entry import ask_delete
from tui.dialogs.base import ChoiceDialog, LineDialog, Option
from tui.state.project_list import NAME, START, ProjectList
from tui.state.prototype import Prototype
from tui.state.selection import Selection
from tui.storage.bin import Binned
from tui.text.sanitise import one_line


class ListScreen(Protocol):
    """What the list's screen gives to what asks on it."""

    @property
    def app(self) -> App[Any]:
        """The app of textual."""

    @property
    def colour(self) -> bool:
        """Whether colours are drawn."""

    @property
    def selection(self) -> Selection:
        """Cursor, window and ticks."""

    def say(self, text: str) -> None:
        """Tell in a line below the list."""

    def show(self, prototype: Prototype) -> None:
        """Put the cursor on a prototype."""

    def action_open(self) -> None:
        """Open the prototype under the cursor."""


class StartDialog(ChoiceDialog):
    """What a new prototype is like; what is typed over it, spaces too, is the beginning of its name."""

    def __init__(
        self, options: tuple[Option, ...], typed: str, *, colour: bool, at: int, hold: Callable[[str], None]
    ) -> None:
        super().__init__("A new prototype: what is it like?", "", options, colour=colour, at=at)
        self.typed, self.hold = typed, hold

    def draw(self) -> None:
        """Show the name as well, where it was begun."""
        name = f" Its name: {one_line(self.typed)}" if self.typed else ""
        self.text = f"Take the one that is nearest; every number can be changed, and about eight are enough.{name}"
        super().draw()

    def on_key(self, event: events.Key) -> None:
        """Take what is typed as the name's beginning; a start's own sign before there is any takes that start."""
        if not self.typed and any(event.character == option.key for option in self.options):
            super().on_key(event)
        elif event.key == "backspace":
            self._type(event, self.typed[:-1])
        elif event.is_printable and event.character:
            self._type(event, (self.typed + event.character).lstrip())

    def _type(self, event: events.Key, text: str) -> None:
        event.stop()
        self.typed = text
        self.hold(text)
        self.draw()


async def add(screen: ListScreen, project_list: ProjectList) -> None:
    """Add a prototype: a start, then a name; it opens."""

    def hold(name: str) -> None:
        project_list.hold(project_list.new, name, NAME)
        project_list.hold(project_list.new, likeness.options[likeness.at].key if name else "", START)

    options = tuple(Option(key=s.key, label=s.label, help=s.help) for s in STARTS)
    begun = project_list.begun(project_list.new, START)
    at = next((number for number, s in enumerate(STARTS) if s.key == begun), 0)
    likeness = StartDialog(options, project_list.begun(project_list.new, NAME), colour=screen.colour, at=at, hold=hold)
    key = await screen.app.push_screen_wait(likeness)
    start = next((s for s in STARTS if s.key == key), None)
    if start is None:
        return
    asked = LineDialog(
        "What do you call it?",
        "A name of your own; it can be changed later.",
        likeness.typed,
        colour=screen.colour,
        hold=hold,
    )
    answer, use = await screen.app.push_screen_wait(asked)
    name = answer.strip() if use else ""
    if name:
        screen.show(project_list.add(Project(name=name, marks={1: Mark(number=1, build=start.texts)})))
    if use:
        hold("")
    if name:
        screen.action_open()


async def copy(screen: ListScreen, project_list: ProjectList) -> None:
    """Copy the chosen one as a new prototype."""
    chosen = screen.selection.wanted
    if chosen is None:
        return
    number = chosen.project.latest.number
    text = f"Mk {number} of {chosen.project.name} becomes Mk 1 of the new one. Its diary stays where it is."
    name = await _ask_line(
        screen,
        project_list,
        chosen.path,
        "What do you call the copy?",
        text,
        what="copy",
        value=f"{chosen.project.name} 2",
    )
    if name:
        screen.show(project_list.copy(chosen.path, name))


async def rename(screen: ListScreen, project_list: ProjectList) -> None:
    """Give the chosen one another name."""
    chosen = screen.selection.wanted
    if chosen is None:
        return
    name = await _ask_line(
        screen,
        project_list,
        chosen.path,
        "Rename",
        "Its file keeps its name.",
        what="rename",
        value=chosen.project.name,
    )
    if name and name != chosen.project.name:
        project_list.rename(chosen.path, name)


async def delete(screen: ListScreen, project_list: ProjectList) -> None:
    """Delete the chosen one to the bin, when the builder says so; one that cannot be read too."""
    if screen.selection.chosen is None:
        return
    chosen = project_list.read_now(screen.selection.chosen.path)
    name = chosen.project.name
    what = _contents(chosen.project)
    has = f"It has {what}." if what else "Nothing could be read in it."
    text = f"{has} Its file {chosen.path.name} goes to the bin of this notebook, whole."
    way_back = "It comes back from the bin (b); by ctrl+z too while the program runs."
    if not await ask_delete(screen.app, f"Delete {name}?", text, screen.colour, way_back=way_back):
        return
    if chosen.path not in project_list.session.prototypes:
        return
    why = await project_list.delete(chosen.path)
    screen.say(f"! {name} is not deleted: {why}" if why else f"{name} is in the bin. ctrl+z brings it back.")


async def undelete(screen: ListScreen, project_list: ProjectList) -> None:
    """Bring back what was deleted last."""
    if not project_list.deleted:
        screen.say("Nothing was deleted since the start. b shows what is in the bin.")
    else:
        await _bring_back(screen, project_list, Binned(path=project_list.deleted[-1], project=Project(name="It")))


async def show_bin(screen: ListScreen, project_list: ProjectList) -> None:
    """Show what is in the bin; bring one back."""
    try:
        binned = await project_list.binned()
    except ModelError as error:
        screen.say(f"! {error}")
        return
    if not binned:
        screen.say("The bin is empty. What is deleted with d goes there.")
        return
    options = tuple(Option(key=each.path.name, label=each.project.name, help=_told_of_binned(each)) for each in binned)
    text = "Enter brings one back. The program never removes anything from here; the files stand in the folder .bin."
    answer = await screen.app.push_screen_wait(ChoiceDialog("The bin", text, options, colour=screen.colour))
    chosen = next((each for each in binned if each.path.name == answer), None)
    if chosen is not None:
        await _bring_back(screen, project_list, chosen)


async def copy_demo(screen: ListScreen, project_list: ProjectList) -> None:
    """Copy the examples into an empty notebook."""
    if screen.selection.items:
        screen.say("The examples are copied into an empty notebook only.")
        return
    try:
        first = project_list.add_demo()
    except ModelError as error:
        screen.say(f"! {error}")
        return
    if first is not None:
        screen.show(first)
    screen.say("Copies of the examples: yours to change, to add to and to delete.")


async def _bring_back(screen: ListScreen, project_list: ProjectList, binned: Binned) -> None:
    try:
        prototype = await project_list.restore_binned(binned.path)
    except ModelError as error:
        screen.say(f"! {binned.project.name} is not brought back: {error}")
        return
    screen.show(prototype)
    other = "" if prototype.path.name == binned.path.name else f" as {prototype.path.name}"
    screen.say(f"{prototype.project.name} is back{other}.")


def _contents(project: Project) -> str:
    """Return in words how much stands in a project; empty where nothing could be read."""
    marks, entries = len(project.marks), len(project.entries)
    readings = sum(len(entry.readings) for entry in project.entries.values())
    counted = ((marks, "mark", "marks"), (readings, "reading", "readings"), (entries, "entry", "entries"))
    return ", ".join(f"{number} {one if number == 1 else many}" for number, one, many in counted if number)


def _told_of_binned(binned: Binned) -> str:
    if binned.trouble:
        return f"{binned.path.name}: cannot be read."
    last = list(binned.project.entries.values())[-1].day if binned.project.entries else ""
    return f"{binned.path.name}: {_contents(binned.project)}" + (f", the last of {last}" if last else "")


async def _ask_line(
    screen: ListScreen, project_list: ProjectList, chosen: Path, title: str, text: str, *, what: str, value: str
) -> str:
    """Ask for a line about the chosen one; a line that was begun and left, or lost its window, is offered again."""
    begun = project_list.begun(chosen, what)
    asked = LineDialog(
        title,
        text,
        begun or value,
        colour=screen.colour,
        proposed=what == "copy" and not begun,
        hold=lambda answer: project_list.hold(chosen, "" if answer == value else answer, what),
    )
    answer, use = await screen.app.push_screen_wait(asked)
    if not use:
        return ""
    project_list.hold(chosen, "", what)
    return answer.strip()


CHANGES: Mapping[str, Callable[[ListScreen, ProjectList], Awaitable[None]]] = {
    "add": add, "copy": copy, "rename": rename, "delete": delete, "undelete": undelete, "bin": show_bin,
    "demo": copy_demo,
}  # fmt: skip
"""What changes the list, by name."""
