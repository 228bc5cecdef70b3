"""What of the list is in sight, under the cursor, ticked. Loads nothing: the first screen stands on it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.state.project_list import ProjectList
    from tui.state.prototype import Prototype

MOST = 3
"""Most prototypes ticked for side by side."""


class Selection:
    """Cursor, window and ticks over the list of prototypes; over their names until the list is read."""

    def __init__(self, names: Sequence[str]) -> None:
        self.names = names
        """Names of the projects, until the project list is there."""
        self.project_list: ProjectList | None = None
        self.at = 0
        """Number of the row under the cursor, from 0."""
        self.first = 0
        """Number of the first row in sight."""
        self.ticked: list[Path] = []
        """Prototypes to show side by side, in the order ticked."""

    @property
    def items(self) -> list[Prototype]:
        """The prototypes in the order shown; none while only their names are known."""
        return list(self.project_list.session) if self.project_list else []

    @property
    def total(self) -> int:
        """How many rows there are."""
        return len(self.items) if self.project_list else len(self.names)

    @property
    def chosen(self) -> Prototype | None:
        """The one under the cursor, as far as it is read."""
        items = self.items
        return items[min(self.at, len(items) - 1)] if items else None

    @property
    def wanted(self) -> Prototype | None:
        """The one under the cursor, read; None where it cannot be, or there is none."""
        chosen = self.chosen
        if chosen is None or self.project_list is None:
            return None
        read = self.project_list.read_now(chosen.path)
        return read if read.usable else None

    def in_sight(self, rows: int) -> list[Prototype]:
        """Return the prototypes of a window of so many rows."""
        return self.items[self.first : self.first + rows]

    def scroll(self, rows: int) -> None:
        """Bring the cursor onto a row that is there, and into a window of so many rows."""
        self.at = max(0, min(self.at, self.total - 1))
        self.first = max(0, min(self.first, self.at), self.at - rows + 1)

    def move(self, step: int) -> None:
        """Choose another row."""
        self.at = max(0, min(self.total - 1, self.at + step))

    def tick(self, prototype: Prototype) -> None:
        """Tick one for side by side, or take its tick away; of more than three the oldest tick goes."""
        without = [path for path in self.ticked if path != prototype.path]
        self.ticked = without if len(without) < len(self.ticked) else [*self.ticked, prototype.path][-MOST:]

    def to_compare(self) -> tuple[Path, ...]:
        """Return what to show side by side; where two or three are all there are, no tick is needed."""
        usable = [p.path for p in self.items if p.usable]
        few = sum(not p.trouble for p in self.items) <= MOST
        return tuple([path for path in self.ticked if path in usable] or (usable if few else []))
