"""From a build to its plan: completed as for a prediction, then the solver's own volumes at every degree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from model.bench.evidence import Evidence
from model.drawing.plan import DEGREES, Plan
from model.fields import Build
from model.fields.vocabulary import CRANKED, rubber
from model.inputs.complete import complete_inputs, spare_height
from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.quantities.uncertain import How, Uncertain
from model.running.engine import Geometry, geometry
from model.running.samples import SampledInputs, central

EXACT = ("piston_beam", "displacer_beam", "piston_count", "piston_offset", "cylinder_angle")
"""Values that hold unless something else is written: one piston, in line, side by side."""
FREE = {
    "rocking": "The glass balls or the plug in the tube roll freely: where they are at an angle no field tells.",
    "ringbom": "The displacer is moved by the air, not by the crank: where it is at an angle no field tells.",
}
"""Why a layout without a crank on its displacer shows none."""
OF_DISPLACER = ("displacer_bore", "displacer_throw")
ONE_BORE = 0.2
"""How far the areas of piston and displacer may differ in a beta whose piston follows into the displacer's room, as in
`model.running.engine`."""


def plan_of(build: Build, evidence: Evidence | None = None) -> Plan:
    """Return the plan of a build, however little of it is known.

    Parameters
    ----------
    build : Build
        What is known of the engine. What lacks for a prediction and is no length (the heat source) is not missed.
    evidence : Evidence, optional
        What its readings tell.
    """
    free = build.layout in FREE
    whole = replace(build, layout="gamma") if free else build
    lacks = [name for name in complete_inputs(whole, evidence).missing if name != "heat_source"]
    if free:
        lacks = [name for name in lacks if name not in OF_DISPLACER]
    hidden = [*lacks, *(OF_DISPLACER if free else ()), *_following(whole, build, lacks)]
    whole = replace(whole, heat_source=whole.heat_source or "water", **_stand_ins(whole, hidden))  # type: ignore[arg-type]
    model_inputs = complete_inputs(whole, evidence)
    inputs = _as_it_fits(central(model_inputs.words, model_inputs.values), model_inputs, build)
    form = geometry(inputs, angles=DEGREES)
    first, second, between = _travels(inputs, form, model_inputs.layout)
    still = (0.0,) * DEGREES
    return Plan(
        layout=model_inputs.layout,
        words=model_inputs.words,
        values={name: float(column[0]) for name, column in inputs.values.items()},
        known=_known(build, evidence, model_inputs),
        missing=tuple(lacks),
        hidden=frozenset(hidden),
        left_out=_left_out(build),
        first=still if {"displacer_throw", "hot_throw"} & set(hidden) else first,
        second=still if "piston_throw" in hidden else second,
        between=between,
        volume_hot=tuple(form.volume_hot[0].tolist()),
        volume_cold=tuple(form.volume_cold[0].tolist()),
        volume_gap=float(form.volume_gap[0]),
        crank_angle=float(inputs["phase"][0]),
    )


def _stand_ins(build: Build, lacks: list[str]) -> dict[str, Uncertain]:
    """Return something in place of each length that lacks, by those that are there; what shows it is not drawn."""
    bore = build.diaphragm_rim if rubber(build) else build.piston_bore
    wide = build.displacer_bore.value if build.displacer_bore else 4 * bore.value if bore else 0.08
    small = bore.value if bore else wide / 4
    sizes = {
        "piston_bore": small,
        "diaphragm_rim": small,
        "displacer_bore": wide,
        "piston_throw": small / 4,
        "displacer_throw": wide / 10,
        "hot_bore": small,
        "hot_throw": small / 4,
    }
    return {name: Uncertain(value=sizes[name], how=How.GUESSED) for name in lacks}


def _following(whole: Build, build: Build, lacks: list[str]) -> list[str]:
    """Return the fields that would be taken to be as large as one that lacks."""
    alike = {"hot_bore": "piston_bore", "hot_throw": "piston_throw"} if whole.layout == "alpha" else {}
    if whole.layout == "beta":
        alike = {"displacer_bore": "diaphragm_rim" if rubber(whole) else "piston_bore"}
    return [name for name, other in alike.items() if other in lacks and getattr(build, name) is None]


def _as_it_fits(inputs: SampledInputs, model_inputs: ModelInputs, build: Build) -> SampledInputs:
    """Return the inputs with clearances below nil where displacer and stroke are larger than the cylinder inside.

    There is no prediction of such an engine; what is not typed of its two ends is shared between them.
    """
    values = model_inputs.values
    bore, across = values.get("displacer_bore"), build.displacer_diameter
    if bore and across and model_inputs.layout != "alpha" and across.value >= bore.value:
        inputs = inputs.changed(side_clearance=np.array([(bore.value - across.value) / 2]))
    if "chamber_height" not in values or "displacer_length" not in values or spare_height(values) > 0:
        return inputs
    spare = spare_height(values)
    hot, cold = build.end_clearance_hot, build.end_clearance_cold
    low = hot.value if hot else spare - cold.value if cold else spare / 2
    return inputs.changed(end_clearance_hot=np.array([low]), end_clearance_cold=np.array([spare - low]))


def _travels(inputs: SampledInputs, form: Geometry, layout: str) -> tuple[tuple[float, ...], ...]:
    """Return the travels that the solver's volumes are made of."""
    if layout == "alpha":
        hot, cold = form.pistons
        return _row(hot / form.area_hot[:, None]), _row(cold / form.area_cold[:, None]), ()
    first, second = form.moved / form.area_hot[:, None], form.pistons[0] / form.piston_area[:, None]
    between: tuple[float, ...] = ()
    if layout == "beta" and abs(float((form.piston_area / form.area_cold)[0]) - 1) < ONE_BORE:
        between = _row((form.volume_cold - inputs.column("dead_volume_cold")) / form.area_cold[:, None])
    return _row(first), _row(second), between


def _row(values: FloatArray) -> tuple[float, ...]:
    return tuple(values[0].tolist())


def _known(build: Build, evidence: Evidence | None, model_inputs: ModelInputs) -> frozenset[str]:
    """Return what was typed or measured, or follows from that alone."""
    known = {name for name in Build.__dataclass_fields__ if getattr(build, name) is not None}
    known |= set(evidence.values if evidence else ())
    if {"displacer_bore", "displacer_diameter"} <= known:
        known.add("side_clearance")
    if build.displacer_material == "steel_wool" and build.matrix_length is None and "displacer_length" in known:
        known.add("matrix_length")
    if {"chamber_height", "displacer_length", "displacer_throw"} <= known:
        ends = {"end_clearance_hot", "end_clearance_cold"}
        known |= ends if ends & known else set()
    return frozenset(known | {name for name in EXACT if name in model_inputs.values})


def _left_out(build: Build) -> tuple[str, ...]:
    """Return what an engine has and a section through it does not show."""
    told = [FREE[build.layout]] if build.layout in FREE else []
    if build.layout not in (*CRANKED, None):
        return tuple(told)
    if build.heater_tubes is not None or build.cooler_tubes is not None:
        told.append("Heater and cooler tubes are not drawn.")
    if build.post_count is not None and build.post_count.value > 0:
        told.append("Posts and screws are not drawn.")
    if build.piston_count is not None and build.piston_count.value > 1 and build.layout != "alpha":
        told.append(f"One of {build.piston_count.value:.0f} equal pistons is drawn.")
    if build.piston_beam is not None or build.displacer_beam is not None:
        told.append("The beam is not drawn: piston and crank pin each travel as far as they do.")
    return tuple(told)
