"""Recovery drafts: what is on screen but not saved yet, kept beside the projects for the case of a kill.

Each window (a running program) has drafts of its own in the hidden folder ``.drafts`` of the notebook, and holds a lock
there for as long as it lives: nobody clears or recovers the drafts of a window that is open. A draft holds the whole
project, the revision of the file that it started from and, when given, the project that stood there, so that a file
that moved on can be merged. It is JSON, a format of the program's own.

A draft is written to ``NAME.WINDOW.draft.new`` first, then synced, then renamed to ``NAME.WINDOW.draft``. A killed
program leaves the newest in either; a loss of power may spoil the first, never both.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import json
import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from model.errors import StoreError
from model.record import Project
from model.store.atomic import beside, hidden, inside, read_whole, sync_folder, write_all
from model.store.faults import display_path, translate_os_errors
from model.store.format import decode, encode
from model.store.prescan import MAX_BYTES

FOLDER = ".drafts"
_FORMAT = 1
_LIMIT = 8 * MAX_BYTES
_NEW = ".new"
_SAMPLE = "00000000"
_TRIES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What was on screen when the draft was written."""

    path: Path
    """The project file that it belongs to."""
    file: Path
    """The draft itself."""
    project: Project
    """The project with everything that had been typed into it."""
    open_fields: Mapping[str, str]
    """Address of an open field -> its raw text, not in `project` yet."""
    revision: str | None
    """Revision of the file that the work started from; None for a project that had no file."""
    base: Project | None
    """The project that stood in that file; None when it was not given."""

    def starts_from(self, revision: str | None) -> bool:
        """Whether the file is still the one that the work started from; if not, the draft must be merged."""
        return self.revision == revision


class Drafts:
    """The drafts of one window. `close` lets go of them; the end of the program does so too."""

    def __init__(self) -> None:
        self._window = secrets.token_hex(4)
        self._locks: dict[Path, int] = {}

    def write(
        self,
        path: Path,
        project: Project,
        open_fields: Mapping[str, str],
        *,
        revision: str | None = None,
        base: Project | None = None,
    ) -> None:
        """Write this window's draft of a project file, in place of its older one.

        Parameters
        ----------
        path : Path
            The project file; it need not be there.
        project : Project
            The project as it is on screen.
        open_fields : mapping
            Address of an open field -> raw text.
        revision : str or None
            Revision of the file that the work started from.
        base : Project or None
            The project that stood in it.

        Raises
        ------
        StoreError
            The system refuses; the older draft is whole.
        """
        content = {
            "format": _FORMAT,
            "file": path.name,
            "revision": revision,
            "base": None if base is None else encode(base).decode("utf-8"),
            "project": encode(project).decode("utf-8"),
            "open": dict(open_fields),
        }
        body = json.dumps(content).encode("ascii")
        with translate_os_errors(path, "drafted"):
            draft = self._file(path)
            self._hold(hidden(draft.parent.parent, FOLDER, mode=0o700))
            new = draft.with_name(draft.name + _NEW)
            flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC | os.O_NOFOLLOW
            fd = os.open(new, flags, 0o600)
            try:
                write_all(fd, hashlib.sha256(body).hexdigest().encode("ascii") + b"\n" + body)
                os.fsync(fd)
            finally:
                os.close(fd)
            new.replace(draft)
            sync_folder(draft.parent)

    def clear(self, path: Path) -> None:
        """Remove this window's draft of a project file, when there is one."""
        with translate_os_errors(path, "cleared of its draft"):
            _remove(self._file(path))

    def close(self) -> None:
        """Let go of the drafts: whatever is there may be recovered by others now."""
        for folder, fd in self._locks.items():
            # What cannot be removed is removed by the next window that looks.
            with contextlib.suppress(OSError):
                (folder / f"{self._window}.window").unlink()
            with contextlib.suppress(OSError):
                os.close(fd)
        self._locks.clear()

    def _file(self, path: Path) -> Path:
        real = inside(path)
        return _folder(real) / beside(real, before="", after=f".{self._window}.draft").name

    def _hold(self, folder: Path) -> None:
        """Hold this window's lock in a folder; a disk without locks leaves the drafts to whoever looks first."""
        if folder in self._locks:
            return
        lock = folder / f"{self._window}.window"
        for _ in range(_TRIES):
            fd = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
            with contextlib.suppress(OSError):
                fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if lock.exists() and os.path.samestat(lock.stat(), os.fstat(fd)):
                break
            # Another window took it for the lock of an ended one, in the moment before it was locked.
            os.close(fd)
        self._locks[folder] = fd


def left_drafts(path: Path, *, open_too: bool = False) -> tuple[Draft, ...]:
    """Return the drafts of a project file that ended windows left, in no order that means anything.

    With `open_too` those of open windows stand there too: to look at, not to remove.

    Raises
    ------
    StoreError
        There is one that cannot be read; it stays where it is.
    """
    found = (_read(path, file) for file in _left(path, open_too))
    return tuple(draft for draft in found if draft is not None)


def files_to_bring_back(folder: Path) -> tuple[Path, ...]:
    """Return the files that are not in a notebook though an ended window left a draft of them.

    A new project whose first save failed stands nowhere else; one that another window moved to the bin comes back.
    """
    found: set[Path] = set()
    with contextlib.suppress(OSError, StoreError):
        for file in sorted((folder / FOLDER).iterdir()):
            match = re.fullmatch(r".+\.([0-9a-f]{8})\.draft(\.new)?", file.name)
            if match is None or _is_open(file.parent, match[1]):
                continue
            with contextlib.suppress(*_DAMAGE, OSError):
                name = str(json.loads(read_whole(file, limit=_LIMIT).partition(b"\n")[2])["file"])
                path = folder / name
                if path.parent == folder and name.endswith(".toml") and not (path.exists() or path.is_symlink()):
                    found.add(path)
    return tuple(sorted(found))


def remove_draft(draft: Draft) -> None:
    """Remove a draft that was recovered and is saved."""
    with translate_os_errors(draft.path, "cleared of its draft"):
        _remove(draft.file)


def _left(path: Path, open_too: bool) -> list[Path]:
    """Return the draft files (without ``.new``), by name."""
    with translate_os_errors(path, "recovered"):
        real = inside(path)
        folder = _folder(real)
        if not folder.is_dir():
            return []
        sample = beside(real, before="", after=f".{_SAMPLE}.draft").name
        start = sample.removesuffix(f".{_SAMPLE}.draft")
        pattern = re.compile(re.escape(start) + r"\.([0-9a-f]{8})\.draft(\.new)?")
        found: set[Path] = set()
        for file in folder.iterdir():
            match = pattern.fullmatch(file.name)
            if match and (open_too or not _is_open(folder, match[1])):
                found.add(file.with_name(file.name.removesuffix(_NEW)))
    return sorted(found)


def _is_open(folder: Path, window: str) -> bool:
    """Whether a window still holds its lock; the lock file of an ended one is removed."""
    lock = folder / f"{window}.window"
    try:
        fd = os.open(lock, os.O_RDWR | os.O_CLOEXEC | os.O_NOFOLLOW)
    except OSError:
        return False
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        lock.unlink()
    except BlockingIOError:
        return True
    except OSError:
        return False
    finally:
        os.close(fd)
    return False


def _read(path: Path, file: Path) -> Draft | None:
    """Read the newer of the two files of a draft that is whole; None where a stop left the beginning of a first one."""
    with contextlib.suppress(*_DAMAGE):
        return _draft(path, file, file.with_name(file.name + _NEW))
    if not file.exists():
        remove = file.with_name(file.name + _NEW)
        with translate_os_errors(path, "recovered"), contextlib.suppress(FileNotFoundError):
            remove.unlink()
        return None
    try:
        return _draft(path, file, file)
    except _DAMAGE as error:
        raise StoreError(
            f"The draft {display_path(file)} cannot be read; the project file is as it was last saved.",
            hint="Look into the draft with a text editor, then delete it.",
        ) from error


_DAMAGE = (ValueError, KeyError, TypeError, AttributeError, RecursionError, StoreError)
"""What a damaged draft raises while it is read."""


def _draft(path: Path, file: Path, source: Path) -> Draft:
    with translate_os_errors(path, "recovered"):
        digest, _, body = read_whole(source, limit=_LIMIT).partition(b"\n")
    if hashlib.sha256(body).hexdigest().encode("ascii") != digest:
        raise ValueError("the draft is not whole")
    content: Any = json.loads(body)
    base, revision, fields = content["base"], content["revision"], content["open"]
    if content["format"] != _FORMAT or not (revision is None or isinstance(revision, str)):
        raise ValueError("a draft of another version")
    if not all(isinstance(value, str) for value in fields.values()):
        raise TypeError("a field whose text is none")
    return Draft(
        path=path,
        file=file,
        project=decode(content["project"].encode("utf-8"), path=str(file)).project,
        open_fields=dict(fields),
        revision=revision,
        base=None if base is None else decode(base.encode("utf-8"), path=str(file)).project,
    )


def _remove(file: Path) -> None:
    """Remove the older of the two files first: a stop in between leaves the newer."""
    for each in (file, file.with_name(file.name + _NEW)):
        with contextlib.suppress(FileNotFoundError):
            each.unlink()


def _folder(real: Path) -> Path:
    folder = real.parent / FOLDER
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise StoreError(f"{display_path(folder)} must be a folder of the notebook.", hint="Remove what stands there.")
    return folder
