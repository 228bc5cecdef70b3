"""Ends that flex: they soften the swing, cost no work of their own, and stiff ones change nothing."""

from __future__ import annotations

import numpy as np
import pytest

from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.running.engine import geometry
from model.running.flexing import SOFTEST, compliances
from model.running.operate import Operation, operate
from model.running.samples import SampledInputs, central

FLAT = {**STARTS[1].texts, "room_temperature": "20 C"}
CAN = {**STARTS[0].texts, "room_temperature": "20 C"}
SPEEDS = np.array([[6.0, 12.0, 25.0]])


def inputs(texts: dict[str, str], thick: str | None = None) -> SampledInputs:
    ends = {} if thick is None else {"hot_end_thickness": thick, "cold_end_thickness": thick}
    found = complete_inputs(parse_build({**texts, **ends}).build)
    return central(found.words, found.values)


def run(texts: dict[str, str], thick: str | None = None) -> Operation:
    return operate(inputs(texts, thick), SPEEDS)


def swing(operation: Operation) -> np.ndarray:
    return np.ptp(operation.pressure[0], axis=-1)


@pytest.mark.parametrize("texts", [FLAT, CAN], ids=["flat", "can"])
def test_thicker_ends_swing_more_up_to_those_that_are_stiff(texts: dict[str, str]) -> None:
    swings = np.array([swing(run(texts, f"{t} mm")) for t in (0.1, 0.2, 0.5, 1, 2, 5)])
    assert (np.diff(swings, axis=0) > 0).all()
    stiff = inputs(texts, "5 mm")
    bare = SampledInputs(words=stiff.words, values={k: v for k, v in stiff.values.items() if "thickness" not in k}
                  | {k: stiff[k] for k in ("wall_thickness", "displacer_skin_thickness")}, size=1)  # fmt: skip
    np.testing.assert_allclose(swing(operate(stiff, SPEEDS)), swing(operate(bare, SPEEDS)), rtol=0.02)


def test_the_work_of_a_lossless_wall_is_nil_over_a_turn() -> None:
    """Heats less work, as everywhere in the model; no work hides in the plates."""
    for texts, thick in ((FLAT, "0.5 mm"), (FLAT, "1 mm"), (CAN, "0.2 mm")):
        state = run(texts, thick).state
        assert state.converged.all()
        rest = state.heat_hot + state.heat_cold - state.leak_enthalpy - state.work
        assert np.abs(rest).max() < 1e-6 * np.abs(state.heat_hot).max()


def test_swing_and_work_shrink_as_by_so_much_more_dead_volume() -> None:
    """To first order p C adds to the volume of the air, whatever its temperature: (V/(V + p C)) within a tenth.

    The air is between isothermal and adiabatic, so up to gamma p C counts.
    """
    stiff, soft = (operate(inputs(FLAT, thick).changed(soft_parts=np.zeros(1)), SPEEDS) for thick in ("5 mm", "1.2 mm"))
    form = geometry(soft.inputs, angles=64)
    hot, cold = compliances(soft.inputs, form, np.full((1, 1), 500.0))
    volume = float((form.volume_hot + form.volume_cold).mean() + form.volume_gap[0])
    given = float(soft.inputs["room_pressure"][0] * (hot + cold)[0, 0])
    assert 0.1 < given / volume < 1.0
    ratio = swing(soft) / swing(stiff)
    assert (ratio < 1.1 * volume / (volume + given)).all()
    assert (ratio > 0.9 * volume / (volume + 1.4 * given)).all()


def test_an_end_thin_as_paper_is_held_before_it_meets_the_displacer() -> None:
    """By how far it moves at the swing that was found, against the smallest hot space."""
    one = inputs(FLAT, "0.06 mm")
    form = geometry(one, angles=64)
    found = operate(one, SPEEDS)
    assert found.converged.all()
    hot, _ = compliances(one, form, np.full((1, 1), 30_000.0))
    assert (hot[0, 0] * swing(found) / 2 < SOFTEST * form.volume_hot.min()).all()


def test_an_empty_thickness_is_guessed_on_a_flat_engine_and_stiff_on_a_flame() -> None:
    """A can's bottom and lid are ribbed; common practice, no source."""
    assert "hot_end_thickness" in complete_inputs(parse_build(FLAT).build).assumed
    assert "hot_end_thickness" not in complete_inputs(parse_build(CAN).build).values
    glass = {**FLAT, "hot_end_material": "borosilicate"}
    assert "hot_end_thickness" not in complete_inputs(parse_build(glass).build).values


def test_a_beta_has_no_cold_end_that_flexes() -> None:
    found = complete_inputs(parse_build({**FLAT, "layout": "beta", "cold_end_thickness": "0.5 mm"}).build)
    assert "cold_end_thickness" not in found.values


def test_seals_and_foam_give_as_so_much_more_air() -> None:
    """A share s of the air's own p C leaves 1/(1 + s) to 1/(1 + gamma s) of the swing, and no work of its own."""
    thick = inputs(FLAT, "5 mm")
    none, some = (operate(thick.changed(soft_parts=np.array([share])), SPEEDS) for share in (0.0, 0.3))
    ratio = swing(some) / swing(none)
    assert (ratio < 1.05 / 1.3).all()
    assert (ratio > 0.95 / (1 + 1.4 * 0.3)).all()
    rest = some.state.heat_hot + some.state.heat_cold - some.state.leak_enthalpy - some.state.work
    assert np.abs(rest).max() < 1e-6 * np.abs(some.state.heat_hot).max()


def test_a_can_on_a_flame_has_no_soft_parts() -> None:
    assert "soft_parts" not in complete_inputs(parse_build(CAN).build).values
    assert "soft_parts" in complete_inputs(parse_build(FLAT).build).values


def test_a_rubber_that_balloons_softens_a_can_s_swing_by_a_few_to_some_tens_of_percent() -> None:
    """About a tenth of a can's air by hand: a ring 7 mm wide bulges 1 mm at 5 kPa, 0.4 ml of 330."""
    can = inputs(CAN)
    soft = swing(operate(can, SPEEDS))
    stiff = swing(operate(can.changed(rubber_stretch=np.array([1e9])), SPEEDS))
    assert (soft < 0.995 * stiff).all()
    assert (soft > 0.7 * stiff).all()
