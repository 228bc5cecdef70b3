"""The app below the notebook: what textual's own app does otherwise than a slow line and a builder's texts need.

Sends only changed cells, drops what could steer the terminal, takes Escape and a quick key as two, and ends an error in
the program in one line. The notebook's app stands on it. Private parts used: `_display`, `_fatal_error`, `_exception`,
`_exit_renderables`, `_return_code`, `_close_messages_no_wait`; of a screen `_refresh_layout`,
`_on_timer_update`, `_dirty_widgets`; of a widget `_repaint_required`.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import Any, ClassVar

from rich.text import Text
from textual import events
from textual.app import App
from textual.binding import Binding, BindingType
from textual.filter import LineFilter
from textual.screen import Screen
from textual.widget import Widget

from tui.exits import Exit
from tui.host.logfile import write_fault
from tui.host.terminal import Terminal
from tui.textual_patches.celldiff import Differ, supported
from tui.textual_patches.output_filter import ControlFilter


@contextlib.contextmanager
def one_paint(screen: Screen[Any], *, anew: bool) -> Iterator[None]:
    """Paint once what is drawn within (stock: three paints, one by one); `anew`: parts came, went or changed size."""
    with screen.app.batch_update():
        if anew:
            screen._refresh_layout()
        yield
    paint(screen)


def paint(screen: Screen[Any]) -> None:
    """Paint what the parts of a screen want painted, at once (stock: each tells it when it comes to rest)."""
    for part in screen.walk_children(Widget):
        if part._repaint_required and part.visible:
            part._repaint_required = False
            screen._dirty_widgets.add(part)
    screen._on_timer_update()


class QuietApp(App[int]):
    """An app for slow lines, in the terminal's own colours."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+l", "redraw", show=False, priority=True)]

    def __init__(self, terminal: Terminal) -> None:
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.terminal = terminal
        self.differ = Differ() if terminal.diff and supported() else None
        self.last_words = ""
        """What to say on the shell after the screens are gone."""
        self._harmless = ControlFilter(terminal.plain)

    def save_all(self) -> None:
        """Save what is not saved yet, at once. The app above says how."""

    def get_line_filters(self) -> list[LineFilter]:
        """Everything drawn passes `ControlFilter` last."""
        return [*super().get_line_filters(), self._harmless]

    def action_redraw(self) -> None:
        """Send the whole screen again."""
        self.forget_terminal()
        self.screen.refresh(layout=True)

    def forget_terminal(self) -> None:
        """Take it that the terminal shows nothing of ours."""
        if self.differ is not None:
            self.differ.forget()

    def on_resize(self) -> None:
        """A resized terminal shows anything."""
        self.forget_terminal()

    async def on_event(self, event: events.Event) -> None:
        """Take Escape and a key right after it as the two keys that they are: on the line they look like Alt."""
        if isinstance(event, events.Key) and event.key.startswith("alt+"):
            await super().on_event(events.Key("escape", None))
            event = events.Key(event.key.removeprefix("alt+"), event.character)
        await super().on_event(event)

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        if self.differ is not None and renderable is not None:
            renderable = self.differ.wrap(renderable)
        place = getattr(self.screen, "cursor_place", None)
        if place is not None and renderable is not None:
            self.cursor_position = place()
        super()._display(screen, renderable)

    def _fatal_error(self) -> None:
        """Something went wrong in the program: save, write it down, leave with one line."""
        self.save_all()
        error = self._exception or sys.exception() or RuntimeError("unknown")
        self.last_words = write_fault(error)
        self._return_code = Exit.INTERNAL
        self._exit_renderables.append(Text(""))
        self._close_messages_no_wait()
