"""The bin: a hidden folder of the notebook that deleted projects go to and come back from. Nothing is ever overwritten.

Called by persistence on screen and by `copying`, which puts there what a copy replaces.
"""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path

from model.errors import ProjectChangedOnDisk, ProjectNotFound, StoreError
from model.store.atomic import hidden, inside, locked, read_whole, sync_folder
from model.store.faults import display_path, translate_os_errors
from model.store.format import revision_of
from model.store.prescan import MAX_BYTES

BIN = ".bin"
_NO_HARD_LINKS = {errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EACCES}


def to_bin(path: Path, *, revision: str | None = None) -> Path:
    """Move a project file into the notebook's bin and return where it is now.

    Parameters
    ----------
    path : Path
        The project file.
    revision : str or None
        Revision that the file must still have; None moves whatever stands there.

    Raises
    ------
    ProjectChangedOnDisk
        The file is not the one of `revision`; nothing was moved.
    StoreError
        The system refuses, or the file is a link.
    """
    with translate_os_errors(path, "moved to the bin"):
        real = inside(path)
        if path.is_symlink():
            raise StoreError(
                f"{display_path(path)} is a link; it is not moved to the bin.", hint="Remove the link yourself."
            )
        with locked(real):
            if revision is not None and revision_of(read_whole(real, limit=MAX_BYTES)) != revision:
                raise ProjectChangedOnDisk(
                    f"{display_path(path)} was changed on the disk since it was read; it is not moved to the bin.",
                    hint="Look at it again first.",
                )
            return move(real, hidden(real.parent, BIN, mode=0o700))


def restore(path: Path) -> Path:
    """Move a file from the bin back into its notebook, under a name that is free, and return where it is now.

    Raises
    ------
    StoreError
        The file is in no bin, or the system refuses.
    """
    with translate_os_errors(path, "brought back"):
        if path.parent.name != BIN or path.is_symlink():
            raise StoreError(
                f"{display_path(path)} is not in a bin.", hint=f"Name a file in the folder {BIN} of a notebook."
            )
        return move(path, path.parent.parent)


def in_bin(folder: Path) -> tuple[Path, ...]:
    """Return the project files in the bin of a notebook, by name."""
    with translate_os_errors(folder / BIN, "read"):
        place = folder / BIN
        if place.is_symlink() or not place.is_dir():
            return ()
        return tuple(sorted(entry for entry in place.iterdir() if re.fullmatch(r"[^.].*\.toml", entry.name)))


def move(path: Path, folder: Path, *, name: str = "") -> Path:
    """Move a file into a folder of the same disk, and sync both folders; return where it is now.

    It keeps its name, or gets the one that is given; where that is taken, a number is put behind it.
    """
    wanted = Path(name or path.name)
    number = 1
    while True:
        target = folder / (wanted.name if number == 1 else f"{wanted.stem}-{number}{wanted.suffix}")
        try:
            if target.exists() or target.is_symlink():
                raise FileExistsError
            _move_there(path, target)
        except FileExistsError:
            number += 1
            continue
        break
    sync_folder(folder)
    sync_folder(path.parent)
    return target


def _move_there(path: Path, target: Path) -> None:
    """Move without ever replacing; a card without hard links is asked first, which is as good as it can."""
    try:
        os.link(path, target, follow_symlinks=False)
    except FileNotFoundError as error:
        raise ProjectNotFound(f"{display_path(path)} is not there.", hint="Look at the path.") from error
    except OSError as error:
        if error.errno not in _NO_HARD_LINKS:
            raise
        path.rename(target)
    else:
        path.unlink()
