"""What readings tell of an engine: friction, leak. Values with spread that take the place of guesses.

Only what was measured on the same mark counts; several readings of one thing are put together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from model.bench.spindown import friction_of
from model.fields import Build, fields_of, is_unknown, parse_build, parse_fields
from model.fields.reading import ReadingValues
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How, Uncertain, between
from model.record import Project

MOST_WATER = 9806.65
"""Swing that a U-tube of a metre shows, [Pa]: a metre of water, by its weight."""
AMBIENT = 0.2
"""Least relative standard uncertainty of friction from a weight and of a leak from a watch: what one evening differs
from the next; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What was measured on a mark, SI, by the name of the input it stands for."""

    values: Mapping[str, Uncertain] = field(default_factory=dict)
    told: Mapping[str, str] = field(default_factory=dict)
    """How each is known, in words."""
    hose: Uncertain | None = None
    """Bore of the U-tube on which a half-time was read, [m]."""


SPUN = "spin_down"
WORDS = {
    "friction_torque": "grams on the rim",
    "leak_half_time": "U-tube half-time",
    "piston_leak": "piston drop time",
    SPUN: "spin-down, opened",
}
"""Where a value comes from, in words."""


def evidence_of(project: Project, number: int, *, spun: bool = True) -> Evidence:
    """Collect the evidence of a mark's readings: grams on the rim, U-tube half-time, piston drop time, spin-downs.

    Parameters
    ----------
    project : Project
        The project.
    number : int
        The mark.
    spun : bool
        Whether an opened spin-down may stand for the friction. Grams on the rim come first: they need no wheel.
    """
    found: dict[str, list[Uncertain]] = {}
    hoses: list[Uncertain] = []
    build = parse_build(project.marks[number].build if number in project.marks else {}).build
    for _, reading in project.readings_of(number):
        values, _ = parse_fields(ReadingValues, {**reading.texts, "kind": reading.kind})
        named = _of_reading(values, build)
        if named is not None:
            found.setdefault(named[0], []).append(named[1])
            if named[0] == "leak_half_time":
                hoses.append(hose_of(values))
    told = {
        name: f"{WORDS[name]}, {len(items)} reading{'s' if len(items) > 1 else ''}" for name, items in found.items()
    }
    by_name = {name: together(items) for name, items in found.items()}
    friction, words = by_name.pop(SPUN, None), told.pop(SPUN, "")
    if friction is not None and spun and "friction_torque" not in by_name:
        by_name["friction_torque"], told["friction_torque"] = friction, words
    return Evidence(values=by_name, told=told, hose=_as_one(hoses))


def hose_of(values: ReadingValues) -> Uncertain:
    """Return the bore of the U-tube of a reading, [m]; nil for a sensor, which a swing beyond a metre of water had."""
    if values.hose is not None:
        return values.hose if values.hose.value > 0 else Uncertain(value=0.0)
    guess = fields_of(ReadingValues)["hose"].guess
    if guess is None or (values.swing is not None and values.swing.value > MOST_WATER):
        return Uncertain(value=0.0)
    return between(1e-3 * guess.low, 1e-3 * guess.high)


def _as_one(hoses: list[Uncertain]) -> Uncertain | None:
    """Return the hose that stands for several: a half-time grows with its bore squared, and half-times are averaged."""
    if len(hoses) < 2:
        return hoses[0] if hoses else None
    bore = math.sqrt(sum(hose.value**2 for hose in hoses) / len(hoses))
    return Uncertain(value=bore, spread=math.sqrt(sum(hose.spread**2 for hose in hoses)) / len(hoses))


LEFT_BEHIND = {"friction_torque": "Friction", "leak_half_time": "Leak", "piston_leak": "Leak"}
"""What a later mark does not take over, as one word."""

TYPED = {"Friction": ("friction_torque",), "Leak": ("leak_half_time", "piston_clearance")}
"""Fields of the build that say the same."""


def left_behind(project: Project, number: int) -> dict[str, int]:
    """Return what was measured on earlier marks and is neither measured nor typed on this one: a word, the latest mark.

    It is not taken over: a new mark was taken apart, and friction and leak are never the same after that (common
    practice, no source). Whoever knows better types it into its field.
    """
    texts = project.marks[number].build if number in project.marks else {}
    own = {LEFT_BEHIND[name] for name in evidence_of(project, number).values}
    own |= {word for word, names in TYPED.items() if not all(is_unknown(texts.get(name, "")) for name in names)}
    found: dict[str, int] = {}
    for earlier in sorted(n for n in project.marks if n < number):
        for name in evidence_of(project, earlier).values:
            if LEFT_BEHIND[name] not in own:
                found[LEFT_BEHIND[name]] = earlier
    return found


def _of_reading(values: ReadingValues, build: Build) -> tuple[str, Uncertain] | None:
    friction = friction_of(values, build)
    if friction is not None:
        return SPUN, friction
    weight, radius, time, fall = values.weight, values.radius, values.time, values.fall
    if values.kind == "rim_weight" and weight is not None and radius is not None:
        torque = weight.value * GRAVITY * radius.value
        return "friction_torque", _product(torque, weight, radius)
    if values.kind == "leak_down" and time is not None:
        return "leak_half_time", time
    if values.kind == "piston_drop" and weight is not None and time is not None and fall is not None:
        # pressure under the piston is m g/A and the flow A fall/time; A drops out but for A^2, put in by the model
        return "piston_leak", _product(fall.value / time.value / (weight.value * GRAVITY), fall, time, weight)
    return None


def _product(value: float, *parts: Uncertain) -> Uncertain:
    relative = math.sqrt(sum((p.spread / p.value) ** 2 for p in parts if p.value))
    return Uncertain(value=value, spread=abs(value) * relative, how=How.MEASURED)


def together(items: list[Uncertain]) -> Uncertain:
    """Put several readings of one thing together: mean, and the larger of their own spread and their scatter.

    Source: [JCGM100], 4.2 (scatter of the mean) and 5.1.2; never below `AMBIENT` of the value.
    """
    mean = sum(i.value for i in items) / len(items)
    own = math.sqrt(sum(i.spread**2 for i in items)) / len(items)
    scatter = 0.0
    if len(items) > 1:
        scatter = math.sqrt(sum((i.value - mean) ** 2 for i in items) / (len(items) - 1) / len(items))
    return Uncertain(value=mean, spread=max(own, scatter, AMBIENT * abs(mean)), how=How.MEASURED)
