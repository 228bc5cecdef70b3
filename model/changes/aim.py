"""What would have to change for an engine to do something: least work first, or by how much nothing reaches it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from model.changes.advice import Candidate, both, option_of, possible, solve
from model.changes.catalogue import PARTNERS
from model.changes.compare import paired_run_of
from model.changes.edits import Edited
from model.changes.paired import PairedRun
from model.changes.result import Aim, Option
from model.checkpoint import Progress, silent
from model.errors import NotUnderstood
from model.fields import Parsed
from model.physics.values import FloatArray
from model.quantities.phrases import chance_text, hours_text
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind, UnitError, digits, find_unit, size_from_si
from model.record import Project

LIKELY = 0.5
"""Chance from which a way counts as one that does it."""
FOR_PAIRS = 6
"""Changes that come nearest, each tried with each other."""
MOST = 6
"""Ways that are told."""
GOALS = ("20 mW", "150 rpm", "run", "run on 50 C water", "20 K")
"""What can be asked for, as examples."""
_NUMBER = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*([^\d\s]\S*)")
KINDS: tuple[tuple[str, Kind], ...] = (
    ("power", Kind.POWER), ("free_speed", Kind.ROTATION), ("water", Kind.TEMPERATURE), ("difference", Kind.DIFFERENCE),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """What an engine should do."""

    what: str
    """``power``, ``free_speed``, ``difference`` or ``runs``."""
    at: float = 0.0
    """At least that much, SI; of ``difference`` at most."""
    text: str = ""
    kind: Kind = Kind.NUMBER
    unit: str = ""
    edits: Mapping[str, Parsed | None] = field(default_factory=dict)
    """Conditions that are asked for, as fields."""


def goal_of(text: str) -> Goal:
    """Read what an engine should do.

    Raises
    ------
    NotUnderstood
        Nothing is understood; the hint names what can be asked for.

    Examples
    --------
    >>> goal_of("20 mW").what, round(goal_of("20 mW").at, 6), goal_of("run on 50 C water").what
    ('power', 0.02, 'runs')
    """
    said = text.strip()
    for number, unit_text in _NUMBER.findall(said):
        for what, kind in KINDS:
            try:
                unit = find_unit(unit_text.strip(".,;"), kind)
            except UnitError:
                continue
            if what == "water" and (unit.symbol == "K" or "difference" in said.lower()):
                continue
            value = float(number.replace(",", ".")) * unit.factor + unit.offset
            if what == "water":
                edits: dict[str, Parsed | None] = {
                    "heat_source": "water",
                    "source_temperature": Uncertain(value=value, spread=1.0),
                }
                return Goal(what="runs", text=f"run on water of {number} {unit.symbol}", edits=edits)
            words = {"power": "at least ", "free_speed": "at least ", "difference": "run at a difference of "}[what]
            return Goal(what=what, at=value, text=f"{words}{number} {unit.symbol}", kind=kind, unit=unit.symbol)
    if re.search(r"\bruns?\b", said, re.IGNORECASE):
        return Goal(what="runs", text="run")
    raise NotUnderstood(f"{said!r} is no aim that can be worked out.", hint=f"Ask for one of: {', '.join(GOALS)}.")


def aim(project: Project, mark: int, text: str, *, seed: int = 1, progress: Progress = silent) -> Aim:
    """Return what would have to change on a mark for it to do something.

    Parameters
    ----------
    project, mark
        The prototype and its mark; all that was found counts.
    text : str
        What it should do: ``20 mW``, ``150 rpm``, ``run``, ``run on 50 C water``, ``20 K`` of difference.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done.

    Raises
    ------
    NotUnderstood
        The text is not understood.
    """
    goal = goal_of(text)
    paired = paired_run_of(project, mark, seed=seed, progress=lambda share: progress(0.3 * share))
    if isinstance(paired, str):
        return Aim(mark=mark, goal=goal.text, reason=paired)
    start = paired.edited(goal.edits)
    if not start.can_be:
        return Aim(mark=mark, goal=goal.text, reason=" ".join(start.in_the_way))
    found, _ = possible(paired, project.marks[mark].build, under=goal.edits)
    doing, _ = _reached(paired, goal, start)
    ones = _tried(paired, goal, found, lambda share: progress(0.3 + 0.3 * share))
    pairs = _tried(paired, goal, _pairs(paired, found, ones, goal), lambda share: progress(0.6 + 0.4 * share))
    return _told(paired, goal, float(doing.mean()), [*ones, *pairs])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    candidate: Candidate
    chance: float
    reached: float
    """Middle of what is aimed at, SI."""


def _reached(paired: PairedRun, goal: Goal, edited: Edited) -> tuple[FloatArray, FloatArray]:
    """Return how likely each engine does it, and how far it comes, (engines,) each."""
    (then,) = paired.of([edited])
    if then is None:
        return np.zeros(paired.engines.size), np.zeros(paired.engines.size)
    if goal.what == "runs":
        return then.chance, then.chance
    if goal.what == "difference":
        least = paired.least_difference(edited)
        return (least <= goal.at).astype(float), least
    values = np.nan_to_num(then.power if goal.what == "power" else then.free_speed)
    return (values >= goal.at).astype(float), values


def _tried(paired: PairedRun, goal: Goal, candidates: Sequence[Candidate], progress: Progress) -> list[_Way]:
    paired.of([each.edited for each in candidates], progress=progress)  # all of them together
    ways = []
    for each in candidates:
        chance, values = _reached(paired, goal, each.edited)
        ways.append(_Way(candidate=each, chance=float(chance.mean()), reached=float(np.median(values))))
    return ways


def _nearer(goal: Goal, way: _Way) -> tuple[float, float]:
    """Return what a way is sorted by: its chance, then how far it comes."""
    return way.chance, -way.reached if goal.what == "difference" else way.reached


def _pairs(paired: PairedRun, found: Sequence[Candidate], ones: Sequence[_Way], goal: Goal) -> list[Candidate]:
    by_key = {each.key: each for each in found}
    best = [way.candidate for way in sorted(ones, key=lambda way: _nearer(goal, way), reverse=True)[:FOR_PAIRS]]
    wanted = [(one, other) for n, one in enumerate(best) for other in best[n + 1 :]]
    wanted += [(by_key[a], by_key[b]) for a, b in PARTNERS if a in by_key and b in by_key]
    made = {}
    for one, other in wanted:
        keys = frozenset((one.key, other.key))
        pair = None if keys in made else both(paired, one, other, under=goal.edits)
        if pair is not None:
            made[keys] = pair
    return list(made.values())


def _told(paired: PairedRun, goal: Goal, now: float, ways: Sequence[_Way]) -> Aim:
    solved = {each.candidate.key: each for each in solve(paired, [way.candidate for way in ways])}
    known = [way for way in ways if way.candidate.key in solved]

    def option(way: _Way) -> tuple[Option, float]:
        return option_of(paired, solved[way.candidate.key], 0, None), way.chance

    do_it = sorted((way for way in known if way.chance >= LIKELY), key=lambda way: (way.candidate.hours, -way.chance))
    enough = {way.candidate.key for way in do_it if len(way.candidate.parts) == 1}
    do_it = [way for way in do_it if way.candidate.key in enough or not enough & {p.key for p in way.candidate.parts}]
    nearest = max(known, key=lambda way: _nearer(goal, way), default=None)
    made = Aim(mark=paired.engines.mark, goal=goal.text, now=now, ways=tuple(option(way) for way in do_it[:MOST]))
    if not do_it and nearest is not None:
        short = None if goal.what == "runs" else abs(goal.at - nearest.reached)
        short = short if short is None or np.isfinite(short) else None
        made = replace(made, nearest=option(nearest), short_by=short)
    return replace(made, sentence=_sentence(made, goal))


def _sentence(made: Aim, goal: Goal) -> str:
    if made.now >= LIKELY:
        return f"It does that as it is: {chance_text(made.now)}."
    if made.ways:
        option, chance = made.ways[0]
        return f"Least work: {option.words} ({hours_text(option.hours)}): {chance_text(chance)}."
    if made.nearest is None:
        return "There is nothing that can be tried on this build."
    option, chance = made.nearest
    lacks = ""
    if made.short_by is not None:
        size = size_from_si(made.short_by, goal.kind, goal.unit)
        lacks = f"; the middle of the engines is {digits(size, 2)} {goal.unit} away"
    return f"Nothing within reach does it more likely than not. Nearest: {option.words}, {chance_text(chance)}{lacks}."


__all__ = ["GOALS", "aim", "goal_of"]
