"""The only caller of the store on screen: reads, saves, drafts, recovery, changes on disk. Never holds up a key.

Saves and drafts are made by one thread; what came of them goes to `post` as news (safe to call from any thread).
`save_now` is the exception: called when the line drops or the system ends the program, it saves before it returns.
Texts count as saved only after the store's last sync.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from model.errors import ModelError, NotDurable, ProjectChangedOnDisk, StoreError
from model.record import Project
from model.store import (
    Notebook,
    Stored,
    clear_draft,
    disk_revision,
    merge,
    new_path,
    open_notebook,
    read_draft,
    read_project,
    save_project,
    take_theirs,
    write_draft,
)
from tui.logfile import write_fault

DRAFT_AFTER = 0.4
"""Longest time that typed text stays without a draft, [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """A project is in its file, and the folder is synced."""

    path: Path
    project: Project


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSaved:
    """A project is not in its file; the texts are kept on the screen and in the draft."""

    path: Path
    project: Project
    message: str
    changed: bool = False
    """Whether the reason is that somebody else wrote the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Theirs:
    """What stands in a file that somebody else wrote, and our texts merged with it."""

    path: Path
    stored: Stored
    merged: Project
    """Where both sides changed the same, ours stands here."""
    yielding: Project
    """The same with theirs in those places."""
    clashes: tuple[str, ...]
    """Those places, as dotted keys."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """What was typed before the program was killed."""

    project: Project
    message: str


News = Saved | NotSaved


class Keeper:
    """Keeps the projects of one folder."""

    def __init__(self, post: Callable[[News], None]) -> None:
        self._post = post
        self._bell = threading.Condition()
        self._disk = threading.Lock()
        self._revisions: dict[Path, str | None] = {}
        self._bases: dict[Path, Project | None] = {}
        self._newest: dict[Path, Project] = {}
        self._saves: list[Path] = []
        self._drafts: dict[Path, float] = {}
        self.held: dict[Path, dict[str, str]] = {}
        """Raw texts of what is open and in no project yet, by address; they stand in the draft."""
        self._working = False
        self._thread: threading.Thread | None = None

    def read_folder(self, folder: Path) -> Notebook:
        """Read the notebook. Raises `StoreError` where the folder cannot be opened."""
        found = open_notebook(folder)
        for stored in found.stored:
            self._read(stored)
        return found

    def read(self, path: Path) -> Stored:
        """Read one project again. Raises `StoreError`."""
        stored = read_project(path)
        self._read(stored)
        return stored

    def _read(self, stored: Stored) -> None:
        with self._bell:
            self._revisions[stored.path] = stored.revision
            self._bases[stored.path] = stored.project
            self._newest.pop(stored.path, None)

    def moved_on(self, path: Path) -> bool:
        """Whether the file on the disk is another than the one read or saved here."""
        try:
            return disk_revision(path) != self._revisions.get(path)
        except StoreError:
            return False

    def recover(self, path: Path) -> Recovered | None:
        """Return what a draft holds beyond the file. Raises `StoreError` where the draft cannot be read."""
        draft = read_draft(path)
        base = self._bases.get(path)
        if draft is None:
            return None
        held = self.held.setdefault(path, dict(draft.open_fields))
        if not replace(draft, open_fields={}).adds_to(base):
            if not held:
                clear_draft(path)
            return None
        if draft.starts_from(self._revisions.get(path)) or base is None:
            return Recovered(
                project=draft.project,
                message="Brought back what was typed and not saved. ctrl+z takes it away.",
            )
        merged = merge(draft.base or Project(name=base.name), draft.project, base)
        both = f" In {len(merged.clashes)} places both differ; the typed text stands." if merged.clashes else ""
        return Recovered(
            project=merged.project,
            message=f"Brought back what was typed, joined with what the file holds now.{both} ctrl+z takes it away.",
        )

    def start_new(self, folder: Path, project: Project) -> Path:
        """Give a new project a file name in the folder and save it there in the background."""
        taken = {path.name for path in self._revisions}
        path = new_path(folder, project.name)
        number = 1
        while path.name in taken:
            number += 1
            path = path.with_name(f"{path.stem}-{number}{path.suffix}")
        with self._bell:
            self._revisions[path] = None
            self._bases[path] = None
        self.save(path, project)
        return path

    def note(self, path: Path, project: Project) -> None:
        """Take note of what is being typed: a draft of it is written soon."""
        with self._bell:
            self._newest[path] = project
            self._drafts.setdefault(path, time.monotonic() + DRAFT_AFTER)
            self._wake()

    def hold(self, path: Path, address: str, text: str) -> None:
        """Hold a text that is in no project yet in the draft of a file; an empty one is let go."""
        with self._bell:
            others = {key: old for key, old in self.held.get(path, {}).items() if key != address}
            held = {**others, address: text} if text else others
            if held == self.held.get(path, {}):
                return
            self.held[path] = held
            self._drafts.setdefault(path, time.monotonic() + DRAFT_AFTER)
            self._wake()

    def save(self, path: Path, project: Project) -> None:
        """Save a project in the background; news follow."""
        with self._bell:
            self._newest[path] = project
            if path not in self._saves:
                self._saves.append(path)
            self._wake()

    def forget_file(self, path: Path) -> None:
        """Let the next save write a new file, when the old one is gone from the disk (never over one that is there)."""
        with self._bell:
            self._revisions[path] = None

    def join_theirs(self, path: Path, ours: Project) -> Theirs:
        """Read what somebody else wrote and merge it with ours; the next save then goes over it.

        Raises `StoreError` where the file cannot be read.
        """
        base = self._bases.get(path)
        stored = read_project(path)
        merged = merge(base or Project(name=stored.project.name), ours, stored.project)
        yielding = merged.project
        for clash in merged.clashes:
            yielding = take_theirs(yielding, clash)
        with self._bell:
            self._revisions[path] = stored.revision
            self._bases[path] = stored.project
        return Theirs(
            path=path,
            stored=stored,
            merged=merged.project,
            yielding=yielding,
            clashes=tuple(clash.where for clash in merged.clashes),
        )

    def save_now(self, wait: float = 1.5) -> None:
        """Save everything that is not saved yet, at once; what cannot be saved goes into a draft."""
        alone = self._disk.acquire(timeout=wait)
        try:
            for path, project in dict(self._newest).items():
                try:
                    self._write(path, project, timeout=wait)
                except ModelError:
                    self._draft(path, project)
            for path in list(self._drafts):
                self._draft(path, self._newest.get(path) or self._bases.get(path))
        finally:
            if alone:
                self._disk.release()

    @property
    def unsaved(self) -> tuple[Path, ...]:
        """Files whose newest texts are not in them yet."""
        return tuple(self._newest)

    def wait_until_idle(self, timeout: float) -> bool:
        """Wait until everything is saved and drafted; return whether it is."""
        with self._bell:
            return self._bell.wait_for(lambda: not (self._saves or self._drafts or self._working), timeout)

    def _wake(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="keeper", daemon=True)
            self._thread.start()
        self._bell.notify_all()

    def _work(self) -> None:
        while True:
            with self._bell:
                self._working = False
                self._bell.notify_all()
                while not self._saves and not _due(self._drafts):
                    left = min(self._drafts.values()) - time.monotonic() if self._drafts else None
                    self._bell.wait(left)
                self._working = True
                saving = bool(self._saves)
                path = self._saves.pop(0) if saving else _due(self._drafts)[0]
                self._drafts.pop(path, None)
                project = self._newest.get(path) or (None if saving else self._bases.get(path))
            if project is None:
                continue
            with self._disk:
                if saving:
                    self._save_and_tell(path, project)
                elif said := self._draft(path, project):
                    self._post(NotSaved(path=path, project=project, message=said))

    def _save_and_tell(self, path: Path, project: Project) -> None:
        try:
            self._write(path, project)
        except ModelError as error:
            self._draft(path, project)
            changed = isinstance(error, ProjectChangedOnDisk)
            self._post(NotSaved(path=path, project=project, message=str(error), changed=changed))
        except Exception as error:
            self._post(NotSaved(path=path, project=project, message=write_fault(error)))
        else:
            self._post(Saved(path=path, project=project))

    def _write(self, path: Path, project: Project, timeout: float = 5.0) -> None:
        try:
            self._revisions[path] = save_project(path, project, revision=self._revisions.get(path), timeout=timeout)
        except NotDurable as error:
            self._revisions[path] = error.revision
            self._bases[path] = project
            raise
        self._bases[path] = project
        with self._bell:
            if self._newest.get(path) == project:
                del self._newest[path]
                self._drafts.pop(path, None)
                finished = True
            else:
                finished = False
        if finished:
            self._draft(path, project)

    def _draft(self, path: Path, project: Project | None) -> str:
        """Write a draft, or remove it where it would add nothing; return why that could not be done."""
        held, base = self.held.get(path, {}), self._bases.get(path)
        try:
            if project is None or (project == base and not held):
                clear_draft(path)
            else:
                write_draft(path, project, held, revision=self._revisions.get(path), base=base)
        except ModelError as error:
            return str(error)
        except Exception as error:
            return write_fault(error)
        return ""


def held_text(keeper: Keeper, path: Path, address: str) -> str:
    """Return a text that was begun and is in no project yet, of this run or of one before."""
    if path not in keeper.held:
        with contextlib.suppress(StoreError):
            draft = read_draft(path)
            keeper.held[path] = dict(draft.open_fields) if draft else {}
    return keeper.held.get(path, {}).get(address, "")


def _due(drafts: Mapping[Path, float]) -> list[Path]:
    """Return the files whose draft is to be written by now."""
    now = time.monotonic()
    return [path for path, due in drafts.items() if due <= now]
