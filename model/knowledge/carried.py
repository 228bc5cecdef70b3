"""What stays from one mark to the next: for each input, how much alike it is, as a correlation.

In the space of normal numbers z = r z_before + sqrt(1 - r^2) z_new, so that the spread of the input stays what it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from model.checks.touched import NOTHING_KEPT, RENEWS, likely_touched
from model.fields import is_unknown
from model.inputs.model_inputs import ModelInputs
from model.record import Project


class Kept(NamedTuple):
    """How much alike an input is on two marks that follow one another."""

    closed: float
    """The engine was not opened."""
    apart: float
    """It was taken apart and put together again."""
    renewed: float
    """The part itself is another, or was worked on."""


SAME = Kept(1.0, 1.0, 1.0)
KEPT: Mapping[str, Kept] = {
    # a friction guessed over a factor of ten is, taken apart, the same within a factor of 1.6 or so at two in three
    "friction_torque": Kept(0.97, 0.8, 0.5),
    "speed_drag": Kept(0.97, 0.9, 0.6),
    "leak_half_time": Kept(0.95, 0.8, 0.4),
    "piston_leak": Kept(0.95, 0.8, 0.4),
    "piston_clearance": Kept(1.0, 0.95, 0.4),
    "gland_clearance": Kept(1.0, 0.95, 0.4),
    "leak_offcentre": Kept(0.9, 0.5, 0.2),
    "diaphragm_stiffness": Kept(0.97, 0.9, 0.3),
    "end_clearance_hot": Kept(1.0, 0.9, 0.5),
    "end_clearance_cold": Kept(1.0, 0.9, 0.5),
    "displacer_offcentre": Kept(1.0, 0.5, 0.5),
    "contact_coefficient": Kept(0.9, 0.8, 0.5),
    "heat_released": Kept(0.9, 0.9, 0.5),
    "heat_caught": Kept(0.9, 0.8, 0.5),
    "source_temperature": Kept(0.8, 0.8, 0.5),
    "room_temperature": Kept(0.3, 0.3, 0.3),
    "room_pressure": Kept(0.5, 0.5, 0.5),
    "wheel_mass": Kept(1.0, 1.0, 0.2),
    "wheel_diameter": Kept(1.0, 1.0, 0.2),
}
"""Input -> how much it stays; what is not named stays as it is. The model's own factors are of the engine's kind, not
of its assembly, and stay. Common practice, no source; a trial over made-up histories stands in `tests/knowledge`."""


def touched_between(project: Project, before: int, number: int) -> frozenset[str]:
    """Return what was done from one mark to the next, as keys of `TOUCHES`: as ticked, else by what was changed."""
    ticked = {tick for entry in project.entries.values() if entry.mark == number for tick in entry.ticks}
    said = ticked & set(RENEWS)
    if said:
        return frozenset(said)
    return frozenset(likely_touched(project.marks[before].build, project.marks[number].build))


def changed_fields(project: Project, before: int, number: int) -> frozenset[str]:
    """Return the fields whose text differs between two marks."""
    old, new = (project.marks[n].build for n in (before, number))
    return frozenset(name for name in {*old, *new} if old.get(name, "").strip() != new.get(name, "").strip())


def kept_between(
    project: Project, before: int, number: int, inputs: tuple[ModelInputs, ModelInputs]
) -> Mapping[str, float]:
    """Return the correlation of every input on two marks that follow one another.

    A value that was typed, and stands there the same, is the same; typed anew, it has its own spread and knows nothing
    of the one before.
    """
    touched = touched_between(project, before, number)
    renewed = {name for key in touched for name in RENEWS[key]}
    changed = changed_fields(project, before, number)
    old, new = (project.marks[n].build for n in (before, number))
    apart = "not_opened" not in touched

    def alike(name: str) -> float:
        typed = not is_unknown(new.get(name, ""))
        if typed or not is_unknown(old.get(name, "")):
            return 0.0 if name in changed else 1.0
        if NOTHING_KEPT in touched:
            return 0.0
        row = KEPT.get(name, SAME)
        return row.renewed if name in renewed else row.apart if apart else row.closed

    return {name: alike(name) for name in inputs[1].values if name in inputs[0].values}


__all__ = ["KEPT", "Kept", "changed_fields", "kept_between", "touched_between"]
