"""What a pane of the open project is: the seam between the project screen and whatever fills its left side.

A pane reads `controller.session` and draws in `refresh_pane`; it changes things only through `controller` and then
posts `Pane.Changed`, at which the screen redraws title, panel, advice and keys. When a field is left it calls
`controller.leave_field` and posts `Pane.FieldLeft`: the screen asks what has to be asked (correction or change) and
draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.containers import Container
from textual.message import Message

from tui.state.controller import ProjectController
from tui.view.keys import Hints
from tui.view.layout import Room
from tui.view.lines import Line


class Pane(Container):
    """Base of the panes."""

    DEFAULT_CSS = "Pane { height: 1fr; width: 1fr; }"

    @dataclass
    class Changed(Message):
        """The session changed, or the cursor moved: redraw what stands around the pane."""

    @dataclass
    class FieldLeft(Message):
        """A field is left: ask what has to be asked, redraw."""

    room: ClassVar[Room] = Room.BESIDE
    """What it asks for of the screen."""

    wants_diagnosis: ClassVar[bool] = False
    """Whether it shows why the engine does not run: that is worked out only while such a pane is looked at."""

    wants_curves: ClassVar[bool] = False
    """Whether it shows curves: they are worked out only while such a pane is looked at."""
    wants_engine: ClassVar[bool] = False
    """Whether it shows what the engine looks like: that is drawn only while such a pane is looked at."""

    def __init__(self, controller: ProjectController, *, id: str, colour: bool, plain: bool) -> None:
        super().__init__(id=id)
        self.controller = controller
        self.colour = colour
        self.plain = plain

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.refresh_pane)

    def refresh_pane(self) -> None:
        """Draw from the session."""

    def take_focus(self) -> None:
        """Put the focus where keys are wanted when this pane is turned to."""

    @property
    def field_at(self) -> str:
        """Name of the field of the build under the cursor; empty where there is none."""
        return ""

    def come_from(self, before: Pane) -> None:
        """Show what the pane before was about; called when this one is turned to by its own key."""

    def show_place(self, entry: str, reading: str) -> None:
        """Put the cursor on an entry of the diary, or a reading of it, by their keys; nothing here."""

    def leave(self) -> None:
        """Close what is open; typed text stands. Called before another pane or screen is shown."""

    @property
    def editing(self) -> bool:
        """Whether a field is open, so that letters are text."""
        return False

    def advice(self, width: int, height: int) -> list[Line]:
        """Return the help below the pane, at most so many lines."""
        return []

    def why(self, width: int) -> list[Line]:
        """Return what is to be told before every figure's why, where the pane has something of its own."""
        return []

    def hints(self) -> Hints:
        """Return the keys of this pane, most wanted first; the screen adds its own."""
        return ()
