"""Every change is solved, none scored by a table; what cannot be says why; pressure is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from model.changes.advice import _is_nil, advice, grouped, possible
from model.changes.catalogue import CATALOGUE, PARTNERS
from model.changes.compare import compare, paired_run_of, range_of, sure_gain
from model.changes.edits import texts_of
from model.changes.paired import PairedRun
from model.changes.result import Advice, Outcome, Row, Step
from model.changes.sweep import _with_sentence, sweep
from model.checks.cautions import DEFER, all_cautions
from model.errors import ModelError
from model.fields import Build, fields_of, read_field
from model.fields.starts import STARTS
from model.quantities.ranges import Range
from model.quantities.units import Kind
from tests.knowledge.stories import project

FLAT: Mapping[str, str] = {**STARTS[1].texts, "cold_area": "140 cm2", "post_count": "4", "post_material": "brass"}


@pytest.fixture(scope="module")
def first() -> Advice:
    return next(advice(project(FLAT), 1))


def test_there_are_at_least_twenty_five_changes_each_with_its_hours_and_a_known_caution() -> None:
    assert len(CATALOGUE) >= 25
    assert len({each.key for each in CATALOGUE}) == len(CATALOGUE)
    known = {caution.id for caution in all_cautions()}
    assert {key for each in CATALOGUE for key in each.cautions} <= known
    assert all(each.hours > 0 and each.source for each in CATALOGUE)
    assert {key for pair in PARTNERS for key in pair} <= {each.key for each in CATALOGUE}


@pytest.mark.parametrize("start", STARTS, ids=lambda start: start.label)
def test_what_is_typed_for_a_change_reads_as_the_change_and_what_cannot_be_says_why(start: object) -> None:
    texts = start.texts  # type: ignore[attr-defined]
    paired = paired_run_of(project(texts), 1)
    assert isinstance(paired, PairedRun)
    found, refused = possible(paired, texts)
    assert len(found) >= 20
    assert all(each.why for each in refused) and refused[0].key == "pressure" and "burst" in refused[0].why
    fields = fields_of(Build)
    for each in found:
        for name, text in each.edit.texts.items():
            read, meant = read_field(fields[name], text), each.edit.fields.get(name)
            if isinstance(read, str) or read is None or meant is None or isinstance(meant, str):
                assert read == meant
            else:
                # to the digits that a builder writes
                assert read.value == pytest.approx(meant.value, rel=0.06), (each.key, name)


def test_a_first_list_ranks_what_helps_by_the_gain_that_is_sure(first: Advice) -> None:
    assert not first.whole and first.running and first.options and first.sentence
    assert "stands on the drawing" in first.note
    assert [option.group for option in first.options] == sorted(option.group for option in first.options)
    best = {group: max(o.effect.sure for o in first.options if o.group == group) for group in range(2)}
    assert best[0] >= best[1]
    by_key = {option.key: option for option in (*first.options, *first.others)}
    # cold by ice, and less heat along the posts, help every flat engine: seen on built ones (references, 4C)
    assert by_key["ice"].effect.helps > 0.8 and by_key["posts"].effect.helps > 0.8
    assert by_key["gap_wider"].effect.helps < 0.2
    refused = {each.key: each.why for each in first.not_possible}
    assert "stands 80 C" in refused["hotter_water"]  # its ring of acrylic, by the table of materials
    assert by_key["ice"].caution.endswith(DEFER)
    assert by_key["posts"].texts == {"post_material": "nylon"}


def test_the_same_build_has_no_effect_and_a_worse_one_is_paired() -> None:
    seen = compare(project(FLAT), 1, {"same": FLAT, "hits": {**FLAT, "displacer_throw": "30 mm"}})
    assert seen.effects["same"].power == range_of(np.zeros(24)) and seen.effects["same"].helps == 0
    assert "hits" not in seen.effects and not seen.others["hits"].solved
    assert "hits the hot end" in seen.others["hits"].in_the_way[0]


def test_a_row_marks_the_present_value_and_a_bound_lies_within_it() -> None:
    texts = {**FLAT, "friction_torque": "0.1 mN m"}
    row = next(sweep(project(texts), 1, "friction_torque"))
    assert 7 <= len(row.steps) <= 9 and [step.present for step in row.steps].count(True) == 1
    powers = [step.outcome.power.middle for step in row.steps if step.outcome.power]
    assert powers == sorted(powers, reverse=True)  # an exact limit: more friction, less power
    (bound,) = row.bounds
    assert bound.at_most and row.steps[0].value < bound.at.middle < row.steps[-1].value


@pytest.mark.parametrize(
    ("field", "values", "says"),
    [
        ("wheel", ["a lot"], "Wheel mass"),
        ("piston_thro", None, "piston_thro"),
        ("wheel_mas", None, "wheel_mas"),
        ("cold_side", None, "takes a word"),
        ("diaphragm_rim", None, "no meaning"),
    ],
)
def test_a_row_of_nonsense_names_field_and_remedy(field: str, values: list[str] | None, says: str) -> None:
    with pytest.raises(ModelError) as raised:
        next(sweep(project(FLAT), 1, field, values))
    assert says in raised.value.message and raised.value.hint


def test_an_incomplete_build_says_what_is_missing() -> None:
    nothing = next(advice(project({"layout": "gamma"}), 1))
    assert "Still needed" in nothing.reason and not nothing.options


def test_changes_that_cannot_be_told_apart_stand_together_the_cheapest_first() -> None:
    """Exact: gains whose order changes from engine to engine are one group, a gain that is always less another."""

    def solved(hours: float, gain: list[float]) -> object:
        return SimpleNamespace(candidate=SimpleNamespace(hours=hours), gain=np.array(gain))

    dear, cheap, least = solved(5, [3, 1, 3, 1]), solved(1, [2, 2, 2, 2]), solved(0.1, [0.5, 0.5, 0.5, 0.5])
    groups = grouped([dear, cheap, least])  # type: ignore[list-item]
    assert [[each.candidate.hours for each in group] for group in groups] == [[1, 5], [0.1]]


def test_the_sure_gain_is_the_tenth_part_of_the_engines() -> None:
    # nine equal steps: k of n stands for k/(n + 1), so the first of nine is the 10 % point
    assert sure_gain(np.arange(1.0, 10.0)) == pytest.approx(1.0)


def test_a_change_and_its_texts_in_a_scratch_copy_do_the_same() -> None:
    """Ice on a mark whose metals were measured: the text of the cold metal goes, and it lies where the ice takes it."""
    texts = {**FLAT, "hot_metal": "70 C", "cold_metal": "35 C"}
    paired = paired_run_of(project(texts), 1)
    assert isinstance(paired, PairedRun)
    found, _ = possible(paired, texts)
    (ice,) = [each for each in found if each.key == "ice"]
    (then,) = paired.of([ice.edited])
    typed = {**texts, **texts_of(paired.engines.build, ice.edited, ice.edit.texts)}
    assert typed["cold_metal"] == ""
    seen = compare(project(texts), 1, {"scratch": typed})
    assert then is not None and seen.others["scratch"].power == range_of(then.power)
    # colder than it was measured, no colder than the ice
    assert (then.difference > paired.now().difference).all()


@pytest.mark.parametrize(
    ("sure", "chance", "running", "nil"),
    [(2e-3, 0.0, True, False), (0.0, 0.0, True, True), (0.0, 0.25, True, False), (2e-3, 0.0, False, True)],
)
def test_a_change_whose_figure_is_nil_is_no_help(sure: float, chance: float, running: bool, nil: bool) -> None:
    each = SimpleNamespace(sure=sure, chance=chance)
    assert _is_nil(each, 10e-3, running=running) is nil  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("best", "way", "begins"), [(2, "", "Still rising at 5 mm"), (2, "It hits.", "Most power at 5 mm"),
                                (1, "", "Most power at 4 mm"), (0, "", "Still rising at 3 mm")],
)  # fmt: skip
def test_the_best_of_a_row_at_its_end_may_lie_beyond_it(best: int, way: str, begins: str) -> None:
    outcomes = [_outcome(1.0e-3 if n == best else 0.6e-3) for n in range(3)]
    steps = [
        Step(value=n, text=f"{n} mm", present=False, outcome=each, effect=None)
        for n, each in zip((3, 4, 5), outcomes, strict=True)
    ]
    hits = Step(value=6, text="6 mm", present=False, outcome=Outcome(solved=False, in_the_way=(way,)), effect=None)
    field = fields_of(Build)["piston_throw"]
    row = Row(mark=1, field=field.name, label="", kind=Kind.LENGTH, unit="mm", now=None, guessed=False, best=best,
              steps=(*steps, *([hits] if way else [])))  # fmt: skip
    assert _with_sentence(row, field).sentence == f"{begins}: 1 mW."
    alike = tuple(replace(step, outcome=_outcome(1.0e-3)) for step in steps)
    assert _with_sentence(replace(row, steps=alike), field).sentence == "It makes no difference: 1 mW at all of these."


def _outcome(power: float) -> Outcome:
    return Outcome(solved=True, runs=1.0, power=Range(middle=power, low=power, high=power))
