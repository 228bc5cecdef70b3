"""Why a mark does not run stands on what its chain has shown: counted once, and gone where it is taken back."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from model.explain.cache import Cache
from model.explain.diagnosis.diagnose import EARLIER, Diagnosis
from model.explain.diagnosis.ensemble import Ensemble
from model.knowledge import faulty, learn, not_running, redraw
from model.knowledge.allowances import allowances_of
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.knowledge.not_running import diagnose, divided
from model.record import Entry
from tests.knowledge.stories import FLAT, entry, project, speed

MADE: Cache[Ensemble] = Cache(20)
"""Ensembles of all these tests: each is made once."""


@pytest.fixture(autouse=True)
def _enough(few_drawn: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw few, but as many of the shafts as it takes to tell a bad friction: grams on the rim solve no air."""
    for module, name, value in (
        (learn, "AIRS", 64), (redraw, "AIRS", 64), (redraw, "SHAFTS", 5), (not_running, "_ENSEMBLES", MADE),
    ):  # fmt: skip
        monkeypatch.setattr(module, name, value)


LATER = {**FLAT, "piston_throw": "4 mm"}
HEAVIER = {**FLAT, "wheel_mass": "60 g"}
"""The next mark, whose wheel was changed and which was not opened."""
GRAM = ("rim_weight", {"weight": "1 g +-0.1", "radius": "60 mm"})
LITTLE = ("rim_weight", {"weight": "0.1 g +-0.01", "radius": "60 mm"})


def causes(*entries: Entry, build: Mapping[str, str] = HEAVIER) -> dict[str, float]:
    return {cause.key: cause.probability for cause in found(*entries, build=build).causes}


def found(*entries: Entry, build: Mapping[str, str] = HEAVIER) -> Diagnosis:
    return diagnose(project(FLAT, build, entries=entries), mark=2)


def test_friction_found_on_mk_1_and_not_touched_narrows_the_causes_of_mk_2() -> None:
    """A gram is thirty times what a flat engine needs, a tenth of one is usual: sure of the one, less of the other."""
    before, much, little = causes(), causes(entry("a", 1, GRAM)), causes(entry("a", 1, LITTLE))
    assert much["friction"] > 0.85 > before["friction"] > 1.5 * little["friction"]
    assert causes(entry("a", 1))["friction"] == before["friction"]


def test_what_was_taken_apart_since_is_known_less_well() -> None:
    closed, apart = (causes(entry("a", 1, GRAM), build=build)["friction"] for build in (HEAVIER, LATER))
    assert 0.5 < apart < closed


def test_what_moved_a_cause_before_is_named_and_counted() -> None:
    told = found(entry("a", 1, GRAM))
    assert [label for label, factor in told.causes[0].moved if factor > 10] == [EARLIER]
    assert told.observations == (f"{EARLIER}, Mk 1, 2026-11-20: Grams on the rim, 1 g +-0.1 at 60 mm",)
    more = found(entry("a", 1, GRAM, ("bounce", {"bounce": "no"}), ticks=("hisses",))).observations
    assert [text.startswith(f"{EARLIER}, Mk 1") for text in more] == [True, True, False]
    assert more[-1] == f"{EARLIER}: 1 more"


def test_no_reading_is_both_in_the_draw_and_in_the_weighing() -> None:
    """Grams of Mk 1, a run of Mk 2 and its tests afterwards: each stands on one side alone."""
    angle = ("crank_angle", {"angle": "80 deg"})
    trial = project(
        FLAT, HEAVIER,
        entries=(entry("a", 1, GRAM, angle, ticks=("rubs",)), entry("b", 2, speed(60)), entry("c", 2, LITTLE)),
    )  # fmt: skip
    chain = chain_of(trial, 2)
    facts = facts_of(trial, chain)
    weighing, before = divided(trial, chain, 2, facts)
    drawn = [fact.observation.bench_test for fact in before.shown]
    assert {seen.bench_test for seen in weighing} == {"crank_angle", "rim_weight"}
    assert "rim_weight" in drawn  # of Mk 1
    assert len(weighing) + len(before.shown) == len(facts.shown)
    assert [fact.mark for fact in before.balances] == [2]
    assert {fact.mark for fact in before.shown} == {1}


def test_the_angle_of_the_cranks_tells_the_same_of_the_next_mark_until_it_is_opened() -> None:
    angle = entry("a", 1, ("crank_angle", {"angle": "30 deg"}))
    assert causes(angle)["phase"] > 2 * causes()["phase"]
    assert "30 deg on Mk 1" in found(angle).observations[0]
    assert causes(angle, build=LATER)["phase"] < 1.5 * causes(build=LATER)["phase"]


def test_an_engine_that_ran_and_was_not_opened_is_suspected_outside() -> None:
    ran = causes(entry("a", 1, speed(60)))
    assert sum(ran[key] for key in ("heat", "cold", "wheel", "balance", "design")) > 0.6


def test_grams_of_mk_1_count_on_mk_2_where_its_builder_typed_a_friction_too() -> None:
    """A typed friction has no bad ones among those that are drawn: the grams weigh the faults that are put in, once."""
    typed, wider = (
        {**build, "friction_torque": "0.05 mN m"} for build in (FLAT, {**HEAVIER, "wheel_diameter": "240 mm"})
    )
    trial = project(typed, wider, entries=(entry("a", 1, GRAM),))
    chain = chain_of(trial, 2)
    (seen,), before = divided(trial, chain, 2, facts_of(trial, chain))
    assert (seen.bench_test, before.all) == ("rim_weight", ())
    assert seen.value == pytest.approx(0.5e-3)
    friction = {cause.key: cause.probability for cause in diagnose(trial, mark=2).causes}["friction"]
    assert friction > 0.85


def test_a_tick_of_mk_1_counts_as_one_of_mk_2_counts() -> None:
    assert causes(entry("a", 1, ticks=("binds",)))["friction"] > causes()["friction"]
    assert causes(entry("a", 2, ticks=("binds",)))["friction"] > causes()["friction"]


def test_a_finding_that_contradicts_what_was_found_before_is_named_as_typed() -> None:
    """A gram on Mk 1, two hundredths of one on Mk 2 that was not opened; taken apart it could be."""
    light = ("rim_weight", {"weight": "0.02 g", "radius": "60 mm"})
    told = found(entry("a", 1, GRAM), entry("b", 2, light)).contradictions
    assert [text.partition(",")[2].partition(",")[0].strip() for text in told] == ["0.02 g at 60 mm"]
    assert "found before" in told[0]
    assert not found(entry("a", 1, GRAM), entry("b", 2, GRAM)).contradictions


def test_a_density_is_told_from_what_was_drawn() -> None:
    """Half of what was drawn is sound and none of it bad: the ratio is two there, and the bad has to be put."""
    was, sound, bad = np.linspace(0, 2, 4000), np.linspace(0, 1, 4000), np.linspace(3, 4, 4000)
    made = faulty.Sorted(was, sound, bad)
    likely, _ = made.ratios(np.array([0.5, 1.5]))
    assert likely == pytest.approx([2.0, 0.0], abs=0.1)
    assert made.known < 0.05


def test_what_it_bears_is_held_against_the_friction_that_mk_1_has_shown() -> None:
    """A gram on the rim of Mk 1, not opened since: what Mk 2 has is far more than was guessed, and measured."""
    guessed, shown = (
        next(item for item in allowances_of(project(FLAT, HEAVIER, entries=entries), mark=2) if item.key == "friction")
        for entries in ((), (entry("a", 1, GRAM),))
    )
    assert (guessed.measured, shown.measured) == (False, True)
    assert guessed.has.value is not None
    assert shown.has.value is not None
    assert 0.3e-3 < shown.has.value < 1.5e-3
    assert shown.has.value > 5 * guessed.has.value
