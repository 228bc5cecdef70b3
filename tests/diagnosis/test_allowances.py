"""Allowances: what is borne, against what is there, and whether an engine at its limit stands still."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from model.explain.diagnosis.allowances import NEAR, Allowance, allowances
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.knowledge.allowances import allowances_of
from model.quantities.uncertain import How, Uncertain
from model.record import Entry, Mark, Project, Reading
from model.running.needs import limits, limits_over
from model.running.operate import operate
from model.running.points import find_points
from model.running.samples import central, drawn
from tests.diagnosis.builds import BUILDS, model_inputs

SPEEDS = 2 * np.pi * np.geomspace(0.2, 12.0, 40)


def by_key(made: ModelInputs) -> dict[str, Allowance]:
    return {a.key: a for a in allowances(made)}


@cache
def of_build(name: str) -> dict[str, Allowance]:
    """Return the allowances of a build as it is."""
    return by_key(model_inputs(name))


def with_value(made: ModelInputs, **values: float) -> ModelInputs:
    changed = {name: Uncertain(value=value, how=How.MEASURED) for name, value in values.items()}
    return replace(made, values={**made.values, **changed})


def spare(made: ModelInputs) -> float:
    done = operate(central(made.words, made.values), SPEEDS[None])
    return float(find_points(done, reference=float(SPEEDS[5])).spare_torque[0])


@pytest.mark.parametrize("name", BUILDS)
def test_every_build_has_the_five_allowances_and_the_first_is_named_tightest_where_it_is_near(name: str) -> None:
    found = tuple(of_build(name).values())
    assert {a.key for a in found} == {"friction", "leak", "difference", "piston", "phase"}
    assert [a.tightest for a in found] == [found[0].margin < NEAR, False, False, False, False]
    for item in found:
        for figure in (item.bears, item.has):
            if figure.value is not None and figure.low is not None and figure.high is not None:
                assert figure.low <= figure.value <= figure.high
        assert 0 <= item.met <= 1


@pytest.mark.parametrize("name", ["can, rubber", "flat cup", "beta"])
def test_an_engine_with_more_friction_than_is_borne_stands_and_with_less_runs(name: str) -> None:
    """Five per cent either side of the limit; the limit's own grid of speeds and angles is good for about two."""
    made = model_inputs(name)
    borne = of_build(name)["friction"].bears.value
    assert borne is not None
    torque = borne * 9.80665 * made.values["wheel_diameter"].value / 2
    assert spare(with_value(made, friction_torque=0.95 * torque)) > 0
    assert spare(with_value(made, friction_torque=1.05 * torque)) < 0


@pytest.mark.parametrize("name", ["can, rubber", "beta"])
def test_the_friction_is_told_in_three_ways_that_agree(name: str) -> None:
    """Energy of a turn is 2 pi M, and I w^2/(4 pi M) turns from two turns a second [KhurmiGupta2005, from memory]."""
    made = model_inputs(name)
    friction = of_build(name)["friction"]
    also = {figure.key: figure for _, figure in friction.also}
    assert friction.bears.value is not None
    torque = friction.bears.value * 9.80665 * made.values["wheel_diameter"].value / 2
    assert also["friction_energy"].value == pytest.approx(2 * np.pi * torque, rel=1e-6)
    moment = 0.6 * made.values["wheel_mass"].value * (made.values["wheel_diameter"].value / 2) ** 2
    turns = moment * (4 * np.pi) ** 2 / (4 * np.pi * torque)
    assert also["friction_turns"].value == pytest.approx(turns, rel=1e-6)


def test_the_drop_time_is_borne_where_a_leak_is_and_a_piston_drops() -> None:
    """The same hole told otherwise: an engine that would not run without any leak bears none, and no drop time does.

    Rubber does not drop.
    """
    made = model_inputs("beta")
    runs, stands = of_build("beta")["leak"], by_key(with_value(made, friction_torque=1.0))["leak"]
    for item, borne in ((runs, True), (stands, False)):
        (drop,) = (figure for _, figure in item.also)
        assert (item.bears.value is not None) is borne
        assert (drop.value is not None) is borne
    assert of_build("can, rubber")["leak"].also == ()


def test_more_heat_bears_more_friction() -> None:
    cold, hot = (with_value(model_inputs("beta"), hot_metal=t, cold_metal=305.0) for t in (420.0, 560.0))
    less, more = (by_key(made)["friction"].bears.value for made in (cold, hot))
    assert less is not None
    assert more is not None
    assert more > 1.3 * less


def test_what_was_measured_is_told_as_measured() -> None:
    made = complete_inputs(parse_build(BUILDS["can, rubber, friction measured"]).build)
    found = by_key(made)
    assert found["friction"].measured
    assert not found["leak"].measured
    rim = made.values["wheel_diameter"].value / 2
    assert found["friction"].has.value == pytest.approx(0.8e-3 / 9.80665 / rim, rel=1e-6)


def test_limits_over_samples_are_those_of_each_engine_alone() -> None:
    made = model_inputs("can, rubber")
    inputs = drawn(made.words, made.values, samples=3, seed=4)
    speeds = np.repeat(SPEEDS[None], 3, axis=0)
    together = limits_over(inputs, operate(inputs, speeds), reference=float(SPEEDS[5]))
    for n in range(3):
        alone = inputs.changed(**{name: values[n : n + 1] for name, values in inputs.values.items()})
        alone = replace(alone, size=1)
        own = limits(alone, operate(alone, SPEEDS[None]), reference=float(SPEEDS[5]))
        # temperatures that are worked out stop a little apart when batches differ
        assert together.friction[n] == pytest.approx(own.friction, rel=1e-3)
        if own.difference is not None:
            assert together.difference[n] == pytest.approx(own.difference, rel=5e-3)


def test_a_build_that_is_not_complete_has_none() -> None:
    assert allowances(complete_inputs(parse_build({"layout": "gamma"}).build)) == ()


@pytest.mark.usefixtures("few_drawn")
def test_they_are_those_of_the_temperatures_that_were_read_last() -> None:
    """150 C and 40 C were read: the engine has 110 K whatever the mark says; a reading of metal is measured."""
    texts = [{"hot_metal": "90 C", "cold_metal": "40 C"}, {"hot_metal": "150 C", "cold_metal": "40 C"}]
    readings = {f"r{n}": Reading(key=f"r{n}", kind="temperatures", texts=t) for n, t in enumerate(texts)}
    entry = Entry(key="kaaaaa", mark=1, readings=readings)
    made = Project(name="x", marks={1: Mark(number=1, build=BUILDS["can, rubber"])}, entries={"kaaaaa": entry})
    difference = next(item for item in allowances_of(made, mark=1) if item.key == "difference")
    assert difference.has.value == pytest.approx(110.0, rel=1e-6)
