"""The app of textual: wiring only. Screens, desk, shelf, keeper and runner meet here; nothing is decided here."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen

from model.store import Notebook
from tui.desk import Desk
from tui.guarded.base import QuietApp
from tui.keeper import Changed, Keeper, NotSaved, Saved
from tui.runner import SAMPLES, Answer, Runner
from tui.screens.help import help_lines
from tui.screens.note import open_note
from tui.screens.project import ProjectScreen
from tui.screens.projects import Compare, OpenProject, ProjectsScreen
from tui.screens.sidebyside import SideBySideScreen
from tui.screens.small import Reading, Writing
from tui.session import Session
from tui.shelf import Shelf
from tui.signals import save_on_signals
from tui.terminal import Terminal

CSS = """
Screen { background: ansi_default; color: ansi_default; overflow: hidden hidden; scrollbar-size: 0 0; }
"""


class News(Message):
    """Something came back from keeper or runner."""

    def __init__(self, news: Answer | Saved | NotSaved | Changed) -> None:
        super().__init__()
        self.news = news


class NotebookRead(Message):
    """The folder was read."""

    def __init__(self, notebook: Notebook) -> None:
        super().__init__()
        self.notebook = notebook


class NotebookApp(QuietApp):
    """The notebook's screens."""

    CSS = CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", show=False, priority=True),
        Binding("ctrl+c", "quit", show=False),
    ]

    def __init__(
        self,
        folder: Path,
        terminal: Terminal,
        *,
        runner: Callable[[Callable[[Answer], None]], Runner] = Runner,
        today: Callable[[], str] = lambda: time.strftime("%Y-%m-%d"),
    ) -> None:
        super().__init__(terminal)
        self.session = Session(folder)
        self.keeper = Keeper(self._tell)
        self.runner = runner(self._tell)
        self.shelf = Shelf(self.session, self.keeper, self.runner, today)
        self.desk = Desk(self.session, self.keeper, self.runner, today)
        self.projects = ProjectsScreen(self.shelf, colour=terminal.colour)
        self.notebook: Notebook | None = None
        """Set before the start when the folder was read by then; else it comes as `NotebookRead`."""

    def _tell(self, news: Answer | Saved | NotSaved | Changed) -> None:
        self.post_message(News(news))

    def get_default_screen(self) -> Screen[Any]:
        """The list is the first screen."""
        return self.projects

    def on_mount(self) -> None:
        """Take the signals and the notebook; begin to predict after the first paint."""
        if threading.current_thread() is threading.main_thread() and not self.is_headless:
            loop = asyncio.get_running_loop()
            save_on_signals(self.save_all, lambda code: _leave(loop, self, code))
        self.app_resume_signal.subscribe(self, lambda _: self.forget_terminal())
        if self.notebook is not None:
            self._take(self.notebook)
        self.call_after_refresh(self.runner.start)

    def _take(self, notebook: Notebook) -> None:
        self.shelf.take_notebook(notebook)
        self.projects.reading = False
        self.projects.draw()
        self.shelf.ask_all()

    def on_notebook_read(self, event: NotebookRead) -> None:
        """The folder was read after the start."""
        self._take(event.notebook)

    def on_news(self, event: News) -> None:
        """Put what came back into the session, and draw it where it is shown."""
        prototype = self.desk.take(event.news)
        if prototype is None:
            return
        screen = self.screen
        if isinstance(event.news, NotSaved) and event.news.changed and isinstance(screen, ProjectScreen):
            if prototype.path == self.session.current:
                screen.pane.leave()
                screen.ask("theirs")
        else:
            self._draw_shown()

    def on_open_project(self, event: OpenProject) -> None:
        """Show a prototype."""
        if self.session.current is None:
            self.desk.open(event.path)
            self.push_screen(
                ProjectScreen(self.desk, colour=self.terminal.colour, plain=self.terminal.plain), self._left_project
            )

    def _left_project(self, _: None) -> None:
        self.shelf.ask_all()

    def on_compare(self, event: Compare) -> None:
        """Show prototypes side by side; their gaps are asked with intervals."""
        chosen = [self.session.prototypes[path] for path in event.paths if path in self.session.prototypes]
        for prototype in chosen:
            self.shelf.ask(prototype, gap_samples=SAMPLES)
        self.push_screen(SideBySideScreen(chosen, colour=self.terminal.colour))

    def action_note(self) -> None:
        """Write a line for the diary of the prototype that is open, or chosen in the list."""
        path, mark = self.session.current, self.session.number
        chosen = self.projects.chosen
        if path is None and chosen is not None and chosen.usable:
            path, mark = chosen.path, chosen.project.latest.number
        if path is not None:
            colour = self.terminal.colour
            open_note(self, self.desk, self.shelf, path, mark, colour=colour, done=self._draw_shown)

    def _draw_shown(self) -> None:
        if isinstance(self.screen, ProjectScreen | ProjectsScreen | SideBySideScreen):
            self.screen.draw()

    def on_key(self, event: events.Key) -> None:
        """A key that was pressed before a line to write was there belongs to it."""
        if isinstance(self.screen, Writing):
            self.screen.type_ahead(event.key, event.character)

    def action_help(self, project: bool) -> None:
        """Show the keys."""
        leaf = self.screen.pane.id or "" if isinstance(self.screen, ProjectScreen) else ""
        lines = lambda width: help_lines(width, project=project, leaf=leaf)  # noqa: E731
        self.push_screen(Reading("Keys", lines, colour=self.terminal.colour))

    async def action_quit(self) -> None:
        """Keep everything, then leave; nothing is asked."""
        screen = self.screen
        if isinstance(screen, ProjectScreen):
            screen.pane.leave()
        if self.session.current is not None:
            self.session.end_visit()
        self.save_all()
        unsafe = self.keeper.unsaved
        if unsafe:
            self.last_words = f"Not saved: {', '.join(p.name for p in unsafe)}. It is kept as a draft and comes back."
        self.runner.stop()
        self.exit(0)

    def save_all(self) -> None:
        """Save what is not saved yet, at once."""
        self.keeper.save_now()


def _leave(loop: asyncio.AbstractEventLoop, app: NotebookApp, code: int) -> None:
    """Leave the screens, from any thread."""
    loop.call_soon_threadsafe(app.exit, code, code)
