"""One file written whole or not at all, its lock, and the notebook's hidden folders. Knows bytes and paths only.

Raises `OSError` as the system gives it (the callers in ``files`` and ``draft`` put it into words), and `StoreError`
for what is ours to refuse: a link out of the notebook, a path that is no plain file, a lock that stays taken.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import hashlib
import os
import re
import secrets
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from model.errors import ProjectFormatError, StoreError
from model.store.faults import display_path

LOCK_TIMEOUT = 5.0
"""How long a save waits for another window's save, [s]."""
LOCKS = ".locks"
_LOCK_STEP = 0.02
_LONGEST_NAME = 255
_NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}
_NO_HARD_LINKS = {errno.EPERM, errno.ENOSYS, errno.EOPNOTSUPP, errno.EMLINK}
"""Answers of disks without a second name for a file (memory cards)."""
_NO_FOLDER_SYNC = {errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.EBADF}


def inside(path: Path) -> Path:
    """Return the real file that a path stands for; it must lie in the path's own folder or below.

    Raises
    ------
    StoreError
        A link leads out of the notebook, or in a circle.
    """
    try:
        folder = path.parent.resolve()
        real = path.resolve()
    except RuntimeError as error:
        raise StoreError(f"{display_path(path)}: links lead in a circle.", hint="Remove the link.") from error
    if path.is_symlink() and not real.is_relative_to(folder):
        raise StoreError(
            f"{display_path(path)} is a link that leads out of the notebook, to {display_path(real)}.",
            hint="Copy that file into the notebook in place of the link.",
        )
    return real


def outside(path: Path) -> Path | None:
    """Return the file that a link out of the notebook leads to, to be read and never written; None for others."""
    try:
        inside(path)
    except StoreError:
        with contextlib.suppress(RuntimeError):
            real = path.resolve()
            return real if real != path.parent.resolve() / path.name else None
    return None


def beside(real: Path, *, before: str, after: str) -> Path:
    """Return a path in the same folder whose name is built from the file's; a long name is shortened by its hash."""
    name = f"{before}{real.name}{after}"
    if len(os.fsencode(name)) > _LONGEST_NAME:
        name = f"{before}{hashlib.sha256(os.fsencode(real.name)).hexdigest()[:32]}{after}"
    return real.with_name(name)


def hidden(folder: Path, name: str, *, mode: int) -> Path:
    """Return a hidden folder of a notebook, made where it is missing; what is in it stays out of version control.

    Raises
    ------
    StoreError
        Something else stands there, or a link that could lead out of the notebook.
    """
    place = folder / name
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise StoreError(f"{display_path(place)} must be a folder of the notebook.", hint="Remove what stands there.")
    place.mkdir(mode=mode, exist_ok=True)
    unseen = place / ".gitignore"
    # One that is empty was made on a full disk.
    if not unseen.exists() or not unseen.stat().st_size:
        fd = os.open(unseen, os.O_WRONLY | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o666)
        try:
            write_all(fd, b"*\n")
        finally:
            os.close(fd)
    return place


def read_whole(real: Path, *, limit: int) -> bytes:
    """Return the bytes of a plain file of at most `limit` bytes; never waits on a pipe or a device."""
    fd = os.open(real, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        status = os.fstat(fd)
        if not stat.S_ISREG(status.st_mode):
            raise ProjectFormatError(
                "This is not a plain file.", path=display_path(real), hint="Move it out of the notebook."
            )
        if status.st_size > limit:
            raise ProjectFormatError(
                f"The file has {status.st_size} bytes; at most {limit} are read.",
                path=display_path(real),
                hint="Move it out of the notebook.",
            )
        pieces = []
        remaining = limit + 1
        while remaining > 0 and (piece := os.read(fd, min(remaining, 1 << 20))):
            pieces.append(piece)
            remaining -= len(piece)
        return b"".join(pieces)
    finally:
        os.close(fd)


@contextlib.contextmanager
def locked(real: Path, *, timeout: float = LOCK_TIMEOUT) -> Iterator[bool]:
    """Hold the lock of a file, ``.locks/NAME.lock`` in its folder; yields whether the file system really locks.

    The lock file stays: removing it would let two others hold two different ones.

    Raises
    ------
    StoreError
        Somebody else held the lock for longer than `timeout` [s].
    """
    lock = hidden(real.parent, LOCKS, mode=0o777) / beside(real, before="", after=".lock").name
    fd = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o666)
    try:
        yield _wait_for(fd, real, timeout)
    finally:
        # The lock is gone even when closing is refused, and what it guarded is done.
        with contextlib.suppress(OSError):
            os.close(fd)


def _wait_for(fd: int, real: Path, timeout: float) -> bool:
    end = time.monotonic() + timeout
    while True:
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            if time.monotonic() >= end:
                raise StoreError(
                    f"{display_path(real)} is not saved: another window or program has been saving it"
                    f" for {timeout:g} s.",
                    hint="What you typed is kept here; close the other one, or save again.",
                ) from error
            time.sleep(_LOCK_STEP)
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise
            return False
        else:
            return True


def replace_whole(real: Path, data: bytes, *, mode: int | None, fresh: bool = False) -> None:
    """Put `data` in place of a file by one rename: whoever looks sees the old file or the new one, whole.

    Parameters
    ----------
    real : Path
        The file, links resolved.
    data : bytes
        All of its new content.
    mode : int or None
        Permission bits to give it; None for a new file, which gets what the user's umask leaves.
    fresh : bool
        Whether there must be no such file yet, whoever makes one meanwhile; then `FileExistsError`.

    Notes
    -----
    The order is: write the temporary file, fsync it, rename. The folder is synced by `sync_folder`, after which the
    rename outlasts a loss of power.
    """
    temporary = beside(real, before=".", after=f".{secrets.token_hex(4)}.tmp")
    fd = os.open(
        temporary,
        os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW,
        0o666 if mode is None else 0o600,
    )
    try:
        try:
            if mode is not None and mode != 0o600:
                # A card without permission bits refuses this; the file then keeps the narrower ones.
                with contextlib.suppress(PermissionError):
                    os.fchmod(fd, mode)
            write_all(fd, data)
            os.fsync(fd)
        finally:
            os.close(fd)
        _put(temporary, real, fresh=fresh)
    except BaseException:
        # What made the write fail may make this fail too, and is the one to tell.
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise


def _put(temporary: Path, real: Path, *, fresh: bool) -> None:
    if fresh:
        try:
            os.link(temporary, real)
        except OSError as error:
            if error.errno not in _NO_HARD_LINKS:
                raise
            if os.path.lexists(real):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(real)) from error
        else:
            temporary.unlink()
            return
    temporary.replace(real)


def write_all(fd: int, data: bytes) -> None:
    """Write all of `data`, however many calls the system takes for it."""
    view = memoryview(data)
    while view:
        view = view[os.write(fd, view) :]


def sync_folder(folder: Path) -> None:
    """Make renames in a folder outlast a loss of power, where the system can."""
    fd = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(fd)
    except OSError as error:
        if error.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(fd)


def remove_leftovers(real: Path) -> None:
    """Remove temporary files that a killed save of this file left; only while its lock is held."""
    sample = beside(real, before=".", after=".00000000.tmp").name
    pattern = re.compile(re.escape(sample.removesuffix(".00000000.tmp")) + r"\.[0-9a-f]{8}\.tmp")
    for entry in real.parent.iterdir():
        if pattern.fullmatch(entry.name):
            # One that cannot be removed is ignored by every reader.
            with contextlib.suppress(OSError):
                entry.unlink()
