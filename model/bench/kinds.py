"""The kinds of reading, each declared once: what it asks for, how it is told and timed, and what it is evidence of.

To add a kind add a `ReadingKind` to `KINDS`; what it asks for that is no field yet goes to `model.fields.reading`, a
formula of its own to `model.bench.quantities`. Form, list, stopwatch, file, report, help and model read it here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from model.bench.quantities import Measured, brake_power, drop_leak, free_speed, half_time, rim_torque
from model.bench.spindown import friction_of
from model.fields import Build
from model.fields.field import Choice
from model.fields.reading import OPENED, PISTON_OFF, UNLINKED, ReadingFields
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind

DROP_MASS, DROP_FALL = 0.01, 0.01
"""A drop time is told for a piston of 10 g that falls 10 mm, [kg], [m]."""
Facts = tuple[tuple[str, str], ...]
"""Names of fields, each with the words in which its text is told, in the order told."""


class Mode(StrEnum):
    """How the time of a reading is taken."""

    TURNS = "turns"
    """Whole turns, from the first tap to the last."""
    COAST = "coast"
    """Turns until it stands still: from the first tap to Enter."""
    SPAN = "span"
    """A time alone: from the first tap to the second, or to Enter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandsFor:
    """The input of the model for which a reading stands in place of the guess."""

    name: str
    """Name of the input, as `model.inputs.complete` takes it."""
    value: Callable[[ReadingFields, Build], Uncertain | None]
    """Its value, SI; None where the reading does not tell it."""
    words: str
    """Where the value comes from, in words."""
    about: str
    """In one word what a later mark does not take over; empty where nobody misses it."""
    typed: tuple[str, ...]
    """Fields of the build that say the same: with one of them filled in nothing is missed."""
    comes_to: str
    """What the value is in words, with ``{}`` for it."""
    kind: Kind
    unit: str
    """Of what is said there."""
    said: Callable[[float], float] = lambda value: value
    """What is said there, SI, of the value; the relative spread of both is the same."""
    fallback: bool = False
    """Whether it counts only where no reading of another kind tells the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingKind(Choice):
    """One kind of reading; key, label and help as it is offered."""

    short: str
    """Its label in at most six letters, for the list."""
    fields: tuple[str, ...] = ()
    """Fields that it asks for, beside the conditions of every reading."""
    facts: Facts = ()
    """What it says; without them all that was filled in is told under its label."""
    timed: Mode | None = None
    """How its time is taken; None where it has none."""
    measures: Callable[[ReadingFields], Measured | None] | None = None
    """What it measured that a prediction can be held against."""
    wanted: str = ""
    """What it must say for that."""
    stands_for: StandsFor | None = None
    """What it is evidence of."""
    cold: bool = False
    """Whether it is taken of an engine that is cold."""
    runs: bool = False
    """Whether it can be taken of an engine that runs alone."""
    good_for: Callable[[ReadingFields], str] | None = None
    """What it is good for, until it has told that."""


PAIR = (
    "With a coast of the other kind, hot or cold, closed, turns and time each, it tells the work that the heat adds to "
    "a turn before the engine runs; with one opened, what the air takes. The wheel's mass and diameter have to be "
    "known."
)
OPEN_COAST = (
    "Opened, all linked, it measures the friction of the whole mechanism, and takes the place of the guess where "
    "turns, time, and the wheel's mass and diameter are known and no grams were hung on the rim."
)
PISTON_COAST = (
    "With the piston unlinked it is not the whole mechanism's friction and takes the place of no guess; beside a "
    "spin-down opened, all linked, it tells whether the piston has it."
)
UNLINKED_COAST = (
    "With the displacer unlinked it is not the whole mechanism's friction and takes the place of no guess; less a "
    "spin-down opened, all linked, it tells the displacer's, its rod and gland. Needs turns, time and the wheel."
)


def _of_coast(values: ReadingFields) -> str:
    if values.stood == PISTON_OFF:
        return PISTON_COAST
    if values.stood in (OPENED, UNLINKED):
        return OPEN_COAST if values.stood == OPENED else UNLINKED_COAST
    return "" if values.direction == "backward" else PAIR


_FRICTION, _LEAK = ("friction_torque",), ("leak_half_time", "piston_clearance")
_FRICTION_TOLD: dict[str, Any] = {"comes_to": "a friction of {}", "kind": Kind.TORQUE, "unit": "mN m"}
_TURNS = (("turns", "{}"), ("time", "in {}"))

KINDS: tuple[ReadingKind, ...] = (
    ReadingKind(
        key="speed", label="Speed, running free", help="turns counted by the watch, or a tachometer; no load",
        short="Speed", runs=True, fields=("turns", "time", "tachometer", "direction"),
        facts=(*_TURNS, ("tachometer", "{}")), timed=Mode.TURNS,
        measures=free_speed, wanted="turns and time, or the tachometer",
    ),
    ReadingKind(
        key="brake", label="Brake", help="two forces on a rope or band, its radius, and the speed at that moment",
        short="Brake", runs=True,
        fields=("force_tight", "force_slack", "radius", "turns", "time", "tachometer", "direction"),
        facts=(("force_tight", "{}"), ("force_slack", "less {}"), ("radius", "at {}"), ("tachometer", "{}"), *_TURNS),
        timed=Mode.TURNS, measures=brake_power,
        wanted="the larger force, the radius, and turns and time or the tachometer",
    ),
    ReadingKind(
        key="temperatures", label="Temperatures", help="metal and room, running or not", short="Metal",
        facts=(("hot_metal", "hot {}"), ("cold_metal", "cold {}"), ("room_temperature", "room {}")),
    ),
    ReadingKind(
        key="free_turns", label="Free turns after a flick", help="a spin-down: closed, opened, unlinked",
        short="Free", fields=("turns", "time", "warmth", "stood", "direction"),
        facts=(("turns", "{}"), ("stood", "{}"), ("warmth", "{}"), ("direction", "{}"), ("time", "in {}")),
        timed=Mode.COAST, good_for=_of_coast,
        stands_for=StandsFor(name="friction_torque", value=friction_of, words="spin-down, opened", about="Friction",
                             typed=_FRICTION, fallback=True, **_FRICTION_TOLD),
    ),
    ReadingKind(
        key="bounce", label="Bounce", help="does it spring back from mid compression", short="Bounce",
        fields=("bounce", "warmth"), facts=(("bounce", "springs back: {}"), ("warmth", "{}")),
    ),
    ReadingKind(
        key="piston_drop", label="Piston drop time", help="port closed, piston falls under its own weight",
        short="Drop", cold=True, fields=("time", "weight", "fall"),
        facts=(("fall", "{}"), ("time", "in {}"), ("weight", "{}")), timed=Mode.SPAN,
        stands_for=StandsFor(name="piston_leak", value=drop_leak, words="piston drop time", about="Leak", typed=_LEAK,
                             comes_to="a fall of 10 mm under 10 g in {}", kind=Kind.TIME, unit="s",
                             said=lambda leak: DROP_FALL / (leak * DROP_MASS * GRAVITY)),
    ),
    ReadingKind(
        key="leak_down", label="U-tube half-time", help="piston held, a small pressure, time until it halves",
        short="U-tube", cold=True, fields=("time", "hose"), facts=(("time", "half in {}"),), timed=Mode.SPAN,
        stands_for=StandsFor(name="leak_half_time", value=half_time, words="U-tube half-time", about="Leak",
                             typed=_LEAK, comes_to="a half-time of {}", kind=Kind.TIME, unit="s"),
    ),
    ReadingKind(
        key="rim_weight", label="Grams on the rim", help="chamber open: grams at the rim that just turn it",
        short="Rim", cold=True, fields=("radius", "weight"), facts=(("weight", "{}"), ("radius", "at {}")),
        stands_for=StandsFor(name="friction_torque", value=rim_torque, words="grams on the rim", about="Friction",
                             typed=_FRICTION, **_FRICTION_TOLD),
    ),
    ReadingKind(
        key="swing_cold", label="U-tube, cold, piston alone", help="cold, turned slowly by hand: pressure swing",
        short="U-tube", cold=True, fields=("swing", "hose"),
    ),
    ReadingKind(
        key="swing_hot", label="U-tube, hot, displacer alone", help="hot, piston held, displacer moved by hand",
        short="U-tube", fields=("swing", "hose"),
    ),
    ReadingKind(
        key="stops", label="Where it stops", help="the angle at which it stops, over ten flicks", short="Stops",
        fields=("stops",),
    ),
    ReadingKind(
        key="crank_angle", label="Crank angle seen", help="from a photo along the shaft, and which part leads",
        short="Angle", cold=True, fields=("angle",),
    ),
    ReadingKind(
        key="displacer_travel", label="Displacer travel seen", help="full stroke of the displacer, measured inside",
        short="Travel", cold=True, fields=("travel",),
    ),
    ReadingKind(
        key="rubber", label="Rubber's push", help="link off, chamber open: grams on the disc over travel",
        short="Rubber", cold=True, fields=("weight", "travel"),
    ),
    ReadingKind(
        key="run_time", label="Ran for", help="how long it ran by itself, on one mug of water or one lot of ice",
        short="Ran", fields=("run_time",), facts=(("run_time", "{}"),),
    ),
    ReadingKind(
        key="trial", label="Tried with a change", help="ice, the other way round, or a shorter piston throw",
        short="Tried", fields=("trial", "outcome"),
    ),
)  # fmt: skip
"""Kinds of reading in the order offered."""

_BY_KEY = {kind.key: kind for kind in KINDS}


def kind_of(key: str | None) -> ReadingKind | None:
    """Return a kind of reading by its key; None for one that is not known here."""
    return _BY_KEY.get(key or "")
