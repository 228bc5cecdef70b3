"""One project file read and saved: nothing that another wrote is overwritten, and no moment leaves half a file.

A save takes the lock, compares the file with the revision that was read, keeps the original beside it when a rewrite
would drop comments, writes a temporary file in the same folder, syncs it, renames it and syncs the folder. Called by
persistence on screen and by the commands; knows nothing of either.
"""

from __future__ import annotations

import contextlib
import os
import stat
from dataclasses import dataclass, replace
from pathlib import Path

from model.errors import NewerFormat, NotDurable, Problem, ProjectChangedOnDisk, ProjectNotFound, StoreError
from model.record import Project
from model.store.atomic import (
    LOCK_TIMEOUT,
    beside,
    inside,
    locked,
    outside,
    read_whole,
    remove_leftovers,
    replace_whole,
    sync_folder,
    write_all,
)
from model.store.faults import display_path, store_error, translate_os_errors
from model.store.format import Decoded, decode, encode, revision_of
from model.store.prescan import MAX_BYTES

_OUR_HEAD = b"format = 1\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """A project as it was read from its file."""

    path: Path
    """The file as it was named."""
    decoded: Decoded
    """What stood in it."""

    @property
    def project(self) -> Project:
        """The project."""
        return self.decoded.project

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What could not be placed; all of it is kept."""
        return self.decoded.problems

    @property
    def revision(self) -> str:
        """Token of the bytes read: give it to `save_project`."""
        return self.decoded.revision

    @property
    def read_only(self) -> bool:
        """Whether this version must not write the file; `decoded.notice` says why."""
        return self.decoded.read_only


def read_project(path: Path) -> Stored:
    """Read a project file.

    Raises
    ------
    ProjectNotFound
        There is no such file.
    ProjectFormatError
        It is not a project of ours, or cannot be read as one.
    StoreError
        The system refuses, or links lead in a circle.

    Notes
    -----
    A link out of the notebook opens for reading only: nothing is ever written through it.
    """
    with translate_os_errors(path, "read"):
        elsewhere = outside(path)
        data = read_whole(elsewhere or inside(path), limit=MAX_BYTES)
    decoded = decode(data, path=str(path))
    if elsewhere is None:
        return Stored(path=path, decoded=decoded)
    notice = decoded.notice or (
        f"{display_path(path)} is open for reading only: it is a link out of the notebook, to"
        f" {display_path(elsewhere)}. Copy that file into the notebook in place of the link to write it."
    )
    revision = _through_a_link(decoded.revision)
    return Stored(path=path, decoded=replace(decoded, read_only=True, notice=notice, revision=revision))


def disk_revision(path: Path) -> str | None:
    """Return the token of the file as it stands now, None when there is no file; for noticing a change on disk."""
    with translate_os_errors(path, "read"):
        elsewhere = outside(path)
        data = _now(elsewhere or inside(path))
    if data is None:
        return None
    return revision_of(data) if elsewhere is None else _through_a_link(revision_of(data))


def save_project(path: Path, project: Project, *, revision: str | None, timeout: float = LOCK_TIMEOUT) -> str:
    """Save a project and return the revision of the file.

    Parameters
    ----------
    path : Path
        The project file; its folder must exist.
    project : Project
        What to save.
    revision : str or None
        Revision of the file as it was read or last saved; None for a file that must not exist yet.
    timeout : float
        How long to wait for another window's save, [s].

    Raises
    ------
    ProjectChangedOnDisk
        The file is not the one of `revision`; nothing was written.
    NewerFormat
        The file on disk opens for reading only; nothing was written.
    NotDurable
        The file is saved, but a loss of power now could bring the old one back; has the new `revision`.
    StoreError
        The system refuses; the old file is whole.
    """
    data = encode(project)
    with translate_os_errors(path, "saved"):
        real = inside(path)
        if not real.parent.is_dir():
            raise ProjectNotFound(
                f"The folder {display_path(real.parent)} is not there.", hint="Make it, or name another."
            )
        with locked(real, timeout=timeout) as alone:
            current = _now(real)
            if current == data:
                _sync(path, real, data)
                return revision_of(data)
            _refuse_if_changed(path, current, revision)
            mode = _mode(path, real)
            if current is not None and (b"#" in current or not current.startswith(_OUR_HEAD)):
                decoded = decode(current, path=str(path))
                if decoded.read_only:
                    raise NewerFormat(decoded.notice)
                if encode(decoded.project) == data and not decoded.older:
                    return revision_of(current)
                if decoded.has_comments or decoded.older:
                    _keep_original(real, current)
            if alone:
                remove_leftovers(real)
            replace_whole(real, data, mode=mode)
            _sync(path, real, data)
    return revision_of(data)


def _through_a_link(revision: str) -> str:
    """Return the token of a file behind a link, which is not that of the same bytes in the notebook itself."""
    return f"link {revision}"


def _now(real: Path) -> bytes | None:
    """Return what stands in the file now, None when there is none."""
    try:
        return read_whole(real, limit=MAX_BYTES)
    except FileNotFoundError:
        return None


def _changed(path: Path) -> ProjectChangedOnDisk:
    return ProjectChangedOnDisk(
        f"{display_path(path)} was changed on the disk since it was read; nothing was written over it.",
        hint="Read it again and merge, or save under another name.",
    )


def _refuse_if_changed(path: Path, current: bytes | None, revision: str | None) -> None:
    if current is None and revision is not None:
        raise ProjectChangedOnDisk(
            f"{display_path(path)} is gone from the disk since it was read; nothing was written.",
            hint="Save it as a new file, or close it.",
        )
    if current is not None and revision is None:
        raise ProjectChangedOnDisk(
            f"{display_path(path)} is there already; nothing was written over it.", hint="Save under another name."
        )
    if current is not None and revision_of(current) != revision:
        raise _changed(path)


def _mode(path: Path, real: Path) -> int | None:
    """Return the permission bits of the file, None when there is none; refuse when it is write-protected."""
    try:
        mode = stat.S_IMODE(real.stat().st_mode) & 0o777
    except FileNotFoundError:
        return None
    if not mode & 0o222 or not os.access(real, os.W_OK):
        raise StoreError(
            f"{display_path(path)} cannot be saved: the file is write-protected.",
            hint="Give yourself the right to write it, or save under another name. What you typed is kept here.",
        )
    return mode


def _sync(path: Path, real: Path, data: bytes) -> None:
    try:
        sync_folder(real.parent)
    except OSError as error:
        told_as = store_error(error, path=path, doing="made safe against a loss of power")
        raise NotDurable(told_as.message, revision=revision_of(data), hint=told_as.hint) from error


def _keep_original(real: Path, data: bytes) -> None:
    """Keep a file that has comments beside itself, under a name that is no project's and was never used."""
    number = 1
    while (original := beside(real, before="", after=f".original-{number}")).is_symlink() or original.exists():
        if (
            original.is_file()
            and not original.is_symlink()
            and original.stat().st_size == len(data)
            and original.read_bytes() == data
        ):
            return
        number += 1
    fd = os.open(original, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
    try:
        try:
            with contextlib.suppress(PermissionError):
                os.fchmod(fd, stat.S_IMODE(real.stat().st_mode) & 0o777)
            write_all(fd, data)
            os.fsync(fd)
        finally:
            os.close(fd)
    except BaseException:
        with contextlib.suppress(OSError):
            original.unlink()
        raise
