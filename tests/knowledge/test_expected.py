"""What was to be expected at a reading, its own visit left out; and what the short cuts of learning miss."""

from __future__ import annotations

import numpy as np
import pytest

from model.knowledge.airs import start_of
from model.knowledge.expect import expected
from model.knowledge.facts import facts_of
from model.knowledge.gaps import gaps_with
from model.knowledge.latents import SHAFT, chain_of, first_numbers
from model.knowledge.learn import engines_of, in_order, learn
from model.knowledge.result import Expected
from model.prediction.result import Figure, Gap
from model.quantities.units import Kind
from model.running.operate import operate
from tests.knowledge.stories import FLAT, entry, project, speed

GRAMS = ("rim_weight", {"weight": "0.3 g +-0.03", "radius": "60 mm"})


def expected_at(rpm: float) -> Expected:
    trial = project(FLAT, entries=(entry("a", 1, GRAMS), entry("b", 1, speed(rpm, 0.02 * rpm))))
    (item,) = expected(trial, 1)
    return item


def test_what_was_to_be_expected_does_not_depend_on_what_was_read_at_that_visit() -> None:
    """The engines are drawn anew, or weighed back, which a few hundred tell to some per cent."""
    slow, fast = expected_at(150), expected_at(320)
    assert slow.value == pytest.approx(fast.value, rel=0.12)
    assert slow.high == pytest.approx(fast.high, rel=0.2)


def test_it_is_what_the_mark_had_shown_without_that_visit() -> None:
    trial = project(FLAT, entries=(entry("a", 1, GRAMS), entry("b", 1, speed(200, 4))))
    alone = learn(trial, 1, without=frozenset({"b"})).prediction.figures["free_running_speed"]
    item = expected_at(200)
    assert alone.value is not None and alone.high is not None
    assert item.value == pytest.approx(alone.value, rel=0.2)
    assert item.high == pytest.approx(alone.high, rel=0.2)


def test_beside_one_visit_alone_nothing_else_was_found() -> None:
    assert expected(project(FLAT, entries=(entry("b", 1, GRAMS, speed(200)),)), 1) == ()


def test_a_gap_is_told_against_both() -> None:
    def figure(value: float, half: float) -> Figure:
        return Figure(
            key="speed", label="Speed", kind=Kind.ROTATION, unit="rpm", value=value, low=value - half, high=value + half
        )

    gap = Gap(
        entry="a", reading="r0", mark=1, day="", quantity="speed", measured=figure(10, 3), predicted=figure(20, 8),
        gap=figure(-10, 9),
    )  # fmt: skip
    (both,) = gaps_with([gap], [Expected(entry="a", reading="r0", value=12.0, low=8.0, high=17.0)])
    assert both.predicted == gap.predicted and both.gap == gap.gap
    assert both.shown is not None and both.shown.value == 12.0
    assert both.shown_gap is not None and both.shown_gap.value == -2.0
    # 3-4-5 triangles of the halves: -2 - hypot(3, 5), -2 + hypot(3, 4)
    assert both.shown_gap.low == pytest.approx(-2 - 34**0.5) and both.shown_gap.high == pytest.approx(3.0)
    assert gaps_with([gap], []) == (gap,)


def test_the_air_of_engines_that_carry_the_figures_is_right_to_two_per_cent() -> None:
    """Two kinds of findings, for which no air of the first pool is enough: solved anew with twice the angles."""
    trial = project(FLAT, entries=(entry("a", 1, GRAMS), entry("b", 1, speed(200, 4))))
    chain = chain_of(trial, 1)
    facts = in_order(facts_of(trial, chain))
    engines = engines_of(chain, facts, 1)
    some = np.linspace(0, engines.size - 1, 12).astype(int)
    (fact,) = facts.balances
    names = [name for name in fact.under.values if name not in SHAFT]
    made = chain.sampled(1, lambda key: engines.draw(key)[some], under=fact.under, place=fact.place, names=names)
    made = made.changed(
        **{name: np.full(12, fact.under.values[name].value) for name in SHAFT if name in fact.under.values}
    )
    whole = operate(made, np.full((12, 1), fact.speed), angles=52, passes=2, start=start_of(chain.inputs[1]).operation)
    told = engines.airs.balances[0].at(fact.speed)[engines.air[some]]
    missed = np.abs(told / (whole.shaft[:, 0] / (2 * np.pi)) - 1)
    assert np.median(missed) < 0.01 and missed.max() < 0.03


def test_of_one_engine_in_ten_nothing_stays_but_what_was_typed() -> None:
    later = {**FLAT, "piston_throw": "4 mm"}
    chain = chain_of(project(FLAT, later), 2)
    draw = first_numbers(1, 2000)
    gone = chain.forgotten(2, draw)
    assert gone.mean() == pytest.approx(0.1, abs=0.02)
    for name, stays in (("displacer_bore", True), ("exchange_factor", False)):
        same = chain.number(2, name, draw) == chain.number(1, name, draw)
        assert same[~gone].all()
        assert same[gone].all() if stays else not same[gone].any()
