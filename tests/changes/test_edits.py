"""An edit changes its part and what must follow it, and no guess of any other part."""

from __future__ import annotations

import pytest

from model.changes.edits import edited, edits_between, texts_of
from model.changes.values import row_values
from model.fields import Build, fields_of, parse_build
from model.fields.starts import STARTS
from model.inputs.complete import complete_inputs
from model.quantities.uncertain import Uncertain


@pytest.mark.parametrize("start", STARTS, ids=lambda start: start.label)
def test_an_edit_of_nothing_leaves_every_input_as_it_was(start: object) -> None:
    build = parse_build(start.texts).build  # type: ignore[attr-defined]
    inputs = complete_inputs(build)
    same = edited(build, inputs, {})
    assert same.can_be and not same.in_the_way
    assert dict(same.inputs.values) == dict(inputs.values) and dict(same.inputs.words) == dict(inputs.words)


def test_a_longer_throw_brings_no_other_wheel_but_rubs_more_and_hits_where_there_is_no_room() -> None:
    build = parse_build(STARTS[1].texts).build
    inputs = complete_inputs(build)
    longer = edited(build, inputs, {"piston_throw": Uncertain(value=6e-3, spread=1e-4)})
    assert longer.inputs.values["wheel_mass"] == inputs.values["wheel_mass"]
    # the piston's half of the friction goes with its throw
    was, now = (each.values["friction_torque"].value for each in (inputs, longer.inputs))
    assert now == pytest.approx(1.5 * was)
    ends = [each.values["end_clearance_hot"].value for each in (inputs,)]
    farther = edited(build, inputs, {"displacer_throw": Uncertain(value=4e-3 + ends[0] / 2, spread=0.0)})
    assert farther.inputs.values["end_clearance_hot"].value == pytest.approx(ends[0] / 2)
    assert farther.can_be
    too_far = edited(build, inputs, {"displacer_throw": Uncertain(value=8e-3, spread=0.0)})
    assert not too_far.can_be and "hits the hot end" in too_far.in_the_way[0]
    short = edited(build, inputs, {"piston_throw": Uncertain(value=60e-3, spread=0.0)})
    assert any("not longer than the throw" in text for text in short.in_the_way)


def test_another_source_is_guessed_anew_and_another_cold_side_lets_its_metal_go() -> None:
    build = parse_build({**STARTS[1].texts, "hot_metal": "70 C", "cold_metal": "35 C"}).build
    inputs = complete_inputs(build)
    flame = edited(build, inputs, {"heat_source": "candle"})
    assert "hot_metal" not in flame.inputs.values and "heat_released" in flame.inputs.values
    ice = edited(build, inputs, {"cold_side": "ice"})
    assert "cold_metal" not in ice.inputs.values and ice.inputs.values["hot_metal"] == inputs.values["hot_metal"]


@pytest.mark.parametrize("name", [n for n, f in fields_of(Build).items() if f.kind is not None])
def test_every_number_of_the_form_has_a_row_of_seven_to_nine_values_within_its_limits(name: str) -> None:
    field = fields_of(Build)[name]
    start = STARTS[2] if name.startswith("hot_") else STARTS[0] if name.startswith("diaphragm") else STARTS[1]
    inputs = complete_inputs(parse_build(start.texts).build)
    values = row_values(field, inputs.values.get(name), start.texts.get(name, ""))
    ascending = [each.value.value for each in values]
    assert ascending == sorted(ascending) and len(values) <= 9
    few = {"piston_offset", "altitude", "cylinder_angle"}  # nothing usual to go by, from nil
    if name in ("displacer_diameter", "chamber_height"):  # told by the clearance that they leave
        return
    assert len(values) >= (1 if name in few else 4), values
    assert sum(each.present for each in values) <= 1


def test_what_is_typed_for_an_edit_says_what_follows_it_and_means_the_same_again() -> None:
    """A typed clearance that a longer throw takes up is typed anew; compared as a whole build it is the same edit."""
    typed = {"end_clearance_hot": "2 mm", "end_clearance_cold": "2 mm", "friction_torque": "0.1 mN m"}
    build = parse_build({**STARTS[1].texts, **typed}).build
    inputs = complete_inputs(build)
    longer = parse_build({**STARTS[1].texts, **typed, "displacer_throw": "4.5 mm", "piston_throw": "6 mm"}).build
    made = edited(build, inputs, edits_between(build, longer))
    texts = texts_of(build, made, {"displacer_throw": "4.5 mm", "piston_throw": "6 mm"})
    assert set(texts) == {
        "displacer_throw", "piston_throw", "end_clearance_hot", "end_clearance_cold", "friction_torque",
    }  # fmt: skip
    again = parse_build({**STARTS[1].texts, **typed, **texts}).build
    same = edited(build, inputs, edits_between(build, again))
    for name, value in made.inputs.values.items():
        assert same.inputs.values[name].value == pytest.approx(value.value, rel=0.01), name
