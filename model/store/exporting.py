"""Writing a file that is no project: a drawing, a curve. Whole or not at all, over another only where that is asked."""

from __future__ import annotations

import contextlib
import stat
from collections.abc import Iterable
from pathlib import Path

from model.errors import NotWritten
from model.store.atomic import replace_whole, sync_folder
from model.store.faults import KEPT, display_path, store_error


class StandsAlready(NotWritten):
    """There is a file of that name, and nobody asked to replace it."""


def export(path: Path, text: str, *, replace: bool = False) -> None:
    """Write a text to a file.

    Parameters
    ----------
    path : Path
        The file; its folder must exist. Through a link the file that it leads to is written.
    text : str
        All of its content.
    replace : bool
        Whether a plain file that is there already may be replaced.

    Raises
    ------
    StandsAlready
        There is such a file already.
    NotWritten
        The system refuses, or what stands there is no plain file; it is as it was.
    """
    try:
        real = path.resolve()
        mode = _mode(real)
        if mode is not None and not replace:
            raise _stands(path)
        replace_whole(real, text.encode("utf-8"), mode=mode, fresh=mode is None)
        with contextlib.suppress(OSError):
            # a copy that a loss of power undoes is written again
            sync_folder(real.parent)
    except FileExistsError as error:
        raise _stands(path) from error
    except OSError as error:
        fault = store_error(error, path=path, doing="written")
        raise NotWritten(fault.message, hint=fault.hint.removesuffix(KEPT).strip()) from error
    except (ValueError, RuntimeError) as error:
        raise NotWritten(f"{display_path(path)} cannot be written: it is no name of a file.") from error


def refuse_those_that_stand(paths: Iterable[Path]) -> None:
    """Refuse before anything is written, where one of several files is there already."""
    for path in paths:
        with contextlib.suppress(OSError, ValueError):
            path.lstat()
            raise _stands(path)


def _stands(path: Path) -> StandsAlready:
    return StandsAlready(f"{display_path(path)} is there already.", hint="Name another file, or say to replace it.")


def _mode(real: Path) -> int | None:
    """Return the permission bits of a plain file; None where there is none."""
    try:
        status = real.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(status.st_mode):
        raise NotWritten(f"{display_path(real)} is no plain file.", hint="Name a file.")
    return stat.S_IMODE(status.st_mode)
