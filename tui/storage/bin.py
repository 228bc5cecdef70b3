"""Deleting to the notebook's bin and bringing back. A part of persistence; called on a thread of its own.

What was typed for a prototype and is not in its file goes into the bin with it: texts of a project are saved first,
those that are in no project yet are told in a diary entry, so that nothing stays behind that would bring it back.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from model.errors import StoreError
from model.record import Entry, Project, new_key
from model.store import in_bin, read_project, restore, to_bin
from tui.storage.draft_store import DraftStore, KnownFiles


@dataclass(frozen=True, slots=True, kw_only=True)
class Binned:
    """A file in the bin."""

    path: Path
    """Where it is."""
    project: Project
    """What it holds; the name alone where it cannot be read."""
    trouble: str = ""
    """Why it cannot be read."""


class Bin:
    """What the screens do with the bin."""

    def __init__(
        self, known: KnownFiles, disk: threading.Lock, draft_store: DraftStore, write: Callable[[Path, Project], None]
    ) -> None:
        self._known = known
        self._disk = disk
        self._draft_store = draft_store
        self._write = write

    def delete(self, path: Path) -> Path:
        """Save what is not saved yet, move the file to the bin, and return where it is now. Raises `StoreError`."""
        known = self._known
        with self._disk:
            # A draft that is damaged stays where it is; opening the project would tell it.
            with contextlib.suppress(StoreError):
                self._draft_store.adopt(path)
            whole = self._whole(path)
            if whole is not None:
                known.newest[path] = whole
                self._write(path, whole)
            gone = to_bin(path, revision=known.revisions.get(path))
            self._draft_store.forget(path)
            for each in (known.revisions, known.bases, known.newest):
                each.pop(path, None)
        return gone

    def _whole(self, path: Path) -> Project | None:
        """Return the project with everything that was typed for it; None where the file has all of it."""
        known, recovered = self._known, self._draft_store.recovered(path)
        project = known.newest.get(path)
        project = recovered.beside(project or known.bases.get(path)) if recovered else project
        open_texts = self._draft_store.all_held(path)
        base = project or known.bases.get(path)
        if not open_texts or base is None:
            return project
        text = "Begun and not entered when this was deleted:\n" + "".join(f"{k}: {v}\n" for k, v in open_texts.items())
        return base.with_entry(Entry(key=new_key(base.entries), mark=base.latest.number, text=text))

    def shown(self, folder: Path) -> tuple[Binned, ...]:
        """Return what is in the bin of a notebook, by name. Raises `StoreError`."""
        binned = [_binned(path) for path in in_bin(folder)]
        return tuple(sorted(binned, key=lambda each: (each.project.name.casefold(), each.path.name)))

    def restore(self, path: Path) -> Path:
        """Move a file from the bin into its notebook, under a free name; return where it is. Raises `StoreError`."""
        return restore(path)


def _binned(path: Path) -> Binned:
    try:
        stored = read_project(path)
    except StoreError as error:
        return Binned(path=path, project=Project(name=path.stem), trouble=str(error))
    return Binned(path=path, project=stored.project)
