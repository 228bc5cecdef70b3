"""The gap: measured less predicted, at a reading's own temperatures and speed."""

from __future__ import annotations

from model.prediction import Gap
from model.record import Project


def gaps(project: Project, *, mark: int | None = None, samples: int = 200, seed: int = 1) -> tuple[Gap, ...]:
    """Return the gap of every reading that can be compared, in file order (of one mark, or of all)."""
    return ()
