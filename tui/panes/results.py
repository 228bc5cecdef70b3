"""The leaf of readings: what was measured, what was predicted at its conditions, the gap; adds, edits, deletes.

Two faces: the list, and the form of one reading. A reading that was begun is stored with its first text, in the entry
of its day. Conditions of last time are offered in the form and stored only when they are taken.
"""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from model.prediction import Gap
from model.problems import problems_of_reading
from model.record import Entry, Reading, new_key
from tui.desk import Desk
from tui.evening import Offer, entry_of_day, new_entry, offers, with_reading, with_text, without_reading
from tui.form.advice import advice
from tui.form.content import Content
from tui.form.form import Form
from tui.lines import Line, wrapped
from tui.panes.listing import Listing
from tui.panes.pane import Pane
from tui.panes.readings import (
    Taken,
    below_lines,
    fact_text,
    field_cautions,
    head_line,
    kind_label,
    offered_names,
    reading_content,
    result_text,
    row_line,
    taken_readings,
)
from tui.quiet import Hints
from tui.screens.entry import ask_day, ask_delete, ask_kind
from tui.session import Age

LIST: Hints = (("a", "add"), ("Enter", "edit"), ("d", "delete"), ("o", "all marks"))
EMPTY: Hints = (("a", "add a reading"), ("o", "all marks"))
FORM: Hints = (("Enter", "edit"), ("Esc", "done"))
OFFERED: Hints = (("t", "take all offered"), ("Enter", "edit"), ("Esc", "done"))
OPEN: Hints = (("Enter", "done"), ("Esc", "done, stay"), ("ctrl+z", "take back"))
WORDS: Hints = (("Enter", "done"), ("Space", "next word"), ("letters", "find"), ("ctrl+z", "take back"))


class ReadingForm(Form):
    """The form of a reading: Enter on a row that offers a condition opens it with that text."""

    def __init__(self, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.offered: dict[str, Offer] = {}

    def take_key(self, key: str, character: str | None) -> bool:
        """Take a key while no field is open."""
        row = self.current
        if key == "enter" and row and not row.text and row.name in self.offered and not self.read_only:
            self.open(self.offered[row.name].text)
            return True
        return super().take_key(key, character)


class ResultsPane(Pane):
    """Lists the readings of the mark that is looked at, or of all; shows one in a form."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "take", show=False),
        Binding("escape", "back", show=False),
    ]

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__(desk, id="results", colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.form = ReadingForm(colour=colour)
        self.form.display = False
        self.listing.keys = {
            "a": self.action_add, "enter": self.action_edit, "d": self.action_delete, "delete": self.action_delete,
            "o": self.action_others,
        }  # fmt: skip
        self.all_marks = False
        self.opened: Taken | None = None
        """The reading in the form, as it was opened or begun; what stands in the project goes before it."""
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

    @property
    def current(self) -> Taken | None:
        """The reading in the form as it stands now."""
        opened = self.opened
        if opened is None:
            return None
        project = self.desk.session.at.project
        entry = project.entries.get(opened.entry.key, opened.entry)
        reading = entry.readings.get(opened.reading.key, opened.reading)
        return Taken(entry=entry, reading=reading, mark=project.mark_of(entry, reading))

    def _gap_of(self, taken: Taken) -> Gap | None:
        gaps = self.desk.session.at.outlook.gaps
        return next((gap for gap in gaps if (gap.entry, gap.reading) == taken.place), None)

    def _is_stored(self, taken: Taken) -> bool:
        entry = self.desk.session.at.project.entries.get(taken.entry.key)
        return entry is not None and taken.reading.key in entry.readings

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.refresh_pane)

    def refresh_pane(self) -> None:
        """Draw the face that is shown."""
        if self.opened is not None:
            self._show_form()
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
        if others and not self.all_marks:
            title += f"   (o: {others} more on other marks)"
        head: list[Line] = [((title, "head"),)]
        if not found:
            text = "Nothing measured yet. Press a to write down a reading: counted turns and a time are enough."
            self.listing.show_rows([*head, (), *wrapped(text, width, role="dim")], [])
            return
        rows = [[self._row(taken, width, here=i == self.listing.at)] for i, taken in enumerate(found)]
        self.listing.show_rows([*head, head_line(width)], rows)

    def _row(self, taken: Taken, width: int, *, here: bool) -> Line:
        session = self.desk.session
        flagged = bool(problems_of_reading(session.at.project, taken.entry, taken.reading))
        coming = taken.mark == session.number and session.age is not Age.OLD and not session.at.outlook.failure
        return row_line(taken, self._gap_of(taken), width, here=here, flagged=flagged, waiting=coming)

    def _show_form(self) -> None:
        self.form.read_only = bool(self.desk.session.at.notice)
        self.form.offered = self._offers()
        self.form.show(self._content())

    def _content(self) -> Content:
        taken = self.current
        if taken is None:
            return Content()
        content = reading_content(taken.reading, self._offers(), field_cautions(taken.reading.kind))
        project = self.desk.session.at.project
        problems = {p.where.rpartition(".")[2]: p for p in problems_of_reading(project, taken.entry, taken.reading)}
        rows = [replace(r, problem=r.problem or problems.get(r.name)) if r.name == "mark" else r for r in content.rows]
        return Content(rows=tuple(rows))

    def _offers(self) -> dict[str, Offer]:
        taken = self.current
        if taken is None:
            return {}
        project = self.desk.session.at.project
        number = taken.mark if taken.mark is not None else self.desk.session.number
        return offers(project, number, taken.reading, taken.place if self._is_stored(taken) else None)

    # -- the seam to the screen ---------------------------------------------------------------------------------

    def take_focus(self) -> None:
        """Keys go to the face that is shown."""
        if self.opened is not None:
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
        session = self.desk.session
        if self.opened is None:
            taken = self.chosen
            if taken is None:
                return []
            gap = self._gap_of(taken)
            return below_lines(taken, gap, session.at.project, width, looked_at=session.number)[:height]
        row = self.form.current
        if row is None:
            return []
        offer = self.form.offered.get(row.name)
        said = self._result_lines(width)
        if offer is None or row.text:
            return [*said, *advice(row, width=width, height=height - len(said), editing=self.editing)][:height]
        text = f"Offered, not kept: {row.assumed}. Enter takes it to edit, t takes all."
        lines = [*said, *wrapped(text, width)]
        return [*lines, *advice(replace(row, assumed=""), width=width, height=height - len(lines))][:height]

    def _result_lines(self, width: int) -> list[Line]:
        """Return what the reading in the form comes to."""
        taken = self.current
        if taken is None or self.editing:
            return []
        return wrapped(result_text(taken.reading, self._gap_of(taken)), width, role="strong", rest="  ")

    def hints(self) -> Hints:
        """Keys of the face that is shown."""
        if self.opened is None:
            return LIST if self.readings else EMPTY
        row = self.form.current
        if self.editing:
            words = row is not None and row.field is not None and row.field.takes_words
            return WORDS if words else OPEN
        return OFFERED if offered_names(self.form.content, self.form.offered) else FORM

    # -- keys ---------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys of the form work in the form; elsewhere they are the screen's."""
        if action in ("take", "back"):
            return self.opened is not None and not self.editing
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
            self._open(self.chosen, "")

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
        self._open(Taken(entry=entry, reading=reading, mark=session.number), "turns")

    @work
    async def action_delete(self) -> None:
        """Delete the reading under the cursor, when the builder says so."""
        taken, at = self.chosen, self.desk.session.at
        if taken is None or at.notice:
            return
        what = f"{kind_label(taken.reading.kind)} of {taken.entry.day or 'no day'}: {fact_text(taken.reading)}"
        if await ask_delete(self.app, "Delete this reading?", what, self.colour) and self._is_stored(taken):
            self.desk.change(without_reading(at.project, taken.place))
            self._seen = len(self.readings)
            self._show_list()
            self.post_message(self.Changed())

    def action_take(self) -> None:
        """Take all conditions that are offered, in one step."""
        taken = self.current
        names = offered_names(self.form.content, self.form.offered)
        if taken is None or not names or self.form.read_only:
            return
        self.desk.enter_field()
        reading = taken.reading
        for name in names:
            reading = with_text(reading, name, self.form.offered[name].text)
        self._store(taken.entry, reading)
        self.post_message(self.Left())
        self.refresh_pane()
        self.post_message(self.Changed())

    def action_back(self) -> None:
        """Go back to the list; the reading stands."""
        opened = self.opened
        self.opened = None
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

    def _open(self, taken: Taken, field: str) -> None:
        self.opened = taken
        self.listing.display = False
        self.form.display = True
        self.form.name_at = ""
        self.form.rows.top = 0
        self._show_form()
        names = self.form.content.names
        self.form.go_to(field if field in names else names[1] if len(names) > 1 else "kind")
        self.listing.instead = self.form.entry
        self.take_focus()
        self.call_after_refresh(self.refresh_pane)
        self.post_message(self.Changed())

    # -- what the form says -------------------------------------------------------------------------------------

    def on_form_entered(self, event: Form.Entered) -> None:
        """A field is opened."""
        event.stop()
        self.desk.enter_field()

    def on_form_typed(self, event: Form.Typed) -> None:
        """Its text changed: the reading is stored with it."""
        event.stop()
        taken = self.current
        if taken is None:
            return
        reading = with_text(taken.reading, event.name, event.text)
        if reading != taken.reading:
            self._store(taken.entry, reading)
            self.refresh_pane()
            self.post_message(self.Changed())

    def _store(self, entry: Entry, reading: Reading) -> None:
        self.desk.put(with_reading(self.desk.session.at.project, entry, reading))

    def on_form_left(self, event: Form.Left) -> None:
        """It is left."""
        event.stop()
        self.post_message(self.Left())

    def on_form_moved(self, event: Form.Moved) -> None:
        """Another field is under the cursor."""
        event.stop()
        self.post_message(self.Changed())

    def on_form_undo(self, event: Form.Undo) -> None:
        """Take back what was typed in this visit."""
        event.stop()
        at = self.desk.session.at
        if at.visit is not None and at.visit != at.project:
            self.desk.step(back=True)
        else:
            at.visit = None
        self.form.close_quietly()
        self.refresh_pane()
        self.post_message(self.Changed())
