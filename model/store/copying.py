"""A verified copy of a whole notebook, onto a stick or another disk: each file is read back before it counts.

What stands in the target and differs is moved into the target's bin, never lost. Called by the command ``copy``.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
import re
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from model.errors import NotWritten, ProjectNotFound, StoreError
from model.store.atomic import beside, hidden, inside, sync_folder, write_all
from model.store.bin import BIN, move
from model.store.differences import differences
from model.store.faults import display_path, translate_os_errors
from model.store.files import read_project

_PIECE = 1 << 20
_TEMPORARY = re.compile(r"\..+\.[0-9a-f]{8}\.(copy|older)\.tmp")


class Outcome(StrEnum):
    """What became of one file."""

    NEW = "copied"
    SAME = "the same already"
    REPLACED = "replaced"
    ONLY_THERE = "only in the copy; left as it is"
    NOT_COPIED = "NOT COPIED"


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """One file of the notebook or of its copy."""

    name: str
    """Its name in the notebook; files in the bin begin with ``.bin/``."""
    outcome: Outcome
    """What became of it."""
    details: tuple[str, ...] = ()
    """What differs from the copy that was there, or why the file is not copied."""


def copy_notebook(folder: Path, to: Path) -> tuple[Copied, ...]:
    """Copy a notebook into another folder, which is made where it is missing, and return what became of each file.

    Raises
    ------
    NotWritten
        The target cannot be made, lies inside the notebook, or is being copied into by another.
    StoreError
        The notebook is not there or cannot be read.
    """
    with translate_os_errors(folder, "copied"):
        if not folder.is_dir():
            raise ProjectNotFound(f"The notebook {display_path(folder)} is not there.", hint="Name a folder that is.")
        inner = to.resolve()
        if inner == folder.resolve() or inner.is_relative_to(folder.resolve()):
            raise NotWritten(
                f"{display_path(to)} lies in the notebook itself.",
                hint="Name a folder outside it, best on another disk.",
            )
    sources = _sources(folder)
    try:
        with translate_os_errors(to, "made"):
            to.mkdir(parents=True, exist_ok=True)
    except StoreError as error:
        raise NotWritten(error.message, hint=error.hint) from error
    with _alone_in(to):
        done = [_one(source, to, name) for source, name in sources]
    names = {copied.name for copied in done}
    with translate_os_errors(to, "read"):
        there = sorted(f.name for f in to.iterdir() if f.is_file() and not f.name.startswith("."))
    done += [Copied(name=name, outcome=Outcome.ONLY_THERE) for name in there if name not in names]
    return tuple(done)


@contextlib.contextmanager
def _alone_in(to: Path) -> Iterator[None]:
    """Let no other copy write into the target meanwhile; what a killed one left there half done is removed first.

    A disk without locks takes what comes, and nothing is removed on it.
    """
    with translate_os_errors(to, "read"):
        fd = os.open(to, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise NotWritten(
                f"Another copy into {display_path(to)} is under way.", hint="Wait for its end, then copy again."
            ) from error
        except OSError:
            yield
            return
        for place in (to, to / BIN):
            # What cannot be removed is in nobody's way.
            with contextlib.suppress(OSError):
                for file in list(place.iterdir()):
                    if _TEMPORARY.fullmatch(file.name):
                        file.unlink()
        yield
    finally:
        os.close(fd)


def _sources(folder: Path) -> list[tuple[Path, str]]:
    """Return every visible file of a notebook, then those of its bin, with their names."""
    place = folder / BIN
    with translate_os_errors(folder, "read"):
        named = [(file, file.name) for file in sorted(folder.iterdir())]
        if place.is_dir() and not place.is_symlink():
            named += [(file, f"{BIN}/{file.name}") for file in sorted(place.iterdir())]
    return [(file, name) for file, name in named if not file.name.startswith(".")]


def _one(source: Path, to: Path, name: str) -> Copied:
    """Copy one file; what goes wrong is told with it, and the others go on."""
    try:
        real = inside(source)
        if not real.is_file():
            why = "It is a folder; copy it yourself." if real.is_dir() else "It is no plain file."
            return Copied(name=name, outcome=Outcome.NOT_COPIED, details=(why,))
        with translate_os_errors(to / name, "copied"):
            place = hidden(to, BIN, mode=0o700) if name.startswith(f"{BIN}/") else to
            return _copied(real, place / source.name, to, name)
    except StoreError as error:
        return Copied(name=name, outcome=Outcome.NOT_COPIED, details=(str(error),))


def _copied(real: Path, target: Path, to: Path, name: str) -> Copied:
    there = target.exists() or target.is_symlink()
    if there and not target.is_file():
        why = "In the copy stands something of that name that is no plain file. Move it elsewhere, then copy again."
        return Copied(name=name, outcome=Outcome.NOT_COPIED, details=(why,))
    if there and not target.is_symlink() and _digest(target) == _digest(real):
        return Copied(name=name, outcome=Outcome.SAME)
    number = secrets.token_hex(4)
    temporary = beside(target, before=".", after=f".{number}.copy.tmp")
    older = beside(target, before=".", after=f".{number}.older.tmp")
    try:
        _write_and_read_back(real, temporary)
        lines = _differences(target, real) if there else ()
        if there:
            # The older copy stands in its place until the newer one replaces it in one step.
            _write_and_read_back(target, older)
            binned = move(older, hidden(to, BIN, mode=0o700), name=target.name)
            lines = (*lines, f"the older copy is {BIN}/{binned.name} there")
        temporary.replace(target)
        sync_folder(target.parent)
    except BaseException:
        # What made the copy fail may make this fail too, and is the one to tell.
        for each in (temporary, older):
            with contextlib.suppress(OSError):
                each.unlink()
        raise
    return Copied(name=name, outcome=Outcome.REPLACED if there else Outcome.NEW, details=lines)


def _write_and_read_back(real: Path, temporary: Path) -> None:
    """Copy the bytes, then read them back from the disk and compare."""
    digest = hashlib.sha256()
    flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW
    fd = os.open(temporary, flags, 0o666)
    try:
        with real.open("rb") as source:
            while piece := source.read(_PIECE):
                digest.update(piece)
                write_all(fd, piece)
        os.fsync(fd)
        if hasattr(os, "posix_fadvise"):
            # Let go of what memory holds, so that the disk is asked.
            os.posix_fadvise(fd, 0, 0, os.POSIX_FADV_DONTNEED)
    finally:
        os.close(fd)
    if _digest(temporary) != digest.hexdigest():
        raise StoreError(
            f"{display_path(temporary.parent)} gives back other bytes than were written.",
            hint="Do not trust this disk or stick; take another.",
        )


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _differences(old: Path, new: Path) -> tuple[str, ...]:
    """Return what differs between two project files; nothing for files that are none."""
    try:
        differing = differences(read_project(old).project, read_project(new).project)
    except StoreError:
        return ("the files differ",)
    return differing or ("written otherwise, the same inside",)
