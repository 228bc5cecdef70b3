"""Starts the screens: terminal first, then textual, then the notebook. Called by ``__main__`` after `terminal.refusal`.

Textual reads its settings when it is imported, so they are set here before anything imports it.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from model.project_names import names_in
from tui.exits import Exit
from tui.host.memory import give_back
from tui.host.terminal import prepare
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from textual.driver import Driver

    from tui.runs.model_calls import ModelResult
    from tui.runs.runner import Runner


def run(folder: Path) -> int:
    """Show the notebook of a folder until the builder leaves; return the exit code.

    Raises
    ------
    StoreError
        The folder cannot be opened.
    """
    terminal = prepare()
    give_back()
    names = _names(folder)
    from tui.notebook import NotebookApp, tell_at_the_end
    from tui.runs.ui_idle import UiIdle
    from tui.textual_patches.faults import keep_parts_running
    from tui.textual_patches.writer import never_wait_for_the_line

    never_wait_for_the_line()
    ui_idle = UiIdle()

    def runner(post: Callable[[ModelResult], None]) -> Runner:
        from tui.runs.model_api import default_changes, default_expect, default_lasting, default_learn, default_look
        from tui.runs.runner import Runner

        return Runner(
            post,
            lasting=default_lasting,
            look=default_look,
            learn=default_learn,
            expect=default_expect,
            changes=default_changes,
            yield_to_ui=ui_idle.wait,
        )

    app = NotebookApp(folder, terminal, names=names, runner=runner)
    app.bears_faults = keep_parts_running()
    app.driver_class = _driver() or app.driver_class
    with asyncio.Runner(loop_factory=ui_idle.loop) as loop:
        code = loop.run(app.run_async(mouse=False))
    in_files = True
    if app.services_ready:
        app.runner.stop()
        app.persistence.save_now()
        in_files = not tell_at_the_end(app)
        app.persistence.close()
    if app.failed:
        raise app.failed
    for words in filter(None, (app.fault_words, app.last_words)):
        print(sanitise(words), file=sys.__stderr__)
    code = int(code if code is not None else app.return_code or 0)
    return code or (Exit.OK if in_files else Exit.CANNOT_WRITE)


def _driver() -> type[Driver] | None:
    """Return what reads the keyboard line; none of ours where textual's has changed."""
    try:
        from tui.textual_patches.keyboard import Keyboard
    except ImportError:
        return None
    return Keyboard


def _names(folder: Path) -> tuple[tuple[Path, str], ...]:
    """Return the names for the first screen; where the folder cannot be read, the store says why."""
    try:
        return names_in(folder)
    except OSError:
        from model.store import list_notebook

        return tuple((item.path, item.name) for item in list_notebook(folder).items)
