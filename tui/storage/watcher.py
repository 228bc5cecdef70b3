"""Looks from time to time whether somebody else writes the file that is open. Called by persistence's thread."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from model.errors import StoreError
from model.store import disk_revision
from tui.storage.draft_store import KnownFiles
from tui.storage.jobs import Jobs, Next

LOOK_EVERY = 2.0
"""How often the open file is looked at, [s]."""

GONE_AFTER = 2
"""How many looks find no file, or none that can be read, before that is told."""


class Watcher:
    """Watches one file at a time; `changed` is called once for each new state of it."""

    def __init__(self, known: KnownFiles, jobs: Jobs, disk: threading.Lock, changed: Callable[[Path], None]) -> None:
        self._known = known
        self._jobs = jobs
        self._disk = disk
        self._changed = changed
        self._path: Path | None = None
        self._due = 0.0
        self._reported: str | None = None
        self._missing = 0
        """How many looks in a row found no file: a program that writes it otherwise may leave it out for a moment."""
        self._away = False
        """Whether that was reported."""
        jobs.add("watcher", self._next)

    def watch(self, path: Path | None) -> None:
        """Watch this file from now on, or none."""
        with self._jobs.bell:
            self._path, self._reported, self._missing, self._away = path, None, 0, False
            self._due = time.monotonic() + LOOK_EVERY
            self._jobs.ring()

    def _next(self) -> Next:
        if self._path is None:
            return None
        remaining = self._due - time.monotonic()
        if remaining > 0:
            return remaining
        self._due = time.monotonic() + LOOK_EVERY
        return partial(self._look, self._path)

    def _look(self, path: Path) -> None:
        """Compare the file with what was read or saved here; not while a save of ours is under way."""
        if not self._disk.acquire(blocking=False):
            return
        try:
            revision = disk_revision(path)
        except StoreError:  # a folder, a pipe or a link in its place, or no permission
            revision = None
        finally:
            self._disk.release()
        with self._jobs.bell:
            known = self._known.revisions.get(path)
            self._missing = self._missing + 1 if revision is None and known is not None else 0
            other = revision not in (None, self._reported, known) or self._missing == GONE_AFTER
            back = revision is not None and (self._away or (revision == known and self._reported not in (None, known)))
            news = (other or back) and path == self._path
            if news:
                self._reported, self._away = revision, revision is None
        if news:
            self._changed(path)
