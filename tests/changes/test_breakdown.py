"""The steps from the ideal turn to the shaft add up in every order, and a loss that was put in is found again."""

from __future__ import annotations

import numpy as np
import pytest

from model.changes.breakdown import TURNED_OFF, _counted, breakdowns
from model.changes.engines import FewEngines, few_engines
from model.changes.shapley import by_order, shares, subsets
from model.fields import parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.physics.values import FloatArray
from model.running.operate import operate
from model.running.samples import SampledInputs
from tests.knowledge.hidden import made, rim_reading
from tests.knowledge.stories import FLAT, entry, project, speed

SPEED = 12.0


def held(texts: object, *, size: int = 4) -> tuple[FewEngines, SampledInputs]:
    """Return a few engines of a drawing, the metals held where their heat balance has them."""
    engines = few_engines(project(texts), 1)  # type: ignore[arg-type]
    assert engines is not None
    few = engines.first(size)
    o = operate(few.sampled(), np.full((size, 1), SPEED), refined=False)
    return few, few.sampled().changed(hot_metal=o.hot_metal[:, 0], cold_metal=o.cold_metal[:, 0])


def test_the_glove_game_has_its_published_shares() -> None:
    """One left glove, two right ones, a pair is worth 1: 2/3 and 1/6 each [Shapley1953; example from memory]."""
    worth = {off: np.array([1.0 if "L" not in off and len(off) < 2 else 0.0]) for off in subsets(("L", "R", "r"))}
    found = {key: -float(mean[0]) for key, (mean, _) in shares(("L", "R", "r"), worth).items()}
    assert found == pytest.approx({"L": 2 / 3, "R": 1 / 6, "r": 1 / 6})


@pytest.mark.parametrize("start", STARTS, ids=lambda start: start.label)
def test_the_steps_add_up_to_rounding_for_every_engine_and_every_order(start: object) -> None:
    _, inputs = held(start.texts)  # type: ignore[attr-defined]
    counted = _counted(inputs, SPEED)
    exact = sum(counted.exact.values())
    taken = sum(mean for mean, _ in counted.shares.values())
    scale = np.abs(counted.ideal).max()
    np.testing.assert_allclose(counted.ideal - taken - exact, counted.predicted, atol=1e-12 * scale)
    orders = sum(rows for _, rows in counted.shares.values())
    # rows of one order stand at the same place for every loss, so that each order is summed by itself
    assert orders.shape[0] == 24
    work: dict[frozenset[str], FloatArray] = {}
    for off in subsets(TURNED_OFF):
        work[off] = np.array([float(len(off)) ** 2])
    for order, parts in by_order(TURNED_OFF, work).items():
        assert sum(float(part[0]) for part in parts) == pytest.approx(16.0), order


def test_with_every_loss_off_the_turn_is_the_isothermal_one() -> None:
    """The closed form of the ideal turn is the limit of the solved one: what is left of the rest is a thousandth."""
    from model.changes.breakdown import ANGLES, switched
    from model.running.engine import geometry
    from model.running.operate import leak_conductance

    _, inputs = held(STARTS[1].texts)
    spared = switched(inputs, frozenset(TURNED_OFF), leak_conductance(inputs, geometry(inputs, angles=16)))
    o = operate(spared, np.full((inputs.size, 1), SPEED), passes=1, angles=ANGLES)
    np.testing.assert_allclose((o.indicated + o.flow)[:, 0], o.isothermal[:, 0], rtol=5e-3)


@pytest.mark.parametrize(
    ("loss", "name", "times"),
    [("friction", "friction_torque", 3.0), ("drag", "speed_drag", 3.0), ("flow", "flow_factor", 5.0)],
)
def test_a_loss_that_was_put_in_is_found_to_the_watt(loss: str, name: str, times: float) -> None:
    """Exact: a mechanical loss some times as large takes so many times as much, and no other line moves."""
    _, inputs = held(STARTS[1].texts)
    sound, ill = (_counted(made, SPEED) for made in (inputs, inputs.changed(**{name: times * inputs[name]})))
    np.testing.assert_allclose(ill.exact[loss], times * sound.exact[loss], rtol=1e-9)
    for key in set(sound.exact) - {loss, "crank"}:  # the flow's work goes through the crank
        np.testing.assert_allclose(ill.exact[key], sound.exact[key], rtol=1e-9)


def test_a_hole_shows_as_a_leak_and_leaves_the_ideal_alone() -> None:
    _, inputs = held({**STARTS[0].texts, "leak_half_time": "30 s"})
    sound, ill = (
        _counted(made, SPEED) for made in (inputs, inputs.changed(leak_half_time=0.005 * inputs["leak_half_time"]))
    )
    np.testing.assert_allclose(ill.ideal, sound.ideal)
    grown = {key: (ill.shares[key][0] - sound.shares[key][0]).mean() for key in TURNED_OFF}
    assert max(grown, key=lambda key: grown[key]) == "leak" and grown["leak"] > 0


def test_a_free_running_reading_is_taken_apart_and_ends_at_nothing_left() -> None:
    one = next(breakdowns(project(FLAT, entries=(entry("a", 1, speed(150, 2)),)), 1))
    assert one.measured is not None and one.ideal is not None and one.predicted is not None
    assert one.measured.middle == 0 and one.verdict in ("agrees", "short", "better", "cannot tell")
    assert sum(line.power.middle for line in one.losses) == pytest.approx(one.ideal.middle, rel=1e-9)
    assert one.losses[-1].key == "unexplained" and one.drawn is None and one.sentence
    assert all(line.known in ("guessed", "drawn", "measured") for line in one.losses[:-1])


@pytest.mark.usefixtures("few_drawn")
def test_friction_put_into_a_hidden_engine_is_found_within_its_interval() -> None:
    """Three times the usual friction, weighed at the rim one evening; the speed of another is taken apart."""
    inputs = complete_inputs(parse_build(FLAT).build)
    usual = {name: value.value for name, value in inputs.values.items()}
    hidden = made(inputs, {**usual, "friction_torque": 3 * usual["friction_torque"]})
    visit = hidden.visit(np.random.default_rng(3))
    free, _ = visit.points()
    readings = (entry("a", 1, rim_reading(visit)), entry("b", 1, speed(free * 30 / np.pi, 1)))
    (one,) = breakdowns(project(FLAT, entries=readings), 1)
    (friction,) = [line for line in one.losses if line.key == "friction"]
    assert friction.power.low <= hidden.values["friction_torque"] * one.speed <= friction.power.high
    assert friction.known == "learned" and one.drawn is not None
