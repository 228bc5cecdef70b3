"""What was done to an engine between two marks, as ticked: what renews which inputs. Plain data, no numpy.

A tick of an entry of the new mark; without one, what was typed differently says whether the engine was taken apart.
"""

from __future__ import annotations

from collections.abc import Mapping

from model.fields.field import Choice

NOTHING_KEPT = "nothing_kept"
"""The tick with which what earlier marks showed is not taken over."""
TOUCHES = (
    Choice(key="not_opened", label="not opened", help="nothing that turns, slides or seals was touched"),
    Choice(key="taken_apart", label="taken apart", help="opened and put together again with the same parts"),
    Choice(key="new_rubber", label="new rubber", help="another diaphragm"),
    Choice(key="new_piston", label="piston lapped or new", help="another fit of piston and cylinder"),
    Choice(key="new_gland", label="gland or rod new", help="another fit of the displacer's rod in its guide"),
    Choice(key="sealed_again", label="sealed again", help="lid, joints or gland greased, glued or taped"),
    Choice(key="oiled", label="oiled or aligned", help="bearings, crank or guide oiled, bent or aligned"),
    Choice(key="new_wheel", label="wheel changed", help="another wheel, or weights on it"),
    Choice(key=NOTHING_KEPT, label="nothing carried over", help="what earlier marks showed is not taken over"),
)
"""What can be ticked of a mark that begins."""

_FIT = ("piston_clearance", "piston_leak", "leak_half_time", "leak_offcentre")
RENEWS: Mapping[str, tuple[str, ...]] = {
    "not_opened": (),
    "taken_apart": (),
    "new_rubber": ("diaphragm_stiffness", "leak_half_time", "friction_torque"),
    "new_piston": (*_FIT, "friction_torque", "speed_drag"),
    "new_gland": ("gland_clearance", "leak_half_time", "friction_torque", "speed_drag"),
    "sealed_again": ("leak_half_time",),
    "oiled": ("friction_torque", "speed_drag"),
    "new_wheel": ("wheel_mass", "wheel_diameter"),
    NOTHING_KEPT: (),
}
"""Tick -> inputs that are new with it, beyond what taking it apart does."""

_FITS = (
    ("new_rubber", ("diaphragm_", "rubber")),
    ("new_piston", ("piston_kind", "piston_bore", "piston_length", "piston_clearance")),
    ("new_gland", ("gland_",)),
    ("new_wheel", ("wheel_",)),
)
"""Tick -> how the names of the fields begin whose change tells of it."""
LEFT_CLOSED = (
    "wheel_", "heat_", "tealights", "source_temperature", "water_mass", "hot_metal", "cold_side", "ice_mass",
    "cold_area", "cold_metal", "room_", "altitude", "friction_torque", "speed_drag", "leak_half_time",
)  # fmt: skip
"""How the names of fields begin that can change without the engine being opened."""


def likely_touched(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[str, ...]:
    """Return the ticks that the fields which differ between two builds make likely.

    Examples
    --------
    >>> likely_touched({"wheel_mass": "20 g"}, {"wheel_mass": "46 g"})
    ('not_opened', 'new_wheel')
    >>> likely_touched({"diaphragm_rim": "38 mm"}, {"diaphragm_rim": "30 mm"})
    ('taken_apart', 'new_rubber')
    >>> likely_touched({}, {})
    ('taken_apart',)
    """
    changed = {name for name in {*before, *after} if before.get(name, "").strip() != after.get(name, "").strip()}
    closed = bool(changed) and all(name.startswith(LEFT_CLOSED) for name in changed)
    parts = (key for key, begins in _FITS if any(name.startswith(begins) for name in changed))
    return ("not_opened" if closed else "taken_apart", *parts)


__all__ = ["NOTHING_KEPT", "RENEWS", "TOUCHES", "likely_touched"]
