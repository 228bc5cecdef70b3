"""The leaf of readings: what was measured, what was predicted at its conditions, the gap; adds, edits, deletes.

Two faces: the list, and the form of one reading.
"""

from __future__ import annotations

from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from model.problems import problems_of_reading
from model.record import Reading, new_key
from tui.desk import Desk
from tui.evening import entry_of_day, new_entry, without_reading
from tui.lines import Line, wrapped
from tui.panes.listing import Listing
from tui.panes.pane import Pane
from tui.panes.readingform import ReadingForm, gap_of, is_stored
from tui.panes.readings import Taken, below_lines, fact_text, head_line, kind_label, row_line, taken_readings
from tui.quiet import Hints
from tui.screens.entry import ask_day, ask_delete, ask_kind
from tui.session import Age, Session

LIST: Hints = (("a", "add"), ("Enter", "edit"), ("d", "delete"), ("o", "all marks"))
EMPTY: Hints = (("a", "add a reading"), ("o", "all marks"))
NOTHING = "Nothing measured yet. Press a to write down a reading: counted turns and a time are enough."


class ResultsPane(Pane):
    """Lists the readings of the mark that is looked at, or of all; shows one in a form."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", show=False)]

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__(desk, id="results", colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.listing.keys = {
            "a": self.action_add, "enter": self.action_edit, "d": self.action_delete, "delete": self.action_delete,
            "o": self.action_others,
        }  # fmt: skip
        self.form = ReadingForm(desk, colour=colour)
        self.form.display = False
        self.all_marks = False
        self._seen = -1

    def compose(self) -> ComposeResult:
        """List and form; one of them is shown."""
        yield self.listing
        yield self.form

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def readings(self) -> tuple[Taken, ...]:
        """The readings in the list."""
        session = self.desk.session
        return taken_readings(session.at.project, None if self.all_marks else session.number)

    @property
    def chosen(self) -> Taken | None:
        """The reading under the cursor of the list."""
        found = self.readings
        return found[min(self.listing.at, len(found) - 1)] if found else None

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.refresh_pane)

    def refresh_pane(self) -> None:
        """Draw the face that is shown."""
        if self.form.opened is not None:
            self.form.refresh_form()
        else:
            self._show_list()

    def _show_list(self) -> None:
        session = self.desk.session
        width = max(40, self.listing.size.width)
        found = self.readings
        if len(found) != self._seen:
            self.listing.at = len(found) - 1
            self._seen = len(found)
        title = "Readings of all marks" if self.all_marks else f"Readings of Mk {session.number}"
        others = len(taken_readings(session.at.project, None)) - len(found)
        if others:
            title += f"   (o: {others} more on other marks)"
        head: list[Line] = [((title, "head"),)]
        if found:
            rows = [[_row(session, taken, width, here=i == self.listing.at)] for i, taken in enumerate(found)]
            self.listing.show_rows([*head, head_line(width)], rows)
        else:
            self.listing.show_rows([*head, (), *wrapped(NOTHING, width, role="dim")], [])

    # -- the seam to the screen ---------------------------------------------------------------------------------

    def take_focus(self) -> None:
        """Keys go to the face that is shown."""
        if self.form.opened is not None:
            self.form.take_focus()
        else:
            self.screen.set_focus(self.listing, scroll_visible=False)

    def leave(self) -> None:
        """Close the open field; its text stands."""
        self.form.leave()

    @property
    def editing(self) -> bool:
        """Whether a field is open."""
        return self.form.editing

    def advice(self, width: int, height: int) -> list[Line]:
        """What is to be said of the reading, or of the field under the cursor."""
        if self.form.opened is not None:
            return self.form.advice(width, height)
        session, taken = self.desk.session, self.chosen
        if taken is None:
            return []
        gap = gap_of(session, taken)
        return below_lines(taken, gap, session.at.project, width, looked_at=session.number)[:height]

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.form.opened is not None:
            return self.form.hints()
        return LIST if self.readings else EMPTY

    # -- keys ---------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Escape leaves the form; on the list it is the screen's."""
        if action == "back":
            return self.form.opened is not None and not self.editing
        return super().check_action(action, parameters)

    def on_listing_moved(self, event: Listing.Moved) -> None:
        """Another reading is under the cursor."""
        event.stop()
        self._show_list()
        self.post_message(self.Changed())

    def action_others(self) -> None:
        """List the readings of all marks, or of this one."""
        chosen = self.chosen
        self.all_marks = not self.all_marks
        found = [taken.place for taken in self.readings]
        self._seen = len(found)
        self.listing.at = found.index(chosen.place) if chosen and chosen.place in found else len(found) - 1
        self._show_list()
        self.post_message(self.Changed())

    def action_edit(self) -> None:
        """Open the reading under the cursor in the form."""
        if self.chosen is not None:
            self._open(self.chosen)

    @work
    async def action_add(self) -> None:
        """Begin a reading: its kind, then its form. It is stored with its first text."""
        session = self.desk.session
        at = session.at
        if at.notice:
            return
        day = await ask_day(self.app, self.desk, at.project, self.colour)
        if not day:
            return
        before = self.readings
        kind = await ask_kind(self.app, before[-1].reading.kind if before else "", self.colour)
        if not kind or session.current != at.path:
            return
        entry = entry_of_day(at.project, day) or new_entry(at.project, day=day, mark=session.number)
        reading = Reading(key=new_key(entry.readings), kind=kind, texts={"mark": str(session.number)})
        self._open(Taken(entry=entry, reading=reading, mark=session.number))

    @work
    async def action_delete(self) -> None:
        """Delete the reading under the cursor, when the builder says so."""
        taken, at = self.chosen, self.desk.session.at
        if taken is None or at.notice:
            return
        what = f"{kind_label(taken.reading.kind)} of {taken.entry.day or 'no day'}: {fact_text(taken.reading)}"
        sure = await ask_delete(self.app, "Delete this reading?", what, self.colour)
        if sure and is_stored(self.desk.session, taken):
            self.desk.change(without_reading(at.project, taken.place))
            self._seen = len(self.readings)
            self._show_list()
            self.post_message(self.Changed())

    def action_back(self) -> None:
        """Go back to the list; the reading stands."""
        opened, self.form.opened = self.form.opened, None
        self.form.display = False
        self.listing.display = True
        self.listing.instead = None
        places = [taken.place for taken in self.readings]
        if opened is not None and opened.place in places:
            self._seen = len(places)
            self.listing.at = places.index(opened.place)
        self.take_focus()
        self.call_after_refresh(self._show_list)
        self.post_message(self.Changed())

    def _open(self, taken: Taken) -> None:
        self.form.open_reading(taken)
        self.listing.display = False
        self.form.display = True
        self.listing.instead = self.form.entry
        self.take_focus()
        self.call_after_refresh(self.refresh_pane)
        self.post_message(self.Changed())


def _row(session: Session, taken: Taken, width: int, *, here: bool) -> Line:
    """Return a reading's row; its gap is awaited while its mark is looked at and nothing stands in the way."""
    flagged = bool(problems_of_reading(session.at.project, taken.entry, taken.reading))
    coming = taken.mark == session.number and session.age is not Age.OLD and not session.at.outlook.failure
    return row_line(taken, gap_of(session, taken), width, here=here, flagged=flagged, waiting=coming)
