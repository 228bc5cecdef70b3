"""Three versions of one file merged in place, as a version control system asks for it.

What can be read as projects is merged as projects; anything else is kept whole, both sides one after the other between
the marks that git uses, so that nothing is lost and nobody takes it for merged.
"""

from __future__ import annotations

import stat
from pathlib import Path

from model.errors import NotMerged, NotWritten, ProjectFormatError, StoreError
from model.record import Project
from model.store.atomic import read_whole, replace_whole, sync_folder
from model.store.faults import display_path, translate_os_errors
from model.store.format import decode, encode
from model.store.keep_both import keep_both
from model.store.merge import Clash, common, merge

_LIMIT = 100_000_000


def merge_files(base: Path, ours: Path, theirs: Path) -> tuple[Clash, ...]:
    """Merge two versions of a file that started from one, into `ours`; return what both changed otherwise.

    Parameters
    ----------
    base : Path
        What both started from; where it is empty or no project, what both have in common stands for it.
    ours, theirs : Path
        The two versions; the result is written to `ours`. Where something clashes, it holds both.

    Raises
    ------
    NotMerged
        One is no project of this format: `ours` holds both whole versions between conflict marks.
    NotWritten
        The system refuses; `ours` is as it was.
    StoreError
        One of the three is not there or cannot be read; `ours` is as it was.
    """
    before, ours_bytes, right = (_bytes(path) for path in (base, ours, theirs))
    try:
        one, other = (_writable(data, path) for data, path in ((ours_bytes, ours), (right, theirs)))
        merged = merge(_base(before, base) or common(one, other), one, other)
        project = keep_both(merged, ours=one, theirs=other)
        data = encode(project)
        # What was written by hand stays as it is where nothing came in.
        data = ours_bytes if data == encode(one) else data
    except StoreError as error:
        _write(ours, _marked(ours_bytes, right))
        raise NotMerged(
            f"{display_path(ours)} is not merged: {error}",
            hint="It holds both versions between conflict marks; choose, and take out the marks.",
        ) from error
    if data != ours_bytes:
        _write(ours, data)
    return merged.clashes


def _bytes(path: Path) -> bytes:
    with translate_os_errors(path, "read"):
        return read_whole(path.resolve(), limit=_LIMIT)


def _writable(data: bytes, path: Path) -> Project:
    decoded = decode(data, path=str(path))
    if decoded.read_only:
        raise StoreError(decoded.notice)
    return decoded.project


def _base(data: bytes, path: Path) -> Project | None:
    try:
        return decode(data, path=str(path)).project if data.strip() else None
    except ProjectFormatError:
        return None


def _marked(left: bytes, right: bytes) -> bytes:
    def ended(data: bytes) -> bytes:
        return data if data.endswith(b"\n") or not data else data + b"\n"

    return b"<<<<<<< ours\n" + ended(left) + b"=======\n" + ended(right) + b">>>>>>> theirs\n"


def _write(path: Path, data: bytes) -> None:
    real = path.resolve()
    try:
        with translate_os_errors(path, "merged"):
            replace_whole(real, data, mode=stat.S_IMODE(real.stat().st_mode) & 0o777)
            sync_folder(real.parent)
    except StoreError as error:
        raise NotWritten(error.message, hint=error.hint) from error
