"""Starts the screens: terminal first, then textual, then the notebook. Called by ``__main__`` after `terminal.refusal`.

Textual reads its settings when it is imported, so they are set here before anything imports it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from model.peek import names_in
from tui.plain import plain
from tui.terminal import prepare

SWITCH = 0.0005
"""How long a running prediction keeps a key waiting for the interpreter, [s] (stock: 0.005, at each of many steps)."""


def run(folder: Path) -> int:
    """Show the notebook of a folder until the builder leaves; return the exit code.

    Raises
    ------
    StoreError
        The folder cannot be opened.
    """
    terminal = prepare()
    names = _names(folder)
    from tui.guarded.decoder import forgive_stray_bytes
    from tui.guarded.writer import never_wait_for_the_line
    from tui.notebook import NotebookApp

    forgive_stray_bytes()
    never_wait_for_the_line()
    app = NotebookApp(folder, terminal, names=names)
    sys.setswitchinterval(SWITCH)
    code = app.run(mouse=False)
    if app.furnished:
        app.runner.stop()
        app.keeper.save_now()
        app.keeper.close()
    if app.failed:
        raise app.failed
    if app.last_words:
        print(plain(app.last_words), file=sys.__stderr__)
    return int(code if code is not None else app.return_code or 0)


def _names(folder: Path) -> tuple[tuple[Path, str], ...]:
    """Return the names for the first screen; where the folder cannot be read, the store says why."""
    try:
        return names_in(folder)
    except OSError:
        from model.store import list_notebook

        return tuple((item.path, item.name) for item in list_notebook(folder).items)
