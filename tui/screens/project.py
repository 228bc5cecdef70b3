"""One prototype: six panes, the model panel beside them, and what goes round them.

Only this screen knows two of its parts at once. Panes change the session through the controller and say so; the
screen then draws head, panel, advice and keys. Panes are mounted when they are first turned to.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, Horizontal
from textual.timer import Timer

from model.checks.cautions import cautions_for
from tui.dialogs.ask_project import ask_mark, ask_theirs, ask_why_changed, keep_typed
from tui.dialogs.ask_scratch import ask_scratch
from tui.dialogs.base import TextPage
from tui.dialogs.search import ask_search
from tui.panes.build import BuildPane
from tui.panes.pane import Pane
from tui.panes.stack import PaneStack
from tui.state.controller import ProjectController
from tui.state.diagnosis import does_not_run
from tui.state.knowledge import knowledge_of
from tui.textual_patches.base import one_paint
from tui.view.keys import BROUGHT_BACK, PROJECT, Hints
from tui.view.keys import hints as key_line
from tui.view.knowledge import knowledge_lines
from tui.view.layout import LOW, READABLE, Room, layout_of
from tui.view.lines import Line, wrapped
from tui.view.panel import panel_lines, short_lines
from tui.view.panes import ALL_PANES, pane_number
from tui.view.picture import asks_curves, picture_lines, shows_engine
from tui.view.title import message_lines, panes_line, title_line
from tui.view.why import why_lines
from tui.widgets.form import FieldInput
from tui.widgets.lines_view import LinesView
from tui.widgets.screen import KeyLine, QuietScreen, bindings, too_small

NEXT = pane_number("next")
"""The pane that is shown first for an engine that does not run yet."""
REST = 0.15
"""How long the keys rest before the help below is drawn, [s]: a quick run through fields does not pay for each."""


class ProjectScreen(QuietScreen[None]):
    """The open prototype."""

    DEFAULT_CSS = "ProjectScreen > #body { height: 1fr; }"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PROJECT)
    live = True

    def __init__(self, controller: ProjectController, *, colour: bool, plain: bool) -> None:
        super().__init__()
        self.controller = controller
        self.colour, self.plain = colour, plain
        number = NEXT if does_not_run(controller.session.prototype) else 0
        self.panes = PaneStack(controller, number, colour=colour, plain=plain)
        self.head = LinesView(id="head", colour=colour)
        self.panel = LinesView(id="panel", colour=colour)
        self.picture = LinesView(id="picture", colour=colour)
        self.picture.display = False
        self.advice = LinesView(id="advice", colour=colour)
        self.keys = KeyLine(colour=colour)
        self._resting: Timer | None = None

    def compose(self) -> ComposeResult:
        """Head, pane and panel, advice, keys."""
        self.head.styles.height = 3
        yield self.head
        with Horizontal(id="body"):
            yield self.panes
            with Container(id="side"):
                yield self.panel
                yield self.picture
        yield self.advice
        yield self.keys

    def on_mount(self) -> None:
        """Take the keys."""
        _want(self)
        self.pane.take_focus()

    @property
    def pane(self) -> Pane:
        """The pane that is shown."""
        return self.panes.shown

    # -- drawing ------------------------------------------------------------------------------------------------

    def on_resize(self, event: events.Resize) -> None:
        """Give the parts their room, then draw."""
        _give_room(self)
        _want_picture(self)
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Draw everything that changed."""
        if self.controller.session.current is None or not self.is_attached:
            return
        small = too_small(*self.size)
        if small:
            self.head.show_lines(wrapped(small, max(8, self.size.width)))
            self.advice.show_lines([])
            self.keys.show_hints(())
            return
        self.pane.refresh_pane()
        self.draw_around()
        if self._resting is None:
            self.draw_help()

    def draw_around(self) -> None:
        """Draw head and panel."""
        session = self.controller.session
        if session.current is None or too_small(*self.size):
            return
        width = min(self.size.width, READABLE)
        self.head.show_lines([title_line(session, width), panes_line(session, self.panes.number, width), ()])
        wide, high = self.panel.size
        if self.panel.display and wide:
            curve = not self.picture.display
            self.panel.show_lines(panel_lines(session, width=wide, height=high, plain=self.plain, curve=curve))

    def draw_help(self) -> None:
        """Draw what stands below the pane, and the keys."""
        self._resting = None
        session = self.controller.session
        if session.current is None or not self.is_attached or too_small(*self.size):
            return
        width = min(self.size.width, READABLE)
        small = self.pane.room is Room.BESIDE and not self.panel.display
        below: list[Line] = [()] if self.size.height >= LOW else []
        below += short_lines(session, width=width) if small else []
        below += message_lines(session, width)
        wide, high = self.picture.size
        if self.picture.display and wide:
            pane, field = ALL_PANES[self.panes.number].key, self.pane.field_at
            self.picture.show_lines(picture_lines(session, pane, field, width=wide, height=high, plain=self.plain))
        self.advice.show_lines([*below, *self.pane.advice(width, self.advice.size.height - len(below))])
        hints = self.pane.hints()
        if session.prototype.waits and not self.pane.editing:
            hints = (*BROUGHT_BACK, *(hint for hint in hints if hint[0] != "Enter"))
        taken = {key for key, _ in hints}
        own = () if self.pane.editing else tuple(hint for hint in key_line(PROJECT) if hint[0] not in taken)
        self.keys.show_hints(_without_letters(hints + own) if _writes(self) else hints + own)

    # -- panes --------------------------------------------------------------------------------------------------

    def on_pane_changed(self, event: Pane.Changed) -> None:
        """Draw round the pane: head and panel now, the help when the keys rest."""
        self.draw_around()
        if self._resting is not None:
            self._resting.stop()
            self._resting = None
        if REST:
            self._resting = self.set_timer(REST, self.draw_help)
        else:
            self.draw_help()

    def on_pane_field_left(self, event: Pane.FieldLeft) -> None:
        """Ask what has to be asked, or draw."""
        if self.controller.must_ask:
            self.action_ask("change")
        else:
            self.draw()

    @work
    async def action_ask(self, what: str) -> None:
        """Ask something (``change``, ``keep``, ``mark``, ``scratch``, ``search`` or ``theirs``), then draw."""
        questions: dict[str, Callable[..., Awaitable[str | None]]] = {
            "change": ask_why_changed, "keep": keep_typed, "mark": ask_mark, "theirs": ask_theirs,
            "scratch": ask_scratch, "search": ask_search,
        }  # fmt: skip
        place = await questions[what](self.app, self.controller, self.colour)
        if place:
            await show_place(self, place)
        self.draw()

    async def action_turn(self, step: int | str) -> None:
        """Turn to another pane: so many turns on, or by its own key, which also leads back."""
        before = self.pane
        before.leave()
        await self.turn_to(self.panes.after(step, min(self.size.width, READABLE)))
        if isinstance(step, str):
            self.pane.come_from(before)

    async def turn_to(self, number: int) -> None:
        """Show a pane by its number, from 0; it is mounted when first shown."""
        self.controller.session.prototype.move_on()
        before = await self.panes.turn_to(number)
        after = self.pane
        if before is not after and (before.room is not after.room):
            _give_room(self)
            self.call_after_refresh(self.draw)
        _want(self)
        with one_paint(self, anew=before is not after):
            if isinstance(after, BuildPane):
                after.turn_to(ALL_PANES[number].key)
            after.take_focus()
            self.draw()

    # -- keys ---------------------------------------------------------------------------------------------------

    def action_step(self, back: bool) -> None:
        """Undo or redo, where no field is open."""
        if not self.pane.editing:
            self.controller.step(back)
            self.draw()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Enter keeps what was brought back, on every pane; else it is the pane's key."""
        if action == "ask" and parameters == ("keep",):
            session = self.controller.session
            return session.current is not None and session.prototype.waits and not self.pane.editing
        return super().check_action(action, parameters)

    def action_save(self) -> None:
        """Save now; an open field is left first, and that saves."""
        if self.pane.editing:
            self.pane.leave()
        else:
            self.controller.save()
            self.draw()

    def action_close(self) -> None:
        """Go back to the list."""
        self.pane.leave()
        self.controller.close()
        self.dismiss(None)

    def action_why(self) -> None:
        """Show why every figure is what it is."""
        session = self.controller.session
        outlook = session.prototype.outlook
        kinds = [reading.kind for _, reading in session.prototype.project.readings_of(session.number)]
        cautions = cautions_for(session.parsed.build, kinds)

        def lines(width: int) -> list[Line]:
            return [
                *self.pane.why(width),
                *knowledge_lines(knowledge_of(session), width),
                *why_lines(outlook.prediction, outlook.gaps, cautions, width),
            ]

        title = f"Why: {session.prototype.project.name}, Mk {session.number}"
        self.app.push_screen(TextPage(title, lines, colour=self.colour))


def _want(screen: ProjectScreen) -> None:
    """Have worked out what the pane that is shown shows."""
    screen.controller.requests.want_diagnosis(screen.pane.wants_diagnosis)
    _want_picture(screen)


def _want_picture(screen: ProjectScreen) -> None:
    """Have engine and curves worked out where they are shown."""
    requests, shown, pane = screen.controller.requests, screen.picture.display, ALL_PANES[screen.panes.number].key
    requests.want_engine(screen.pane.wants_engine or (shown and shows_engine(pane)))
    requests.want_curves(screen.pane.wants_curves or (shown and asks_curves(pane)))


async def show_place(screen: ProjectScreen, place: str) -> None:
    """Turn to a place that a search found: an entry, a reading or a mark, as `model.record.search.Hit` names it."""
    session = screen.controller.session
    kind, _, key = place.partition(".")
    key, _, reading = key.partition(".reading.")
    project = session.prototype.project
    entry = project.entries.get(key)
    number: int | None = None
    if kind == "mark":
        number = int(key)
    elif entry is not None:
        number = project.mark_of(entry, entry.readings[reading]) if reading in entry.readings else entry.mark
    if number is not None and number in project.marks and number != session.number:
        screen.controller.look_at(number)
    if entry is None:
        await screen.turn_to(0)
        return
    holds = "reading" if reading else "entry"
    await screen.turn_to(next(at for at, pane in enumerate(ALL_PANES) if pane.holds == holds))
    screen.pane.show_place(key, reading)
    screen.draw()


def _writes(screen: ProjectScreen) -> bool:
    """Whether a letter opens the field under the cursor, and is no key."""
    focused = screen.focused
    return isinstance(focused, FieldInput) and focused.form.begins_text("a")


def _without_letters(hints: Hints) -> Hints:
    """Return the keys that are no letters; F1 shows them all where ``?`` is text."""
    return tuple(
        ("F1", meaning) if key == "?" else (key, meaning) for key, meaning in hints if key == "?" or len(key) > 1
    )


def _give_room(screen: ProjectScreen) -> None:
    """Give the parts the room that the layout says."""
    width, height = screen.size
    layout = layout_of(width, height, screen.pane.room)
    # without height, not hidden: a hidden field would lose the keys, and with them what is typed meanwhile
    screen.query_one("#body").styles.height = 0 if too_small(width, height) else "1fr"
    screen.head.styles.height = layout.head.height
    screen.advice.styles.height = layout.help.height
    pane, panel, picture = layout.pane, layout.panel, layout.picture
    screen.panes.styles.width = pane.width
    side = screen.query_one("#side")
    side.display = screen.panel.display = panel is not None
    screen.picture.display = picture is not None
    if panel is None:
        return
    side.styles.layout = "vertical" if layout.below else "horizontal"
    side.styles.margin = (0, 0, 0, panel.x - pane.width)
    screen.panel.styles.width, screen.panel.styles.height = panel.width, panel.height
    if picture is not None:
        screen.picture.styles.width, screen.picture.styles.height = picture.width, picture.height
        across, down = picture.x - panel.x - panel.width, picture.y - panel.y - panel.height
        screen.picture.styles.margin = (max(0, down), 0, 0, max(0, across))
