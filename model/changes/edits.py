"""From an edit of a build's fields to other inputs of the model: what is not edited stays the same part.

A guess goes with its part. A longer throw does not bring a heavier wheel or a longer displacer, as guesses made anew
would: everything that was guessed is held, then the edit is made, and what must follow it follows by a rule here.
Imports no numpy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from model.fields import Build, Parsed, fields_of, show
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.quantities.uncertain import Uncertain

LEAST_END = 0.05e-3
"""Least end clearance that is not a hit, [m]: that of the field."""
PISTONS_SHARE = 0.5
"""Share of the friction that grows with the piston's throw and bore: its own; common practice, no source."""
ENDS = ("end_clearance_hot", "end_clearance_cold")
_SOURCE = ("heat_released", "heat_caught", "source_temperature", "tealights", "lens_area", "hot_metal")
RELEASED: Mapping[str, tuple[str, ...]] = {
    "heat_source": _SOURCE,
    "tealights": ("heat_released",),
    "lens_area": ("heat_released",),
    "cold_side": ("cold_metal",),
    "post_count": ("posts",),
    "post_material": ("posts",),
    "post_diameter": ("posts",),
    "post_length": ("posts",),
    "side_clearance": ("displacer_diameter",),
    "displacer_bore": ("displacer_diameter",),
    "displacer_diameter": ("side_clearance",),
    "end_clearance_hot": ("chamber_height",),
    "end_clearance_cold": ("chamber_height",),
    "chamber_height": ENDS,
    "displacer_material": ("displacer_skin",),
    "altitude": ("room_pressure",),
    "regenerator": ("matrix_length", "matrix_diameter", "matrix_porosity", "matrix_wire"),
    "piston_kind": ("diaphragm_stiffness", "piston_clearance", "leak_half_time"),
}
"""Edited field -> fields that are worked out anew with it, unless they are edited too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """A build with an edit in it."""

    build: Build
    """With what was guessed held in it."""
    inputs: ModelInputs
    fields: frozenset[str]
    """What was edited."""
    in_the_way: tuple[str, ...] = ()
    """What cannot be, or hits, in sentences."""
    factors: Mapping[str, Uncertain] = field(default_factory=dict)
    """Input -> what it is multiplied by, for what no field says: friction that is halved, heat that a shroud keeps."""

    @property
    def can_be(self) -> bool:
        """Whether the model can say what it does."""
        return bool(self.inputs.values) and not self.inputs.missing and not self.in_the_way

    def without_metals(self) -> ModelInputs:
        """Return the inputs in which the temperature of no metal was measured: worked out from the heat."""
        return complete_inputs(replace(self.build, hot_metal=None, cold_metal=None))


def held(build: Build, inputs: ModelInputs) -> Build:
    """Return a build whose empty fields hold what they are taken as, so that an edit makes no other guess of them."""
    known: dict[str, Parsed] = {}
    for name in fields_of(Build):
        if getattr(build, name) is not None:
            continue
        if name in inputs.values:
            known[name] = inputs.values[name]
        elif inputs.words.get(name):
            known[name] = inputs.words[name]
    return replace(build, **known)  # type: ignore[arg-type]


def edited(build: Build, inputs: ModelInputs, edits: Mapping[str, Parsed | None]) -> Edited:
    """Return a build with some fields edited.

    Parameters
    ----------
    build : Build
        As typed.
    inputs : ModelInputs
        The same, complete.
    edits : mapping
        Field -> what it becomes; None: empty, to be guessed anew.
    """
    base = held(build, inputs)
    changed: dict[str, Parsed | None] = {
        name: None for one in edits for name in RELEASED.get(one, ()) if name not in edits
    }
    if "cold_side" in edits and "fins" in (base.cold_side, edits["cold_side"]):
        changed["cold_area"] = None
    changed |= edits
    hits = _follow(base, edits, changed)
    new = replace(base, **changed)  # type: ignore[arg-type]
    made = complete_inputs(new)
    wrong = [*hits, *(problem.message for problem in made.problems)]
    if made.missing:
        wrong.append(f"Still needed: {', '.join(made.labels.get(name, name) for name in made.missing)}.")
    return Edited(build=new, inputs=made, fields=frozenset(edits), in_the_way=tuple(dict.fromkeys(wrong)))


def texts_of(build: Build, change: Edited, own: Mapping[str, str]) -> dict[str, str]:
    """Return what is typed for an edit: its own texts, and those of typed fields that follow it or no longer hold.

    Parameters
    ----------
    build : Build
        As typed before.
    change : Edited
        The edit.
    own : mapping
        Field -> text of the edit itself.
    """
    texts = dict(own)
    for name, declared in fields_of(Build).items():
        old, new = getattr(build, name), getattr(change.build, name)
        if name not in texts and old is not None and new != old:
            texts[name] = "" if new is None else show(new, declared)
    return texts


def edits_between(old: Build, new: Build) -> dict[str, Parsed | None]:
    """Return the fields in which two builds differ, with what they become."""
    return {name: getattr(new, name) for name in fields_of(Build) if getattr(old, name) != getattr(new, name)}


def _follow(base: Build, edits: Mapping[str, Parsed | None], changed: dict[str, Parsed | None]) -> list[str]:
    """Put to the changed fields what follows an edit: clearances and friction; return what hits."""
    hits = _ends(base, edits, changed)
    friction = base.friction_torque
    if friction is not None and "friction_torque" not in edits:
        grows = 1.0
        for name in ("piston_throw", "piston_bore", "diaphragm_rim", "piston_count"):
            grows *= _ratio(base, edits, name)
        if grows != 1.0:
            changed["friction_torque"] = friction.scaled(1 - PISTONS_SHARE + PISTONS_SHARE * grows)
    if "diaphragm_rim" in edits and "diaphragm_disc" not in edits and base.diaphragm_disc is not None:
        changed["diaphragm_disc"] = base.diaphragm_disc.scaled(_ratio(base, edits, "diaphragm_rim"))
    return hits


def _ratio(base: Build, edits: Mapping[str, Parsed | None], name: str) -> float:
    old, new = getattr(base, name), edits.get(name)
    return new.value / old.value if isinstance(new, Uncertain) and isinstance(old, Uncertain) and old.value > 0 else 1.0


def _ends(base: Build, edits: Mapping[str, Parsed | None], changed: dict[str, Parsed | None]) -> list[str]:
    """Take from the end clearances what a longer stroke or displacer needs, as the chamber stays as high as it is."""
    needs = 0.0
    beam = base.displacer_beam.value if base.displacer_beam is not None else 1.0
    new_beam = edits.get("displacer_beam")
    old, new = base.displacer_throw, edits.get("displacer_throw", base.displacer_throw)
    if isinstance(old, Uncertain) and isinstance(new, Uncertain):
        to = new_beam.value if isinstance(new_beam, Uncertain) else beam
        needs += new.value * to - old.value * beam
    length = edits.get("displacer_length")
    if isinstance(length, Uncertain) and base.displacer_length is not None:
        needs += (length.value - base.displacer_length.value) / 2
    if needs == 0.0 or "chamber_height" in edits:
        return []
    hits = []
    for name in ENDS:
        clearance = getattr(base, name)
        if name in edits or clearance is None:
            continue
        left = clearance.value - needs
        if left < LEAST_END:
            end = name.removeprefix("end_clearance_")
            hits.append(f"The displacer hits the {end} end: {1e3 * (LEAST_END - left):.2g} mm more are needed there.")
        changed[name] = shifted(clearance, -needs, least=LEAST_END)
    return hits


def shifted(value: Uncertain, by: float, *, least: float) -> Uncertain:
    """Return a value moved by an exact amount; what would fall below the least is held there."""
    low, high = value.low, value.high
    return replace(
        value,
        value=max(value.value + by, least),
        low=None if low is None else max(low + by, least),
        high=None if high is None else max(high + by, 1.001 * least),
    )


__all__ = ["RELEASED", "Edited", "edited", "edits_between", "held", "texts_of"]
