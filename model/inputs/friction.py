"""Friction at rest and drag with speed of an engine on which nobody measured them, as ranges.

What they rest on, as a mean pressure on the swept volume: flat drums lose 0 to 0.3 kPa at rest and 2 to 5 Pa more for
each rpm; a teaching beta of 60 mm bore 1 to 5 kPa and 41 Pa for each rpm, and by its cooling water, when it was driven,
some 20 kPa in all (`tests/reference`). A cup engine of 9.5 mm bore, 50 rpm and 39 K at least, must have lost some 4 kPa
if the model's gas work is right. The part that goes with the air's force is the field ``effectiveness``: plain pins of
a tenth to three tenths of the throw, 0.1 to 0.2, keep 3 to 19 % of it, a piston pressed aside by its rod 1 to 3 %.
Imports no numpy.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from model.quantities.constants import GRAVITY
from model.quantities.uncertain import How, Uncertain, between

WARM = 400.0
"""Hot metal up to which an engine is built of foam and plastic, and turns as slowly as on warm water, [K]; common
practice, no source."""
AT_REST = (8.0, 2500.0)
"""Friction at rest as a mean pressure on the piston's swept volume, [Pa]: graphite in glass on ball bearings, to lapped
metal and a bent wire in two holes. Flat drums and the cup engine mark the ends; common practice, no source."""
DISPLACER_AT_REST = (0.3, 3.0)
"""The same on the displacer's swept volume, for its gland, [Pa]; common practice, no source."""
RING = (1.0, 100.0)
"""Friction of a wide piston for each metre of its round, [N/m]: an oiled fit, standing; lying, its weight presses (60
mm, 0.25 kg, 0.15: 2 N/m; 130 mm, 2.5 kg: 9 N/m); two rings of 2 mm, 0.25 MPa, 0.1 [FederalMogul2008]."""
RINGED_FROM, RINGED_TO = 0.03, 0.06
"""Bores between which pistons cease to be lapped in and carry rings or oil, [m]; common practice, no
source."""
SEAL, SEALED_ROD = 150.0, 0.05
"""Friction of a rubber seal for each metre of its round, [N/m] (an O-ring squeezed by a tenth or two, 50 to 190; from
memory), and its rod's thickness over the displacer's bore: engines with rings seal the rod so, or not at all."""
BALL, PLAIN = 0.0015, 0.2
"""Coefficients of friction of a ball bearing and of a plain one, dry or badly oiled [-] (handbooks, from memory)."""
SHAFT = (0.1, 0.3)
"""Radius of the wheel's shaft over the throw [-]: 0.5 to 1.5 mm for 5 mm; common practice, no source."""
DRAG_TO_REST = (0.2, 4.0)
"""Drag over the middle of friction at rest, at the usual speed: 0.6 to 1.4 on flat drums, 4 on a teaching beta; ends
common practice, no source."""
RUBBER_LOSS = (0.03, 0.15)
"""Loss factor of natural rubber, without filler to filled with carbon black [Lindley1974]."""
PIN_SPEED, FLAME_SPEED, WARM_SPEED = 0.3, 40.0, 12.0
"""The usual speed: at most 0.3 m/s at the crank pin, 40 rad/s on a flame, 12 on warm water; common practice."""
_UNKNOWN = Uncertain(value=0.0, how=How.GUESSED)


def guess_friction(words: Mapping[str, str], v: dict[str, Uncertain], wide: float) -> None:
    """Put friction at rest and drag where nobody typed them; `wide`: bore of the displacer's cylinder, [m]."""
    swept = 2 * v["piston_throw"].value * piston_area(v)
    moved = 2 * v["displacer_throw"].value * math.pi / 4 * wide**2 if "displacer_throw" in v else swept
    low, high = (a * swept + b * moved for a, b in zip(AT_REST, DISPLACER_AT_REST, strict=True))
    ringed = _ringed(v)
    if ringed > 0:
        # a friction of f for each metre is 2 F/A = 8 f/D as a mean pressure
        bore = v["piston_bore"].value
        low, high = (max(x, ringed * 8 * f / bore * swept) for x, f in zip((low, high), RING, strict=True))
        if "displacer_throw" in v:
            high += ringed * SEAL * math.pi * SEALED_ROD * wide * 4 * v["displacer_throw"].value
    # the wheel's weight on its bearings; an engine with rings turns in balls or rollers
    weight = 2 * math.pi * GRAVITY * v["wheel_mass"].value * v["piston_throw"].value
    low += BALL * SHAFT[0] * weight
    high += (PLAIN - ringed * (PLAIN - BALL)) * SHAFT[1] * weight
    if "diaphragm_stiffness" in v:
        # a rubber keeps pi tan(delta) k (S/2)^2 of each turn, at any speed: a hand that turns it feels it as friction
        stiff, stroke = v["diaphragm_stiffness"].interval(), 2 * v["piston_throw"].value * v["piston_beam"].value
        low, high = (
            friction + math.pi * lost * k * (stroke / 2) ** 2
            for friction, lost, k in zip((low, high), RUBBER_LOSS, stiff, strict=True)
        )
    v.setdefault("friction_torque", between(low / (2 * math.pi), high / (2 * math.pi)))
    warm = words.get("heat_source") in ("water", "hand") or v.get("hot_metal", Uncertain(value=500.0)).value < WARM
    longest_throw = max(x.value for name, x in v.items() if name.endswith("_throw"))
    usual = min(WARM_SPEED if warm else FLAME_SPEED, PIN_SPEED / longest_throw)
    middle = v["friction_torque"].value / usual
    v.setdefault("speed_drag", between(DRAG_TO_REST[0] * middle, DRAG_TO_REST[1] * middle))


def _ringed(v: Mapping[str, Uncertain]) -> float:
    """Return how far a piston is of those with rings or oil, 0 to 1."""
    if "piston_bore" not in v or v.get("piston_clearance", _UNKNOWN).how is not How.GUESSED:
        return 0.0
    return min(max((v["piston_bore"].value - RINGED_FROM) / (RINGED_TO - RINGED_FROM), 0.0), 1.0)


def piston_area(values: Mapping[str, Uncertain]) -> float:
    """Return the area of the power pistons together, of a rubber that of its mean sweep, [m^2]."""
    count = values["piston_count"].value
    if "diaphragm_rim" in values:
        a, b = values["diaphragm_rim"].value, values["diaphragm_disc"].value
        return count * math.pi / 12 * (a * a + a * b + b * b)
    return count * math.pi / 4 * values["piston_bore"].value ** 2
