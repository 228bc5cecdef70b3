"""What became of a file on the disk since it was read or saved here. A part of persistence; reads only."""

from __future__ import annotations

from pathlib import Path

from model.errors import StoreError
from model.store import disk_revision
from tui.storage.draft_store import KnownFiles


class DiskState:
    """Compares files with what is known of them."""

    def __init__(self, known: KnownFiles) -> None:
        self._known = known

    def moved_on(self, path: Path) -> bool:
        """Whether the file is another than the one read or saved here; not where it cannot be read."""
        try:
            return disk_revision(path) != self._known.revisions.get(path)
        except StoreError:
            return False

    def is_gone(self, path: Path) -> bool:
        """Whether a file that was there is not there any more."""
        try:
            return self._known.revisions.get(path) is not None and disk_revision(path) is None
        except StoreError:
            return False

    def unreadable(self, path: Path) -> str:
        """Return why what stands in the place of a file cannot be read; empty where it can, or nothing stands there."""
        try:
            disk_revision(path)
        except StoreError as error:
            return str(error)
        return ""
