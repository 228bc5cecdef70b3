"""Whether a mark was seen running: by a speed or brake reading, or a tick of the diary. Never imports numpy."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from model.bench.kinds import kind_of
from model.bench.quantities import speed_of
from model.bench.reading import values_of
from model.checks.plausibility import has_doubted_speed
from model.checks.stage import TICKS, stage_of_mark
from model.quantities.phrases import rpm_text
from model.record import Entry, Project, Reading

FIRST_RUNNING = "runs_ten"
"""The observation from which an engine counts as one that runs."""
_RANK = {choice.key: rank for rank, choice in enumerate(TICKS)}


class Standing(StrEnum):
    """How far a mark has come at the bench."""

    NEW = "nothing was tried yet, on this mark or before"
    UNTRIED = "not tried yet; a mark before was"
    STOPS = "tried, and not seen running since"
    RUNS = "seen running"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenRunning:
    """How it is known that a mark runs."""

    day: str
    """Day of the entry, as it says it."""
    by: str
    """``speed reading, 69 rpm``, ``ticked: runs ten seconds``."""

    @property
    def text(self) -> str:
        """Say it in a sentence."""
        when = f" on {self.day}" if self.day else ""
        return f"It was seen running{when} ({self.by}), so there is nothing to be found that stops it."


def seen_running(project: Project, number: int) -> SeenRunning | None:
    """Return by what a mark was seen running last; None where it never was, or a later entry says that it got less far.

    A reading of a speed that cannot be shows nothing, nor does a run with something changed for a trial.
    """
    seen: SeenRunning | None = None
    for entry in project.entries.values():
        ran = _by_reading(project, entry, number)
        stage = stage_of_mark(project, entry, number)
        if not ran and stage is not None and _RANK[stage.key] >= _RANK[FIRST_RUNNING]:
            ran = f"ticked: {stage.label}"
        if ran:
            seen = SeenRunning(day=entry.day, by=ran)
        elif stage is not None:
            seen = None
    return seen


def standing_of(project: Project, number: int) -> Standing:
    """Return how far a mark has come: what is said first of it, and what is done next, go by that alone."""
    if seen_running(project, number):
        return Standing.RUNS
    if was_tried(project, number):
        return Standing.STOPS
    before = any(was_tried(project, mark) for mark in project.marks if mark < number)
    return Standing.UNTRIED if before else Standing.NEW


def was_tried(project: Project, number: int) -> bool:
    """Return whether anything was read or ticked on a mark: before that nothing says that it does not run."""
    return any(
        stage_of_mark(project, entry, number) is not None
        or any(project.mark_of(entry, reading) == number for reading in entry.readings.values())
        for entry in project.entries.values()
    )


def _by_reading(project: Project, entry: Entry, number: int) -> str:
    words = [
        _words(reading)
        for reading in entry.readings.values()
        if project.mark_of(entry, reading) == number and not has_doubted_speed(project, entry, reading)
    ]
    return next((text for text in reversed(words) if text), "")


def _words(reading: Reading) -> str:
    kind = kind_of(reading.kind)
    if kind is None or not kind.runs:
        return ""
    speed = speed_of(values_of(reading))
    if speed is None or speed.value <= 0:
        return ""
    return f"{reading.kind} reading, {rpm_text(speed.value)}"
