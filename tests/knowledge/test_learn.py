"""What a mark has shown: what readings narrow, what stays from mark to mark, and that nothing depends on their order.

Widths are those of a trial on samples of one engine (computed within the model; see `RESULTS.md`), factors told where
they are compared; the rest are exact limits.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.explain.outlook import outlook
from model.knowledge.learn import learn
from model.prediction.result import Prediction
from tests.knowledge.stories import CAN, FLAT, entry, project, speed

RPM = 60 / (2 * 3.141592653589793)


def _width(prediction: Prediction, key: str = "shaft_power") -> float:
    figure = prediction.figures[key]
    assert figure.low is not None and figure.high is not None
    return figure.high / figure.low


@pytest.fixture(scope="module")
def drawing() -> Prediction:
    return outlook(project(CAN), mark=1)


@pytest.fixture(scope="module")
def drawn_speed(drawing: Prediction) -> float:
    value = drawing.figures["free_running_speed"].value
    assert value is not None
    return value * RPM


def test_without_a_reading_what_it_has_shown_is_the_drawing(drawing: Prediction) -> None:
    known = learn(project(CAN), 1)
    same = known.prediction == drawing
    assert same
    assert not known.learned and not known.unknowns


def test_one_speed_to_three_per_cent_narrows_the_power_of_a_measured_can(
    drawing: Prediction, drawn_speed: float
) -> None:
    """High over low from about 3 to about 2; from 3.5 to 1.8 where neither model nor friction err (a trial)."""
    known = learn(project(CAN, entries=(entry("a", 1, speed(drawn_speed, 0.03 * drawn_speed)),)), 1)
    assert _width(drawing) > 2.8
    assert _width(known.prediction) < 2.2
    assert known.effective >= 200
    assert not set(drawing.figures) ^ set(known.prediction.figures)
    assert [r.text for r in known.readings] and not known.contradictions


def test_a_speed_known_to_half_a_per_cent_leaves_two_hundred_engines(drawn_speed: float) -> None:
    known = learn(project(FLAT, entries=(entry("a", 1, speed(280, 1.4)),)), 1)
    assert known.effective >= 200
    assert known.airs > 30


def test_the_order_of_typing_does_not_matter_and_a_deleted_reading_is_gone(drawn_speed: float) -> None:
    first, second = (
        entry("a", 1, speed(drawn_speed)),
        entry("b", 1, ("rim_weight", {"weight": "1.5 g", "radius": "60 mm"})),
    )
    same = learn(project(CAN, entries=(first, second)), 1) == learn(project(CAN, entries=(second, first)), 1)
    assert same
    gone = replace(second, readings={})
    alone = learn(project(CAN, entries=(first,)), 1)
    same = learn(project(CAN, entries=(first, gone)), 1) == alone
    assert same
    same = learn(project(CAN, entries=(first, second)), 1, without=frozenset({"b"})) == alone
    assert same


def test_grams_hung_on_one_mark_are_known_on_the_next() -> None:
    """Mk 1 needs one gram on the rim, far more than a flat engine should: Mk 2 is not promised as if nobody knew."""
    heavy = entry("a", 1, ("rim_weight", {"weight": "1 g +-0.1", "radius": "60 mm"}))
    lapped = {**FLAT, "piston_throw": "4 mm"}
    known = learn(project(FLAT, lapped, entries=(heavy,)), 2)
    drawn = outlook(project(FLAT, lapped, entries=(heavy,)), mark=2)
    promised, shown = drawn.run_probability, known.prediction.run_probability
    assert promised is not None and shown is not None
    assert shown < 0.9 < 0.92 < promised
    friction = next(u for u in known.unknowns if u.key == "friction_torque")
    assert friction.origin == "carried from Mk 1" and friction.since == "taken apart since"
    assert friction.after[0] > 2 * friction.before[0]


def test_a_friction_that_is_typed_on_the_next_mark_wins() -> None:
    heavy = entry("a", 1, ("rim_weight", {"weight": "1 g +-0.1", "radius": "60 mm"}))
    typed = {**FLAT, "piston_throw": "4 mm", "friction_torque": "0.03 mN m +-0.005 measured"}
    known = learn(project(FLAT, typed, entries=(heavy,)), 2)
    friction = next(u for u in known.unknowns if u.key == "friction_torque")
    assert friction.after[2] < 0.05e-3
    assert friction.origin == "typed as measured"


def test_the_ratio_of_two_marks_is_known_better_than_two_ranges_read_apart(drawn_speed: float) -> None:
    shorter = {**CAN, "piston_throw": "4 mm +-0.1 measured"}
    known = learn(project(CAN, shorter, entries=(entry("a", 1, speed(drawn_speed)),)), 2)
    before = learn(project(CAN, shorter, entries=(entry("a", 1, speed(drawn_speed)),)), 1)
    assert known.ratio is not None and known.ratio.power is not None
    middle, low, high = known.ratio.power
    assert 0.4 < middle < 0.95
    assert high / low < 0.8 * _width(known.prediction) * _width(before.prediction)
    assert "less power than Mk 1" in known.ratio.words


def test_a_speed_that_no_engine_keeps_is_named_as_typed_and_the_rest_goes_on(drawn_speed: float) -> None:
    known = learn(project(CAN, entries=(entry("a", 1, speed(5 * drawn_speed)),)), 1)
    assert known.contradictions and "rpm" in known.contradictions[0] and "typed" in known.contradictions[0]
    assert known.effective >= 200
    assert known.prediction.run_probability is not None


def test_a_friction_that_is_typed_exactly_is_no_unknown_and_no_fault(drawn_speed: float) -> None:
    exact = {**CAN, "friction_torque": "1 mN m +-0", "speed_drag": "0 mN m/rpm", "wheel_mass": "120 g +-0",
             "wheel_diameter": "120 mm +-0"}  # fmt: skip
    known = learn(project(exact, entries=(entry("a", 1, speed(drawn_speed)),)), 1)
    assert known.learned
    assert "friction_torque" not in {item.key for item in known.unknowns}
