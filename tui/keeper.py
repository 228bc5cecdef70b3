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
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from model.errors import ModelError, NotDurable, ProjectChangedOnDisk, StoreError
from model.record import Project
from model.store import (
    Draft,
    Drafts,
    Notebook,
    Stored,
    disk_revision,
    files_to_bring_back,
    keep_both,
    left_drafts,
    merge,
    new_path,
    open_notebook,
    read_project,
    remove_draft,
    save_project,
    take_theirs,
)
from tui.logfile import write_fault

DRAFT_AFTER = 0.4
"""Longest time that typed text stays without a draft, [s]."""
RETRY_AFTER = 3.0
"""How long a save that the system refused waits before it is tried again, [s]."""
LOOK_EVERY = 2.0
"""How often the open file is looked at for changes by others, [s]."""


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
class Recovered:
    """What was typed before the program was killed."""

    project: Project
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """Somebody else wrote the file that is open."""

    path: Path


News = Saved | NotSaved | Changed


class Keeper:
    """Keeps the projects of one folder."""

    def __init__(self, post: Callable[[News], None]) -> None:
        self._post = post
        self._bell = threading.Condition()
        self._disk = threading.Lock()
        self._pen = threading.Lock()
        self._own = Drafts()
        self._revisions: dict[Path, str | None] = {}
        self._bases: dict[Path, Project | None] = {}
        self._newest: dict[Path, Project] = {}
        self._recovered: dict[Path, Recovered] = {}
        self._saves: list[Path] = []
        self._again: dict[Path, float] = {}
        self._drafts: dict[Path, float] = {}
        self.held: dict[Path, dict[str, str]] = {}
        """Raw texts of what is open and in no project yet, by address; they stand in the draft."""
        self._watch: tuple[Path, float, str | None] | None = None
        self._working = 0
        self._threads: tuple[threading.Thread, ...] = ()

    def read_folder(self, folder: Path) -> Notebook:
        """Read the notebook. Raises `StoreError` where the folder cannot be opened."""
        for path in files_to_bring_back(folder):
            _bring_back(path)
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
        """Return what ended windows left in drafts beyond the file, once. Raises `StoreError` where one is damaged."""
        self.adopt(path)
        return self._recovered.pop(path, None)

    def adopt(self, path: Path) -> None:
        """Take over what ended windows left in drafts, into this window's own draft. Raises `StoreError`."""
        drafts = left_drafts(path)
        if not drafts:
            return
        base = self._bases.get(path)
        found = _joined(drafts, base, self._revisions.get(path))
        with self._bell:
            held = {**_texts(drafts), **self.held.get(path, {})}
            if held:
                self.held[path] = held
            if found is not None and found.project != base:
                self._recovered[path] = found
        if not self._draft(path, None):
            for draft in drafts:
                remove_draft(draft)

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

    def watch(self, path: Path | None) -> None:
        """Look from time to time whether somebody else writes this file; `Changed` tells it."""
        with self._bell:
            self._watch = None if path is None else (path, time.monotonic() + LOOK_EVERY, None)
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
            both=keep_both(merged, ours=ours, theirs=stored.project),
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

    def close(self) -> None:
        """Let go of the drafts that are left: the next window may recover them."""
        self._own.close()

    def wait_until_idle(self, timeout: float) -> bool:
        """Wait until everything is saved and drafted; return whether it is."""
        with self._bell:
            return self._bell.wait_for(lambda: not (self._saves or self._drafts or self._working), timeout)

    def _wake(self) -> None:
        if not self._threads:
            jobs = ((self._next_save, "saver"), (self._next_draft, "drafter"))
            self._threads = tuple(
                threading.Thread(target=self._work, args=(job,), name=name, daemon=True) for job, name in jobs
            )
            for thread in self._threads:
                thread.start()
        self._bell.notify_all()

    def _work(self, take: Callable[[], Callable[[], None] | float | None]) -> None:
        """Do jobs one after another; `take` gives the next, or how long to wait for one (None: until the bell)."""
        while True:
            with self._bell:
                while not callable(job := take()):
                    self._bell.wait(job)
                self._working += 1
            try:
                job()
            finally:
                with self._bell:
                    self._working -= 1
                    self._bell.notify_all()

    def _next_save(self) -> Callable[[], None] | float | None:
        for path in _due(self._again):
            del self._again[path]
            if path not in self._saves:
                self._saves.append(path)
        while self._saves:
            path = self._saves.pop(0)
            project = self._newest.get(path)
            if project is not None:
                return partial(self._save_and_tell, path, project)
        return _until(self._again.values())

    def _next_draft(self) -> Callable[[], None] | float | None:
        for path in _due(self._drafts):
            del self._drafts[path]
            return partial(self._draft_and_tell, path)
        times = list(self._drafts.values())
        if self._watch is not None:
            path, due, told = self._watch
            if due <= time.monotonic():
                self._watch = (path, time.monotonic() + LOOK_EVERY, told)
                return partial(self._look_at, path, told)
            times.append(due)
        return _until(times)

    def _look_at(self, path: Path, told: str | None) -> None:
        """Tell once when the file on the disk is another than the one read or saved here."""
        if not self._disk.acquire(blocking=False):
            return
        try:
            found = disk_revision(path)
            changed = found not in (None, told, self._revisions.get(path))
        except StoreError:
            return
        finally:
            self._disk.release()
        if not changed:
            return
        with self._bell:
            if self._watch is None or self._watch[0] != path:
                return
            self._watch = (path, self._watch[1], found)
        self._post(Changed(path=path))

    def _save_and_tell(self, path: Path, project: Project) -> None:
        with self._disk:
            try:
                self._write(path, project)
            except ModelError as error:
                self._draft(path, project)
                changed = isinstance(error, ProjectChangedOnDisk)
                if not changed:
                    with self._bell:
                        self._again[path] = time.monotonic() + RETRY_AFTER
                self._post(NotSaved(path=path, project=project, message=str(error), changed=changed))
            except Exception as error:
                self._post(NotSaved(path=path, project=project, message=write_fault(error)))
            else:
                self._post(Saved(path=path, project=project))

    def _draft_and_tell(self, path: Path) -> None:
        project = self._newest.get(path)
        said = self._draft(path, project)
        if said and project is not None:
            self._post(NotSaved(path=path, project=project, message=said))

    def _write(self, path: Path, project: Project, timeout: float = 5.0) -> None:
        try:
            self._revisions[path] = save_project(path, project, revision=self._revisions.get(path), timeout=timeout)
        except NotDurable as error:
            self._revisions[path] = error.revision
            raise
        self._bases[path] = project
        with self._bell:
            finished = self._newest.get(path) == project
            if finished:
                del self._newest[path]
                self._drafts.pop(path, None)
                self._again.pop(path, None)
        if finished:
            self._draft(path, None)

    def _draft(self, path: Path, project: Project | None) -> str:
        """Write this window's draft, or remove it where it would add nothing; return why that could not be done."""
        with self._pen:
            held, base = self.held.get(path, {}), self._bases.get(path)
            recovered = self._recovered.get(path)
            newest = self._newest.get(path) or project or (recovered.project if recovered else base)
            try:
                if newest is None or (newest == base and not held):
                    self._own.clear(path)
                else:
                    self._own.write(path, newest, held, revision=self._revisions.get(path), base=base)
            except ModelError as error:
                return str(error)
            except Exception as error:
                return write_fault(error)
            return ""


def held_text(keeper: Keeper, path: Path, address: str) -> str:
    """Return a text that was begun and is in no project yet, of this run or of one before."""
    with contextlib.suppress(StoreError):
        keeper.adopt(path)
    return keeper.held.get(path, {}).get(address, "")


def _bring_back(path: Path) -> None:
    """Make the file of a new project that was never saved before its window was killed."""
    try:
        for draft in left_drafts(path)[:1]:
            save_project(path, draft.project, revision=None)
    except ModelError as error:
        write_fault(error)


def _joined(drafts: tuple[Draft, ...], base: Project | None, revision: str | None) -> Recovered | None:
    """Return the drafts and the file in one project; None where the drafts hold no more than the file."""
    project, moved_on, clashes = base, False, 0
    for draft in drafts:
        if base is not None and draft.project in (base, draft.base):
            continue
        if project is None or (project is base and draft.starts_from(revision)):
            project = draft.project
            continue
        merged = merge(draft.base or Project(name=project.name), draft.project, project)
        moved_on, clashes = True, clashes + len(merged.clashes)
        project = keep_both(merged, ours=draft.project, theirs=project)
    if project is None or project is base:
        return None
    both = f" In {clashes} places both had changed; both are kept." if clashes else ""
    joined = ", joined with what the file holds now" if moved_on else " and not saved"
    return Recovered(project=project, message=f"Brought back what was typed{joined}.{both} ctrl+z takes it away.")


def _texts(drafts: tuple[Draft, ...]) -> dict[str, str]:
    """Return the open texts of drafts; where two windows had different ones, both."""
    found: dict[str, str] = {}
    for draft in drafts:
        for address, text in draft.open_fields.items():
            old = found.get(address, "")
            found[address] = text if text.startswith(old) else old if old.startswith(text) else f"{old} / {text}"
    return found


def _due(times: Mapping[Path, float]) -> list[Path]:
    """Return the files whose time has come."""
    now = time.monotonic()
    return [path for path, due in times.items() if due <= now]


def _until(times: Collection[float]) -> float | None:
    """Return how long it is until the first of the times, [s]; None where there is none."""
    return max(0.0, min(times) - time.monotonic()) if times else None
