"""Days of the diary. Pure."""

from __future__ import annotations

from datetime import date

from model.record import Project


def last_day(project: Project) -> str:
    """Return the latest day of the diary that can be read as a date; empty when there is none."""
    return max((entry.day for entry in project.entries.values() if is_day(entry.day)), default="")


def is_day(text: str) -> bool:
    """Whether a text is a day as the file writes it.

    Examples
    --------
    >>> is_day("2026-11-25"), is_day("25.11.2026"), is_day("2026-02-30")
    (True, False, False)
    """
    try:
        return len(text) == 10 and date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
