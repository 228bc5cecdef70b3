"""One diary entry, open: its text, and below it a form of what was seen, what was changed and what comes next.

Tab, or the arrows at the ends, go from one to the other. What is typed goes into the project at once (persistence
drafts it); an entry that was begun is stored with its first text or tick.
"""

from __future__ import annotations

from dataclasses import replace

from textual import events
from textual.app import ComposeResult
from textual.containers import Container
from textual.message import Message
from textual.widgets import TextArea

from model.record import Entry
from tui.panes.benchform import BenchForm
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.diary_edits import clean_lines
from tui.view.entries import TICK, below_lines, entry_content, entry_title, problems_in, with_row
from tui.view.field_help import advice
from tui.view.keys import Hints
from tui.view.layout import READABLE
from tui.view.lines import Line, wrapped
from tui.widgets.form import FIELD_OPEN
from tui.widgets.lines_view import LinesView

TEXT: Hints = (("Tab", "ticks and more"), ("Esc", "done"), ("ctrl+z", "take back"))
TICKS: Hints = (("Space", "tick"), ("Tab", "next"), ("Up", "text"), ("Esc", "done"))
LINE: Hints = (("Enter", "edit"), ("Up", "text"), ("Esc", "done"))
LONGEST = 100_000
"""Most characters of an entry's text that the screen takes for editing."""


class DiaryText(TextArea):
    """The text of an entry."""

    DEFAULT_CSS = """
    DiaryText { height: 6; border: none; padding: 0; background: ansi_default; color: ansi_default;
            scrollbar-size: 0 0; overflow: hidden hidden; }
    DiaryText:focus { border: none; background: ansi_default; color: ansi_default; }
    DiaryText > .text-area--cursor { text-style: reverse; background: ansi_default; color: ansi_default; }
    DiaryText > .text-area--selection { text-style: underline; background: ansi_default; color: ansi_default; }
    DiaryText > .text-area--cursor-line { background: ansi_default; }
    """

    class Done(Message):
        """The text is left for the form below it."""

    class Save(Message):
        """The text is to be saved; it keeps the keys."""

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
            self.post_message(self.Done())
        elif event.key == "ctrl+s":
            event.stop()
            event.prevent_default()
            self.post_message(self.Save())

    def on_paste(self, event: events.Paste) -> None:
        """Take lines of text alone."""
        event.text = clean_lines(event.text)

    def show_text(self, text: str) -> None:
        """Put another text in place of what stands here, without a word to the parent."""
        if self.text != text:
            with self.prevent(TextArea.Changed):
                self.load_text(text)


class EntryForm(BenchForm):
    """What was seen, changed and comes next; Up at its first row goes back to the text."""

    class Upward(Message):
        """The cursor goes up from the first row."""

    def __init__(self, controller: ProjectController, *, colour: bool) -> None:
        super().__init__(controller, colour=colour)
        self.opened: Entry | None = None
        """The entry, as it was opened or begun; what stands in the project goes before it."""

    @property
    def written(self) -> Entry | None:
        """The entry as it stands now."""
        opened = self.opened
        return None if opened is None else self.controller.session.prototype.project.entries.get(opened.key, opened)

    def refresh_form(self) -> None:
        """Draw from the session."""
        entry, prototype = self.written, self.controller.session.prototype
        if entry is not None:
            self.read_only = bool(prototype.notice) or too_long(entry)
            self.show(entry_content(entry, prototype.project, problems_in(prototype.all_problems, entry)))

    def take_text(self, name: str, text: str) -> None:
        """Store the entry with another text or tick."""
        entry, project = self.written, self.controller.session.prototype.project
        if entry is not None:
            changed = with_row(project, entry, name, text)
            if changed != project:
                self.controller.put(changed)

    def take_paste(self, text: str) -> None:
        """Take a paste while no field is open; a tick takes none."""
        if not self.name_at.startswith(TICK):
            super().take_paste(text)

    def take_key(self, key: str, character: str | None) -> bool:
        """Take a key while no field is open: Space and Enter tick."""
        names = self.content.names
        if key in ("up", "shift+tab") and names and self.name_at == names[0]:
            self.post_message(self.Upward())
            return True
        if key == "enter" and self.name_at.startswith(TICK):
            key = "space"
        return super().take_key(key, character)


class EntrySheet(Container):
    """Title, text and form of the open entry."""

    DEFAULT_CSS = "EntrySheet { height: 1fr; width: 1fr; }"

    def __init__(self, controller: ProjectController, *, colour: bool) -> None:
        super().__init__(id="sheet")
        self.controller = controller
        self.title = LinesView(id="title", colour=colour)
        self.words = DiaryText()
        self.form = EntryForm(controller, colour=colour)
        self.writing = False
        """Whether the text has the keys."""

    def compose(self) -> ComposeResult:
        """Title, text, form."""
        self.title.styles.height = 1
        yield self.title
        yield self.words
        yield self.form

    def on_resize(self, event: events.Resize) -> None:
        """Give the text its part of the height, then draw."""
        self.words.styles.height = max(3, min(14, (self.size.height - 1) * 2 // 5))
        self.call_after_refresh(self.refresh_sheet)

    def refresh_sheet(self) -> None:
        """Draw from the session."""
        entry = self.form.written
        if entry is None:
            return
        self.title.show_lines([entry_title(entry, max(24, min(READABLE, self.title.size.width)))])
        self.form.refresh_form()
        self.words.read_only = self.form.read_only
        if not self.writing:
            self.words.show_text(_shown(entry.text))

    def open_entry(self, entry: Entry) -> None:
        """Show an entry, at the end of its text."""
        self.form.opened = entry
        self.form.rewind()
        self.words.show_text(_shown(entry.text))
        self.words.move_cursor(self.words.document.end)
        self.write()

    def take_focus(self) -> None:
        """Keys go to the part that has them."""
        if self.writing:
            self.screen.set_focus(self.words, scroll_visible=False)
        else:
            self.form.take_focus()

    def leave(self) -> None:
        """Close the text or field that is open; what was typed stands."""
        self.form.leave()
        self._stop_writing()
        if self.words.has_focus:
            self.form.take_focus()

    @property
    def editing(self) -> bool:
        """Whether letters are text."""
        return self.writing or self.form.editing

    def advice(self, width: int, height: int) -> list[Line]:
        """Return what else is in the entry, or what the row under the cursor is."""
        entry = self.form.written
        if entry is None:
            return []
        if self.writing:
            text = "What happened, in your words: what was tried, what it did, where it stopped."
            return [*wrapped(text, width), *below_lines(entry, (), width)][:height]
        lines = advice(self.form.current, width=width, height=height, editing=self.editing)
        if too_long(entry):
            text = "! This entry is too long for the screen; edit it in the file."
            lines = [*wrapped(text, width, role="flag"), *lines]
        return lines[:height]

    def hints(self) -> Hints:
        """Return the keys of the part that has them."""
        if self.writing:
            return TEXT
        if self.form.editing:
            return FIELD_OPEN
        return TICKS if self.form.name_at.startswith(TICK) else LINE

    # -- the text -----------------------------------------------------------------------------------------------

    def write(self) -> None:
        """Give the keys to the text."""
        self.writing = True
        self.controller.enter_field()
        self.take_focus()
        self.refresh_sheet()
        self.call_after_refresh(self.refresh_sheet)
        self.post_message(Pane.Changed())

    def _stop_writing(self) -> None:
        if self.writing:
            self._take_text()
            self.writing = False
            self.controller.leave_field(unless_asked=True)
            self.post_message(Pane.FieldLeft())

    def _take_text(self) -> None:
        """Put what stands in the widget into the project, where it is another text."""
        entry = self.form.written
        text = self.words.text
        if entry is not None and not self.words.read_only and text != _shown(entry.text):
            self.controller.enter_field()
            self.controller.put(
                self.controller.session.prototype.project.with_entry(replace(entry, text=clean_lines(text)))
            )

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        """A letter was typed."""
        event.stop()
        if self.writing:
            self._take_text()
            self.post_message(Pane.Changed())

    def on_diary_text_save(self, event: DiaryText.Save) -> None:
        """The text is saved as it stands."""
        event.stop()
        self._take_text()
        self.controller.leave_field(unless_asked=True)
        self.post_message(Pane.FieldLeft())

    def on_diary_text_done(self, event: DiaryText.Done) -> None:
        """The text is left for the form."""
        event.stop()
        self._stop_writing()
        self.take_focus()
        self.refresh_sheet()
        self.post_message(Pane.Changed())

    def on_entry_form_upward(self, event: EntryForm.Upward) -> None:
        """From the form back to the text."""
        event.stop()
        self.write()


def too_long(entry: Entry) -> bool:
    """Whether an entry's text is more than the screen takes for editing."""
    return len(entry.text) > LONGEST


def _shown(text: str) -> str:
    """Return an entry's text as the widget shows it."""
    return clean_lines(text).removesuffix("\n")
