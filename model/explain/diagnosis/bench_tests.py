"""The tests of the shed: how to do each, what it costs, what is needed, and its caution.

What an engine would show in each stands in `outcomes.py`; numbers are SI, words are the numbers of their place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from model.quantities.units import Kind
from model.quantities.wheel import turns_of_coast

FLICK = 2 * math.pi * 2.0
"""A flick by hand: two turns a second, [rad/s]. Flicks differ, so the loss is told from turns and time together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchTest:
    """One test of the shed."""

    key: str
    label: str
    how: str = ""
    """How to do it, in one line."""
    needs: str = ""
    """What is needed."""
    minutes: float = 0.0
    """Effort."""
    reading: str = ""
    """Kind of reading it is written down as; empty for what is only ticked."""
    kind: Kind | None = None
    """Kind of the number; None for words."""
    unit: str = ""
    words: tuple[str, ...] = ()
    """Words of the outcome, in the order of their numbers 0, 1, 2."""
    noise: float = 0.2
    """Relative standard uncertainty of one go, beyond what the reading says; common practice, no source."""
    least_noise: float = 0.0
    """Standard uncertainty that a temperature or an angle has beside that, [K] or [rad]; common practice, no source."""
    caution: str = ""
    """What can hurt; ``{off}`` stands for how the heat is ended (`caution_of`)."""
    sharp: bool = False
    """Whether it is not a usual one."""
    parts: tuple[str, ...] = ()
    """Keys of the observations that it yields, where these are several."""
    presets: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What it says by itself of the readings that it is written down as: kind -> field -> text."""
    locates: str = ""
    """Cause of which it tells the part that has it."""
    at: str = ""
    """The part that it tells apart."""

    @property
    def yields(self) -> tuple[str, ...]:
        """Keys of the observations that it yields."""
        return self.parts or (self.key,)


RULES = "Local rules and the advice of licensed people come first."
"""Stands beside the cautions that are not usual, and once behind all."""
HOT = "Hot metal burns; {off} as soon as it stalls or nothing moves."
VENT = (
    "Vent the chamber while it warms and cools, close it only for the swing: closed, it gains tens of kilopascals when "
    f"heated and sucks water onto hot metal when it cools. Fit a water trap. {RULES}"
)
HAND = "Gentle pressure by hand or breath only, never an air line or a pump; a plunger can shoot out. Vent it then."
SPIN = "By hand only: never spin it up with a drill, glued weights come off. Face out of the wheel's plane."
OPEN = f"Open it only when cold, {{off}}. {SPIN}"
GLUE = f"More heat: glue and solder soften before metal melts, linings smoke. Scald: boiling water tips over. {RULES}"
OFF = {
    **dict.fromkeys(("candle", "spirit", "gas"), "flame off"), "electric": "switch off", "sun": "cover the lens",
    "water": "lift it off the water", "hand": "take the hand away",
}  # fmt: skip
"""How the heat is ended, by its source."""


BENCH_TESTS: tuple[BenchTest, ...] = (
    BenchTest(key="other_way", label="Spin it the other way", how="Hot: flick it as hard each way, more than once.",
          needs="nothing", minutes=1, reading="trial", words=("no change", "coasts longer", "runs"), caution=HOT,
          presets={"trial": {"trial": "other_way"}}),
    BenchTest(key="bounce", label="Bounce", how="Cold: turn by hand to mid compression and let go.",
          needs="nothing", minutes=1, reading="bounce", words=("no", "weak", "yes"),
          presets={"bounce": {"warmth": "cold"}}),
    BenchTest(key="cold_flick", label="Free turns, cold, and where it stops",
          how="Cold, closed: flick it five times; count turns and time until it stops, and look at which angle.",
          needs="a stripe on the wheel, a watch", minutes=4, caution=SPIN, parts=("free_cold", "stops"),
          presets={"free_turns": {"warmth": "cold"}}),
    BenchTest(key="rim_weight", label="Grams on the rim",
          how="Chamber open, link on: hang weights on the rim until it just turns, mean of several angles.",
          needs="thread, small weights or tape, scale", minutes=4, reading="rim_weight", kind=Kind.MASS, unit="g",
          noise=0.25),
    BenchTest(key="piston_drop", label="Piston drop time",
          how="Port closed, cylinder upright: time the fall of the piston under its own weight.",
          needs="ruler, watch, scale", minutes=5, reading="piston_drop", kind=Kind.NUMBER, noise=0.3, caution=HAND),
    BenchTest(key="crank_angle", label="Crank angle", how="Photo along the shaft: which crank leads as you turn it?",
          needs="telephone", minutes=5, reading="crank_angle", kind=Kind.ANGLE, unit="deg", noise=0.0,
          least_noise=math.radians(8.0)),
    BenchTest(key="hot_flick", label="Free turns, hot, each way",
          how="Hot: flick it as hard each way, count turns and time until it stops; which way does it coast longer?",
          needs="heat, a stripe on the wheel, a watch", minutes=6, caution=f"{HOT} Never spin it up with a drill.",
          parts=("free_hot", "other_way"),
          presets={"free_turns": {"warmth": "hot"}, "trial": {"trial": "other_way"}}),
    BenchTest(key="displacer_travel", label="Displacer travel",
          how="Chamber open: measure the displacer's full stroke.",
          needs="ruler", minutes=6, reading="displacer_travel", kind=Kind.LENGTH, unit="mm", noise=0.05),
    BenchTest(key="rubber", label="Rubber's push",
          how="Link off, chamber open: grams on the disc over millimetres moved.",
          needs="small weights, ruler", minutes=6, reading="rubber", kind=Kind.STIFFNESS, unit="N/m", noise=0.25),
    BenchTest(key="free_open", label="Spin-down, opened",
          how="Cold, lid off or a joint open 1 mm, all linked: flick it, count turns and time until it stops.",
          needs="a stripe on the wheel, a watch", minutes=8, reading="free_turns", kind=Kind.NUMBER, noise=0.25,
          caution=OPEN, presets={"free_turns": {"warmth": "cold", "stood": "opened"}}),
    BenchTest(key="u_tube_cold", label="U-tube, cold: swing and half-time",
          how="U-tube on the chamber, cold. Piston held at one end: time until the level has halved. Then turn slowly "
          "by hand, one turn in about six seconds: highest and lowest level.",
          needs="1 m of 2 mm hose, water, a watch", minutes=10, caution=HAND, parts=("swing_cold", "leak_down")),
    BenchTest(key="temperatures", label="Hot and cold metal",
          how="Hot, after ten minutes: read both metals, a wire under a screw, or a gun on matt paint or tape.",
          needs="thermocouple or infra-red gun", minutes=12, reading="temperatures", caution=HOT,
          parts=("hot_metal", "cold_metal")),
    BenchTest(key="free_unlinked", label="Spin-down, displacer unlinked",
          how="Cold, opened, the displacer's rod off its crank: flick it, count turns and time until it stops.",
          needs="pliers, a stripe on the wheel, a watch", minutes=12, reading="free_turns", kind=Kind.NUMBER,
          noise=0.25, caution=OPEN, locates="friction", at="the displacer, its rod or gland",
          presets={"free_turns": {"warmth": "cold", "stood": "unlinked"}}),
    BenchTest(key="free_piston", label="Spin-down, piston unlinked",
          how="Cold, opened, the piston's rod off its crank: flick it, count turns and time until it stops.",
          needs="pliers, a stripe on the wheel, a watch", minutes=12, reading="free_turns", kind=Kind.NUMBER,
          noise=0.25, caution=OPEN, locates="friction", at="the piston and its cylinder",
          presets={"free_turns": {"warmth": "cold", "stood": "piston_off"}}),
    BenchTest(key="ice", label="Ice above, boiling water or flame below",
          how="Ice on the cold end, the hottest you have below; flick it both ways.", needs="ice, hot water",
          minutes=12, reading="trial", words=("no change", "coasts longer", "runs"),
          caution=f"{GLUE} Strip and dry the gland afterwards.", sharp=True, presets={"trial": {"trial": "ice"}}),
    BenchTest(key="swing_hot", label="U-tube, hot, displacer alone",
          how="Hot, piston unlinked and held at mid stroke: move the displacer slowly end to end, read both levels.",
          needs="heat, U-tube of 2 mm hose with a water trap", minutes=15, reading="swing_hot", kind=Kind.PRESSURE,
          unit="cm water", noise=0.15, caution=VENT, sharp=True),
    BenchTest(key="shorter_throw", label="Piston throw halved",
          how="Re-bend or move the pin to half the piston's throw.",
          needs="pliers", minutes=25, reading="trial", words=("no change", "coasts longer", "runs"), caution=HOT,
          presets={"trial": {"trial": "shorter_throw"}}),
)  # fmt: skip
"""Tests, cheapest first."""

SEEN = (
    BenchTest(key="free_cold", label="Free turns, cold", reading="free_turns", kind=Kind.NUMBER, noise=0.25),
    BenchTest(key="free_hot", label="Free turns, hot", reading="free_turns", kind=Kind.NUMBER, noise=0.25),
    BenchTest(key="stops", label="Where it stops", reading="stops", words=("anywhere", "same angle")),
    BenchTest(key="swing_cold", label="U-tube, cold, piston alone", reading="swing_cold", kind=Kind.PRESSURE,
          unit="cm water", noise=0.12),
    BenchTest(key="leak_down", label="U-tube half-time", reading="leak_down", kind=Kind.TIME, unit="s", noise=0.25),
    BenchTest(key="hot_metal", label="Hot metal", reading="temperatures", kind=Kind.TEMPERATURE, unit="C", noise=0.1,
          least_noise=4.0),
    BenchTest(key="cold_metal", label="Cold metal", reading="temperatures", kind=Kind.TEMPERATURE, unit="C", noise=0.1,
          least_noise=4.0),
    BenchTest(key="coasts_hot", label="Coasts longer hot than cold", words=("no", "yes")),
    BenchTest(key="by_hand", label="Turned by hand", words=("binds", "turns free")),
    BenchTest(key="favours", label="More free turns one way, hot", words=("no", "yes")),
    BenchTest(key="hisses", label="Hisses or blows", words=("no", "yes")),
    BenchTest(key="rubs", label="Rubs as it turns", words=("no", "yes")),
    BenchTest(key="cold_side_hot", label="Cold side too hot for a finger", words=("no", "yes")),
)  # fmt: skip
"""What is found in a test that yields several things, or ticked in the diary."""

BUILDERS_ORDER = (
    "other_way", "cold_flick", "rim_weight", "bounce", "swing_hot", "ice", "shorter_throw", "displacer_travel",
)  # fmt: skip
"""The fixed order of experienced builders: direction, free turning, bounce, displacer alone with heat, ice and boiling
water, shorter throw, displacer rebuilt. Common practice, no source."""

_BY_KEY = {item.key: item for item in (*BENCH_TESTS, *SEEN)}


def bench_test(key: str) -> BenchTest:
    """Return a test, or what is found beside one, by its key."""
    return _BY_KEY[key]


def caution_of(test: BenchTest, heat_source: str = "") -> str:
    """Return the caution of a test for an engine with this heat source; empty: not known.

    Examples
    --------
    >>> caution_of(bench_test("temperatures"), "water")
    'Hot metal burns; lift it off the water as soon as it stalls or nothing moves.'
    """
    return test.caution.replace("{off}", OFF.get(heat_source, "heat off"))


def small(label: str) -> str:
    """Write a label within a sentence: a small first letter, but for a U-tube.

    Examples
    --------
    >>> small("Bounce"), small("U-tube half-time")
    ('bounce', 'U-tube half-time')
    """
    return label if label[1:2] == "-" else label[:1].lower() + label[1:]


def coast(*, slowing: float, flick: float = FLICK) -> tuple[float, float]:
    """Return turns and time of a coast to rest from the speed of a flick.

    Parameters
    ----------
    slowing : float
        Loss torque over moment of inertia, [rad/s^2], held constant; infinite turns where it is not positive.
    flick : float
        Speed at the start, [rad/s].

    Notes
    -----
    Source: [KhurmiGupta2005], uniform retardation.
    """
    if slowing <= 0:
        return math.inf, math.inf
    return turns_of_coast(speed=flick, slowing=slowing), flick / slowing


__all__ = [
    "BENCH_TESTS",
    "BUILDERS_ORDER",
    "FLICK",
    "SEEN",
    "BenchTest",
    "bench_test",
    "caution_of",
    "coast",
    "small",
]
