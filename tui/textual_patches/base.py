"""The app below the notebook: what textual's own app does otherwise than a slow line and a builder's texts need.

Sends only changed cells, drops what could steer the terminal, carries out keys one after the other, takes Escape and a
quick key as two, goes on after an error in the program or ends in one line. Private parts used: `_display`,
`_fatal_error`, `_exception`, `_exit_renderables`, `_return_code`, `_close_messages_no_wait`, `_handle_exception`; of a
screen `_refresh_layout`, `_on_timer_update`, `_dirty_widgets`, `_callbacks`; of a widget `_repaint_required`. Each is
looked for before it is used: a textual without it is asked for the same by its public side, which paints more and sends
more.
"""

from __future__ import annotations

import asyncio
import contextlib
import sys
from collections.abc import Iterator
from typing import Any

from rich.text import Text
from textual import events
from textual.app import App
from textual.filter import LineFilter
from textual.screen import Screen
from textual.widget import Widget
from textual.worker import WorkerFailed

from tui.exits import Exit
from tui.host.logfile import write_fault
from tui.host.terminal import Terminal
from tui.textual_patches.celldiff import Differ, supported
from tui.textual_patches.faults import Faults
from tui.textual_patches.key_order import KeyOrder, Typed
from tui.textual_patches.output_filter import ControlFilter


@contextlib.contextmanager
def one_paint(screen: Screen[Any], *, anew: bool) -> Iterator[None]:
    """Paint once what is drawn within (stock: three paints, one by one); `anew`: parts came, went or changed size."""
    with screen.app.batch_update():
        if anew and hasattr(screen, "_refresh_layout"):
            screen._refresh_layout()
        yield
    paint(screen, anew=anew)


def paint(screen: Screen[Any], *, anew: bool = False) -> None:
    """Paint what the parts of a screen want painted, at once (stock: each tells it when it comes to rest)."""
    parts = list(screen.walk_children(Widget))
    of_screen = hasattr(screen, "_on_timer_update") and hasattr(screen, "_dirty_widgets")
    if not of_screen or not all(hasattr(part, "_repaint_required") for part in parts):
        screen.refresh(layout=anew)
        return
    for part in parts:
        if part._repaint_required and part.visible:
            part._repaint_required = False
            screen._dirty_widgets.add(part)
    screen._on_timer_update()


class QuietApp(App[int]):
    """An app for slow lines, in the terminal's own colours."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, terminal: Terminal) -> None:
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.terminal = terminal
        self.differ = Differ() if terminal.diff and supported() else None
        self.last_words = ""
        """What to say on the shell after the screens are gone."""
        self._harmless = ControlFilter(terminal.plain)
        self.typed = KeyOrder(self._hand_on, self._carried_out)
        """What was typed and is not carried out yet."""
        self._handing_on: asyncio.Task[None] | None = None
        self.bears_faults = False
        """Whether the program goes on after a fault (`faults.keep_parts_running`)."""
        self.fault_words = ""
        """What to say on the shell of the last fault that was borne."""
        self._faults = Faults()
        self._asking = 0
        """Workers that wait for the answer of a screen."""

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
        """Put what is typed into its queue; Escape and a key right after it look like Alt on the line: they are two."""
        if event.is_forwarded or not isinstance(event, events.Key | events.Paste):
            await super().on_event(event)
            return
        if isinstance(event, events.Key) and event.key.startswith("alt+"):
            self.typed.put(events.Key("escape", None))
            event = events.Key(event.key.removeprefix("alt+"), event.character)
        self.typed.put(event)
        if self._handing_on is None:
            self._handing_on = asyncio.create_task(self.typed.run())

    async def before_key(self, event: Typed) -> bool:
        """Wait until what was typed can be carried out; return whether it is to be. The app above says when."""
        return True

    async def _hand_on(self, event: Typed) -> None:
        """Give what was typed to the screen that is on top."""
        try:
            # no screen is left behind a key that quits
            if self.screen_stack and await self.before_key(event) and self.screen_stack:
                await super().on_event(event)
        except Exception as error:
            if not hasattr(self, "_handle_exception"):
                raise
            self._handle_exception(error)

    def _carried_out(self) -> bool:
        """Whether no worker and no drawing goes on that a key began."""
        if not self.screen_stack:
            return True
        working = sum(worker.is_running for worker in self.workers)
        return working <= self._asking and not getattr(self.screen, "_callbacks", ())

    async def push_screen_wait(self, screen: Any, *, mode: str | None = None) -> Any:
        """Show a screen and wait for its answer; keys go on meanwhile."""
        self._asking += 1
        try:
            return await super().push_screen_wait(screen, mode=mode)
        finally:
            self._asking -= 1

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        if self.differ is not None and renderable is not None:
            renderable = self.differ.wrap(renderable)
        place = getattr(self.screen, "cursor_place", None)
        if place is not None and renderable is not None:
            self.cursor_position = place()
        super()._display(screen, renderable)

    def after_fault(self) -> None:
        """Tell that something went wrong, and draw. The app above says how."""

    def bear_fault(self, error: Exception) -> bool:
        """Write a fault down and go on; return whether that can be done."""
        if not (self.bears_faults and self.is_running and self.screen_stack and self._faults.bearable()):
            return False
        self.fault_words = write_fault(error)
        self.call_later(self.after_fault)
        return True

    def _handle_exception(self, error: Exception) -> None:
        if isinstance(error, WorkerFailed) and isinstance(error.error, Exception):
            error = error.error
        if not self.bear_fault(error):
            super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Something went wrong in the program: save, write it down, leave with one line."""
        self.save_all()
        raised = self._exception if hasattr(self, "_exception") else None
        self.fault_words, self.last_words = "", write_fault(raised or sys.exception() or RuntimeError("unknown"))
        if not all(hasattr(self, name) for name in ("_return_code", "_exit_renderables", "_close_messages_no_wait")):
            self.exit(Exit.INTERNAL)
            return
        self._return_code = Exit.INTERNAL
        self._exit_renderables.append(Text(""))
        self._close_messages_no_wait()
