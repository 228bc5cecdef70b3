"""From the readings and ticks of a chain of marks to facts: what each says of an engine, under its own conditions."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from model.bench.kinds import kind_of
from model.bench.quantities import brake_torque, speed_of
from model.bench.reading import ReadingValues, values_of
from model.checkpoint import checkpoint
from model.checks.plausibility import has_doubted_speed
from model.checks.seen_running import FIRST_RUNNING
from model.checks.stage import LABELS, TICKS, stage_of_mark
from model.explain.diagnosis.bench_tests import bench_test
from model.explain.diagnosis.ensemble import hose_share
from model.explain.diagnosis.observations import BETTER, as_typed, compared, hot_coast, shown_by
from model.explain.diagnosis.observations import TICKS as SHOWN_BY_TICKS
from model.explain.diagnosis.weights import Observation
from model.inputs.model_inputs import ModelInputs
from model.knowledge.latents import Chain, under_conditions
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.running.samples import central

LEAST_SPEED_SPREAD = 0.005
"""Least relative standard uncertainty of a speed: it wavers while it is counted; common practice, no source."""
APART = 2.5
"""Spreads of both visits by which what they found must differ for something to have been mended in between."""
MOST_BALANCES, MOST_A_VISIT = 12, 3
"""Speeds and brake readings that take part, and of one visit, where there are more: each asks for turns of its own, and
readings of one visit share their error, so that many say little more than a few."""
BETWEEN_VISITS = 0.3
"""Relative standard uncertainty of the difference between two visits: twice the wander of one, in squares."""
_NOTHING = Observation(bench_test="", value=0.0)
_RANK = {choice.key: rank for rank, choice in enumerate(TICKS)}
WITHOUT_AIR = frozenset({"rim_weight", "free_open", "free_unlinked", "free_piston", "by_hand", "stops"})
"""Tests of which the shaft alone decides."""
NEEDS_WHEEL = frozenset({"free_open", "free_unlinked", "free_piston", "free_cold", "free_hot"})
"""Tests that say nothing where the wheel's mass is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that was found."""

    mark: int
    entry: str
    """Key of the entry: readings of one are of one visit."""
    reading: str = ""
    """Key of the reading within it; empty for a tick."""
    text: str
    """As typed, with its day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance(Fact):
    """At this speed, under these conditions, the air's torque was all taken up."""

    under: ModelInputs
    speed: float
    """[rad/s]."""
    spread: float
    """Relative standard uncertainty of the speed."""
    load: Uncertain | None = None
    """Torque of a brake, [N m]; None for an engine that runs free."""

    @property
    def place(self) -> str:
        """Of the reading."""
        return f"{self.entry} {self.reading}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran(Fact):
    """It ran, or did not, as its mark says it."""

    ran: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown(Fact):
    """What a test of the shed showed."""

    observation: Observation


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """All that was found on a chain of marks."""

    balances: tuple[Balance, ...] = ()
    ran: tuple[Ran, ...] = ()
    shown: tuple[Shown, ...] = ()
    left_out: tuple[str, ...] = ()
    """What does not count, in sentences that say why."""

    @property
    def all(self) -> tuple[Fact, ...]:
        """In no order."""
        return (*self.balances, *self.ran, *self.shown)

    @property
    def running(self) -> tuple[Ran, ...]:
        """Whether it ran, where no speed that it kept says that already: an engine that keeps one runs."""
        kept = {fact.mark for fact in self.balances}
        return tuple(fact for fact in self.ran if not (fact.ran and fact.mark in kept))

    def tests_of(self, mark: int) -> frozenset[str]:
        """Return the tests of the shed that were done on a mark."""
        return frozenset(fact.observation.bench_test for fact in self.shown if fact.mark == mark)

    @property
    def with_air(self) -> frozenset[int]:
        """Marks with a test in which the air takes part."""
        return frozenset(fact.mark for fact in self.shown if fact.observation.bench_test not in WITHOUT_AIR)


def facts_of(project: Project, chain: Chain, *, without: frozenset[str] = frozenset()) -> Facts:
    """Collect the facts of a chain of marks.

    Parameters
    ----------
    project : Project
        The prototype.
    chain : Chain
        The marks that count.
    without : frozenset
        Keys of entries that are left out.
    """
    balances: list[Balance] = []
    ran: list[Ran] = []
    shown: list[Shown] = []
    left_out: list[str] = []
    benches = {number: _Bench(chain, number) for number in chain.marks}
    for entry in project.entries.values():
        checkpoint()
        let_out = entry.key in without
        for reading in entry.readings.values():
            mark = project.mark_of(entry, reading)
            if mark not in benches:
                continue
            if not let_out and has_doubted_speed(project, entry, reading):
                left_out.append(f"{_told(entry, mark, reading)}: asked about, and not counted until that is settled.")
                continue
            bench, values = benches[mark], values_of(reading)
            common: dict[str, Any] = {
                "mark": mark,
                "entry": entry.key,
                "reading": reading.key,
                "text": _told(entry, mark, reading),
            }
            balance = _balance(bench, values, common)
            if balance is not None:
                balances.append(balance)
            if let_out:
                continue
            if balance is not None:
                ran.append(Ran(**common, ran=True))
            ran += [Ran(**common, ran=said) for said in _ran(values)]
            shown += [Shown(**common, observation=seen) for seen in bench.shown(values, reading)]
            bench.note(values, Shown(**common, observation=_NOTHING))
        if not let_out:
            ran += _ran_by_ticks(project, entry, chain)
            shown += _shown_by_ticks(project, entry, chain)
    counting, too_many = _counting(balances, without)
    for bench in benches.values():
        shown += bench.beside({fact.observation.bench_test for fact in shown if fact.mark == bench.number})
    counted = {(fact.entry, fact.reading) for fact in counting}
    newest = tuple(fact for fact in _newest(ran) if (fact.entry, fact.reading) not in counted)
    once, superseded = _once(shown)
    return Facts(
        balances=tuple(counting),
        ran=newest,
        shown=tuple(once),
        left_out=tuple(dict.fromkeys([*left_out, *too_many, *superseded])),
    )


class _Bench:
    """What readings of a mark are read with."""

    def __init__(self, chain: Chain, number: int) -> None:
        self.number = number
        self._coasts: dict[str, tuple[float, Shown]] = {}
        self.build = chain.builds[number]
        model_inputs = chain.inputs[number]
        self._best = central(model_inputs.words, model_inputs.values)
        self.rim = float(self._best["wheel_diameter"][0]) / 2
        self._hose_share = hose_share(self._best)

    def shown(self, values: ReadingValues, reading: Reading) -> Iterator[Observation]:
        """Yield what a reading shows in the tests of the shed."""
        for seen in shown_by(values, rim=self.rim, hose_share=self._hose_share, cooled=self._cooled(values)):
            if seen.bench_test in NEEDS_WHEEL and "wheel_mass" not in self._best:
                continue
            yield replace(seen, text=seen.text or as_typed(reading))

    def _cooled(self, values: ReadingValues) -> bool:
        return values.cold_side not in (None, self.build.cold_side)

    def note(self, values: ReadingValues, fact: Shown) -> None:
        """Keep a hot coast, to be compared with others."""
        coast = hot_coast(values, cooled=self._cooled(values))
        if coast is not None:
            self._coasts[coast[0]] = coast[1], fact

    def beside(self, said: set[str]) -> Iterator[Shown]:
        """Yield what hot coasts show beside one another, where no trial said it."""
        for seen in compared({name: slowing for name, (slowing, _) in self._coasts.items()}):
            if seen.bench_test not in said:
                _, fact = self._coasts["backward" if seen.bench_test == "other_way" else "cooled"]
                yield replace(fact, observation=seen)


def _counting(balances: list[Balance], without: frozenset[str]) -> tuple[list[Balance], list[str]]:
    """Return the speeds and brake readings that count, and in a sentence that some do not.

    They are chosen among all, so that a visit that is let out brings in no other.
    """
    chosen = _chosen(balances)
    told = (
        f"Of {len(balances)} speeds and brake readings {len(chosen)} take part: of the latest visits, of each at most "
        f"{MOST_A_VISIT}, from the slowest to the fastest."
    )
    return [fact for fact in chosen if fact.entry not in without], [told] if len(chosen) < len(balances) else []


def _chosen(balances: list[Balance]) -> list[Balance]:
    """Return the speeds and brake readings that take part, in their order; the last visit of each mark comes first."""
    if len(balances) <= MOST_BALANCES:
        return balances
    visits: dict[tuple[int, str], list[Balance]] = {}
    for fact in balances:
        visits.setdefault((fact.mark, fact.entry), []).append(fact)
    last = {mark: (mark, entry) for mark, entry in visits}
    chosen: list[Balance] = []
    for visit in dict.fromkeys([*reversed(last.values()), *reversed(visits)]):
        facts = sorted(visits[visit], key=lambda fact: fact.speed)
        most = min(len(facts), MOST_A_VISIT)
        some = [facts[round(at * (len(facts) - 1) / max(1, most - 1))] for at in range(most)]
        if len(chosen) + len(some) > MOST_BALANCES:
            break
        chosen += some
    places = {fact.place for fact in chosen}
    return [fact for fact in balances if fact.place in places]


def _balance(bench: _Bench, values: ReadingValues, common: dict[str, Any]) -> Balance | None:
    kind = kind_of(values.kind)
    speed = speed_of(values)
    if kind is None or not kind.runs or speed is None or speed.value <= 0 or values.direction == "backward":
        return None
    load = brake_torque(values) if values.kind == "brake" else None
    if values.kind == "brake" and (load is None or load.value <= 0):
        return None
    under = under_conditions(bench.build, values)
    if not under.values or under.missing or under.problems:
        return None
    relative = math.hypot(speed.spread / speed.value, LEAST_SPEED_SPREAD)
    return Balance(**common, under=under, speed=speed.value, spread=relative, load=load)


def _ran(values: ReadingValues) -> Iterator[bool]:
    """Yield whether a reading says that the engine ran by itself as its mark says it."""
    if values.kind == "run_time" and values.run_time is not None:
        yield True
    if values.kind == "trial" and values.outcome in ("same", "longer"):
        yield False
    hot = values.kind == "free_turns" and values.warmth == "hot" and values.stood in (None, "closed")
    if hot and values.turns is not None and values.direction != "backward":
        yield False


def _ran_by_ticks(project: Project, entry: Entry, chain: Chain) -> Iterator[Ran]:
    for mark in chain.marks:
        stage = stage_of_mark(project, entry, mark)
        if stage is None or not (_RANK[stage.key] >= _RANK[FIRST_RUNNING] or stage.key == "coasts_hot"):
            continue
        text = _told(entry, mark, None, f"ticked: {stage.label}")
        yield Ran(mark=mark, entry=entry.key, text=text, ran=_RANK[stage.key] >= _RANK[FIRST_RUNNING])


def _shown_by_ticks(project: Project, entry: Entry, chain: Chain) -> Iterator[Shown]:
    both = {"binds", "turns_free"} <= set(entry.ticks)
    mark = entry.mark if entry.mark is not None else project.latest.number if len(project.marks) <= 1 else None
    if mark not in chain.marks:
        return
    for tick in entry.ticks:
        seen = SHOWN_BY_TICKS.get(tick)
        if seen is None or (both and seen.bench_test == "by_hand"):
            continue
        label = LABELS[tick]
        text = _told(entry, mark, None, f"ticked: {label}")
        yield Shown(mark=mark, entry=entry.key, text=text, observation=replace(seen, text=label))


def _newest(ran: list[Ran]) -> tuple[Ran, ...]:
    """Return of each mark what was seen last: before it ran it did not, and something was mended."""
    return tuple({fact.mark: fact for fact in ran}.values())


def _once(shown: list[Shown]) -> tuple[list[Shown], list[str]]:
    """Put repeats of one test at one visit together, and leave out what a later visit or a number says better.

    A word that was said anew replaces the one before, and so does a number that differs by more than both visits can:
    something was mended in between. Also returns in sentences what was left out.
    """
    groups: dict[tuple[int, str, str], list[Shown]] = {}
    for fact in shown:
        groups.setdefault((fact.mark, fact.entry, fact.observation.bench_test), []).append(fact)
    tests: dict[tuple[int, str], list[Shown]] = {}
    for (mark, _, test), facts in groups.items():
        tests.setdefault((mark, test), []).append(facts[-1] if len(facts) == 1 else _together(facts))
    counted: list[Shown] = []
    left_out: list[str] = []
    for (mark, test), visits in tests.items():
        numbers = {other for number, other in tests if number == mark}
        last = visits[-1]
        if not last.reading and any(better <= numbers for better in BETTER.get(test, ())):
            continue
        for visit in visits[:-1]:
            if _agree(visit.observation, last.observation):
                counted.append(visit)
            else:
                left_out.append(f"{visit.text}: found otherwise later on the same mark, and not counted.")
        counted.append(last)
    return counted, left_out


def _agree(one: Observation, other: Observation) -> bool:
    """Whether two visits can have found the same thing."""
    test = bench_test(one.bench_test)
    if test.words:
        return one.value == other.value
    if test.kind in (Kind.TEMPERATURE, Kind.ANGLE):
        apart, spread = one.value - other.value, math.hypot(one.spread, other.spread, test.least_noise, 3.0)
    else:
        if min(one.value, other.value) <= 0:
            return False
        apart = math.log(one.value / other.value)
        spread = math.hypot(one.spread / one.value, other.spread / other.value, 2**0.5 * test.noise, BETWEEN_VISITS)
    return abs(apart) < APART * spread


def _together(facts: list[Shown]) -> Shown:
    """Return one fact for several goes of one visit: the mean; its noise falls with their number, no more.

    Of words the last counts, and a reading before a tick.
    """
    last, many = facts[-1], len(facts)
    if bench_test(last.observation.bench_test).words:
        return next((fact for fact in reversed(facts) if fact.reading), last)
    mean = sum(fact.observation.value for fact in facts) / many
    spread = math.sqrt(sum(fact.observation.spread**2 for fact in facts)) / many
    return replace(last, observation=replace(last.observation, value=mean, spread=spread, goes=many))


def _told(entry: Entry, mark: int, reading: Reading | None, said: str = "") -> str:
    if reading is not None:
        kind = kind_of(reading.kind)
        texts = " ".join(dict.fromkeys(_texts(reading)))
        said = f"{kind.label if kind is not None else reading.kind}, {texts}".removesuffix(", ")
    return f"Mk {mark}{f', {entry.day}' if entry.day else ''}: {said}"


def _texts(reading: Reading) -> Iterator[str]:
    """Yield what a reading found, as typed."""
    kind = kind_of(reading.kind)
    typed = as_typed(reading)
    if typed or kind is None:
        yield typed
        return
    for name in kind.fields:
        if text := reading.texts.get(name, "").strip():
            yield text


__all__ = ["WITHOUT_AIR", "Balance", "Fact", "Facts", "Ran", "Shown", "facts_of"]
