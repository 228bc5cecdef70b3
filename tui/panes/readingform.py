"""The form of one reading: what was measured, the conditions that are offered, what it comes to.

A reading that was begun is stored with its first text, in the entry of its day. Conditions of last time stand in their
empty rows and are stored only when they are taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar

from textual import work
from textual.binding import BindingType

from model.bench.kinds import kind_of
from model.checks.plausibility import doubts_of_reading
from model.checks.problems import problems_of_reading
from model.knowledge.gaps import gaps_with
from model.prediction.result import Gap
from model.record import Reading
from tui.panes.benchform import BenchForm
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.diary_edits import Offer, offers, with_reading, with_text
from tui.state.knowledge import knowledge_of
from tui.state.prototype import parsed_build
from tui.state.session import Session
from tui.view.field_help import advice
from tui.view.form_rows import Content
from tui.view.keys import READING, Hints, hints
from tui.view.lines import Line, wrapped
from tui.view.readings import EARLY, ReadingRow, field_cautions, offered_names, reading_content, result_text
from tui.widgets.form import FIELD_OPEN, WORDS_OPEN
from tui.widgets.screen import bindings

FORM: Hints = (("Enter", "edit"), ("Esc", "done"))


def gap_of(session: Session, reading_row: ReadingRow) -> Gap | None:
    """Return the gap that came back for a reading; one of another build is none."""
    outlook = session.prototype.outlook
    if outlook.gaps_old or (outlook.build is not None and outlook.build != session.parsed.build):
        return None
    gap_found = next(
        (gap for gap in session.prototype.outlook.gaps if (gap.entry, gap.reading) == reading_row.place), None
    )
    # what several readings tell together cannot be held against the one on the screen: only a fresh one counts
    if gap_found is None or (gap_found.quantity in EARLY and session.parsed.problems):
        return None
    known = knowledge_of(session)
    return gap_found if known is None else gaps_with([gap_found], known.expected)[0]


def is_stored(session: Session, reading_row: ReadingRow) -> bool:
    """Whether a reading stands in the project."""
    entry = session.prototype.project.entries.get(reading_row.entry.key)
    return entry is not None and reading_row.reading.key in entry.readings


class ReadingForm(BenchForm):
    """Shows one reading; Enter on a row that offers a condition opens it with that text."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(READING)

    def __init__(self, controller: ProjectController, *, colour: bool) -> None:
        super().__init__(controller, colour=colour)
        self.opened: ReadingRow | None = None
        """The reading, as it was opened or begun; what stands in the project goes before it."""
        self.offered: dict[str, Offer] = {}

    @property
    def reading_row(self) -> ReadingRow | None:
        """The reading as it stands now."""
        if self.opened is None:
            return None
        project = self.controller.session.prototype.project
        entry = project.entries.get(self.opened.entry.key, self.opened.entry)
        reading = entry.readings.get(self.opened.reading.key, self.opened.reading)
        return ReadingRow(entry=entry, reading=reading, mark=project.mark_of(entry, reading))

    def open_reading(self, reading_row: ReadingRow, *, first: str = "") -> None:
        """Show a reading, the cursor on a field (else on the first after its kind)."""
        self.opened = reading_row
        self.rewind()
        self.refresh_form()
        names = self.content.names
        self.go_to(first if first in names else names[1] if len(names) > 1 else "kind")

    def refresh_form(self) -> None:
        """Draw from the session."""
        reading_row = self.reading_row
        self.read_only = bool(self.controller.session.prototype.notice)
        self.offered = self._offers(reading_row) if reading_row else {}
        self.show(self._content(reading_row) if reading_row else Content())

    def _offers(self, reading_row: ReadingRow) -> dict[str, Offer]:
        session = self.controller.session
        number = reading_row.mark if reading_row.mark is not None else session.number
        place = reading_row.place if is_stored(session, reading_row) else None
        return offers(session.prototype.project, number, reading_row.reading, place)

    def _content(self, reading_row: ReadingRow) -> Content:
        mark = (
            self.controller.session.prototype.project.marks.get(reading_row.mark)
            if reading_row.mark is not None
            else None
        )
        source = mark.build.get("heat_source", "") if mark else ""
        doubts = doubts_of_reading(self.controller.session.prototype.project, reading_row.entry, reading_row.reading)
        content = reading_content(
            reading_row.reading, self.offered, field_cautions(reading_row.reading.kind), doubts, source
        )
        flagged = problems_of_reading(self.controller.session.prototype.project, reading_row.entry, reading_row.reading)
        problems = {problem.where.rpartition(".")[2]: problem for problem in flagged}
        rows = [replace(r, problem=r.problem or problems.get(r.name)) if r.name == "mark" else r for r in content.rows]
        return Content(rows=tuple(rows))

    def take_key(self, key: str, character: str | None) -> bool:
        """Take a key while no field is open."""
        offer = self.offered.get(self.name_at)
        if key == "enter" and offer is not None and not self.read_only:
            self.open(offer.text)
            return True
        return super().take_key(key, character)

    def take_text(self, name: str, text: str) -> None:
        """Store the reading with another text."""
        reading_row = self.reading_row
        if reading_row is not None:
            reading = with_text(reading_row.reading, name, text)
            if reading != reading_row.reading:
                self._store(reading_row, reading)

    def _store(self, reading_row: ReadingRow, reading: Reading) -> None:
        self.controller.put(with_reading(self.controller.session.prototype.project, reading_row.entry, reading))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Letters are text while a field is open."""
        if action in ("take_offered", "stopwatch"):
            return not self.editing
        return super().check_action(action, parameters)

    def action_take_offered(self) -> None:
        """Take all conditions that are offered, in one step."""
        reading_row = self.reading_row
        names = offered_names(self.content, self.offered)
        if reading_row is None or not names or self.read_only:
            return
        self._take_texts(reading_row, {name: self.offered[name].text for name in names})

    def _take_texts(self, reading_row: ReadingRow, texts: Mapping[str, str]) -> None:
        """Put several texts into the reading, in one step that undo takes back."""
        self.controller.enter_field()
        reading = reading_row.reading
        for name, text in texts.items():
            reading = with_text(reading, name, text)
        self._store(reading_row, reading)
        self.controller.leave_field(unless_asked=True)
        self.post_message(Pane.FieldLeft())
        self.refresh_form()
        self.post_message(Pane.Changed())

    @work
    async def action_stopwatch(self) -> None:
        """Time the reading, and write down what it came to."""
        from tui.dialogs.stopwatch import Stopwatch

        reading_row = self.reading_row
        kind = kind_of(reading_row.reading.kind) if reading_row is not None else None
        if self.read_only or kind is None or kind.timed is None:
            return
        timed = await self.app.push_screen_wait(
            Stopwatch(f"Stopwatch: {kind.label}", kind.timed, colour=self.rows.colour)
        )
        reading_row = self.reading_row
        if timed is None or reading_row is None:
            return
        texts = {"turns": timed.turns, "time": timed.time}
        if not reading_row.reading.texts.get("note", "").strip():
            texts["note"] = timed.note
        self._take_texts(reading_row, {name: text for name, text in texts.items() if text})
        self.go_to("time")

    def advice(self, width: int, height: int) -> list[Line]:
        """Return what the reading comes to, then what the row under the cursor is and offers."""
        row, reading_row = self.current, self.reading_row
        if row is None or reading_row is None:
            return []
        lines: list[Line] = []
        if not self.editing:
            session = self.controller.session
            mark = session.prototype.project.marks.get(reading_row.mark or session.number, session.mark)
            text = result_text(reading_row.reading, gap_of(session, reading_row), parsed_build(mark).build)
            lines += wrapped(text, width, role="strong", rest="  ") if text else []
        if row.name in self.offered and not row.text:
            lines += wrapped(f"Offered, not kept yet: {row.assumed}. Enter: take and edit. t: take all.", width)
            row = replace(row, assumed="")
        return [*lines, *advice(row, width=width, height=height - len(lines), editing=self.editing)][:height]

    def hints(self) -> Hints:
        """Return the keys of the form."""
        row = self.current
        if self.editing:
            return WORDS_OPEN if row is not None and row.field is not None and row.field.takes_words else FIELD_OPEN
        watch = ("stopwatch",) if "time" in self.content.names else ()
        offered = ("take_offered",) if offered_names(self.content, self.offered) else ()
        return (*(hints(READING, *watch, *offered) if watch or offered else ()), *FORM)
