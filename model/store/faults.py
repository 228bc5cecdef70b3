"""Words for what the system refuses: an `OSError` becomes one of our sentences that says what to do.

Nothing here touches a file. Called by the rest of ``model.store`` only.
"""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from model.errors import ProjectNotFound, StoreError

KEPT = "What you typed is kept here; save again afterwards."

_REASONS: dict[int, tuple[str, str]] = {
    errno.ENOSPC: ("the disk is full", f"Make room on it. {KEPT}"),
    errno.EDQUOT: ("your share of the disk (quota) is used up", f"Make room in your own files. {KEPT}"),
    errno.EFBIG: ("the file grew larger than this system allows", f"Begin a new project file. {KEPT}"),
    errno.EROFS: (
        "the disk can only be read (a worn card turns so by itself)",
        f"Make it writable, or open a notebook in another folder. {KEPT}",
    ),
    errno.EACCES: ("permission is missing", "Give yourself the right to read and write it, and to write its folder."),
    errno.EPERM: ("the system does not permit it", "Give yourself the right to read and write it and its folder."),
    errno.EIO: ("the disk or card does not answer as it should", f"Copy the notebook to another disk soon. {KEPT}"),
    errno.ENAMETOOLONG: ("its name is too long for this disk", "Give the file a shorter name."),
    errno.EMFILE: ("too many files are open", "Close other programs."),
    errno.ENFILE: ("too many files are open on this computer", "Close other programs."),
    errno.ELOOP: ("links lead in a circle, or a link stands where a file must", "Remove the link."),
    errno.EISDIR: ("it is a folder", "Name a project file."),
    errno.ENOTDIR: ("part of its path is a file, not a folder", "Look at the path."),
    errno.ESTALE: ("the shared folder went away", f"Mount it again. {KEPT}"),
    errno.EBUSY: ("another program holds it", "Close that program."),
}


def printable(text: str) -> str:
    r"""Return `text` with every character that could steer a terminal written as its escape.

    >>> printable("cup\x1b[2J")
    'cup\\x1b[2J'
    """
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def display_path(path: Path | str) -> str:
    """Return a path as it may stand in a sentence."""
    return printable(str(path))


def store_error(error: OSError, *, path: Path | str, doing: str) -> StoreError:
    """Return our error for one of the system's; `doing` says what was tried ("saved", "read")."""
    code = error.errno or 0
    if code == errno.ENOENT:
        return ProjectNotFound(
            f"{display_path(path)} cannot be {doing}: it, or its folder, is not there.", hint="Look at the path."
        )
    reason, hint = _REASONS.get(code, (printable(error.strerror or str(error)), KEPT))
    return StoreError(f"{display_path(path)} cannot be {doing}: {reason}.", hint=hint)


@contextmanager
def translate_os_errors(path: Path | str, doing: str) -> Iterator[None]:
    """Turn what the system refuses inside the block into a `StoreError`."""
    try:
        yield
    except OSError as error:
        raise store_error(error, path=path, doing=doing) from error
    except ValueError as error:
        if "null byte" not in str(error):
            raise
        raise StoreError(f"{display_path(path)} cannot be {doing}: its name holds a zero byte.") from error
