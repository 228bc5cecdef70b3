"""A verified copy of a whole notebook, onto a stick or another disk: each file is read back before it counts.

What stands in the target and differs is moved into the target's bin, never lost. Called by the command ``copy``.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from model.errors import ProjectNotFound, StoreError
from model.store.atomic import beside, hidden, inside, sync_folder, write_all
from model.store.bin import BIN, move
from model.store.differences import differences
from model.store.faults import display_path, translate_os_errors
from model.store.files import read_project

_PIECE = 1 << 20


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
    told: tuple[str, ...] = ()
    """What differs from the copy that was there, or why the file is not copied."""


def copy_notebook(folder: Path, to: Path) -> tuple[Copied, ...]:
    """Copy a notebook into another folder, which is made where it is missing, and return what became of each file.

    Raises
    ------
    StoreError
        The notebook cannot be read, or the target cannot be made or lies inside the notebook.
    """
    with translate_os_errors(folder, "copied"):
        if not folder.is_dir():
            raise ProjectNotFound(f"The notebook {display_path(folder)} is not there.", hint="Name a folder that is.")
        inner = to.resolve()
        if inner == folder.resolve() or inner.is_relative_to(folder.resolve()):
            raise StoreError(
                f"{display_path(to)} lies in the notebook itself.",
                hint="Name a folder outside it, best on another disk.",
            )
    with translate_os_errors(to, "made"):
        to.mkdir(parents=True, exist_ok=True)
    done = [_one(source, to, name) for source, name in _sources(folder)]
    names = {copied.name for copied in done}
    with translate_os_errors(to, "read"):
        there = sorted(f.name for f in to.iterdir() if f.is_file() and not f.name.startswith("."))
    done += [Copied(name=name, outcome=Outcome.ONLY_THERE) for name in there if name not in names]
    return tuple(done)


def _sources(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield every visible file of a notebook, then those of its bin, with their names."""
    with translate_os_errors(folder, "read"):
        for found in sorted(folder.iterdir()):
            if not found.name.startswith("."):
                yield found, found.name
        place = folder / BIN
        if place.is_dir() and not place.is_symlink():
            for found in sorted(place.iterdir()):
                if not found.name.startswith("."):
                    yield found, f"{BIN}/{found.name}"


def _one(source: Path, to: Path, name: str) -> Copied:
    """Copy one file; what goes wrong is told with it, and the others go on."""
    try:
        real = inside(source)
        if not real.is_file():
            why = "It is a folder; copy it yourself." if real.is_dir() else "It is no plain file."
            return Copied(name=name, outcome=Outcome.NOT_COPIED, told=(why,))
        with translate_os_errors(to / name, "copied"):
            place = hidden(to, BIN, mode=0o700) if name.startswith(f"{BIN}/") else to
            return _copied(real, place / source.name, to, name)
    except StoreError as error:
        return Copied(name=name, outcome=Outcome.NOT_COPIED, told=(str(error),))


def _copied(real: Path, target: Path, to: Path, name: str) -> Copied:
    there = target.exists() or target.is_symlink()
    if there and target.is_file() and not target.is_symlink() and _digest(target) == _digest(real):
        return Copied(name=name, outcome=Outcome.SAME)
    temporary = beside(target, before=".", after=f".{secrets.token_hex(4)}.tmp")
    try:
        _write_and_read_back(real, temporary)
        lines = _differences(target, real) if there else ()
        if there:
            # The older copy stands in its place until the newer one replaces it in one step.
            older = temporary.with_name(f"{temporary.stem}.older.tmp")
            _write_and_read_back(target, older)
            kept = move(older, hidden(to, BIN, mode=0o700), name=target.name)
            lines = (*lines, f"the older copy is {BIN}/{kept.name} there")
        temporary.replace(target)
        sync_folder(target.parent)
    except BaseException:
        # What made the copy fail may make this fail too, and is the one to tell.
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    return Copied(name=name, outcome=Outcome.REPLACED if there else Outcome.NEW, told=lines)


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
        found = differences(read_project(old).project, read_project(new).project)
    except StoreError:
        return ("the files differ",)
    return found or ("written otherwise, the same inside",)
