"""What the tests wait for, and how they read a notebook at once; the program does neither."""

from __future__ import annotations

from pathlib import Path

from model.store import Notebook, open_notebook
from tui.storage.persistence import Persistence


def wait_until_idle(persistence: Persistence, timeout: float) -> bool:
    """Wait until everything is saved and drafted; return whether it is."""
    jobs = persistence._jobs
    with jobs.bell:
        return jobs.bell.wait_for(
            lambda: not (persistence._saves or persistence.draft_store.waiting or jobs._working), timeout
        )


def read_folder(persistence: Persistence, folder: Path) -> Notebook:
    """Read a notebook whole; the program reads what comes into sight."""
    persistence.list_folder(folder)
    notebook = open_notebook(folder)
    for stored in notebook.stored:
        persistence.read(stored.path)
    return notebook
