"""The form as a widget: rows drawn line by line, one input laid over the row that is open.

The owner sets what it shows by `show` and is told by the methods `field_...`, which a subclass fills; the form changes
nothing by itself but its cursor. While a field is open every letter goes to the input; Enter, arrows and
Tab leave the field, Escape too: what was typed stays.
"""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Container
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.widgets import Input

from model.fields import is_unknown
from tui.text.sanitise import one_line
from tui.view.form_rows import Content, FormRow, next_word, settled_text
from tui.view.keys import Hints
from tui.widgets.form_lines import FormLines

HIDDEN = (0, -3)
"""Where the input lies while no field is open: above the form, out of sight."""
_STARTS = frozenset("0123456789+-.,~")
"""Characters that open a field of numbers and are typed into it; letters are keys of the screen."""

FIELD_OPEN: Hints = (("Enter", "done, next"), ("Esc", "done, stay"), ("ctrl+z", "take back"))
WORDS_OPEN: Hints = (("Enter", "done, next"), ("Space", "next word"), ("letters", "find"), ("ctrl+z", "take back"))
"""Keys while a field is open."""


class FieldInput(Input):
    """The one input. It always has the form's keys; it lies over the open row.

    While no field is open it is out of sight, and its keys are the form's or the screen's.
    """

    DEFAULT_CSS = """
    FieldInput { layer: entry; height: 1; border: none; padding: 0; background: ansi_default; color: ansi_default;
            text-style: reverse; }
    FieldInput:focus { background: ansi_default; color: ansi_default; text-style: reverse; border: none; }
    FieldInput > .input--cursor { text-style: underline; background: ansi_default; color: ansi_default; }
    FieldInput > .input--selection { text-style: underline; background: ansi_default; color: ansi_default; }
    """
    virtual_size = reactive(Size(0, 0))
    """A longer text lays out nothing anew (stock: the whole screen, at every character)."""

    def __init__(self, form: Form) -> None:
        super().__init__(id="entry", select_on_focus=False, compact=True)
        self.form = form
        self._known = False
        """Whether the form knows the text that is put in."""
        self.cursor_blink = False
        self.styles.offset = HIDDEN

    async def on_key(self, event: events.Key) -> None:
        """Hand a key to the form first; what it does not take is text of the open field, or a key of the screen."""
        editing = self.form.editing
        taken = self.form.take_entry_key(event.key) if editing else self.form.take_key(event.key, event.character)
        if taken:
            event.stop()
        if taken or not editing:
            event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Take a paste as one line; onto a closed field it opens it, as a digit does."""
        event.text = one_line(event.text)
        if not self.form.editing:
            event.stop()
            event.prevent_default()
            self.form.take_paste(event.text)

    def watch_value(self, value: str) -> None:
        """Hand on the text as it changes."""
        if not self._known:
            self.form.take_typed(value)

    def load(self, text: str) -> None:
        """Put a text in that the form knows already."""
        self._known = True
        self.value = text
        self._known = False

    def lay_over(self, region: Region) -> None:
        """Lie over a row's text."""
        self.styles.offset = (region.x, max(0, region.y))
        self.styles.width = max(8, region.width)

    def hide(self) -> None:
        """Lie out of sight, empty."""
        self.load("")
        self.styles.offset = HIDDEN

    @property
    def begun_word(self) -> bool:
        """Whether letters of a word were typed: a space belongs to them."""
        return bool(self.value) and self.selection.is_empty

    def on_input_changed(self, event: Input.Changed) -> None:
        """Stop the input's own message: the form has the text already."""
        event.stop()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The input's own keys work while a field is open."""
        return self.form.editing

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Letters are text while a field is open."""
        return self.form.editing and super().check_consume_key(key, character)


class FieldListener:
    """What the owner of a form does, at once, so that the keys behind a key find it done; subclasses fill these."""

    def field_entered(self, name: str) -> None:
        """A field is opened."""

    def field_typed(self, name: str, text: str) -> None:
        """The text of a field changed."""

    def field_left(self, name: str) -> None:
        """The open field is left; its text stands."""

    def field_moved(self, name: str) -> None:
        """Another row is under the cursor."""

    def field_undone(self, name: str) -> None:
        """What was typed in the field is to be taken back; the field is closed already."""


class Form(FieldListener, Container):
    """Rows of fields with one input."""

    DEFAULT_CSS = """
    Form { layers: base entry; height: 1fr; width: 1fr; overflow: hidden hidden; }
    Form > FormLines { layer: base; }
    """

    def __init__(self, *, id: str | None = None, colour: bool = True) -> None:
        super().__init__(id=id)
        self.content = Content()
        self.name_at = ""
        """Key of the field under the cursor."""
        self.open_name = ""
        """Key of the open field; empty when none is open."""
        self.read_only = False
        """Whether fields may be looked at only."""
        self._text = ""
        """Text of the open field, as last handed on."""
        self.rows = FormLines(self.draw, colour=colour)
        self.entry = FieldInput(self)

    def compose(self) -> ComposeResult:
        """Rows below, the input above them."""
        yield self.rows
        yield self.entry

    # -- what the owner calls -----------------------------------------------------------------------------------

    def show(self, content: Content) -> None:
        """Show these rows; the cursor stays on its field where that is still shown."""
        names = content.names
        if self.name_at not in names:
            self.name_at = _nearest(self.content.names, names, self.name_at)
        self.content = content
        self.draw()

    def go_to(self, name: str) -> None:
        """Put the cursor on a field."""
        if name in self.content.names:
            self.name_at = name
            self.draw()
            self.field_moved(name)

    @property
    def current(self) -> FormRow | None:
        """The row under the cursor."""
        return self.content.row(self.name_at)

    @property
    def editing(self) -> bool:
        """Whether a field is open."""
        return bool(self.open_name)

    def leave(self) -> None:
        """Close the open field; its text stands."""
        name, self.open_name = self.open_name, ""
        if not name:
            return
        row = self.content.row(name)
        if row and row.field:
            settled = settled_text(row.field, self._text)
            if settled != self._text:
                self.field_typed(name, settled)
        self.entry.hide()
        self.field_left(name)

    # -- keys ---------------------------------------------------------------------------------------------------

    def take_key(self, key: str, character: str | None) -> bool:
        """Take a key while no field is open; return whether it was one of the form's."""
        steps = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10, "home": -999, "end": 999}
        if key in steps:
            return self.move(steps[key])
        if key in ("tab", "shift+tab"):
            return self.move(1 if key == "tab" else -1)
        row = self.current
        if row is None or row.field is None or self.read_only:
            return False
        if key == "enter":
            self.open(row.text)
        elif key == "space" and row.field.takes_words:
            self._choose(row, 1)
        elif key in ("delete", "backspace") and row.text:
            self._replace(row, "")
        elif character and (self.begins_text(character) or (character in _STARTS and not row.field.takes_words)):
            self.open(character)
        else:
            return False
        return True

    def take_paste(self, text: str) -> None:
        """Take a paste while no field is open: it opens the one under the cursor."""
        row = self.current
        if row is None or row.field is None or self.read_only or not text:
            return
        if row.field.takes_words:
            self.open(row.text)
            self.entry.replace(text, *self.entry.selection)
        else:
            self.open(text)

    def begins_text(self, character: str | None) -> bool:
        """Whether a character opens the field under the cursor: one that takes any text, and letters are no keys."""
        row = self.current
        free = row is not None and row.field is not None and row.field.takes_text and not self.read_only
        return free and not self.editing and character is not None and character.isprintable() and character != " "

    def take_entry_key(self, key: str) -> bool:
        """Take a key while a field is open; return whether it was one of the form's."""
        row = self.content.row(self.open_name)
        words = row is not None and row.field is not None and row.field.takes_words
        if key in ("enter", "down", "tab"):
            self.leave()
            flagged = self.current is not None and self.current.problem is not None
            self.move(0 if key == "enter" and flagged else 1)  # what is wrong stands below the row: it is read first
        elif key in ("up", "shift+tab"):
            self.leave()
            self.move(-1)
        elif key == "escape":
            self.leave()
        elif key == "ctrl+z":
            name, self.open_name = self.open_name, ""
            self.entry.hide()
            self.field_undone(name)
        elif row and words and (key in ("right", "left") or (key == "space" and not self.entry.begun_word)):
            self._choose(row, -1 if key == "left" else 1)
        else:
            return False
        return True

    def move(self, step: int) -> bool:
        """Move the cursor by so many fields, to the first or last at most."""
        names = self.content.names
        if names:
            at = names.index(self.name_at) if self.name_at in names else 0
            self.go_to(names[max(0, min(len(names) - 1, at + step))])
        return True

    def open(self, text: str) -> None:
        """Open the field under the cursor with a text in it."""
        row = self.current
        if row is None or row.field is None:
            return
        self.open_name = row.name
        self.field_entered(row.name)
        if text != row.text:
            self.field_typed(row.name, text)
        self._text = text
        # what is not known is typed over: a ? in the text would stay in front of what is typed
        self.entry.load("" if is_unknown(text) else _word_shown(row, text))
        self.draw()
        if row.field.takes_words:
            self.entry.action_select_all()
        else:
            self.entry.cursor_position = len(self.entry.value)
        self.field_moved(row.name)

    def take_focus(self) -> None:
        """Take the keys."""
        self.screen.set_focus(self.entry, scroll_visible=False)

    def take_typed(self, text: str) -> None:
        """Hand on what is typed, at once: the key after it may close the field."""
        if self.open_name:
            self._text = text
            self.field_typed(self.open_name, text)

    def _choose(self, row: FormRow, step: int) -> None:
        if row.field is None:
            return
        key = next_word(row.field, self._text if self.editing else row.text, step)
        if not self.editing:
            self._replace(row, key)
            return
        self._text = key
        self.field_typed(row.name, key)
        self.entry.load(_word_shown(row, key))
        self.entry.action_select_all()

    def _replace(self, row: FormRow, text: str) -> None:
        """Give a closed field another text, as a visit of its own."""
        self.field_entered(row.name)
        self.field_typed(row.name, text)
        self.field_left(row.name)

    # -- drawing ------------------------------------------------------------------------------------------------

    def draw(self) -> None:
        """Draw the rows that changed, and lay the input over the open one."""
        if self.rows.size.width:
            self.rows.show_content(self.content, self.name_at)
            if self.editing:
                self.entry.lay_over(self.rows.text_region(self.open_name))


def _word_shown(row: FormRow, text: str) -> str:
    field = row.field
    choice = next((c for c in field.choices if c.key == text), None) if field else None
    return choice.label if choice else text


def _nearest(old: tuple[str, ...], new: tuple[str, ...], name: str) -> str:
    """Return the field to go to when the one under the cursor is no longer shown: the next that is, else the last."""
    if not new:
        return ""
    if name in old:
        later = [n for n in old[old.index(name) :] if n in new]
        return later[0] if later else new[-1]
    return new[0]
