"""A gap is told without its own visit: grams hung on the same evening are no part of what was predicted."""

from __future__ import annotations

from model.explain.gap import gaps
from tests.knowledge.stories import FLAT, entry, project, speed

GRAMS = ("rim_weight", {"weight": "0.05 g +-0.005", "radius": "60 mm"})


def test_grams_of_the_same_evening_do_not_move_the_prediction_that_its_speed_is_held_against() -> None:
    alone = gaps(project(FLAT, entries=(entry("a", 1, speed(280)),)), samples=1)[0]
    same = gaps(project(FLAT, entries=(entry("a", 1, speed(280), GRAMS),)), samples=1)[0]
    other = gaps(project(FLAT, entries=(entry("a", 1, speed(280)), entry("b", 1, GRAMS))), samples=1)[0]
    assert same.predicted.value == alone.predicted.value
    assert other.predicted.value != alone.predicted.value
