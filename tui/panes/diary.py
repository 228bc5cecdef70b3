"""The leaf of the diary: what happened at the bench. Lists the entries, opens one, begins one.

An open entry has two parts: its text, and below it a form of what was seen, changed and comes next. Tab, or the arrows
at the ends, go from one to the other. What is typed goes into the project at once; the keeper drafts it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import TextArea

from model.record import Entry
from tui.desk import Desk
from tui.evening import clean_lines, new_entry, without_entry
from tui.form.advice import advice
from tui.form.form import Form
from tui.lines import Line, LinesView, wrapped
from tui.panes.entries import (
    TICK,
    below_lines,
    entry_content,
    entry_title,
    first_line,
    problems_in,
    row_lines,
    stage_lines,
    with_row,
)
from tui.panes.listing import Listing
from tui.panes.pane import Pane
from tui.quiet import Hints
from tui.screens.entry import ask_day, ask_delete, known_day

LIST: Hints = (("a", "add"), ("Enter", "open"), ("d", "delete"))
EMPTY: Hints = (("a", "add an entry"),)
TEXT: Hints = (("Tab", "ticks and more"), ("Esc", "done"), ("ctrl+z", "take back"))
FORM: Hints = (("Space", "tick"), ("Tab", "next"), ("Up", "text"), ("Esc", "done"))
LINE: Hints = (("Enter", "edit"), ("Up", "text"), ("Esc", "done"))
OPEN: Hints = (("Enter", "done"), ("Esc", "done, stay"), ("ctrl+z", "take back"))
LONGEST = 100_000
"""Most characters of an entry's text that the screen shows for editing."""


class Words(TextArea):
    """The text of an entry."""

    DEFAULT_CSS = """
    Words { height: 6; border: none; padding: 0; background: ansi_default; color: ansi_default;
            scrollbar-size: 0 0; overflow: hidden hidden; }
    Words:focus { border: none; background: ansi_default; color: ansi_default; }
    Words > .text-area--cursor { text-style: reverse; background: ansi_default; color: ansi_default; }
    Words > .text-area--selection { text-style: underline; background: ansi_default; color: ansi_default; }
    Words > .text-area--cursor-line { background: ansi_default; }
    """

    class Done(Message):
        """The text is left, for the form below it or for the list."""

        def __init__(self, *, onward: bool) -> None:
            super().__init__()
            self.onward = onward

    def __init__(self) -> None:
        super().__init__(
            soft_wrap=True, compact=True, tab_behavior="focus", highlight_cursor_line=False, theme="css", id="words"
        )
        self.cursor_blink = False

    async def on_key(self, event: events.Key) -> None:
        """Leave by Tab and Escape, and by Down at the end."""
        ends = self.cursor_at_end_of_text and self.selection.is_empty
        if event.key in ("tab", "shift+tab", "escape") or (event.key == "down" and ends):
            event.stop()
            event.prevent_default()
            self.post_message(self.Done(onward=event.key in ("tab", "down")))


class EntryForm(Form):
    """What was seen, changed and comes next; Up at its first row goes back to the text."""

    class Upward(Message):
        """The cursor goes up from the first row."""

    def take_key(self, key: str, character: str | None) -> bool:
        """Take a key while no field is open: Space and Enter tick."""
        names = self.content.names
        if key in ("up", "shift+tab") and names and self.name_at == names[0]:
            self.post_message(self.Upward())
            return True
        if key == "enter" and self.name_at.startswith(TICK):
            key = "space"
        return super().take_key(key, character)


class DiaryPane(Pane):
    """Lists the entries, the latest last; shows one to edit."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", show=False),
    ]

    def __init__(self, desk: Desk, *, colour: bool, plain: bool) -> None:
        super().__init__(desk, id="diary", colour=colour, plain=plain)
        self.listing = Listing(colour=colour)
        self.title = LinesView(id="title", colour=colour)
        self.words = Words()
        self.form = EntryForm(colour=colour)
        self.listing.keys = {
            "a": self.action_add, "enter": self.action_edit, "d": self.action_delete, "delete": self.action_delete,
        }  # fmt: skip
        self.opened: Entry | None = None
        """The entry that is open, as it was opened or begun; what stands in the project goes before it."""
        self.writing = False
        """Whether the text has the keys."""
        self._seen = -1

    def compose(self) -> ComposeResult:
        """List; or title, text and form of an entry."""
        self.title.styles.height = 1
        yield self.listing
        yield self.title
        yield self.words
        yield self.form

    def on_mount(self) -> None:
        """The list is shown first."""
        self._show_parts()

    def _show_parts(self) -> None:
        opened = self.opened is not None
        self.listing.display = not opened
        for part in (self.title, self.words, self.form):
            part.display = opened

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def entries(self) -> list[Entry]:
        """The entries in the list."""
        return list(self.desk.session.at.project.entries.values())

    @property
    def chosen(self) -> Entry | None:
        """The entry under the cursor of the list."""
        entries = self.entries
        return entries[min(self.listing.at, len(entries) - 1)] if entries else None

    @property
    def current(self) -> Entry | None:
        """The open entry as it stands now."""
        opened = self.opened
        return None if opened is None else self.desk.session.at.project.entries.get(opened.key, opened)

    def on_resize(self, event: events.Resize) -> None:
        """Give the text its part of the height, then draw."""
        self.words.styles.height = max(3, min(14, (self.size.height - 1) * 2 // 5))
        self.call_after_refresh(self.refresh_pane)

    def refresh_pane(self) -> None:
        """Draw the face that is shown."""
        entry = self.current
        if entry is None:
            self._show_list()
            return
        problems = problems_in(self.desk.session.at.all_problems, entry)
        self.title.show_lines([entry_title(entry, max(24, self.title.size.width))])
        self.form.read_only = self.words.read_only = bool(self.desk.session.at.notice) or self._too_long(entry)
        self.form.show(entry_content(entry, self.desk.session.at.project, problems))
        if not self.writing:
            self._load(entry)

    def _too_long(self, entry: Entry) -> bool:
        return len(entry.text) > LONGEST

    def _load(self, entry: Entry) -> None:
        """Put the entry's text into the widget where another stands there."""
        text = _shown(entry.text)
        if self.words.text != text:
            with self.words.prevent(TextArea.Changed):
                self.words.load_text(text)

    def _show_list(self) -> None:
        project = self.desk.session.at.project
        problems = self.desk.session.at.all_problems
        width = max(24, self.listing.size.width)
        entries = self.entries
        if len(entries) != self._seen:
            self.listing.at = len(entries) - 1
            self._seen = len(entries)
        head = stage_lines(project, width)
        if not entries:
            text = "Nothing written yet. Press a to begin an entry; evenings on which nothing ran count most."
            self.listing.show_rows([*head, (), *wrapped(text, width, role="dim")], [])
            return
        rows = [
            row_lines(entry, width, here=i == self.listing.at, flagged=bool(problems_in(problems, entry)))
            for i, entry in enumerate(entries)
        ]
        self.listing.show_rows(head, rows)

    # -- the seam to the screen ---------------------------------------------------------------------------------

    def take_focus(self) -> None:
        """Keys go to the part that has them."""
        if self.opened is None:
            self.screen.set_focus(self.listing, scroll_visible=False)
        elif self.writing:
            self.screen.set_focus(self.words, scroll_visible=False)
        else:
            self.form.take_focus()

    def leave(self) -> None:
        """Close the text or field that is open; what was typed stands."""
        self.form.leave()
        self._stop_writing()

    @property
    def editing(self) -> bool:
        """Whether letters are text."""
        return self.writing or self.form.editing

    def advice(self, width: int, height: int) -> list[Line]:
        """What else is in the entry, or what the row under the cursor is."""
        at = self.desk.session.at
        entry = self.current
        if entry is None:
            chosen = self.chosen
            return below_lines(chosen, problems_in(at.all_problems, chosen), width)[:height] if chosen else []
        if self.writing:
            text = "What happened, in your words: what was tried, what it did, where it stopped."
            return [*wrapped(text, width), *below_lines(entry, (), width)][:height]
        lines = advice(self.form.current, width=width, height=height, editing=self.editing)
        if self._too_long(entry):
            lines = [
                *wrapped("! This entry is too long for the screen; edit it in the file.", width, role="flag"),
                *lines,
            ]
        return lines[:height]

    def hints(self) -> Hints:
        """Keys of the part that has them."""
        if self.opened is None:
            return LIST if self.entries else EMPTY
        if self.writing:
            return TEXT
        if self.form.editing:
            return OPEN
        return FORM if self.form.name_at.startswith(TICK) else LINE

    # -- keys ---------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Escape closes an open entry; else it is the screen's."""
        if action == "back":
            return self.opened is not None and not self.editing
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
        at = self.desk.session.at
        day = known_day(self.desk, at.project)
        if at.notice:
            return
        if day:
            self._open(new_entry(at.project, day=day, mark=self.desk.session.number))
        else:
            self._add_when_asked()

    @work
    async def _add_when_asked(self) -> None:
        """Begin an entry after the day was asked."""
        session = self.desk.session
        at = session.at
        day = await ask_day(self.app, self.desk, at.project, self.colour)
        if day and session.current == at.path:
            self._open(new_entry(at.project, day=day, mark=session.number))

    @work
    async def action_delete(self) -> None:
        """Delete the entry under the cursor, when the builder says so."""
        entry, at = self.chosen, self.desk.session.at
        if entry is None or at.notice:
            return
        count = len(entry.readings)
        also = f" Its {count} reading{'' if count == 1 else 's'} would go with it." if count else ""
        what = f"{entry.day or 'no day'}: {first_line(entry)}{also}"
        if await ask_delete(self.app, "Delete this entry?", what, self.colour) and entry.key in at.project.entries:
            self.desk.change(without_entry(at.project, entry.key))
            self._seen = len(self.entries)
            self._show_list()
            self.post_message(self.Changed())

    def action_back(self) -> None:
        """Go back to the list."""
        opened, self.opened = self.opened, None
        self._show_parts()
        keys = [entry.key for entry in self.entries]
        self._seen = len(keys)
        if opened is not None and opened.key in keys:
            self.listing.at = keys.index(opened.key)
        self.listing.instead = None
        self.take_focus()
        self.call_after_refresh(self._show_list)
        self.post_message(self.Changed())

    def _open(self, entry: Entry) -> None:
        self.opened = entry
        self.form.name_at = ""
        self.form.rows.top = 0
        self._load(entry)
        self.words.move_cursor(self.words.document.end)
        self._show_parts()
        self.listing.instead = self.words
        self._write()

    # -- the text -----------------------------------------------------------------------------------------------

    def _write(self) -> None:
        self.writing = True
        self.desk.enter_field()
        self.take_focus()
        self.refresh_pane()
        self.call_after_refresh(self.refresh_pane)
        self.post_message(self.Changed())

    def _stop_writing(self) -> None:
        if self.writing:
            self._take_text()
            self.writing = False
            self.post_message(self.Left())

    def _take_text(self) -> None:
        """Put what stands in the widget into the project, where it is another text."""
        entry = self.current
        text = self.words.text
        if entry is not None and not self.words.read_only and text != _shown(entry.text):
            self.desk.put(self.desk.session.at.project.with_entry(replace(entry, text=clean_lines(text))))

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        """A letter was typed."""
        event.stop()
        if self.writing:
            self._take_text()
            self.post_message(self.Changed())

    def on_words_done(self, event: Words.Done) -> None:
        """The text is left for the form."""
        event.stop()
        self._stop_writing()
        self.take_focus()
        self.refresh_pane()
        self.post_message(self.Changed())

    def on_entry_form_upward(self, event: EntryForm.Upward) -> None:
        """From the form back to the text."""
        event.stop()
        self._write()

    # -- the form -----------------------------------------------------------------------------------------------

    def on_form_entered(self, event: Form.Entered) -> None:
        """A field is opened."""
        event.stop()
        self.desk.enter_field()

    def on_form_typed(self, event: Form.Typed) -> None:
        """Its text changed."""
        event.stop()
        entry = self.current
        if entry is None:
            return
        project = self.desk.session.at.project
        changed = with_row(project, entry, event.name, event.text)
        if changed != project:
            self.desk.put(changed)
        self.refresh_pane()
        self.post_message(self.Changed())

    def on_form_left(self, event: Form.Left) -> None:
        """It is left."""
        event.stop()
        self.post_message(self.Left())

    def on_form_moved(self, event: Form.Moved) -> None:
        """Another row is under the cursor."""
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


def _shown(text: str) -> str:
    """Return an entry's text as the widget shows it."""
    return clean_lines(text).removesuffix("\n")
