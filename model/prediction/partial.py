"""What can still be computed of a build that cannot be: figures that rest on nothing which is in contradiction."""

from __future__ import annotations

import math

from model.cycle.isothermal import isothermal_pressure
from model.inputs.model_inputs import ModelInputs
from model.prediction.figures import figure
from model.prediction.result import Figure
from model.prediction.volume_figures import VOLUMES
from model.running.engine import Geometry, geometry
from model.running.samples import SampledInputs, central

ANGLES = 720
"""Angles of a turn: half a degree, so that the ends of a stroke are met closely enough."""
RODS = {"piston_rod": "piston_throw", "displacer_rod": "displacer_throw", "hot_rod": "hot_throw"}
"""Connecting rods and their throws."""


def partial_figures(model_inputs: ModelInputs) -> dict[str, Figure]:
    """Return the volumes and, where both metals are known, the closed form.

    A figure is left out where a field that it rests on is named in a contradiction: what is shown can be relied on.
    """
    wrong = {problem.where for problem in model_inputs.problems}
    inputs = central(model_inputs.words, model_inputs.values)
    # the motion is that of a sine where a rod is wrong; a displacer's rod takes hardly any volume
    mended = {rod: 100 * inputs[throw] for rod, throw in RODS.items() if rod in wrong}
    if "gland_rod" in wrong:
        mended["gland_rod"] = 0 * inputs["gland_rod"]
    inputs, wrong = inputs.changed(**mended), wrong - set(mended)
    form = geometry(inputs, angles=ANGLES)
    figures = {
        "swept_piston": float(form.swept_piston[0]),
        "swept_displacer": float(form.swept_hot[0]),
        "compression_ratio": _ratio(form),
        "isothermal_work": _closed_form(inputs, form),
    }
    return {
        key: figure(key, value, model_inputs)
        for key, value in figures.items()
        if value is not None and math.isfinite(value) and not wrong & set(VOLUMES[key].inputs)
    }


def _ratio(form: Geometry) -> float:
    total = form.volume_hot[0] + form.volume_cold[0] + form.volume_gap[0]
    return float(total.max() / total.min())


def _closed_form(inputs: SampledInputs, form: Geometry) -> float | None:
    """Work of a turn whose spaces have the metals' temperatures, [J]; None where these are not both known."""
    if "hot_metal" not in inputs or "cold_metal" not in inputs:
        return None
    hot, cold = inputs["hot_metal"], inputs["cold_metal"]
    if hot[0] <= cold[0]:
        return None
    pressure = isothermal_pressure(
        volume_hot=form.volume_hot,
        volume_cold=form.volume_cold,
        volume_gap=form.volume_gap,
        temperature_hot=hot,
        temperature_cold=cold,
        temperature_gap=(hot - cold) / math.log(hot[0] / cold[0]),
        pressure_mean=inputs["room_pressure"],
    )[0]
    total = form.volume_hot[0] + form.volume_cold[0]
    step = [*(total[1:] - total[:-1]), total[0] - total[-1]]
    middle = [*((pressure[1:] + pressure[:-1]) / 2), (pressure[0] + pressure[-1]) / 2]
    return float(sum(p * dv for p, dv in zip(middle, step, strict=True)))
