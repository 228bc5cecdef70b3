"""A folder in which nothing can be written: a full disk, one that can only be read, a folder without permission."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

FAULTS = {"a full disk": errno.ENOSPC, "a read-only disk": errno.EROFS, "no permission": errno.EACCES}


@contextmanager
def refusing(code: int, *folders: Path) -> Iterator[None]:
    """Let nothing be made, written, moved or removed in these folders and below; the rest of the disk goes on.

    A full disk still opens and moves files (open(2), write(2), Linux man-pages 6); the others refuse before that.
    """
    names = ("open", "write", "mkdir", "replace", "rename", "unlink", "link")
    real = {name: getattr(os, name) for name in names}
    filling: set[int] = set()

    def below(path: object) -> bool:
        if not isinstance(path, str | os.PathLike):
            return False
        whole = Path.cwd() / Path(os.fspath(path))
        return any(whole.is_relative_to(folder) for folder in folders)

    def refuse() -> None:
        raise OSError(code, os.strerror(code))

    def open_(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        writes = bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) and below(path)
        if writes and code != errno.ENOSPC:
            refuse()
        fd = int(real["open"](path, flags, *rest, **more))
        if writes:
            filling.add(fd)
        else:
            filling.discard(fd)
        return fd

    def write(fd: int, data: Any) -> int:
        if fd in filling:
            refuse()
        return int(real["write"](fd, data))

    def other(name: str) -> Any:
        def act(path: Any, *rest: Any, **more: Any) -> Any:
            if below(path) and (code != errno.ENOSPC or name == "mkdir"):
                refuse()
            return real[name](path, *rest, **more)

        return act

    changed: dict[str, Any] = {"open": open_, "write": write}
    changed |= {name: other(name) for name in names if name not in changed}
    for name, function in changed.items():
        setattr(os, name, function)
    try:
        yield
    finally:
        for name in names:
            setattr(os, name, real[name])
