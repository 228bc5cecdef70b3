"""Recovery drafts: what is on screen but not saved yet, kept beside the projects for the case of a kill.

A draft holds the whole project, the raw text of fields that are open, the revision of the file that it started from
and, when given, the project that stood there, so that a file that moved on can be merged. It lies in the hidden folder
``.drafts`` of the notebook as JSON, a format of the program's own; `Draft.adds_to` says whether it is worth offering.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from model.errors import StoreError
from model.record import Project
from model.store.atomic import beside, inside, read_whole, remove_leftovers, replace_whole, sync_folder
from model.store.faults import shown, told
from model.store.format import decode, encode
from model.store.scan import MAX_BYTES

FOLDER = ".drafts"
_FORMAT = 1
_LIMIT = 8 * MAX_BYTES


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What was on screen when the draft was written."""

    path: Path
    """The project file that it belongs to."""
    project: Project
    """The project with everything that had been typed into it."""
    open_fields: Mapping[str, str]
    """Address of an open field -> its raw text, not in `project` yet."""
    revision: str | None
    """Revision of the file that the work started from; None for a project that had no file."""
    base: Project | None
    """The project that stood in that file; None when it was not given."""

    def adds_to(self, project: Project | None) -> bool:
        """Whether the draft holds anything that the project on disk (None: no file) does not."""
        return bool(self.open_fields) or project is None or encode(self.project) != encode(project)

    def starts_from(self, revision: str | None) -> bool:
        """Whether the file is still the one that the work started from; if not, the draft must be merged."""
        return self.revision == revision


def write_draft(
    path: Path,
    project: Project,
    open_fields: Mapping[str, str],
    *,
    revision: str | None = None,
    base: Project | None = None,
) -> None:
    """Write the draft of a project file, in place of an older one.

    Parameters
    ----------
    path : Path
        The project file; it need not be there.
    project : Project
        The project as it is on screen.
    open_fields : mapping
        Address of an open field -> raw text.
    revision : str or None
        Revision of the file that the work started from.
    base : Project or None
        The project that stood in it.

    Raises
    ------
    StoreError
        The system refuses.
    """
    content = {
        "format": _FORMAT,
        "revision": revision,
        "base": None if base is None else encode(base).decode("utf-8"),
        "project": encode(project).decode("utf-8"),
        "open": dict(open_fields),
    }
    with told(path, "drafted"):
        draft = _draft_path(path)
        draft.parent.mkdir(mode=0o700, exist_ok=True)
        replace_whole(draft, json.dumps(content).encode("ascii"), mode=0o600)
        sync_folder(draft.parent)


def read_draft(path: Path) -> Draft | None:
    """Return the draft of a project file, None when there is none.

    Raises
    ------
    StoreError
        There is one that cannot be read.
    """
    with told(path, "recovered"):
        draft = _draft_path(path)
        try:
            data = read_whole(draft, limit=_LIMIT)
        except FileNotFoundError:
            return None
    try:
        return _draft(path, draft, json.loads(data))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise StoreError(
            f"The draft {shown(draft)} cannot be read; the project file is as it was last saved.",
            hint="Look into the draft with a text editor, then delete it.",
        ) from error


def clear_draft(path: Path) -> None:
    """Remove the draft of a project file, when there is one."""
    with told(path, "cleared of its draft"), contextlib.suppress(FileNotFoundError):
        draft = _draft_path(path)
        remove_leftovers(draft)
        draft.unlink()


def _draft(path: Path, draft: Path, content: Any) -> Draft:
    base, revision, fields = content["base"], content["revision"], content["open"]
    if content["format"] != _FORMAT or not (revision is None or isinstance(revision, str)):
        raise ValueError("a draft of another version")
    if not all(isinstance(value, str) for value in fields.values()):
        raise TypeError("a field whose text is none")
    return Draft(
        path=path,
        project=decode(content["project"].encode("utf-8"), path=str(draft)).project,
        open_fields=dict(fields),
        revision=revision,
        base=None if base is None else decode(base.encode("utf-8"), path=str(draft)).project,
    )


def _draft_path(path: Path) -> Path:
    real = inside(path)
    folder = real.parent / FOLDER
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise StoreError(f"{shown(folder)} must be a folder of the notebook.", hint="Remove what stands there.")
    return folder / beside(real, before="", after=".draft").name
