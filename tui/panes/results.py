"""The pane of readings: what was measured, what was predicted at its conditions, the gap; adds, edits, deletes.

Two faces: the list, and the form of one reading.
"""

from __future__ import annotations

from textual import work

from model.checks.problems import problems_of_reading
from tui.dialogs.ask_entry import ask_day, ask_delete, ask_kind
from tui.panes.benchpane import BenchPane, begun
from tui.panes.readingform import gap_of, is_stored
from tui.state.controller import ProjectController
from tui.state.diary_edits import without_reading
from tui.state.prototype import Age
from tui.state.session import Session
from tui.view.keys import RESULTS, Hints, hints
from tui.view.layout import READABLE
from tui.view.lines import Line, wrapped
from tui.view.readings import ReadingRow, below_lines, fact_text, head_line, kind_label, reading_rows, row_line
from tui.widgets.listing import Listing
from tui.widgets.screen import own_keys

EMPTY: Hints = (("a", "add a reading"),)
"""What the key line says while there is none."""
NOTHING = "Nothing measured yet. Press a to write down a reading: counted turns and a time are enough."


class ResultsPane(BenchPane):
    """Lists the readings of the mark that is looked at, or of all; shows one in a form."""

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(controller, id=id, colour=colour, plain=plain)
        self.listing.keys = own_keys(RESULTS, self)
        self.all_marks = False
        self._seen = -1

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def readings(self) -> tuple[ReadingRow, ...]:
        """The readings in the list."""
        session = self.controller.session
        return reading_rows(session.prototype.project, None if self.all_marks else session.number)

    @property
    def chosen(self) -> ReadingRow | None:
        """The reading under the cursor of the list."""
        rows = self.readings
        return rows[min(self.listing.at, len(rows) - 1)] if rows else None

    def show_face(self) -> None:
        """Draw the list."""
        session = self.controller.session
        width = max(40, min(READABLE, self.listing.size.width))
        readings = self.readings
        if len(readings) != self._seen:
            self.listing.at = len(readings) - 1
            self._seen = len(readings)
        title = "Readings of all marks" if self.all_marks else f"Readings of Mk {session.number}"
        others = len(reading_rows(session.prototype.project, None)) - len(readings)
        if others:
            title += f"   (o: {others} more on other marks)"
        head: list[Line] = [((title, "head"),)]
        if readings:
            rows = [
                [_row(session, reading_row, width, here=i == self.listing.at)] for i, reading_row in enumerate(readings)
            ]
            self.listing.show_rows([*head, head_line(width)], rows)
        else:
            self.listing.show_rows([*head, (), *wrapped(NOTHING, width)], [])

    def show_place(self, entry: str, reading: str) -> None:
        """Put the cursor on a reading; where it is of another mark, those of all marks are listed."""
        for self.all_marks in (False, True):
            places = [row.place for row in self.readings]
            if (entry, reading) in places:
                self._seen, self.listing.at = len(places), places.index((entry, reading))
                return

    # -- the seam to the screen ---------------------------------------------------------------------------------

    def advice(self, width: int, height: int) -> list[Line]:
        """What is to be said of the reading, or of the field under the cursor."""
        if self.form.opened is not None:
            return self.form.advice(width, height)
        session, reading_row = self.controller.session, self.chosen
        if reading_row is None:
            return []
        gap = gap_of(session, reading_row)
        return below_lines(reading_row, gap, session.prototype.project, width, looked_at=session.number)[:height]

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.form.opened is not None:
            return self.form.hints()
        others = (("o", "this mark"),) if self.all_marks else hints(RESULTS, "others")
        return (*(hints(RESULTS) if self.readings else EMPTY), *others)

    # -- keys ---------------------------------------------------------------------------------------------------

    def on_listing_moved(self, event: Listing.Moved) -> None:
        """Another reading is under the cursor."""
        event.stop()
        self.show_face()
        self.post_message(self.Changed())

    def action_others(self) -> None:
        """List the readings of all marks, or of this one."""
        chosen = self.chosen
        self.all_marks = not self.all_marks
        places = [reading_row.place for reading_row in self.readings]
        self._seen = len(places)
        self.listing.at = places.index(chosen.place) if chosen and chosen.place in places else len(places) - 1
        self.show_face()
        self.post_message(self.Changed())

    def action_edit(self) -> None:
        """Open the reading under the cursor in the form."""
        if self.chosen is not None:
            self.open_form(self.chosen)

    @work
    async def action_add(self) -> None:
        """Begin a reading: its kind, then its form. It is stored with its first text."""
        session = self.controller.session
        prototype = session.prototype
        if prototype.notice:
            return
        day = await ask_day(self.app, self.controller, prototype.project, self.colour)
        if not day:
            return
        before = self.readings
        kind = await ask_kind(self.app, before[-1].reading.kind if before else "", self.colour)
        if not kind or session.current != prototype.path:
            return
        self.open_form(begun(self.controller, day=day, kind=kind))

    @work
    async def action_delete(self) -> None:
        """Delete the reading under the cursor, when the builder says so."""
        reading_row, prototype = self.chosen, self.controller.session.prototype
        if reading_row is None or prototype.notice:
            return
        reading, day = reading_row.reading, reading_row.entry.day or "no day"
        what = f"{kind_label(reading.kind)} of {day}: {fact_text(reading)}"
        sure = await ask_delete(self.app, "Delete this reading?", what, self.colour)
        if sure and is_stored(self.controller.session, reading_row):
            self.controller.change(without_reading(prototype.project, reading_row.place))
            self._seen = len(self.readings)
            self.show_face()
            self.post_message(self.Changed())

    def closed(self, reading_row: ReadingRow) -> None:
        """Put the cursor on the reading that was in the form, where it was stored."""
        places = [row.place for row in self.readings]
        if reading_row.place in places:
            self._seen = len(places)
            self.listing.at = places.index(reading_row.place)


def _row(session: Session, reading_row: ReadingRow, width: int, *, here: bool) -> Line:
    """Return a reading's row; its gap is awaited while its mark is looked at and nothing stands in the way."""
    flagged = bool(problems_of_reading(session.prototype.project, reading_row.entry, reading_row.reading))
    coming = reading_row.mark == session.number and session.age is not Age.OLD and not session.prototype.outlook.failure
    return row_line(reading_row, gap_of(session, reading_row), width, here=here, flagged=flagged, waiting=coming)
