"""The app as far as its inks go: what they are seen on, and what has to be written anew when the terminal tells it."""

from __future__ import annotations

from tui.host.terminal import Terminal
from tui.textual_patches.background import BackgroundTold
from tui.textual_patches.base import QuietApp
from tui.view.inks import Ground, ground_on
from tui.widgets.lines_view import LinesView


class InkedApp(QuietApp):
    """Knows its ground."""

    def __init__(self, terminal: Terminal) -> None:
        super().__init__(terminal)
        self.ground = Ground.UNKNOWN
        """What the inks are seen on."""
        if not (terminal.colour and terminal.many):
            self.ground = Ground.COLOURLESS
        elif terminal.background:
            self.ground = Ground(terminal.background)

    def on_background_told(self, event: BackgroundTold) -> None:
        """The terminal said what it writes on: write with inks for that."""
        ground = ground_on(event.rgb)
        if self.ground is Ground.UNKNOWN and ground is not Ground.UNKNOWN:
            self.ground = ground
            for screen in self.screen_stack:
                for lines in screen.query(LinesView):
                    lines.refresh()
