"""What cannot be together though each text alone can: pairs of fields, pairs of ticks, a speed that no wheel stands.

A clash warns and explains; it blocks nothing and drops nothing. Two values clash where even the ends of what each may
be (the value and what stands behind its +-, or the ends of its range) cannot be: honest readings do not. Every pair is
one row of `PAIRS` or `EXCLUSIVE`; form, check and report read them here. Never imports numpy.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from model.bench.reading import ReadingValues, parsed
from model.checks.stage import TICKS
from model.errors import Problem
from model.fields import Build, Field, applies, fields_of, is_unknown, parse_fields, read_field, show
from model.quantities.uncertain import Shape, Uncertain
from model.record import Entry, Project, Reading

MOST_SPEED = 10_000 * 2 * math.pi / 60
"""Speed that no wheel of a home-built engine has, [rad/s]: the fastest disc drives turn so, and discs shatter there;
engines that breathe air of the room's pressure stay far below. Common practice, no source."""
HOTTEST = {"water": 373.15, "hand": 310.15}
"""What a source cannot exceed, [K]: water boils (101.3 kPa), a body's own warmth (from memory)."""
LUKEWARM = 15.0
"""How far above the room an engine is still called cold, [K]; common practice, no source."""
NEAR_ROOM = 0.25
"""Share of the way from the room to the water below which metal on it is doubted: the film of hot water or steam gives
a plate ten times what the air takes off it (100 against 10 W/(m^2 K)). Common practice, no source."""
PART_OF_PLATE = 0.2
"""Least share of the displacer's own area that a cooling surface is; common practice, no source."""
MOST_STRAIN = 3.0
"""Strain of a diaphragm's rubber beyond which its stroke is doubted; natural rubber breaks at 5 to 8 (from memory)."""
_CHILLED = ("ice", "jacket")
_CONDITIONS = ("room_temperature", "heat_source", "cold_side")
"""What a reading takes from its mark where it does not say it; temperatures of metal are of the reading alone."""

ReadValues = Mapping[str, Any]
"""Field name -> value (SI), word or None; of a reading its own, else its mark's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Fields (or ticks) that cannot be together."""

    names: tuple[str, ...]
    """Their keys, the doubted one first."""
    problem: Problem
    """What is said of it, at the doubted one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Fields that can contradict one another."""

    names: tuple[str, ...]
    """Their keys, the doubted one first: that has to be typed."""
    of: tuple[type, ...]
    """Where it is asked: builds, readings."""
    clash: Callable[[ReadValues], bool]
    """Whether they do, of a state in which the first has a value."""
    message: str
    """``{name}`` stands for label and value of a field."""
    remedy: str


def _lowest(value: Uncertain) -> float:
    flat = value.shape in (Shape.FLAT, Shape.LOG_FLAT) and value.low is not None
    return float(value.low) if flat and value.low is not None else value.value - 2 * value.spread


def _highest(value: Uncertain) -> float:
    flat = value.shape in (Shape.FLAT, Shape.LOG_FLAT) and value.high is not None
    return float(value.high) if flat and value.high is not None else value.value + 2 * value.spread


def _below(state: ReadValues, low: str, high: str) -> bool:
    """Whether one value is below another whatever both may be; not where one of them is not known."""
    return state[low] is not None and state[high] is not None and _highest(state[low]) < _lowest(state[high])


def _hotter_than_source(state: ReadValues) -> bool:
    most = HOTTEST.get(state["heat_source"] or "")
    return most is not None and _lowest(state["hot_metal"]) > most


def _far_from_water(state: ReadValues) -> bool:
    water, room = state["source_temperature"], state["room_temperature"]
    if state["heat_source"] != "water" or water is None:
        return False
    least = _lowest(room) + NEAR_ROOM * (_lowest(water) - _lowest(room))
    return _lowest(water) > _highest(room) and _highest(state["hot_metal"]) < least


def _small_surface(state: ReadValues) -> bool:
    wide = state["displacer_bore"]
    plate = math.pi / 4 * _lowest(wide) ** 2 if wide is not None else 0.0
    return state["layout"] != "alpha" and _highest(state["cold_area"]) < PART_OF_PLATE * plate


def _cold_but_hot(state: ReadValues) -> bool:
    return state["warmth"] == "cold" and _lowest(state["hot_metal"]) > _highest(state["room_temperature"]) + LUKEWARM


def _too_many_turns(state: ReadValues) -> bool:
    turns, time = state["turns"], state["time"]
    return time is not None and _lowest(turns) > MOST_SPEED / (2 * math.pi) * _highest(time)


def _beyond_rubber(state: ReadValues) -> bool:
    """Whether the free ring of a diaphragm, a flat sheet between rim and disc, has to stretch more than rubber does."""
    rim, disc, beam = state["diaphragm_rim"], state["diaphragm_disc"], state["piston_beam"]
    if rim is None or (disc is not None and disc.value >= rim.value):
        return False
    gap = (_highest(rim) - (max(_lowest(disc), 0.0) if disc is not None else 0.0)) / 2
    away = _lowest(state["piston_throw"]) * (_lowest(beam) if beam is not None else 1.0)
    return math.hypot(1.0, away / gap) - 1 > MOST_STRAIN


_TOO_FAST = "more than 10000 rpm, at which discs shatter; engines of this kind stay far below."

PAIRS: tuple[Pair, ...] = (
    Pair(
        names=("cold_metal", "room_temperature", "cold_side"),
        of=(Build, ReadingValues),
        clash=lambda s: s["cold_side"] not in _CHILLED and _below(s, "cold_metal", "room_temperature"),
        message="{cold_metal}: colder than {room_temperature}, and {cold_side} names nothing that is colder.",
        remedy="Read it again, or say under Cold side what cools it: ice or a water jacket.",
    ),
    Pair(
        names=("hot_metal", "room_temperature", "heat_source"),
        of=(Build, ReadingValues),
        clash=lambda s: bool(s["heated"]) and _below(s, "hot_metal", "room_temperature"),
        message="{hot_metal}: colder than {room_temperature}, though {heat_source} is given.",
        remedy="Read it again, and check that hot and cold are not exchanged.",
    ),
    Pair(
        names=("hot_metal", "cold_metal"),
        of=(ReadingValues,),
        clash=lambda s: _below(s, "hot_metal", "cold_metal"),
        message="{hot_metal}: colder than {cold_metal}.",
        remedy="Check that the two are not exchanged.",
    ),
    Pair(
        names=("hot_metal", "heat_source"),
        of=(Build, ReadingValues),
        clash=_hotter_than_source,
        message="{hot_metal}: hotter than {heat_source} can be.",
        remedy="Read it again (an infra-red gun errs on bare metal), or name another heat source.",
    ),
    Pair(
        names=("hot_metal", "source_temperature"),
        of=(Build,),
        clash=lambda s: s["heat_source"] in HOTTEST and _below(s, "source_temperature", "hot_metal"),
        message="{hot_metal}: hotter than {source_temperature}, which heats it.",
        remedy="Read both again at the same moment.",
    ),
    Pair(
        names=("hot_metal", "source_temperature", "room_temperature"),
        of=(Build,),
        clash=_far_from_water,
        message="{hot_metal}: hardly warmer than {room_temperature}, though it stands on {source_temperature}.",
        remedy="Read it while it runs, or check that hot and cold are not exchanged.",
    ),
    Pair(
        names=("cold_area", "displacer_bore"),
        of=(Build,),
        clash=_small_surface,
        message="{cold_area}: less than a fifth of the plate over {displacer_bore}.",
        remedy="Check the unit: it is the whole outer surface that gives off the heat.",
    ),
    Pair(
        names=("piston_throw", "diaphragm_rim", "diaphragm_disc"),
        of=(Build,),
        clash=_beyond_rubber,
        message="{piston_throw}: stretches the rubber between {diaphragm_rim} and {diaphragm_disc} by over 300 %, "
        "more than it stands for long.",
        remedy="Check the unit, and that it is half the stroke; else a wider rim or a smaller disc.",
    ),
    Pair(
        names=("hot_metal", "warmth", "room_temperature"),
        of=(ReadingValues,),
        clash=_cold_but_hot,
        message="{hot_metal}: far above {room_temperature}, though {warmth} is given.",
        remedy="Write hot, or empty Hot metal: it may be of another time.",
    ),
    Pair(
        names=("turns", "time"),
        of=(ReadingValues,),
        clash=_too_many_turns,
        message="{turns} in {time}: " + _TOO_FAST,
        remedy="Count again: spokes or two stripes double the count.",
    ),
    Pair(
        names=("tachometer",),
        of=(ReadingValues,),
        clash=lambda s: _lowest(s["tachometer"]) > MOST_SPEED,
        message="{tachometer}: " + _TOO_FAST,
        remedy="Measure again with one stripe, away from lamps that flicker.",
    ),
)
"""Every pair of fields that is looked at."""

_RUNNING = ("runs_ten", "runs_spent", "starts_always", "carries")
EXCLUSIVE: tuple[tuple[str, str], ...] = (("binds", "turns_free"), *(("binds", tick) for tick in _RUNNING))
"""Observations that exclude each other."""


def doubts_of_mark(project: Project, number: int) -> tuple[Doubt, ...]:
    """Return what cannot be together among the fields of a mark."""
    return _of_build(tuple(project.marks[number].build.items()), f"mark.{number}.build")


def doubts_of_reading(project: Project, entry: Entry, reading: Reading) -> tuple[Doubt, ...]:
    """Return what cannot be together in a reading; what it does not say of its conditions is its mark's."""
    mark = project.mark_of(entry, reading)
    build: Mapping[str, str] = project.marks[mark].build if mark is not None and mark in project.marks else {}
    conditions = tuple((name, build[name]) for name in _CONDITIONS if name in build)
    place = f"entry.{entry.key}.reading.{reading.key}"
    return _of_reading(reading.kind, tuple(reading.texts.items()), conditions, place)


def doubts_of_entry(entry: Entry) -> tuple[Doubt, ...]:
    """Return ticks of one entry that exclude each other."""
    labels = {choice.key: choice.label for choice in TICKS}
    return tuple(
        Doubt(
            names=pair,
            problem=Problem(
                where=f"entry.{entry.key}.ticks",
                value=pair[0],
                message=f"Seen: {labels[pair[0]]!r} and {labels[pair[1]]!r} are both ticked: which is it now?",
                remedy="Untick the one that is past; one entry for each state of the engine tells most.",
            ),
        )
        for pair in EXCLUSIVE
        if set(pair) <= set(entry.ticks)
    )


def has_doubted_speed(project: Project, entry: Entry, reading: Reading) -> bool:
    """Whether a reading is of a speed that cannot be: it sets no scale and is no best."""
    return any(clash.names[0] in ("turns", "tachometer") for clash in doubts_of_reading(project, entry, reading))


Texts = tuple[tuple[str, str], ...]


@lru_cache(maxsize=256)
def _of_build(texts: Texts, place: str) -> tuple[Doubt, ...]:
    build, _ = parse_fields(Build, dict(texts))
    state = _state(Build, build)
    state["heated"] = state["heat_source"] is not None
    return _doubts(Build, state, dict(texts), place)


@lru_cache(maxsize=4096)
def _of_reading(kind: str, texts: Texts, conditions: Texts, place: str) -> tuple[Doubt, ...]:
    texts_read = dict(texts)
    values, _ = parsed(kind, texts)
    of_mark, _ = parse_fields(Build, dict(conditions))
    own = _state(ReadingValues, values)
    state = dict(own)
    for name in _CONDITIONS:
        if state[name] is None:
            state[name] = getattr(of_mark, name)
    # an engine under ice that nobody heats yet may be colder than the room
    resting = own["heat_source"] is None and state["cold_side"] in _CHILLED
    state["heated"] = state["heat_source"] is not None and own["warmth"] != "cold" and not resting
    return _doubts(ReadingValues, state, texts_read, place)


def _state(holder: type, values: object) -> dict[str, Any]:
    return {name: getattr(values, name) if applies(f, values) else None for name, f in fields_of(holder).items()}


def _doubts(holder: type, state: dict[str, Any], texts: Mapping[str, str], place: str) -> tuple[Doubt, ...]:
    fields = fields_of(holder)
    room = fields_of(Build)["room_temperature"]
    taken = state["room_temperature"] is None
    if taken and room.guess:
        state["room_temperature"] = read_field(room, f"between {room.guess.low} and {room.guess.high}")
    problems = []
    for pair in PAIRS:
        first = pair.names[0]
        typed = texts.get(first, "")
        if holder not in pair.of or is_unknown(typed) or state[first] is None or not pair.clash(state):
            continue
        named = {name: _named(fields[name], state[name]) for name in pair.names}
        if taken and "room_temperature" in named:
            named["room_temperature"] += " (taken: none is typed)"
        problem = Problem(
            where=f"{place}.{first}", value=typed, message=pair.message.format(**named), remedy=pair.remedy
        )
        problems.append(Doubt(names=pair.names, problem=problem))
    return tuple(problems)


def _named(field: Field, value: Uncertain | str | None) -> str:
    """Return label and value of a field: ``Hot metal 20 C``, ``Cold side (empty)``."""
    label = field.label.split(",")[0]
    if value is None:
        return f"{label} (empty)"
    spread = not isinstance(value, str) and value.shape is not Shape.NORMAL
    return f"{label} {show(value, field, significant=6, spread=spread)}"
