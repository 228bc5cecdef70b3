"""How far an engine has come: the stage, derived from observations that were ticked. Best and latest are both told.

The order is ours, built on things that can be counted; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.fields.field import Choice
from model.record import Entry, Project

TICKS = (
    Choice(key="binds", label="binds", help="sticks at some angle when turned by hand"),
    Choice(key="turns_free", label="turns free", help="turns round by hand with no tight spot"),
    Choice(key="bounces", label="bounces", help="springs back from mid compression"),
    Choice(key="coasts_hot", label="coasts longer hot than cold", help="more free turns after a flick when heated"),
    Choice(key="favours", label="favours one way", help="more free turns one way than the other"),
    Choice(key="runs_ten", label="runs ten seconds", help="keeps going for ten seconds after a flick"),
    Choice(key="runs_spent", label="runs till the heat is spent", help="keeps going as long as the heat lasts"),
    Choice(key="starts_always", label="starts every time", help="ten starts out of ten"),
    Choice(key="carries", label="carries a load", help="turns something else as well"),
)
"""Observations from least to most; the stage is the furthest one ticked."""

SIGNS = (
    Choice(key="hisses", label="hisses or blows", help="air is heard or felt at a joint, the piston or the gland"),
    Choice(key="rubs", label="rubs", help="something is heard or felt to rub as it is turned"),
    Choice(key="cold_side_hot", label="cold side gets hot", help="a finger cannot stay on the cold end"),
)
"""What else can be ticked: signs of a fault, which are no stage."""
LABELS = {choice.key: choice.label for choice in (*TICKS, *SIGNS)}
"""Words of everything that can be seen and ticked."""

_RANK = {choice.key: rank for rank, choice in enumerate(TICKS)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How far an engine has come."""

    best: Choice | None
    """Furthest observation ever ticked; None when nothing was ticked."""
    latest: Choice | None
    """Furthest observation of the last entry that ticked any."""
    best_mark: int | None = None
    """Mark on which the best was seen first; None where the entry says none."""
    latest_mark: int | None = None
    """Mark of the latest."""

    @property
    def best_text(self) -> str:
        """The best with its mark: ``Mk 1: runs ten seconds``; empty where there is none."""
        return _with_mark(self.best, self.best_mark)

    @property
    def latest_text(self) -> str:
        """The latest with its mark."""
        return _with_mark(self.latest, self.latest_mark)


def _with_mark(seen: Choice | None, mark: int | None) -> str:
    return "" if seen is None else seen.label if mark is None else f"Mk {mark}: {seen.label}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The furthest observation of one entry that ticked any."""

    day: str
    """As the entry says it."""
    seen: Choice


def steps_of(project: Project) -> tuple[Step, ...]:
    """Return how the stage moved over the diary, in file order; entries that say the same as before are left out."""
    steps: list[Step] = []
    for entry in project.entries.values():
        known = [_RANK[tick] for tick in entry.ticks if tick in _RANK]
        if known and (not steps or steps[-1].seen is not TICKS[max(known)]):
            steps.append(Step(day=entry.day, seen=TICKS[max(known)]))
    return tuple(steps)


def stage_of_mark(project: Project, entry: Entry, number: int) -> Choice | None:
    """Return the furthest observation that an entry ticked of a mark; None where it is of another or ticked none."""
    ranks = [_RANK[tick] for tick in entry.ticks if tick in _RANK] if _mark_of(project, entry) == number else []
    return TICKS[max(ranks)] if ranks else None


def stage_of(project: Project) -> Stage:
    """Derive the stage of a project from its entries in file order; unknown ticks count for nothing."""
    seen = [
        (max(known), _mark_of(project, entry))
        for entry in project.entries.values()
        if (known := [_RANK[tick] for tick in entry.ticks if tick in _RANK])
    ]
    if not seen:
        return Stage(best=None, latest=None)
    best = max(seen, key=lambda item: item[0])
    return Stage(best=TICKS[best[0]], latest=TICKS[seen[-1][0]], best_mark=best[1], latest_mark=seen[-1][1])


def _mark_of(project: Project, entry: Entry) -> int | None:
    """Return the mark of an entry: its own, else the only one."""
    return entry.mark if entry.mark is not None else project.latest.number if len(project.marks) <= 1 else None
