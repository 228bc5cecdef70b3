"""What stands together, what only helps together, and what reading would tell: on engines made up for it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from model.changes import aim, telling
from model.changes.advice import Solved, _only_together
from model.changes.present import Change, Edit
from model.changes.result import Effect, Option, Outcome
from model.physics.values import FloatArray
from model.quantities.ranges import Range
from tests.changes.test_published import COLD_FLAT, changed

MANY = 24
GRAMS, HALVES = np.geomspace(1.0, 30.0, MANY), np.random.default_rng(4).permutation(np.geomspace(1.0, 30.0, MANY))


def change(key: str) -> Change:
    return Change(key=key, words=key, make=lambda present: "", hours=1.0)


def solved(*keys: str, gain: FloatArray) -> Solved:
    candidate: Any = SimpleNamespace(parts=tuple(map(change, keys)), key="+".join(keys), edit=Edit(), hours=1.0)
    return Solved(candidate=candidate, then=SimpleNamespace(), gain=gain, chance=0.0)  # type: ignore[arg-type]


def test_what_parts_two_changes_goes_with_the_reading_that_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bearings gain by the friction, ice alike on every engine: grams on the rim tell; noise alone names nothing."""
    monkeypatch.setattr(telling, "_shown", lambda paired: {"friction": GRAMS, "leak": HALVES})
    paired: Any = SimpleNamespace()
    ice, bearings = np.full(MANY, 5.0), 0.5 * GRAMS
    assert "grams at the rim" in telling.told_apart(paired, [ice, bearings])
    assert "U-tube" in telling.told_apart(paired, [ice, 0.5 * HALVES])
    assert telling.told_apart(paired, [ice, ice]) == ""


@pytest.mark.parametrize(
    ("alone", "both", "one"),
    [((0.0, 1.0), 5.0, True), ((3.0, 2.0), 5.0, False), ((0.2, 4.0), 5.0, True), ((0.0, 5.0), 5.0, False)],
)
def test_a_pair_is_told_as_one_where_it_does_what_neither_does(
    alone: tuple[float, float], both: float, one: bool
) -> None:
    ones = {key: solved(key, gain=np.full(MANY, each)) for key, each in zip("ab", alone, strict=True)}
    assert _only_together(solved("a", "b", gain=np.full(MANY, both)), ones) is one


def test_with_more_compression_than_heat_a_shorter_throw_helps_and_a_longer_one_does_not() -> None:
    """A volume ratio above TH/TC forces the piston [Senft2007, bound of the ideal cycle]: 1.3 against 1.1 here."""
    over = {**COLD_FLAT, "piston_bore": "40 mm", "piston_throw": "6 mm", "cold_metal": "28 C", "hot_metal": "60 C"}
    _, shorter = changed(over, "piston_throw_shorter")
    _, longer = changed(over, "piston_throw_longer")
    assert shorter.helps > 0.6 > longer.helps


def way(key: str, hours: float, chance: float, reached: float) -> Any:
    candidate = SimpleNamespace(key=key, hours=hours, parts=tuple(map(change, key.split("+"))))
    return aim._Way(candidate=candidate, chance=chance, reached=reached)  # type: ignore[arg-type]


def told(monkeypatch: pytest.MonkeyPatch, *ways: Any) -> Any:
    effect = Effect(power=Range(middle=0, low=0, high=0), best_speed=None, free_speed=None, least_difference=None,
                    spare=Range(middle=0, low=0, high=0), runs=0, helps=0, sure=0)  # fmt: skip

    def option(paired: object, each: Any, group: int, least: object) -> Option:
        return Option(key=each.candidate.key, words=each.candidate.key, parts=(), texts={}, hours=each.candidate.hours,
                      needs="", caution="", source="", outcome=Outcome(solved=True), effect=effect)  # fmt: skip

    monkeypatch.setattr(aim, "solve", lambda paired, found: [SimpleNamespace(candidate=each) for each in found])
    monkeypatch.setattr(aim, "option_of", option)
    paired: Any = SimpleNamespace(engines=SimpleNamespace(mark=1))
    return aim._told(paired, aim.goal_of("20 mW"), 0.1, ways)


def test_an_aim_tells_the_least_work_first_or_by_how_much_nothing_reaches_it(monkeypatch: pytest.MonkeyPatch) -> None:
    made = told(monkeypatch, way("bearings", 3.0, 0.9, 25e-3), way("ice", 0.1, 0.6, 22e-3), way("ice+fan", 0.4, 0.9, 1))
    assert [option.key for option, _ in made.ways] == ["ice", "bearings"]  # with ice alone the pair is work for nothing
    assert made.sentence == "Least work: ice (6 min): 60 in 100."
    short = told(monkeypatch, way("bearings", 3.0, 0.2, 14e-3), way("ice", 0.1, 0.3, 15e-3))
    assert short.nearest is not None and short.nearest[0].key == "ice" and not short.ways
    assert "the middle of the engines is 5 mW away" in short.sentence
