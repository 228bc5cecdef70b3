"""Recovery drafts: what is on screen but not saved yet, kept beside the projects for the case of a kill.

Each window (a running program) has drafts of its own in the hidden folder ``.drafts`` of the notebook, and holds a lock
there for as long as it lives: nobody clears or recovers the drafts of a window that is open. A draft holds the revision
of the file that the work started from, and the marks and entries that differ from it, as they were and as they are
(`draft_parts`): what it costs depends on what was typed, not on how much there is, and a file that moved on can be
merged. Where there is no such file it holds the whole project. It is JSON, a format of the program's own.

A draft is written to ``NAME.WINDOW.draft.new`` first, then synced, then renamed to ``NAME.WINDOW.draft``. A killed
program leaves the newest in either; a loss of power may spoil the first, never both. Where nothing can be written in
the notebook it goes to a folder outside (`draft_places`); of one window's two the one with the higher number counts.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from model.errors import StoreError
from model.record import Project
from model.store.atomic import hidden, read_whole, sync_folder, write_all
from model.store.bin import in_bin
from model.store.draft_parts import ChangedParts, changed_parts, put_over
from model.store.draft_places import (
    NEW,
    draft_name,
    drafts_of,
    ended_drafts,
    forget_ended_windows,
    hold,
    home_of_drafts,
    let_go,
    places,
    spare_folder,
)
from model.store.faults import display_path, translate_os_errors
from model.store.files import read_project
from model.store.format import decode, encode
from model.store.prescan import MAX_BYTES

_FORMATS = (1, 2)
_LARGEST = 8 * MAX_BYTES
"""Largest text of a project in a draft: more than a file may have, so that what is too large to be saved is kept."""
_LIMIT = 8 * _LARGEST


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What was on screen when the draft was written."""

    path: Path
    """The project file that it belongs to."""
    file: Path
    """The draft itself."""
    project: Project | None
    """The project with everything that had been typed into it; None where only open texts were held."""
    open_fields: Mapping[str, str]
    """Address of an open field -> its raw text, not in `project` yet."""
    revision: str | None
    """Revision of the file that the work started from; None for a project that had no file."""
    base: Project | None
    """What to merge from, where the file is not the one of `revision` any more; None when it is not known."""

    def starts_from(self, revision: str | None) -> bool:
        """Whether the file is still the one that the work started from; if not, the draft must be merged."""
        return self.revision == revision


class Drafts:
    """The drafts of one window. `close` lets go of them; the end of the program does so too."""

    def __init__(self) -> None:
        self._window = secrets.token_hex(4)
        self._locks: dict[Path, int] = {}
        self._number = 0

    def write(
        self,
        path: Path,
        project: Project | None,
        open_fields: Mapping[str, str],
        *,
        revision: str | None = None,
        base: Project | None = None,
        whole: bool = False,
    ) -> Path | None:
        """Write this window's draft of a project file, in place of its older one.

        Parameters
        ----------
        path : Path
            The project file; it need not be there.
        project : Project or None
            The project as it is on screen; None where only open texts are held.
        open_fields : mapping
            Address of an open field -> raw text.
        revision : str or None
            Revision of the file that the work started from.
        base : Project or None
            The project that stood in it; only what differs from it is written.
        whole : bool
            Write the whole project all the same, where it is not certain that the file will be there.

        Returns
        -------
        Path or None
            The folder outside the notebook that took it; None where the notebook did.

        Raises
        ------
        StoreError
            Neither the notebook nor the folder outside takes it; the older draft is whole.
        """
        self._number += 1
        about = {"format": _FORMATS[-1], "file": path.name, "notebook": str(path.parent), "number": self._number}
        about |= {"revision": revision, "open": dict(open_fields)}
        thin = project is not None and base is not None and revision is not None
        ways = [_whole] * (whole or not thin) + [_thin] * thin
        home, spare = home_of_drafts(path), spare_folder(path)
        tries = [(home, way) for way in ways]
        if spare is not None:
            tries += [(spare, _whole)] + [(spare, _thin)] * thin
        refused: list[StoreError] = []
        for folder, way in tries:
            try:
                self._put(path, folder, {**about, **way(base, project)})
            except StoreError as error:
                refused.append(error)
                continue
            if folder == home and spare in self._locks:
                with translate_os_errors(path, "drafted"):
                    _remove(spare / draft_name(path, self._window))
            return None if folder == home else folder
        raise refused[0]

    def _put(self, path: Path, folder: Path, content: Mapping[str, Any]) -> None:
        body = json.dumps(content).encode("ascii")
        with translate_os_errors(path, "drafted"):
            if folder != home_of_drafts(path):
                folder.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            hidden(folder.parent, folder.name, mode=0o700)
            if folder not in self._locks:
                self._locks[folder] = hold(folder, self._window)
            draft = folder / draft_name(path, self._window)
            new = draft.with_name(draft.name + NEW)
            flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC | os.O_NOFOLLOW
            fd = os.open(new, flags, 0o600)
            try:
                write_all(fd, hashlib.sha256(body).hexdigest().encode("ascii") + b"\n" + body)
                os.fsync(fd)
            finally:
                os.close(fd)
            new.replace(draft)
            sync_folder(folder)

    def clear(self, path: Path) -> None:
        """Remove this window's draft of a project file, when there is one."""
        with translate_os_errors(path, "cleared of its draft"):
            for folder in reversed(places(path)):
                _remove(folder / draft_name(path, self._window))

    def close(self) -> None:
        """Let go of the drafts: whatever is there may be recovered by others now."""
        for folder, fd in self._locks.items():
            let_go(folder, self._window, fd)
        self._locks.clear()


def left_drafts(path: Path, *, open_too: bool = False, over: Project | None = None) -> tuple[Draft, ...]:
    """Return the drafts of a project file that ended windows left, in no order that means anything.

    Parameters
    ----------
    path : Path
        The project file; it need not be there.
    open_too : bool
        Those of open windows too: to look at, not to remove.
    over : Project or None
        The project that they are put over; without it the one that stands in the file.

    Raises
    ------
    StoreError
        There is one that cannot be read; it stays where it is.
    """
    with translate_os_errors(path, "recovered"):
        files = [folder / name for folder in places(path) for name in drafts_of(path, folder, open_too=open_too)]
    newest: dict[str, _Content] = {}
    for file in files:
        content = _read(path, file)
        if content is not None and (file.name not in newest or content.number > newest[file.name].number):
            newest[file.name] = content
    if over is None and any(content.parts is not None for content in newest.values()):
        over = _standing(path, {content.revision for content in newest.values()})
    return tuple(_draft(path, content, over) for content in newest.values())


def files_to_bring_back(folder: Path) -> tuple[Path, ...]:
    """Return the files that are not in a notebook though an ended window left a draft of them.

    A new project whose first save failed stands nowhere else; one that another window moved to the bin comes back. On
    the way the locks of ended windows are removed.
    """
    files: set[Path] = set()
    with contextlib.suppress(OSError, StoreError):
        for place in places(folder / "any"):
            forget_ended_windows(place)
            for name in ended_drafts(place):
                if (folder / name[: -len(".12345678.draft")]).exists():
                    continue
                with contextlib.suppress(*_DAMAGE, OSError):
                    content = _read(folder / "any", place / name)
                    if content is not None and content.project is not None:
                        files.add(folder / content.name)
    ours = (file for file in files if file.parent == folder and file.suffix == ".toml")
    return tuple(sorted(file for file in ours if not (file.exists() or file.is_symlink())))


def remove_draft(draft: Draft) -> None:
    """Remove a draft that was recovered and is saved, and an older one of the same window."""
    with translate_os_errors(draft.path, "cleared of its draft"):
        for folder in places(draft.path):
            _remove(folder / draft.file.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Content:
    """What a draft says, without the file that it belongs to."""

    file: Path
    name: str
    number: int
    revision: str | None
    open_fields: Mapping[str, str]
    project: Project | None
    base: Project | None
    parts: ChangedParts | None
    """Where only what changed is held."""


def _whole(base: Project | None, project: Project | None) -> dict[str, Any]:
    return {"thin": False, "base": _text(base), "project": _text(project), "order": []}


def _thin(base: Project | None, project: Project | None) -> dict[str, Any]:
    parts = changed_parts(base or Project(name=""), project or Project(name=""))
    return {"thin": True, "base": _text(parts.base), "project": _text(parts.project), "order": list(parts.order)}


def _text(project: Project | None) -> str | None:
    return None if project is None else encode(project, limit=_LARGEST).decode("utf-8")


def _read(path: Path, file: Path) -> _Content | None:
    """Read the newer of the two files of a draft that is whole; None where a stop left the beginning of a first one."""
    new = file.with_name(file.name + NEW)
    with contextlib.suppress(*_DAMAGE):
        return _content(path, file, new)
    if not file.exists():
        with translate_os_errors(path, "recovered"), contextlib.suppress(FileNotFoundError):
            new.unlink()
        return None
    try:
        return _content(path, file, file)
    except _DAMAGE as error:
        raise StoreError(
            f"The draft {display_path(file)} cannot be read; the project file is as it was last saved.",
            hint="Look into the draft with a text editor, then delete it.",
        ) from error


_DAMAGE = (ValueError, KeyError, TypeError, AttributeError, RecursionError, StoreError)
"""What a damaged draft raises while it is read."""


def _content(path: Path, file: Path, source: Path) -> _Content:
    with translate_os_errors(path, "recovered"):
        digest, _, body = read_whole(source, limit=_LIMIT).partition(b"\n")
    if hashlib.sha256(body).hexdigest().encode("ascii") != digest:
        raise ValueError("the draft is not whole")
    content: Any = json.loads(body)
    revision, fields, order = content["revision"], content["open"], content.get("order", [])
    if content["format"] not in _FORMATS or not (revision is None or isinstance(revision, str)):
        raise ValueError("a draft of another version")
    if not all(isinstance(value, str) for value in [*fields.values(), *order]):
        raise TypeError("a field whose text is none")
    base, project = (_project(content[key], file) for key in ("base", "project"))
    thin = base is not None and project is not None and bool(content.get("thin", False))
    return _Content(
        file=file,
        name=str(content.get("file", "")),
        number=int(content.get("number", 0)),
        revision=revision,
        open_fields=dict(fields),
        project=project,
        base=base,
        parts=ChangedParts(base=base, project=project, order=tuple(order)) if thin and base and project else None,
    )


def _project(text: str | None, file: Path) -> Project | None:
    return None if text is None else decode(text.encode("utf-8"), path=str(file), limit=_LARGEST).project


def _draft(path: Path, content: _Content, over: Project | None) -> Draft:
    base, project = content.base, content.project
    if content.parts is not None and over is not None:
        base, project = put_over(content.parts, over)
    return Draft(
        path=path,
        file=content.file,
        project=project,
        open_fields=content.open_fields,
        revision=content.revision,
        base=base,
    )


def _standing(path: Path, revisions: set[str | None]) -> Project | None:
    """Return the project that stands in a file; where there is none, the one of that name in the bin; None without."""
    with contextlib.suppress(StoreError):
        return read_project(path).project
    standing: Project | None = None
    if not path.exists():
        with contextlib.suppress(StoreError):
            for file in in_bin(path.parent):
                if re.fullmatch(re.escape(path.stem) + r"(-\d+)?", file.stem):
                    stored = read_project(file)
                    if standing is None or stored.revision in revisions:
                        standing = stored.project
    return standing


def _remove(file: Path) -> None:
    """Remove the older of the two files first: a stop in between leaves the newer."""
    for each in (file, file.with_name(file.name + NEW)):
        with contextlib.suppress(FileNotFoundError):
            each.unlink()
