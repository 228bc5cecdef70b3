"""The only caller of the store on screen: reads, saves, drafts, recovery, changes on disk. Never holds up a key.

Saves are made by one thread, drafts by another, so that a disk that is slow to confirm a save holds up neither keys nor
drafts; what came of them goes to `post` as news (safe to call from any thread). `save_now` is the exception: called
when the line drops or the system ends the program, it saves before it returns. Texts count as saved only after the
store's last sync. A save that the system refused is tried again by itself.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from model.errors import ModelError, NotDurable, ProjectChangedOnDisk, StoreError
from model.record import Project
from model.store import (
    Notebook,
    Stored,
    common,
    conflict_copies,
    demo_folder,
    files_to_bring_back,
    keep_both,
    left_drafts,
    list_notebook,
    merge,
    new_path,
    open_notebook,
    read_project,
    save_project,
    take_theirs,
    to_bin,
)
from tui.host.logfile import write_fault
from tui.storage.bin import Bin
from tui.storage.disk_state import DiskState
from tui.storage.draft_store import DraftStore, KnownFiles, Recovered
from tui.storage.jobs import Jobs, Next, until
from tui.storage.watcher import Watcher

NEW = "a new prototype"
"""In place of a file's name: whose draft holds what is typed for a prototype that has no file yet."""
RETRY_AFTER = 3.0
"""How long a save that the system refused waits before it is tried again, [s]."""


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
    both: Project
    """The same with both kept: free text joined, a mark become two, other values told in the diary."""
    clashes: tuple[str, ...]
    """Those places, as dotted keys."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedOnDisk:
    """Somebody else wrote the file that is open."""

    path: Path


StoreResult = Saved | NotSaved | ChangedOnDisk


class Persistence:
    """Keeps the projects of one folder."""

    def __init__(self, post: Callable[[StoreResult], None]) -> None:
        self._post = post
        self._disk = threading.Lock()
        self._known = KnownFiles()
        self._jobs = Jobs()
        self._jobs.add("saver", self._next_save)
        self._bell = self._jobs.bell
        self.draft_store = DraftStore(self._known, self._jobs, partial(_not_drafted, self._known, post))
        """Drafts, and texts that are in no project yet."""
        self.watcher = Watcher(self._known, self._jobs, self._disk, lambda path: post(ChangedOnDisk(path=path)))
        """Looks for changes by others."""
        self.on_disk = DiskState(self._known)
        """What became of files by others."""
        self.bin = Bin(self._known, self._disk, self.draft_store, self._write)
        """Deletes, and brings back."""
        self._saves: list[Path] = []
        self._again: dict[Path, float] = {}
        self._copies: dict[Path, dict[Path, str]] = {}

    def list_folder(self, folder: Path) -> Notebook:
        """Return the notebook with the names alone; each is read by `read`. Raises `StoreError`."""
        _bring_back(folder, self.draft_store)
        return list_notebook(folder)

    def read(self, path: Path) -> Stored:
        """Read one project, or read it again. Raises `StoreError`.

        A save that came between, or what was typed meanwhile, is newer than what was read and stays known.
        """
        before = self._known.revisions.get(path)
        stored = read_project(path)
        with self._bell:
            if path not in self._known.newest and self._known.revisions.get(path) == before:
                _remember(self._known, stored)
        return stored

    def recover(self, path: Path) -> Recovered | None:
        """Return what ended windows left in drafts beyond the file, until it is settled with the draft store.

        Raises `StoreError` where a draft is damaged.
        """
        self.draft_store.adopt(path)
        return self.draft_store.recovered(path)

    def start_new(self, folder: Path, project: Project) -> Path:
        """Give a new project a file name in the folder and save it there in the background."""
        with self._bell:
            path = new_path(folder, project.name, [each.name for each in self._known.revisions])
            self._known.revisions[path] = None
            self._known.bases[path] = None
        self.save(path, project)
        return path

    def note(self, path: Path, project: Project) -> None:
        """Take note of what is being typed: a draft of it is written soon."""
        with self._bell:
            self._known.newest[path] = project
        self.draft_store.soon(path)

    def save(self, path: Path, project: Project) -> None:
        """Save a project in the background; news follow."""
        with self._bell:
            self._known.newest[path] = project
            if path not in self._saves:
                self._saves.append(path)
            self._jobs.ring()

    def start_from(self, path: Path, stored: Stored | None) -> None:
        """Let the next save go over what another wrote, whose texts it holds too, as the builder said.

        None: the file is gone from the disk, and a new one is written (never over one that is there).
        """
        with self._bell:
            self._known.revisions[path] = stored.revision if stored else None
            if stored:
                self._known.bases[path] = stored.project
            elif path in self._known.newest or path in self.draft_store.undecided:
                self.draft_store.at_once(path)  # whole, now that there is no file

    def join_theirs(self, path: Path, ours: Project) -> Theirs:
        """Read what somebody else wrote and merge it with ours; nothing is written over it before `start_from`.

        Raises `StoreError` where the file cannot be read.
        """
        base = self._known.bases.get(path)
        stored = read_project(path)
        merged = merge(base or common(ours, stored.project), ours, stored.project)
        yielding = merged.project
        for clash in merged.clashes:
            yielding = take_theirs(yielding, clash)
        return Theirs(
            path=path,
            stored=stored,
            merged=merged.project,
            yielding=yielding,
            both=keep_both(merged, ours=ours, theirs=stored.project),
            clashes=tuple(clash.where for clash in merged.clashes),
        )

    def join_copies(self, path: Path, ours: Project) -> Recovered | None:
        """Join the conflict copies of a file with ours, both sides of a clash kept; once saved, they go to the bin.

        Raises `StoreError` where the folder or a copy cannot be read.
        """
        copies = {copy: read_project(copy) for copy in conflict_copies(path)}
        project, clashes = ours, 0
        for stored in copies.values():
            merged = merge(common(project, stored.project), project, stored.project)
            clashes += len(merged.clashes)
            project = keep_both(merged, ours=project, theirs=stored.project)
        self._copies[path] = {copy: stored.revision for copy, stored in copies.items()}
        if project == ours:
            _bin_copies(self._copies.pop(path))
            return None
        both = f" In {clashes} places they differ; both are kept." if clashes else ""
        names = ", ".join(copy.name for copy in copies)
        return Recovered(project=project, message=f"Joined with {names}, now in the bin.{both} ctrl+z: without.")

    def save_now(self, wait: float = 1.5) -> None:
        """Save everything that is not saved yet, at once; what cannot be saved goes into a draft, as far as one can be.

        `wait` is how long to wait for a save that is under way, [s].
        """
        alone = self._disk.acquire(timeout=wait)
        try:
            for path, project in dict(self._known.newest).items():
                try:
                    self._write(path, project, timeout=wait)
                except Exception as error:
                    if not isinstance(error, ModelError):
                        write_fault(error)
                    self.draft_store.write(path, whole=True)
            for path in {*self.draft_store.waiting, *self.draft_store.lost} - set(self._known.newest):
                self.draft_store.write(path)
        finally:
            if alone:
                self._disk.release()

    @property
    def unsaved(self) -> tuple[Path, ...]:
        """Files whose newest texts are not in them yet."""
        return tuple(self._known.newest)

    def close(self) -> None:
        """End the threads, and let go of the drafts that are left: the next window may recover them."""
        self._jobs.end()
        self.draft_store.close()

    def _next_save(self) -> Next:
        now = time.monotonic()
        for path in [path for path, due in self._again.items() if due <= now]:
            del self._again[path]
            if path not in self._saves:
                self._saves.append(path)
        while self._saves:
            path = self._saves.pop(0)
            if path in self._known.newest:
                return partial(self._save_and_tell, path)
        return until(self._again.values())

    def _save_and_tell(self, path: Path) -> None:
        with self._disk:
            project = self._known.newest.get(path)
            if project is None:  # deleted, or saved otherwise, while another save was under way
                return
            try:
                self._write(path, project)
            except Exception as error:
                changed = isinstance(error, ProjectChangedOnDisk)
                self.draft_store.write(path, whole=changed)
                if not changed:
                    with self._bell:
                        self._again[path] = time.monotonic() + RETRY_AFTER
                message = str(error) if isinstance(error, ModelError) else write_fault(error)
                self._post(NotSaved(path=path, project=project, message=message, changed=changed))
            else:
                self._post(Saved(path=path, project=project))

    def _write(self, path: Path, project: Project, timeout: float = 5.0) -> None:
        known = self._known
        try:
            known.revisions[path] = save_project(path, project, revision=known.revisions.get(path), timeout=timeout)
        except NotDurable as error:
            known.revisions[path] = error.revision
            raise
        known.bases[path] = project
        with self._bell:
            finished = known.newest.get(path) == project
            if finished:
                del known.newest[path]
                self._again.pop(path, None)
        if finished:
            self.draft_store.write(path)
        _bin_copies(self._copies.pop(path, {}))


def demo_projects() -> tuple[Project, ...]:
    """Return the projects of the demo notebook. Raises `StoreError` where it is not installed."""
    return tuple(stored.project for stored in open_notebook(demo_folder()).stored)


def _not_drafted(known: KnownFiles, post: Callable[[StoreResult], None], path: Path, reason: str) -> None:
    project = known.newest.get(path)
    if project is not None:
        post(NotSaved(path=path, project=project, message=reason))


def _remember(known: KnownFiles, stored: Stored) -> None:
    known.revisions[stored.path] = stored.revision
    known.bases[stored.path] = stored.project
    known.newest.pop(stored.path, None)


def _bin_copies(copies: Mapping[Path, str]) -> None:
    for copy, revision in copies.items():
        # One that changed meanwhile stays and is joined the next time.
        with contextlib.suppress(StoreError):
            to_bin(copy, revision=revision)


def _bring_back(folder: Path, draft_store: DraftStore) -> None:
    """Make the files of new projects that were never saved before their window was killed; take over a name."""
    for path in files_to_bring_back(folder):
        _make_from_draft(path)
    with contextlib.suppress(StoreError):
        draft_store.adopt(folder / NEW)


def _make_from_draft(path: Path) -> None:
    """Make the file of a new project that was never saved before its window was killed."""
    try:
        for draft in left_drafts(path)[:1]:
            if draft.project is not None:
                save_project(path, draft.project, revision=None)
    except ModelError as error:
        write_fault(error)
