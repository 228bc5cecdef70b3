"""Power of an engine that does not run: from a hot and a cold coast, and from the displacer's own pressure swing.

A closed engine turned by its wheel loses friction and what the air takes. Hot, the air gives back: the difference of
the two losses is indicated work, measured without the engine ever running. Cold and closed it works as a heat pump,
though, so the same difference is predicted by the model and compared, never the hot work alone.
"""

from __future__ import annotations

import numpy as np

from model.bench.evidence import hose_of
from model.bench.reading import ReadingValues, values_of
from model.cycle.isothermal import isothermal_pressure
from model.explain.as_drawn import AsDrawn
from model.explain.diagnosis.coasts import (
    ANGLES,
    COMPARABLE,
    UNLIKE,
    BeforeRunning,
    batch,
    coasted,
    figure,
    name_of,
    rubbing,
    torque_left,
    usable,
)
from model.explain.diagnosis.spindowns import spun_down
from model.fields import parse_build
from model.inputs.model_inputs import ModelInputs
from model.quantities.phrases import rpm_text
from model.quantities.units import Kind
from model.record import Project
from model.running import leak_down
from model.running.operate import operate
from model.running.points import inertia
from model.running.samples import drawn, normals

SLOW = 2 * np.pi / 6.0


def before_running(project: Project, *, mark: int, samples: int = 24, seed: int = 1) -> tuple[BeforeRunning, ...]:
    """Return what a mark's coasts and swings tell; of several readings the last of each kind counts.

    What each is held against leaves out all of its own visit.
    """
    build = parse_build(project.marks[mark].build if mark in project.marks else {}).build
    last: dict[str, tuple[tuple[str, str], ReadingValues]] = {}
    for entry, reading in project.readings_of(mark):
        values = values_of(reading)
        last[name_of(values)] = (entry.key, reading.key), values
    results: list[BeforeRunning | None] = []

    def under(place: tuple[str, str], values: ReadingValues) -> ModelInputs:
        return AsDrawn(project, mark, build=build, visit=place[0]).under(values)

    if "coast_hot" in last and "coast_cold" in last:
        place, hot = last["coast_hot"]
        model_inputs = under(place, hot)
        results.append(_work(model_inputs, place, hot, last["coast_cold"][1], samples, seed))
    if "swing_hot" in last:
        place, swing = last["swing_hot"]
        results.append(_felt(under(place, swing), place, swing, samples, seed))
    return (*(item for item in results if item is not None), *spun_down(project, build, mark, last, samples, seed))


def _work(
    model_inputs: ModelInputs,
    place: tuple[str, str],
    hot: ReadingValues,
    cold: ReadingValues,
    samples: int,
    seed: int,
) -> BeforeRunning | None:
    """Compare the difference in loss of a hot and a cold coast with the same difference by the model."""
    if not usable(model_inputs) or "wheel_mass" in model_inputs.assumed:
        return None
    inputs = batch(model_inputs, samples, seed)
    slowing, relative, speeds = zip(*(coasted(values) for values in (hot, cold)), strict=True)
    blur = np.concatenate([np.zeros((1, 2)), normals(seed, "coasts", 2 * samples).reshape(samples, 2)])
    moment = inertia(inputs)
    lost = moment[:, None] * np.array(slowing) * np.exp(blur * np.array(relative))
    measured = 2 * np.pi * (lost[:, 1] - lost[:, 0])
    by_model = [torque_left(inputs, speed, warm=warm) for speed, warm in zip(speeds, (True, False), strict=True)]
    predicted = 2 * np.pi * (by_model[0] - by_model[1])
    taken = torque_left(inputs, speeds[0], warm=False) + rubbing(inputs, speeds[0])
    indicated = measured + 2 * np.pi * taken
    label = "Work that heat adds to a turn"
    note = (
        f"Hot and cold coasts of {rpm_text(speeds[0])} and {rpm_text(speeds[1])} on average; "
        "cold and closed the engine pumps heat, which the prediction of the same difference contains."
    )
    if not COMPARABLE[0] < speeds[0] / speeds[1] < COMPARABLE[1]:
        note += f" {UNLIKE}"
    return BeforeRunning(
        key="work_of_heat",
        label=label,
        measured=figure("work_of_heat", label, Kind.ENERGY, "mJ", measured, "2 pi I (4 pi N/t^2 cold less hot)"),
        predicted=figure("work_of_heat", label, Kind.ENERGY, "mJ", predicted, "2 pi (torque hot less torque cold)"),
        gap=figure("gap", "Gap", Kind.ENERGY, "mJ", measured - predicted, "measured less predicted"),
        note=note,
        place=place,
        also=(
            figure("indicated_work", "Indicated work of a hot turn", Kind.ENERGY, "mJ", indicated,
                    "measured difference less what a cold turn takes (model)"),
            figure("indicated_power", f"Indicated power at {rpm_text(speeds[0])}", Kind.POWER, "mW",
                    indicated * speeds[0] / (2 * np.pi), "indicated work times turns a second"),
        ),
    )  # fmt: skip


def _felt(
    model_inputs: ModelInputs, place: tuple[str, str], reading: ReadingValues, samples: int, seed: int
) -> BeforeRunning | None:
    """Compare the displacer's swing with that of air at the metals' temperatures: how much of them the air feels."""
    if not usable(model_inputs) or model_inputs.layout == "alpha" or reading.swing is None:
        return None
    inputs = batch(model_inputs, samples, seed)
    slow = np.full((inputs.size, 1), SLOW)
    warm = operate(inputs, slow, angles=ANGLES, passes=2)
    held_still = inputs.changed(
        piston_throw=inputs["piston_throw"] * 1e-3,
        dead_volume_cold=inputs["dead_volume_cold"] + warm.geometry.swept_piston / 2,
        hot_metal=warm.hot_metal[:, 0],
        cold_metal=warm.cold_metal[:, 0],
    )
    done = operate(held_still, slow, angles=ANGLES, passes=1)
    hot, cold, form = held_still["hot_metal"], held_still["cold_metal"], done.geometry
    ideal = isothermal_pressure(
        volume_hot=form.volume_hot, volume_cold=form.volume_cold, volume_gap=form.volume_gap, temperature_hot=hot,
        temperature_cold=cold, temperature_gap=(hot - cold) / np.log(hot / cold), pressure_mean=inputs["room_pressure"],
    )  # fmt: skip
    closed = np.ptp(ideal, axis=1)
    blur = np.concatenate([[0.0], normals(seed, "swing", samples)])
    hose = {"hose": hose_of(reading)}
    bore = np.append(hose["hose"].value, drawn({}, hose, samples=samples, seed=seed + 1)["hose"])
    seen = leak_down.share_shown(held_still, form, done.leak[:, 0], speed=SLOW, bore=bore)
    measured = (reading.swing.value + reading.swing.spread * blur) / (seen * closed)
    predicted = np.ptp(done.pressure[:, 0], axis=-1) / closed
    label = "Share of the metals' difference that the air feels"
    return BeforeRunning(
        key="heat_felt",
        label=label,
        place=place,
        measured=figure("heat_felt", label, Kind.FRACTION, "%", measured, "swing over that of air as hot as the metal"),
        predicted=figure("heat_felt", label, Kind.FRACTION, "%", predicted, "the same by the model, leak and all"),
        gap=figure("gap", "Gap", Kind.FRACTION, "%", measured - predicted, "measured less predicted"),
        note="Displacer moved slowly by hand, piston held; a leak lowers it as well as air that is not heated.",
    )


__all__ = ["BeforeRunning", "before_running"]
