"""A displacer's diameter, posts by number and size, tea-lights by number: what they come to, and what clashes."""

from __future__ import annotations

import math

import pytest

from model.fields import Build, fields_of, parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs

CAN = {
    "layout": "gamma",
    "piston_bore": "15 mm",
    "piston_throw": "5 mm",
    "displacer_bore": "70 mm",
    "displacer_throw": "10 mm",
    "heat_source": "candle",
}
POSTS = {"post_count": "6", "post_material": "nylon", "post_diameter": "4 mm", "post_length": "30 mm"}


def inputs(**texts: str) -> ModelInputs:
    return complete_inputs(parse_build({**CAN, **texts}).build)


@pytest.mark.parametrize("text", ["66 mm", "207.3 mm around"])
def test_a_displacers_diameter_gives_the_clearance_on_each_side(text: str) -> None:
    """(70 - 66)/2 mm; 66 mm is 207.3 mm round."""
    found = inputs(displacer_diameter=text)
    assert found.values["side_clearance"].value == pytest.approx(2e-3, rel=1e-2)
    assert found.assumed["side_clearance"].startswith("2 mm +-")
    assert not found.problems


def test_two_diameters_of_a_rule_know_the_clearance_to_a_fraction_of_a_millimetre() -> None:
    """0.3 mm each, added in squares (JCGM 100, 5.1.2), halved; it is never negative."""
    clearance = inputs(displacer_diameter="69.5 mm").values["side_clearance"]
    assert clearance.spread == pytest.approx(math.sqrt(2) * 0.3e-3 / 2)
    assert clearance.interval(0.998)[0] > 0
    measured = inputs(displacer_bore="70 mm +-0.1", displacer_diameter="66 mm +-0.1").values["side_clearance"]
    assert measured.spread == pytest.approx(math.sqrt(2) * 0.05e-3 / 2)


def test_a_clearance_that_agrees_with_the_diameter_stands_and_one_that_does_not_is_flagged_with_both_named() -> None:
    agreeing = inputs(displacer_diameter="66 mm", side_clearance="1.9 mm +-0.1")
    assert agreeing.values["side_clearance"].value == pytest.approx(1.9e-3)
    assert not agreeing.problems
    (problem,) = inputs(displacer_diameter="66 mm", side_clearance="1 mm").problems
    for name in ("displacer_diameter", "displacer_bore", "side_clearance"):
        assert fields_of(Build)[name].label in problem.message
    assert "66 mm" in problem.message and "2 mm" in problem.message and "1 mm" in problem.message


def test_a_displacer_wider_than_its_cylinder_is_flagged() -> None:
    (problem,) = inputs(displacer_diameter="72 mm").problems
    assert problem.where == "displacer_diameter"
    assert "70 mm" in problem.message


def test_posts_carry_conductivity_times_area_over_length() -> None:
    """Six nylon posts of 4 mm, 30 mm long: 6 x 0.25 W/(m K) (EN 12524) x 12.57 mm^2 / 30 mm = 0.63 mW/K."""
    found = inputs(**POSTS)
    assert found.values["posts"].value == pytest.approx(0.628e-3, rel=0.05)
    assert not found.problems


def test_steel_posts_carry_two_hundred_times_as_much_as_nylon_ones() -> None:
    """45 to 55 W/(m K) for plain steel (EN 12524: 50) against 0.25 for nylon."""
    steel, nylon = (inputs(**{**POSTS, "post_material": word}).values["posts"].value for word in ("steel", "nylon"))
    assert 160 < steel / nylon < 240


def test_no_posts_carry_nothing_and_a_number_alone_is_a_guess() -> None:
    assert inputs(post_count="0").values["posts"].value == 0
    alone = inputs(post_count="3").values["posts"]
    assert alone.spread > 0.2 * alone.value > 0


def test_a_thread_counts_as_its_stress_area() -> None:
    """ISO 898-1: M3 5.03 mm^2, M4 8.78 mm^2, M5 14.2 mm^2 (from memory); the help's diameters agree to 3 %."""
    field = fields_of(Build)["post_diameter"]
    for thread, area in (("M3", 5.03), ("M4", 8.78), ("M5", 14.2)):
        said = float(field.help.split(f"{thread} as ")[1].split(" mm")[0])
        assert math.pi / 4 * said**2 == pytest.approx(area, rel=0.03)


def test_a_conduction_that_contradicts_the_posts_is_flagged_with_both_named() -> None:
    assert not inputs(**POSTS, posts="0.7 mW/K").problems
    (problem,) = inputs(**POSTS, posts="0.1 W/K").problems
    for name in ("posts", "post_count"):
        assert fields_of(Build)[name].label in problem.message


@pytest.mark.parametrize("number", [1, 3])
def test_tea_lights_set_free_their_usual_power_each(number: int) -> None:
    """2.3 to 3.5 g of wax an hour at 43.5 kJ/g: 28 to 42 W each."""
    heat = inputs(tealights=str(number)).values["heat_released"]
    assert heat.low is not None and heat.high is not None
    assert heat.low == pytest.approx(number * 2.3 * 43.5e3 / 3600, rel=0.04)
    assert heat.high == pytest.approx(number * 3.5 * 43.5e3 / 3600, rel=0.04)


def test_a_heat_that_contradicts_the_tea_lights_is_flagged_with_both_named() -> None:
    assert not inputs(tealights="3", heat_released="100 W").problems
    (problem,) = inputs(tealights="3", heat_released="35 W").problems
    for name in ("tealights", "heat_released"):
        assert fields_of(Build)[name].label in problem.message


def test_no_two_fields_have_one_name_and_each_of_piston_and_displacer_says_whose_it_is() -> None:
    labels = [field.label.split(" (")[0] for field in fields_of(Build).values()]
    assert len(set(labels)) == len(labels)
    for name, field in fields_of(Build).items():
        for whose in ("displacer", "piston"):
            if name.startswith(f"{whose}_") and name.split("_")[1] in ("throw", "rod", "clearance", "length", "bore"):
                assert whose in field.label.lower()


def test_materials_begin_with_what_every_engine_has() -> None:
    groups = list(dict.fromkeys(f.group for f in fields_of(Build).values() if f.pane == "materials"))
    assert groups[0] == "Walls"
    assert set(groups[-2:]) == {"Regenerator", "Heater and cooler"}
