"""What ticks weigh, which test still tells something, which part has it, and how outcomes are said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from model.explain.diagnosis.allowances import NEAR, allowances
from model.explain.diagnosis.bench_tests import bench_test
from model.explain.diagnosis.causes import CAUSES
from model.explain.diagnosis.diagnose import SURE, _worth_doing, diagnosis_of
from model.explain.diagnosis.weights import Observation, posterior_weights, probabilities, ranked
from model.explain.diagnosis.wording import branches, stays_sure
from model.explain.symptoms import search
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.record import Entry, Mark, Project
from tests.diagnosis.builds import BUILDS, model_inputs
from tests.diagnosis.test_observations import CAN, ensemble, found

PLACE = {cause.key: number for number, cause in enumerate(CAUSES)}


def chance(cause: str, *seen: Observation) -> float:
    made = ensemble()
    return float(probabilities(made, posterior_weights(made, list(seen)))[PLACE[cause]])


def odds(probability: float) -> float:
    return probability / (1 - probability)


def test_a_tick_that_it_binds_moves_friction_and_one_that_it_turns_free_moves_it_the_other_way() -> None:
    binds, free = (found(ticks=(tick,))["by_hand"] for tick in ("binds", "turns_free"))
    before = chance("friction")
    assert chance("friction", binds) > 1.2 * before
    assert chance("friction", free) < before / 1.2


def test_a_tick_weighs_less_than_the_test_with_a_number() -> None:
    grams = float(np.median(ensemble().outcomes["rim_weight"][ensemble().cause == PLACE["friction"]]))
    by_number = odds(chance("friction", Observation(bench_test="rim_weight", value=grams, spread=0.1 * grams)))
    by_hand = odds(chance("friction", found(ticks=("binds",))["by_hand"]))
    assert odds(chance("friction")) < by_hand < by_number


def test_a_number_says_it_better_than_a_tick_and_ticks_that_exclude_each_other_say_nothing() -> None:
    assert "by_hand" not in found(("rim_weight", {"weight": "2 g", "radius": "30 mm"}), ticks=("binds",))
    assert "by_hand" not in found(ticks=("binds", "turns_free"))
    assert found(ticks=("binds",))["by_hand"].value == 0


def test_of_ticks_of_several_evenings_the_last_counts() -> None:
    entries = {key: Entry(key=key, mark=1, ticks=(tick,)) for key, tick in (("a", "binds"), ("b", "turns_free"))}
    project = Project(name="x", marks={1: Mark(number=1, build=BUILDS[CAN])}, entries=entries)
    (seen,) = facts_of(project, chain_of(project, 1)).shown
    assert (seen.observation.bench_test, seen.observation.value) == ("by_hand", 1.0)


def test_the_same_angle_each_time_points_to_balance_or_a_tight_spot_as_the_symptom_says() -> None:
    """The symptom: "the same angle each time is balance or a tight spot" (common practice, no source)."""
    assert "balance or a tight spot" in search("stops at the same angle")[0].meaning
    same = Observation(bench_test="stops", value=1.0)
    rise = {key: odds(chance(key, same)) / max(odds(chance(key)), 1e-9) for key in PLACE if chance(key) > 0}
    assert set(sorted(rise, key=lambda key: -rise[key])[:2]) == {"balance", "friction"}
    assert rise["phase"] < 1
    assert rise["leak"] < 1


def heavy() -> list[Observation]:
    """Friction nearly sure: six times what engines with friction usually need at the rim."""
    grams = float(np.quantile(ensemble().outcomes["rim_weight"], 0.98))
    return [Observation(bench_test="rim_weight", value=grams, spread=0.02 * grams)]


def test_with_a_cause_nearly_sure_tests_that_find_the_part_come_first_and_none_that_says_the_same_anyhow() -> None:
    diagnosis = diagnosis_of(ensemble(), heavy())
    assert diagnosis.causes[0].key == "friction"
    assert diagnosis.sure
    assert diagnosis.next is not None
    tests = (diagnosis.next, *diagnosis.others)
    assert {test.key for test in tests[:2]} == {"free_unlinked", "free_piston"}
    said = " ".join(branch.then for branch in diagnosis.next.branches)
    assert "it is at the" in said
    assert "somewhere else" in said
    weight = posterior_weights(ensemble(), heavy())
    for test in tests[2:]:
        parts = bench_test(test.key).yields
        assert not stays_sure(ensemble(), weight, parts, PLACE["friction"], SURE), test.key
    assert probabilities(ensemble(), weight).max() >= SURE


def test_a_piston_that_is_unlinked_is_a_finding_of_its_own() -> None:
    seen = found(("free_turns", {"turns": "6", "time": "4 s", "stood": "piston_off"}))
    assert set(seen) == {"free_piston"}
    assert seen["free_piston"].value == pytest.approx(4 * np.pi * 6 / 16, rel=1e-6)


@pytest.mark.parametrize(
    ("kind", "texts", "name", "said"),
    [
        ("free_turns", {"turns": "3", "time": "2.5", "warmth": "cold"}, "free_cold", "3 turns in 2.5 s"),
        ("free_turns", {"turns": "3 turns", "time": "2.5 s"}, "free_cold", "3 turns in 2.5 s"),
        ("rim_weight", {"weight": "2 g", "radius": "30 mm"}, "rim_weight", "2 g at 30 mm"),
        ("rubber", {"weight": "10", "travel": "2 mm"}, "rubber", "10 g over 2 mm"),
    ],
)
def test_what_was_found_is_quoted_as_it_was_typed(kind: str, texts: dict[str, str], name: str, said: str) -> None:
    assert found((kind, texts))[name].text == said


def test_a_contradiction_quotes_what_was_typed() -> None:
    light = found(
        ("rim_weight", {"weight": "0.05 g", "radius": "60 mm"}),
        ("free_turns", {"turns": "3", "time": "0.5", "stood": "opened"}),
    )
    told = diagnosis_of(ensemble(), list(light.values())).contradictions
    assert any("3 turns in 0.5 s" in text or "0.05 g at 60 mm" in text for text in told)
    assert not any("2 turns a second" in text for text in told)


def test_outcomes_of_a_test_that_finds_two_things_can_be_read_aloud() -> None:
    made = ensemble()
    said = [when for when, _ in branches(made, made.weight, ("free_hot", "other_way"))]
    assert said
    for when in said:
        assert when.startswith("it coasts ")
        assert " hot and " in when
        assert when.endswith("the other way")
        assert "free turns" not in when


def test_only_what_is_near_its_limit_is_called_tightest() -> None:
    for name in ("can, rubber", "beta"):
        tight = [item for item in allowances(model_inputs(name)) if item.tightest]
        assert all(item.margin < NEAR for item in tight)
    from model.fields import parse_build
    from model.inputs.complete import complete_inputs

    easy = {**BUILDS["flat cup"], "friction_torque": "0.01 mN m", "leak_half_time": "500 s", "hot_metal": "90 C",
            "cold_metal": "10 C", "phase": "90 deg +-1", "piston_throw": "3 mm"}  # fmt: skip
    made = allowances(complete_inputs(parse_build(easy).build))
    assert len(made) == 5
    assert not any(item.tightest for item in made)


def test_a_test_that_tells_nothing_is_not_offered() -> None:
    crowd = ensemble()
    flat = replace(crowd, outcomes={**crowd.outcomes, "bounce": np.ones(crowd.cause.size)})
    made = diagnosis_of(flat, [])
    told = [test.bits for test in (made.next, *made.others) if test is not None]
    assert told
    assert min(told) >= 0.01
    tests = _worth_doing(flat, flat.weight, ranked(flat, flat.weight, set()), set())
    assert "bounce" not in [test.key for test, _ in tests]
    assert "bounce" in [test.key for test, _ in ranked(flat, flat.weight, set())]


@pytest.mark.parametrize(
    ("tick", "cause"), [("hisses", "leak"), ("rubs", "friction"), ("cold_side_hot", "cold"), ("favours", "")]
)
def test_every_sign_that_is_ticked_is_a_finding_with_a_likelihood(tick: str, cause: str) -> None:
    seen = found(ticks=(tick,))[tick]
    assert seen.bench_test in ensemble().outcomes
    moved = [abs(chance(key, seen) - chance(key)) for key in PLACE]
    assert max(moved) > 0.003
    if cause:
        assert chance(cause, seen) > chance(cause)


def test_a_hiss_weighs_less_than_a_half_time_that_was_timed() -> None:
    times = ensemble().outcomes["leak_down"][ensemble().cause == PLACE["leak"]]
    timed = Observation(bench_test="leak_down", value=float(np.median(times)))
    assert chance("leak") < chance("leak", found(ticks=("hisses",))["hisses"]) < chance("leak", timed)
