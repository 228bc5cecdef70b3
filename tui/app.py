"""Starts the screens: terminal first, then textual, then the notebook. Called by ``__main__`` after `terminal.refusal`.

Textual reads its settings when it is imported, so they are set here before anything imports it.
"""

from __future__ import annotations

import sys
import threading
from pathlib import Path

from model.errors import ModelError
from tui.terminal import prepare

SWITCH = 0.0005
"""How long a running prediction keeps a key waiting for the interpreter, [s] (stock: 0.005, at each of many steps)."""
READING = 0.3
"""How long the first paint waits for the folder to be read, [s]; a large one comes after it."""


def run(folder: Path) -> int:
    """Show the notebook of a folder until the builder leaves; return the exit code.

    Raises
    ------
    StoreError
        The folder cannot be opened.
    """
    terminal = prepare()
    from tui.guarded.decoder import forgive_stray_bytes
    from tui.guarded.writer import never_wait_for_the_line
    from tui.notebook import NotebookApp, NotebookRead

    forgive_stray_bytes()
    never_wait_for_the_line()
    app = NotebookApp(folder, terminal)
    failed: list[ModelError] = []
    read = threading.Event()

    def work() -> None:
        try:
            notebook = app.keeper.read_folder(folder)
        except ModelError as error:
            failed.append(error)
        else:
            app.notebook = notebook
        read.set()
        if started.is_set() and app.notebook is not None:
            app.post_message(NotebookRead(app.notebook))

    started = threading.Event()
    threading.Thread(target=work, name="reader", daemon=True).start()
    read.wait(READING)
    if failed:
        raise failed[0]
    if not read.is_set():
        started.set()
    sys.setswitchinterval(SWITCH)
    code = app.run(mouse=False)
    app.runner.stop()
    app.keeper.save_now()
    app.keeper.close()
    if failed:
        raise failed[0]
    if app.last_words:
        print(app.last_words, file=sys.__stderr__)
    return int(code if code is not None else app.return_code or 0)
