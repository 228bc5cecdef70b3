"""What was done to an engine between two marks, as ticked: what renews which inputs. Plain data, no numpy.

A tick of an entry of the new mark; without one, what was typed differently says whether the engine was taken apart.
"""

from __future__ import annotations

from collections.abc import Mapping

from model.fields.field import Choice

TOUCHES = (
    Choice(key="not_opened", label="not opened", help="nothing that turns, slides or seals was touched"),
    Choice(key="taken_apart", label="taken apart", help="opened and put together again with the same parts"),
    Choice(key="new_rubber", label="new rubber", help="another diaphragm"),
    Choice(key="new_piston", label="piston lapped or new", help="another fit of piston and cylinder"),
    Choice(key="new_gland", label="gland or rod new", help="another fit of the displacer's rod in its guide"),
    Choice(key="sealed_again", label="sealed again", help="lid, joints or gland greased, glued or taped"),
    Choice(key="oiled", label="oiled or aligned", help="bearings, crank or guide oiled, bent or aligned"),
    Choice(key="new_wheel", label="wheel changed", help="another wheel, or weights on it"),
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
}
"""Tick -> inputs that are new with it, beyond what taking it apart does."""

__all__ = ["RENEWS", "TOUCHES"]
