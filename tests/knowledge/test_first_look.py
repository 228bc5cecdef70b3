"""What a new finding says at once; how well is looked at in the long line (`tests/slow/test_first_look.py`)."""

from __future__ import annotations

import pytest

from model.knowledge.first_look import first_look
from model.knowledge.learn import learn
from tests.knowledge.stories import CAN, entry, project, speed

pytestmark = pytest.mark.usefixtures("few_drawn")
FIRST, SECOND = entry("a", 1, speed(70, 1.4)), entry("b", 1, speed(74, 1.5))


def test_a_new_finding_is_looked_at_with_the_engines_of_before_and_only_until_it_is_learnt() -> None:
    both, one = project(CAN, entries=(FIRST, SECOND)), project(CAN, entries=(FIRST,))
    assert first_look(both, 1) is None  # there are none
    learn(one, 1)
    look = first_look(both, 1)
    assert look is not None and look.first_look
    whole = learn(both, 1)
    assert look.readings == whole.readings and not whole.first_look
    assert first_look(both, 1) is None


def test_of_another_build_nothing_is_known() -> None:
    learn(project(CAN, entries=(FIRST,)), 1)
    heavier = {**CAN, "wheel_mass": "150 g +-2 measured"}
    assert first_look(project(heavier, entries=(FIRST, SECOND)), 1) is None
