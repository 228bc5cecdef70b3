"""The list of prototypes: the first screen.

Two lines each: name, layout, mark and stage; predicted and best measured power and the last entry. What a key changes
stands in `ask_list`; the app pushes the open prototype's screen. Until the project list is there it shows the names
alone, and loads nothing that names do not need: this is what a builder waits for.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message

from tui.state.selection import Selection
from tui.view.first_screen import head_line, lines_below, list_lines, nothing_lines
from tui.view.keys import EMPTY_LIST, LIST, hints
from tui.view.layout import READABLE
from tui.view.lines import cut, wrapped
from tui.widgets.lines_view import LinesView
from tui.widgets.screen import KeyLine, QuietScreen, bindings, too_small

if TYPE_CHECKING:
    from tui.state.project_list import ProjectList
    from tui.state.prototype import Prototype

HEAD, BELOW = 2, 4
"""Lines over and below the list; the keys take one more."""
AROUND = HEAD + BELOW + 1
EACH = 3
"""Lines of one prototype, the empty one included."""


class ProjectsScreen(QuietScreen[None]):
    """The notebook's first screen."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(LIST)

    def __init__(self, folder: Path, names: Sequence[str], *, colour: bool) -> None:
        super().__init__()
        self.folder = folder
        self.selection = Selection(names)
        self.colour = colour
        self.head = LinesView(id="head", colour=colour)
        self.view = LinesView(id="list", colour=colour)
        self.below = LinesView(id="below", colour=colour)
        self.keys = KeyLine(colour=colour)
        self.status = ""
        """What the last key did; stands below until the next one."""

    def compose(self) -> ComposeResult:
        """Head, list, what there is to say of the chosen one, keys."""
        self.head.styles.height = HEAD
        self.below.styles.height = BELOW
        yield self.head
        yield self.view
        yield self.below
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys; draw at once, so that the first paint has the names."""
        self.view.can_focus = True
        self.view.focus()
        self.refresh_list()

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.refresh_list)

    def on_screen_resume(self) -> None:
        """Draw what changed meanwhile."""
        self.call_after_refresh(self.refresh_list)

    def take_project_list(self, project_list: ProjectList) -> None:
        """Show what is on the project list from now on."""
        self.selection.project_list = project_list
        if name := project_list.begun(project_list.new, "name"):
            self.status = f"A name was begun for a new prototype: {cut(name, 40)}. Press a to go on with it."
        self.refresh_list()

    def take_worker_result(self) -> None:
        """Draw what came back."""
        self.refresh_list()

    @property
    def project_list(self) -> ProjectList | None:
        """The list, once it is there."""
        return self.selection.project_list

    @property
    def _rows(self) -> int:
        height = (self.size if self.size.width else self.app.size).height
        return max(1, (height - AROUND + 1) // EACH)

    def refresh_list(self) -> None:
        """Draw, then have read and predicted what came into sight."""
        self.draw()
        if self.project_list is not None and not too_small(*(self.size if self.size.width else self.app.size)):
            self.project_list.attend(self.selection.in_sight(self._rows))

    def draw(self) -> None:
        """Draw everything that changed."""
        width, height = self.size if self.size.width else self.app.size
        small = too_small(width, height)
        if small:
            self.head.show_lines(wrapped(small, max(8, width)))
            self.view.show_lines([])
            self.below.show_lines([])
            return
        selection, rows, width = self.selection, self._rows, min(width, READABLE)
        selection.scroll(rows)
        total = selection.total
        reading = self.project_list is None or any(p.unread for p in selection.in_sight(rows))
        self.head.show_lines([head_line(str(self.folder), total, width, reading=reading)])
        self.view.show_lines(list_lines(selection, rows, width) if total else nothing_lines(width))
        self.below.show_lines(lines_below(selection, self.status, width, most=BELOW))
        self.keys.show_hints(hints(LIST) if total else hints(LIST, *EMPTY_LIST))

    def say(self, text: str) -> None:
        """Say what a key did, until the next one."""
        self.status = text
        self.refresh_list()

    def show(self, prototype: Prototype) -> None:
        """Put the cursor on a prototype."""
        paths = [each.path for each in self.selection.items]  # another window may have taken it away, or changed it
        self.selection.at = paths.index(prototype.path) if prototype.path in paths else self.selection.at
        self.refresh_list()

    def action_move(self, step: int) -> None:
        """Choose another prototype."""
        self.status = ""
        self.selection.move(step)
        self.refresh_list()

    def action_open(self) -> None:
        """Open the chosen one."""
        chosen = self.selection.wanted
        if chosen is None:
            self.refresh_list()
        else:
            self.app.post_message(OpenProject(chosen.path))

    def action_tick(self) -> None:
        """Tick the chosen one for side by side, or take its tick away."""
        chosen = self.selection.wanted
        if chosen is not None:
            self.selection.tick(chosen)
            self.refresh_list()

    def action_compare(self) -> None:
        """Show the ticked prototypes side by side; where two or three are all there are, no tick is needed."""
        chosen = self.selection.to_compare()
        if len(chosen) < 2:
            self.say("Tick two or three prototypes with Space, then press s.")
        else:
            self.app.post_message(Compare(chosen))

    @work
    async def action_ask(self, what: str) -> None:
        """Ask and do what changes the list, a name of `ask_list.CHANGES`; once the project list is there."""
        from tui.dialogs.ask_list import CHANGES

        self.status = ""
        if self.project_list is not None:
            await CHANGES[what](self, self.project_list)
            self.refresh_list()

    @work
    async def action_search(self) -> None:
        """Search all prototypes, and open one where the words stand."""
        from tui.dialogs.search import search_list

        self.status = ""
        if self.project_list is not None:
            found = await search_list(self.app, self.project_list, colour=self.colour)
            self.refresh_list()
            if found is not None:
                self.app.post_message(OpenProject(*found))


class OpenProject(Message):
    """A prototype is to be opened, and a place of it shown."""

    def __init__(self, path: Path, place: str = "") -> None:
        super().__init__()
        self.path, self.place = path, place


class Compare(Message):
    """Prototypes are to be shown side by side."""

    def __init__(self, paths: tuple[Path, ...]) -> None:
        super().__init__()
        self.paths = paths
