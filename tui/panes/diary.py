"""The pane of the diary: what happened at the bench. Lists the entries; opens one, or begins one, on a sheet."""

from __future__ import annotations

from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType

from model.record import Entry
from tui.dialogs.ask_entry import ask_day, ask_delete, known_day
from tui.panes.entrysheet import EntrySheet
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.diary_edits import new_entry, without_entry
from tui.view.entries import below_lines, first_line, problems_in, row_lines, stage_lines
from tui.view.keys import BACK, DIARY, Hints, hints
from tui.view.layout import READABLE, Room
from tui.view.lines import Line, wrapped
from tui.view.next import promise_lines
from tui.widgets.listing import Listing
from tui.widgets.screen import bindings, own_keys

EMPTY: Hints = (("a", "add an entry"),)
NOTHING = "Nothing written yet. Press a to begin an entry; evenings on which nothing ran count most."


class DiaryPane(Pane):
    """Lists the entries, the latest last; shows one to edit."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(BACK)
    room: ClassVar[Room] = Room.WHOLE

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.listing.keys = own_keys(DIARY, self)
        self.sheet = EntrySheet(controller, colour=colour)
        self.sheet.display = False
        self._seen = -1

    def compose(self) -> ComposeResult:
        """List and sheet; one of them is shown."""
        yield self.listing
        yield self.sheet

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def chosen(self) -> Entry | None:
        """The entry under the cursor of the list."""
        entries = _entries(self.controller)
        return entries[min(self.listing.at, len(entries) - 1)] if entries else None

    @property
    def opened(self) -> bool:
        """Whether an entry is open."""
        return self.sheet.form.opened is not None

    def refresh_pane(self) -> None:
        """Draw the face that is shown."""
        if self.opened:
            self.sheet.refresh_sheet()
        else:
            self._show_list()

    def _show_list(self) -> None:
        prototype, entries = self.controller.session.prototype, _entries(self.controller)
        width = max(24, min(READABLE, self.listing.size.width))
        if len(entries) != self._seen:
            self.listing.at = len(entries) - 1
            self._seen = len(entries)
        number = self.controller.session.number
        head = [*stage_lines(prototype.project, width), *promise_lines(prototype.project, number, width)]
        if not entries:
            self.listing.show_rows([*head, (), *wrapped(NOTHING, width)], [])
            return
        problems = prototype.all_problems
        rows = [
            row_lines(entry, width, here=i == self.listing.at, flagged=bool(problems_in(problems, entry)))
            for i, entry in enumerate(entries)
        ]
        self.listing.show_rows(head, rows)

    def show_place(self, entry: str, reading: str) -> None:
        """Put the cursor on an entry."""
        keys = [each.key for each in _entries(self.controller)]
        if entry in keys:
            self._seen, self.listing.at = len(keys), keys.index(entry)

    # -- the seam to the screen ---------------------------------------------------------------------------------

    def take_focus(self) -> None:
        """Keys go to the face that is shown."""
        if self.opened:
            self.sheet.take_focus()
        else:
            self.screen.set_focus(self.listing, scroll_visible=False)

    def leave(self) -> None:
        """Close the text or field that is open; what was typed stands."""
        self.sheet.leave()

    @property
    def editing(self) -> bool:
        """Whether letters are text."""
        return self.sheet.editing

    def advice(self, width: int, height: int) -> list[Line]:
        """What else is in the entry, or what the row under the cursor is."""
        if self.opened:
            return self.sheet.advice(width, height)
        chosen = self.chosen
        if chosen is None:
            return []
        return below_lines(chosen, problems_in(self.controller.session.prototype.all_problems, chosen), width)[:height]

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.opened:
            return self.sheet.hints()
        return hints(DIARY) if _entries(self.controller) else EMPTY

    # -- keys ---------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Escape closes an open entry; on the list it is the screen's."""
        if action == "back":
            return self.opened and not self.editing
        return super().check_action(action, parameters)

    def on_listing_moved(self, event: Listing.Moved) -> None:
        """Another entry is under the cursor."""
        event.stop()
        self._show_list()
        self.post_message(self.Changed())

    def action_edit(self) -> None:
        """Open the entry under the cursor, at its text."""
        if self.chosen is not None:
            self._open(self.chosen)

    def action_add(self) -> None:
        """Begin an entry of today; it is stored with its first text or tick."""
        prototype = self.controller.session.prototype
        day = known_day(self.controller, prototype.project)
        if prototype.notice:
            return
        if day:
            self._open(new_entry(prototype.project, day=day, mark=self.controller.session.number))
        else:
            self._add_when_asked()

    @work
    async def _add_when_asked(self) -> None:
        """Begin an entry after the day was asked."""
        session = self.controller.session
        prototype = session.prototype
        day = await ask_day(self.app, self.controller, prototype.project, self.colour)
        if day and session.current == prototype.path:
            self._open(new_entry(prototype.project, day=day, mark=session.number))

    @work
    async def action_delete(self) -> None:
        """Delete the entry under the cursor, when the builder says so."""
        entry, prototype = self.chosen, self.controller.session.prototype
        if entry is None or prototype.notice:
            return
        count = len(entry.readings)
        also = f" Its {count} reading{'' if count == 1 else 's'} would go with it." if count else ""
        what = f"{entry.day or 'no day'}: {first_line(entry)}{also}"
        if (
            await ask_delete(self.app, "Delete this entry?", what, self.colour)
            and entry.key in prototype.project.entries
        ):
            self.controller.change(without_entry(prototype.project, entry.key))
            self._seen = len(_entries(self.controller))
            self._show_list()
            self.post_message(self.Changed())

    def action_back(self) -> None:
        """Go back to the list."""
        opened, self.sheet.form.opened = self.sheet.form.opened, None
        self.sheet.display = False
        self.listing.display = True
        keys = [entry.key for entry in _entries(self.controller)]
        self._seen = len(keys)
        if opened is not None and opened.key in keys:
            self.listing.at = keys.index(opened.key)
        self.take_focus()
        self.call_after_refresh(self._show_list)
        self.post_message(self.Changed())

    def _open(self, entry: Entry) -> None:
        self.listing.display = False
        self.sheet.display = True
        self.sheet.open_entry(entry)


def _entries(controller: ProjectController) -> list[Entry]:
    """Return the entries in the list."""
    return list(controller.session.prototype.project.entries.values())
