"""From a reading or a tick to observations: what each test showed, as an engine of the model shows it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from model.bench.evidence import hose_of
from model.bench.reading import ReadingValues
from model.explain.diagnosis.bench_tests import FLICK
from model.explain.diagnosis.weights import Observation
from model.fields import fields_of, is_unknown
from model.fields.reading import CLOSED, OPENED, PISTON_OFF, UNLINKED
from model.quantities.constants import GRAVITY
from model.quantities.uncertain import Uncertain
from model.quantities.wheel import LEVELS_OUT, slowing_of_coast, slowing_of_turns
from model.record import Reading
from model.running.leak_down import HOSE

WORDS = {"no": 0.0, "weak": 1.0, "yes": 2.0, "random": 0.0, "same": 1.0}
OUTCOME = {"same": 0.0, "longer": 1.0, "ran": 2.0}
FLICK_UNKNOWN = 0.8
"""The same from turns alone: a flick is two turns a second give or take a half, and its speed counts squared."""
LONGER = 0.8
"""A coast is longer where its loss is below this share of the other's; common practice, no source."""
TICKS = {
    "bounces": Observation(bench_test="bounce", value=2.0),
    "coasts_hot": Observation(bench_test="coasts_hot", value=1.0),
    "binds": Observation(bench_test="by_hand", value=0.0),
    "turns_free": Observation(bench_test="by_hand", value=1.0),
    "favours": Observation(bench_test="favours", value=1.0),
    "hisses": Observation(bench_test="hisses", value=1.0),
    "rubs": Observation(bench_test="rubs", value=1.0),
    "cold_side_hot": Observation(bench_test="cold_side_hot", value=1.0),
}
"""What a tick of the diary says, where no reading says it better; how much a hand tells: common practice, no source."""
BETTER = {
    "coasts_hot": ({"free_hot", "free_cold"},),
    "by_hand": ({"rim_weight"}, {"free_open"}),
    "favours": ({"other_way"},),
    "hisses": ({"leak_down"},),
    "rubs": ({"rim_weight"}, {"free_open"}),
    "cold_side_hot": ({"cold_metal"},),
}
"""Findings with a number, each set of which says better what a tick says."""
IN_WORDS = {
    "free_turns": (("turns", "{} turns"), ("time", "in {}")),
    "rim_weight": (("weight", "{}"), ("radius", "at {}")),
    "rubber": (("weight", "{}"), ("travel", "over {}")),
    "piston_drop": (("fall", "{}"), ("time", "in {}"), ("weight", "with {}")),
    "leak_down": (("time", "{}"),),
    "swing_cold": (("swing", "{}"),),
    "swing_hot": (("swing", "{}"),),
    "crank_angle": (("angle", "{}"),),
    "displacer_travel": (("travel", "{}"),),
}
"""Fields that say what a reading found, by its kind, in words."""


def as_typed(reading: Reading) -> str:
    """Return what a reading found in the builder's own numbers; empty for a word, and where it is not told so."""
    fields = fields_of(ReadingValues)
    parts = []
    for name, words in IN_WORDS.get(reading.kind, ()):
        text = reading.texts.get(name, "").strip()
        if is_unknown(text):
            continue
        bare = text.replace(",", "").replace(".", "").isdecimal() and name != "turns"
        parts.append(words.format(f"{text} {fields[name].unit}" if bare else text.removesuffix("turns").strip()))
    return " ".join(parts)


def hot_coast(values: ReadingValues, *, cooled: bool) -> tuple[str, float] | None:
    """Return what a hot coast is compared with others as, and its loss; `cooled` as for `shown_by`."""
    if values.kind != "free_turns" or values.warmth != "hot" or values.stood not in (None, CLOSED):
        return None
    slowing = _slowing(values)
    if slowing is None:
        return None
    if not cooled:
        return "backward" if values.direction == "backward" else "forward", slowing.value
    tried = values.cold_side in ("ice", "jacket") and values.direction != "backward"
    return ("cooled", slowing.value) if tried else None


def compared(coasts: Mapping[str, float]) -> Iterator[Observation]:
    """Yield what hot coasts show beside one another, as `hot_coast` names them: the other way, or on ice."""
    for name, other in (("other_way", "backward"), ("ice", "cooled")):
        if other in coasts and "forward" in coasts:
            yield Observation(bench_test=name, value=float(coasts[other] < LONGER * coasts["forward"]))


def shown_by(values: ReadingValues, *, rim: float, hose_share: float, cooled: bool) -> list[Observation]:
    """Return what one reading shows in the tests of the shed.

    Parameters
    ----------
    values : ReadingValues
        What it says.
    rim : float
        Radius of the wheel, [m].
    hose_share : float
        Air that a U-tube adds, over that of the chamber, for its bore squared, [1/m^2].
    cooled : bool
        Whether it was cooled otherwise than the mark says.
    """
    kind = values.kind or ""
    if kind == "free_turns":
        return [] if cooled and values.stood in (None, CLOSED) else _of_coast(values)
    if kind == "trial" and values.trial and values.outcome:
        return [Observation(bench_test=values.trial, value=OUTCOME[values.outcome])]
    word = {"bounce": values.bounce, "stops": values.stops}.get(kind)
    if word is not None:
        return [Observation(bench_test=kind, value=WORDS[word])]
    seen = {"leak_down": values.time, "swing_cold": values.swing, "swing_hot": values.swing}.get(kind)
    if seen is not None:
        return [_of_u_tube(kind, seen, hose_of(values), hose_share)]
    number = {
        "crank_angle": values.angle,
        "displacer_travel": values.travel,
    }.get(kind)
    if number is not None:
        return [Observation(bench_test=kind, value=number.value, spread=number.spread)]
    if kind == "temperatures" and not cooled:
        both = (("hot_metal", values.hot_metal), ("cold_metal", values.cold_metal))
        return [Observation(bench_test=name, value=t.value, spread=t.spread) for name, t in both if t is not None]
    return _of_weights(values, rim)


def _of_u_tube(kind: str, seen: Uncertain, hose: Uncertain, hose_share: float) -> Observation:
    """Read a half-time or a swing as on the hose of which an ensemble tells; a leak's part in a swing is left out."""

    def factor(bore: float) -> float:
        """Swing on that hose over swing on this one; half-times the other way round."""
        longer = (1 + hose_share * bore**2) / (1 + hose_share * HOSE**2)
        return 1 / longer if kind == "leak_down" else longer

    best = factor(hose.value)
    doubt = abs(factor(hose.value + hose.spread) - factor(max(hose.value - hose.spread, 0.0))) / 2
    value, spread = seen.value * best, math.hypot(seen.spread * best, seen.value * doubt)
    return Observation(bench_test=kind, value=value, spread=spread)


def _of_weights(values: ReadingValues, rim: float) -> list[Observation]:
    """Read the tests that hang or press weights: grams on the rim, the rubber's push, the piston's drop."""
    weight, kind = values.weight, values.kind
    if weight is None or weight.value <= 0:
        return []
    if kind == "rim_weight" and values.radius is not None:
        scale = values.radius.value / rim
        return [Observation(bench_test="rim_weight", value=weight.value * scale, spread=weight.spread * scale)]
    if kind == "rubber" and values.travel is not None and values.travel.value > 0:
        return [Observation(bench_test="rubber", value=GRAVITY * weight.value / values.travel.value)]
    if kind == "piston_drop" and values.time is not None and values.fall is not None and values.fall.value > 0:
        fall = values.fall.value / values.time.value / (weight.value * GRAVITY)
        relative = math.hypot(values.time.spread / values.time.value, values.fall.spread / values.fall.value)
        return [Observation(bench_test="piston_drop", value=fall, spread=fall * relative)]
    return []


def _of_coast(values: ReadingValues) -> list[Observation]:
    """Read a coast; opened, the air is out of it, so that neither its way nor its warmth matters."""
    slowing = _slowing(values)
    name = {OPENED: "free_open", UNLINKED: "free_unlinked", PISTON_OFF: "free_piston"}.get(values.stood or CLOSED, "")
    if slowing is None or (not name and values.direction == "backward"):
        return []
    name = name or ("free_hot" if values.warmth == "hot" else "free_cold")
    counted = values.turns.value if values.turns is not None and values.time is None else None
    text = "" if counted is None else f"{counted:.0f} turn{'s' if counted > 1 else ''}, no time"
    return [Observation(bench_test=name, value=slowing.value, spread=slowing.spread, text=text)]


def _slowing(values: ReadingValues) -> Uncertain | None:
    """Return how fast the coast was lost, loss torque over moment of inertia, [rad/s^2]."""
    if values.turns is None or values.turns.value <= 0:
        return None
    turns = values.turns.value
    counted = values.turns.spread / turns
    if values.time is None:
        value = slowing_of_turns(speed=FLICK, turns=turns)
        return Uncertain(value=value, spread=value * math.hypot(counted, FLICK_UNKNOWN))
    value = slowing_of_coast(turns=turns, time=values.time.value)
    relative = math.hypot(counted, 2 * values.time.spread / values.time.value)
    return Uncertain(value=value, spread=value * math.hypot(relative, LEVELS_OUT))
