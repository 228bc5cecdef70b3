"""The panes of the build: Dimensions, Materials, Heat source. One form, shown with the fields of the pane at hand."""

from __future__ import annotations

from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType

from model.checks.cautions import cautions_for
from model.checks.plausibility import doubts_of_mark
from model.fields import Build, Field
from model.record import Project
from tui.panes.pane import Pane
from tui.state.controller import ProjectController
from tui.state.last_valid import assumed_texts, last_valid_build
from tui.state.session import Session, tried
from tui.text.labels import full_label
from tui.view.field_help import advice
from tui.view.form_rows import Content, content_of
from tui.view.keys import FIELDS, PROJECT, Hints, hints
from tui.view.lines import Line
from tui.widgets.form import FIELD_OPEN, WORDS_OPEN, Form
from tui.widgets.screen import bindings

CLOSED: Hints = (("Enter", "edit"),)


class BuildPane(Pane):
    """Shows one pane of the build; `pane` is the key of `model.fields.PANES`."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(FIELDS)

    def __init__(self, controller: ProjectController, *, colour: bool, plain: bool) -> None:
        super().__init__(controller, id="build", colour=colour, plain=plain)
        self.pane_key = "dimensions"
        self.form = BuildForm(self, colour=colour)
        self._cursors: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """The form alone."""
        yield self.form

    def turn_to(self, pane_key: str) -> None:
        """Be another pane from the next drawing on; the cursor is where it was there."""
        self._cursors[self.pane_key] = self.form.name_at
        self.pane_key = pane_key
        self.form.name_at = self._cursors.get(pane_key, "")
        self.form.rows.top = 0

    def refresh_pane(self) -> None:
        """Draw the fields from the session."""
        self.form.read_only = bool(self.controller.session.prototype.notice)
        self.form.show(self._content())

    def _content(self) -> Content:
        session = self.controller.session
        return content_of(
            Build,
            session.texts,
            pane=self.pane_key,
            assumed=assumed_texts(session),
            cautions=field_cautions(last_valid_build(session)),
            sharp=field_cautions(last_valid_build(session), sharp=True),
            last_valid=last_valid_build(session),
            doubts=doubts_of_mark(_settled(session), session.number),  # not of a text half typed
        )

    def take_focus(self) -> None:
        """Keys go to the rows."""
        self.form.take_focus()

    def leave(self) -> None:
        """Close the open field; its text stands."""
        self.form.leave()

    @property
    def editing(self) -> bool:
        """Whether a field is open."""
        return self.form.editing

    def advice(self, width: int, height: int) -> list[Line]:
        """What the field under the cursor is."""
        return advice(self.form.current, width=width, height=height, editing=self.editing)

    @work
    async def action_values(self) -> None:
        """Show a row of values of the number under the cursor, and take one, as if it had been typed."""
        field = None if self.editing else self.number_at
        if field is None:
            return
        from tui.dialogs.row import RowDialog

        label, controller = full_label(field.name), self.controller
        dialog = RowDialog(controller, field.name, label, colour=self.colour, plain=self.plain)
        text = await self.app.push_screen_wait(dialog)
        if text:
            controller.enter_field()
            controller.type(field.name, text)
            controller.leave_field(unless_asked=True)
            self.post_message(Pane.FieldLeft())

    def hints(self) -> Hints:
        """Keys of the form."""
        row = self.form.current
        words = row is not None and row.field is not None and row.field.takes_words
        if self.editing:
            return WORDS_OPEN if words else FIELD_OPEN
        values = hints(FIELDS) if self.number_at is not None else ()
        return ((("Enter", "choose"),) if words else CLOSED) + values + hints(PROJECT, "ask('scratch')")

    @property
    def field_at(self) -> str:
        """Name of the field under the cursor."""
        row = self.form.current
        return row.field.name if row and row.field else ""

    @property
    def number_at(self) -> Field | None:
        """The field under the cursor, where it takes a number."""
        row = self.form.current
        field = row.field if row else None
        return field if field is not None and field.kind is not None and not self.form.read_only else None


def _settled(session: Session) -> Project:
    """Return the project as it stood before the open field was entered, with the scratch copy that is looked at."""
    visit = session.prototype.visit
    if visit is None:
        return tried(session)
    scratch = visit.scratches.get(session.scratch_key)
    own = visit.project.marks.get(session.number)
    return visit.project.with_mark(scratch.over(own)) if scratch and own else visit.project


class BuildForm(Form):
    """The form of a build: what is typed goes to the mark that is looked at."""

    def __init__(self, pane: BuildPane, *, colour: bool) -> None:
        super().__init__(colour=colour)
        self.pane = pane
        self.told = ""
        """What leaving a field brought about: it is told over the move to the next one."""

    def field_entered(self, name: str) -> None:
        """A field is opened."""
        self.pane.controller.enter_field()

    def field_typed(self, name: str, text: str) -> None:
        """Its text changed."""
        self.pane.controller.type(name, text)
        self.pane.refresh_pane()
        self.post_message(Pane.Changed())

    def field_left(self, name: str) -> None:
        """It is left."""
        self.pane.controller.leave_field(unless_asked=True)
        self.told = self.pane.controller.session.prototype.done
        self.post_message(Pane.FieldLeft())

    def field_moved(self, name: str) -> None:
        """Another field is under the cursor."""
        self.pane.controller.session.prototype.move_on()
        if self.told:
            self.pane.controller.tell(self.told)
        self.told = ""
        self.post_message(Pane.Changed())

    def field_undone(self, name: str) -> None:
        """Take back what was typed in this visit."""
        self.pane.controller.undo_field()
        self.pane.refresh_pane()
        self.post_message(Pane.Changed())


def field_cautions(build: Build, *, sharp: bool = False) -> dict[str, str]:
    """Return, for each field of the build that brings cautions about, their titles: all of them, or the sharp ones."""
    titles_by_field: dict[str, list[str]] = {}
    for caution in cautions_for(build):
        if sharp and not caution.sharp:
            continue
        for trigger in caution.when:
            names = [n for n in trigger if n in Build.__dataclass_fields__]
            if names and all(getattr(build, n) in trigger[n] for n in names):
                titles_by_field.setdefault(names[-1], []).append(caution.title)
    return {name: "; ".join(dict.fromkeys(titles)) for name, titles in titles_by_field.items()}
