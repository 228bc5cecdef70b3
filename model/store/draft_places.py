"""Where drafts stand, and whether the window that wrote them is still open. Knows names and locks only.

The drafts of a notebook stand in its hidden folder ``.drafts``. Where nothing can be written there (a full or read-only
disk, a folder that is gone) they stand in the user's own state folder, in one named by the notebook's path.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
import re
from collections.abc import Iterator
from pathlib import Path

from model.errors import StoreError
from model.store.atomic import beside, inside
from model.store.faults import display_path

FOLDER = ".drafts"
NEW = ".new"
_SAMPLE = "00000000"
_TRIES = 20
_DRAFT = re.compile(r".+\.([0-9a-f]{8})\.draft(\.new)?")
_WINDOW = re.compile(r"([0-9a-f]{8})\.window")


def state_folder() -> Path | None:
    """Return the program's folder for what it keeps from run to run; None where the system does not say where.

    Notes
    -----
    XDG Base Directory Specification 0.8: ``$XDG_STATE_HOME``, ignored unless absolute, else ``$HOME/.local/state``.
    """
    named = os.environ.get("XDG_STATE_HOME", "")
    with contextlib.suppress(RuntimeError):
        base = Path(named) if named and Path(named).is_absolute() else Path.home() / ".local" / "state"
        return base / "quarterturn"
    return None


def home_of_drafts(path: Path) -> Path:
    """Return the folder of drafts in the notebook of a project file; it may not be there."""
    return _own(path).parent / FOLDER


def spare_folder(path: Path) -> Path | None:
    """Return the folder outside the notebook that takes drafts where the notebook cannot; it may not be there."""
    state = state_folder()
    if state is None:
        return None
    digest = hashlib.sha256(os.fsencode(_own(path).parent)).hexdigest()
    return state / "drafts" / digest[:16]


def places(path: Path) -> tuple[Path, ...]:
    """Return both folders. Raises `StoreError` where something else stands in place of the notebook's."""
    spare = spare_folder(path)
    home = home_of_drafts(path)
    if home.is_symlink() or (home.exists() and not home.is_dir()):
        raise StoreError(f"{display_path(home)} must be a folder of the notebook.", hint="Remove what stands there.")
    return (home,) if spare is None else (home, spare)


def draft_name(path: Path, window: str) -> str:
    """Return the name of a window's draft of a project file."""
    return beside(_own(path), before="", after=f".{window}.draft").name


def _own(path: Path) -> Path:
    """Return the file that a draft is named for; a link out of the notebook stands for itself, and is not followed."""
    try:
        return inside(path)
    except StoreError:
        return path.parent.resolve() / path.name


def drafts_of(path: Path, folder: Path, *, open_too: bool) -> list[str]:
    """Return the names (without ``.new``) of the drafts of a project file in a folder, by name."""
    start = draft_name(path, _SAMPLE).removesuffix(f".{_SAMPLE}.draft")
    return sorted({name for name in ended_drafts(folder, open_too=open_too) if name[:-15] == start})


def ended_drafts(folder: Path, *, open_too: bool = False) -> Iterator[str]:
    """Yield the names (without ``.new``) of the drafts in a folder whose window has ended; with `open_too` of all."""
    if not folder.is_dir():
        return
    for file in sorted(folder.iterdir()):
        match = _DRAFT.fullmatch(file.name)
        if match and (open_too or not is_open(folder, match[1])):
            yield file.name.removesuffix(NEW)


def hold(folder: Path, window: str) -> int:
    """Take the lock that says that a window is open; a disk without locks leaves its drafts to whoever looks first."""
    lock = folder / f"{window}.window"
    for _ in range(_TRIES):
        fd = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
        with contextlib.suppress(OSError):
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if lock.exists() and os.path.samestat(lock.stat(), os.fstat(fd)):
            break
        # Another window took it for the lock of an ended one, in the moment before it was locked.
        os.close(fd)
    return fd


def let_go(folder: Path, window: str, fd: int) -> None:
    """Let go of that lock."""
    # What cannot be removed is removed by the next window that looks.
    with contextlib.suppress(OSError):
        (folder / f"{window}.window").unlink()
    with contextlib.suppress(OSError):
        os.close(fd)


def is_open(folder: Path, window: str) -> bool:
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


def forget_ended_windows(folder: Path) -> None:
    """Remove the locks of ended windows, those with no draft too: nobody else would ever look at them."""
    with contextlib.suppress(OSError, StoreError):
        for file in sorted(folder.iterdir()):
            match = _WINDOW.fullmatch(file.name)
            if match:
                is_open(folder, match[1])
