"""How well engines of before tell a new finding, and a visit is let out again, against all drawn anew."""

from __future__ import annotations

import pytest

from model.knowledge.expect import expected
from model.knowledge.facts import facts_of
from model.knowledge.first_look import first_look
from model.knowledge.latents import chain_of
from model.knowledge.learn import in_order, learn
from model.knowledge.left_out import Left
from tests.knowledge.stories import CAN, FLAT, entry, project, speed

FIRST, SECOND = entry("a", 1, speed(70, 1.4)), entry("b", 1, speed(74, 1.5))


def test_it_says_nearly_what_learning_says_and_that_it_is_a_first_look() -> None:
    """Middles to a tenth, ends to a fifth: 72 airs tell no better."""
    both = project(CAN, entries=(FIRST, SECOND))
    learn(project(CAN, entries=(FIRST,)), 1)
    look = first_look(both, 1)
    assert look is not None
    whole = learn(both, 1)
    assert look.prediction.run_probability == pytest.approx(1.0, abs=0.03)
    for key in ("free_running_speed", "shaft_power"):
        rough, fine = look.prediction.figures[key], whole.prediction.figures[key]
        assert rough.value is not None and fine.value is not None
        assert rough.value == pytest.approx(fine.value, rel=0.12)
        assert rough.low == pytest.approx(fine.low, rel=0.25) and rough.high == pytest.approx(fine.high, rel=0.25)


def test_a_visit_that_is_let_out_again_leaves_what_the_others_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """By weighing back, by moving, and drawn anew: the speed to be expected to a tenth."""
    trial = project(FLAT, entries=(entry("a", 1, speed(150, 3)), entry("b", 1, speed(220, 4))))
    chain = chain_of(trial, 1)
    facts = facts_of(trial, chain)
    rest = facts_of(trial, chain, without=frozenset({"b"}))
    friction = []
    for ways in (("_weighed", "_moved", "_moved_far"), ("_moved", "_moved_far"), ()):
        for name in {"_weighed", "_moved", "_moved_far"} - set(ways):
            monkeypatch.setattr(Left, name, lambda *args: None)
        engines = Left(chain, facts, 1, seed=1)._without("b", in_order(rest), lambda share: None)
        values = chain.sampled(1, engines.draw, names=["friction_torque"])["friction_torque"]
        friction.append(float(sorted(values)[len(values) // 2]))
    assert friction[1] == pytest.approx(friction[2], rel=0.3)
    assert friction[0] == pytest.approx(friction[2], rel=0.3)
    assert expected(trial, 1)
