"""The app of textual: wiring only. Screens, controllers, persistence and runner meet here; nothing is decided here.

The first screen shows names and is drawn before anything else is loaded; records, store and model follow behind it on a
thread, and keys that need them wait until they are there.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import BindingType
from textual.events import Key
from textual.message import Message
from textual.screen import Screen

from model.errors import ModelError
from tui.exits import Exit
from tui.host.logfile import SAFE
from tui.host.signals import save_on_signals
from tui.host.terminal import Terminal
from tui.screens.project_list import Compare, OpenProject, ProjectsScreen
from tui.textual_patches.key_order import Typed
from tui.view.keys import APP, BY_NAME, UNSEEN
from tui.widgets.inked import InkedApp
from tui.widgets.screen import QuietScreen, bindings, too_small

if TYPE_CHECKING:
    from model.store import Notebook
    from tui.runs.model_calls import ModelResult
    from tui.runs.runner import Runner
    from tui.services import Services
    from tui.state.controller import ProjectController
    from tui.state.project_list import ProjectList
    from tui.state.session import Session
    from tui.storage.persistence import Persistence

CSS = """
Screen { background: ansi_default; color: ansi_default; overflow: hidden hidden; scrollbar-size: 0 0; }
"""
LONGEST_LOAD = 10.0
"""How long ctrl+q waits for what was typed before it while the folder is not read yet, [s]."""
FAULT = "! The program made an error; it is written down. What you typed is safe; go on."
TURN = 0.1
"""How often it is looked whether ctrl+q waits, [s]."""


class WorkerResult(Message):
    """Something came back from persistence, runner or reader."""

    def __init__(self, news: Any) -> None:
        super().__init__()
        self.news = news


class ServicesReady(Message):
    """Everything behind the first screen is loaded, and the folder was looked through."""

    def __init__(self, notebook: Notebook) -> None:
        super().__init__()
        self.notebook = notebook


class ServiceLoader:
    """The packages behind the screens, loaded when they are first wanted, from any thread."""

    build_services: Callable[[], Services]
    """Loads them."""

    def __init__(self) -> None:
        self._services: Services | None = None
        self._loading = threading.Lock()

    @property
    def services_ready(self) -> bool:
        """Whether they are loaded."""
        return self._services is not None

    @property
    def services(self) -> Services:
        """What the screens stand on."""
        with self._loading:
            if self._services is None:
                self._services = self.build_services()
            return self._services

    @property
    def session(self) -> Session:
        """What is open."""
        return self.services.session

    @property
    def persistence(self) -> Persistence:
        """The store's caller."""
        return self.services.persistence

    @property
    def runner(self) -> Runner:
        """The model's caller."""
        return self.services.runner

    @property
    def project_list(self) -> ProjectList:
        """The list of prototypes."""
        return self.services.project_list

    @property
    def controller(self) -> ProjectController:
        """What writes to the open prototype."""
        return self.services.controller


class NotebookApp(ServiceLoader, InkedApp):
    """The notebook's screens."""

    CSS = CSS
    BINDINGS: ClassVar[list[BindingType]] = bindings(APP)

    def __init__(
        self,
        folder: Path,
        terminal: Terminal,
        *,
        names: Sequence[tuple[Path, str]] = (),
        runner: Callable[[Callable[[ModelResult], None]], Runner] | None = None,
        today: Callable[[], str] = lambda: time.strftime("%Y-%m-%d"),
    ) -> None:
        ServiceLoader.__init__(self)
        InkedApp.__init__(self, terminal)
        self.folder = folder
        self._runner, self._today = runner, today
        self.projects = ProjectsScreen(folder, [name for _, name in names], colour=terminal.colour)
        self.notebook: Notebook | None = None
        """Set before the start when the folder was read by then."""
        self.failed: ModelError | None = None
        """Why the folder cannot be opened after all."""
        self._taken = asyncio.Event()
        """Set when everything behind the names is there."""
        self._waited = 0.0
        """How long ctrl+q waited for that, [s]."""

    def build_services(self) -> Services:
        """Load everything behind the first screen."""
        from tui.services import build_services

        return build_services(self.folder, self._tell, runner=self._runner, today=self._today)

    def _tell(self, news: Any) -> None:
        self.post_message(WorkerResult(news))

    def get_default_screen(self) -> Screen[Any]:
        """The list is the first screen."""
        return self.projects

    def on_mount(self) -> None:
        """Take the signals; load the rest after the first paint."""
        if threading.current_thread() is threading.main_thread() and not self.is_headless:
            loop = asyncio.get_running_loop()
            wake = partial(loop.call_soon_threadsafe, bool)  # anything that is called wakes it
            save_on_signals(self.save_all, lambda code: _leave(loop, self, code), wake)
        self.app_resume_signal.subscribe(self, lambda _: self.forget_terminal())
        if self.notebook is not None:
            self._take(self.notebook)
        else:
            self.call_after_refresh(threading.Thread(target=self._load, name="load", daemon=True).start)

    def _load(self) -> None:
        """Load the packages and look through the folder, on a thread."""
        try:
            notebook = self.persistence.list_folder(self.folder)
        except ModelError as error:
            self.failed = error
            self.call_from_thread(self.exit, 0)
            return
        import tui.view.project_list

        self.post_message(ServicesReady(notebook))
        import tui.screens.project  # loaded here, so that neither drawing nor opening waits for it
        import tui.view.help  # noqa: F401

    def on_services_ready(self, event: ServicesReady) -> None:
        """Show what is behind the names, and let the keys that waited go on."""
        self._take(event.notebook)

    def _take(self, notebook: Notebook) -> None:
        self.project_list.take_notebook(notebook)
        self.projects.take_project_list(self.project_list)
        self._taken.set()

    async def before_key(self, event: Typed) -> bool:
        """Let keys that need more than names wait until the rest is there."""
        if too_small(*self.size) and not (isinstance(event, Key) and event.key in UNSEEN):
            return False
        if isinstance(self.screen, QuietScreen):
            self.screen.say("")
        if isinstance(event, Key) and event.key in BY_NAME:
            return True
        while not self._taken.is_set() and self._waited < LONGEST_LOAD:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._taken.wait(), TURN)
            self._waited += TURN if self.typed.waits("ctrl+q") else 0.0
        return self._taken.is_set()

    def on_worker_result(self, event: WorkerResult) -> None:
        """Put what came back into the session, and draw it where it is shown."""
        from model.store import Item
        from tui.screens.project import ProjectScreen
        from tui.storage.persistence import NotSaved

        if not self.screen_stack:  # it is ending
            return
        news = event.news
        if isinstance(news, Item):
            self.project_list.take_read(news)
            self._draw_shown()
            return
        prototype = self.controller.take(news)
        if prototype is None:
            return
        screen = self.screen
        if isinstance(news, NotSaved) and news.changed and isinstance(screen, ProjectScreen):
            if prototype.path == self.session.current:
                screen.pane.leave()
                screen.action_ask("theirs")
        else:
            self._draw_shown()

    async def on_open_project(self, event: OpenProject) -> None:
        """Show a prototype."""
        from tui.screens.project import ProjectScreen, show_place

        if self.session.current is None:
            self.runner.start()
            self.controller.open(event.path)
            screen = ProjectScreen(self.controller, colour=self.terminal.colour, plain=self.terminal.plain)
            await self.push_screen(screen, self._left_project)
            if event.place:
                await show_place(screen, event.place)

    def _left_project(self, _: None) -> None:
        self.project_list.ask_again()
        self.projects.refresh_list()

    def on_compare(self, event: Compare) -> None:
        """Show prototypes side by side; their gaps are asked with intervals."""
        from tui.runs.model_api import SAMPLES
        from tui.screens.side_by_side import SideBySideScreen

        chosen = [self.session.prototypes[path] for path in event.paths if path in self.session.prototypes]
        for prototype in chosen:
            self.project_list.ask(prototype, gap_samples=SAMPLES)
        self.push_screen(SideBySideScreen(chosen, colour=self.terminal.colour))

    def action_note(self) -> None:
        """Write a line for the diary of the prototype that is open, or chosen in the list."""
        from tui.dialogs.note import open_note

        def noted(text: str) -> None:
            """Draw what is shown, and say there what was noted."""
            if text and isinstance(self.screen, ProjectsScreen):
                self.screen.say(text)
            elif text and self.session.current is not None:
                self.controller.tell(f"{text} ctrl+z takes it back.")
            self._draw_shown()

        path, mark = self.session.current, self.session.number
        chosen = None if path is not None else self.projects.selection.wanted
        if chosen is not None:
            path, mark = chosen.path, chosen.project.latest.number
        if path is not None:
            colour = self.terminal.colour
            open_note(self, self.controller, self.project_list, path, mark, colour=colour, done=noted)

    def after_fault(self) -> None:
        """Tell that something went wrong until the next key, and draw what stands."""
        self._draw_shown()
        if isinstance(self.screen, QuietScreen):
            self.screen.say(FAULT)

    def _draw_shown(self) -> None:
        if isinstance(self.screen, QuietScreen):
            self.screen.take_worker_result()

    def action_help(self, project: bool) -> None:
        """Show the keys."""
        from tui.dialogs.base import TextPage
        from tui.screens.project import ProjectScreen
        from tui.view.help import help_lines

        pane = self.screen.pane.id or "" if isinstance(self.screen, ProjectScreen) else ""
        lines = lambda width: help_lines(width, project=project, pane=pane)  # noqa: E731
        self.push_screen(TextPage("Keys", lines, colour=self.terminal.colour))

    async def action_quit(self) -> None:
        """Keep everything, then leave; it is asked only where something can be kept nowhere."""
        if self.services_ready:
            from tui.dialogs.ask_quit import QuitDialog
            from tui.screens.project import ProjectScreen

            screen = self.screen
            if isinstance(screen, QuitDialog):  # it is asked already
                return
            if isinstance(screen, ProjectScreen):
                screen.pane.leave()
            if self.session.current is not None:
                self.session.end_visit()
            self.save_all()
            if lost := self.persistence.draft_store.lost:
                self.push_screen(QuitDialog(lost, colour=self.terminal.colour), partial(_leave_or_stay, self))
                return
        self.leave()

    def leave(self) -> None:
        """Leave, and say on the shell what is not in its file."""
        if self.services_ready:
            tell_at_the_end(self)
            self.runner.stop()
        self.exit(0)

    def save_all(self) -> None:
        """Save what is not saved yet, at once."""
        if self.services_ready:
            self.persistence.save_now()


async def _leave_or_stay(app: NotebookApp, answer: str | None) -> None:
    """Do what was answered to the question before leaving."""
    if answer == "again":
        await app.action_quit()
    elif answer == "leave":
        app.leave()
    elif isinstance(app.screen, QuietScreen):
        app.screen.take_worker_result()


def tell_at_the_end(app: NotebookApp) -> bool:
    """Put into words for the shell what is not in its file; return whether there is any."""
    from tui.text.last_words import last_words

    unsaved, drafts = app.persistence.unsaved, app.persistence.draft_store
    words = last_words(unsaved, drafts.undecided, drafts.outside, drafts.lost)
    fault = app.last_words if app.return_code == Exit.INTERNAL else ""
    if unsaved or drafts.lost:  # that all is safe, as is said of a fault, is not so
        app.fault_words, fault = app.fault_words.removesuffix(SAFE), fault.removesuffix(SAFE)
        fault = f"{fault}{words}" if fault else ""
    app.last_words = fault or words
    return bool(unsaved or drafts.lost)


def _leave(loop: asyncio.AbstractEventLoop, app: NotebookApp, code: int) -> None:
    """Leave the screens, from any thread."""
    loop.call_soon_threadsafe(app.exit, code, code)
