"""The declarations of fields, and reading a whole mark."""

from __future__ import annotations

import pytest

from model.bench.kinds import KINDS
from model.bench.reading import ReadingValues
from model.fields import PANES, Build, applies, fields_of, parse_build, parse_fields
from model.fields.reading import CONDITIONS
from model.fields.vocabulary import CRANKED, DISPLACER_MATERIALS, LAYOUTS, METALS
from model.quantities.uncertain import Uncertain


def test_every_attribute_is_declared_with_label_help_and_way_to_measure() -> None:
    for holder in (Build, ReadingValues):
        for name, field in fields_of(holder).items():
            assert field.name == name
            assert field.label, name
            assert field.help.endswith((".", "?")), name
            if field.kind is not None:
                assert field.measure, name
                assert field.usual, name


def test_every_field_of_a_build_stands_on_a_pane() -> None:
    panes = {key for key, _ in PANES}
    assert {field.pane for field in fields_of(Build).values()} == panes


def test_labels_are_unique_within_their_group() -> None:
    for holder in (Build, ReadingValues):
        seen = [(field.pane, field.group, field.label) for field in fields_of(holder).values()]
        assert len(seen) == len(set(seen))


def test_words_have_keys_that_differ_in_any_case() -> None:
    for field in (*fields_of(Build).values(), *fields_of(ReadingValues).values()):
        words = [word for choice in field.choices for word in {choice.key.casefold(), choice.label.casefold()}]
        assert len(words) == len(set(words)), field.name


def test_a_mark_is_read_field_by_field_and_bad_texts_are_kept_apart() -> None:
    parsed = parse_build({"layout": "gamma", "piston_bore": "12,5", "phase": "4000", "tube_bore": "?"}, "mark.2.build")
    assert isinstance(parsed.build.piston_bore, Uncertain)
    assert parsed.build.phase is None
    assert parsed.build.tube_bore is None
    assert list(parsed.problems) == ["phase"]
    problem = parsed.problems["phase"]
    assert problem.where == "mark.2.build.phase"
    assert problem.value == "4000"


def test_a_bad_text_in_a_field_that_does_not_apply_is_no_problem() -> None:
    texts = {"layout": "gamma", "piston_kind": "piston", "hot_bore": "rubbish", "diaphragm_rim": "rubbish"}
    assert not parse_build(texts).problems
    assert set(parse_build({**texts, "layout": "alpha"}).problems) == {"hot_bore"}


@pytest.mark.parametrize("layout", [choice.key for choice in LAYOUTS])
def test_each_layout_has_its_own_fields(layout: str) -> None:
    build = Build(layout=layout)
    shown = {name for name, field in fields_of(Build).items() if applies(field, build)}
    assert ("hot_throw" in shown) == (layout == "alpha")
    assert ("displacer_throw" in shown) == (layout in ("gamma", "beta"))
    assert ("end_clearance_hot" in shown) == (layout in CRANKED)
    assert "piston_bore" in shown


def test_a_diaphragm_replaces_the_bore() -> None:
    build = Build(layout="gamma", piston_kind="diaphragm")
    fields = fields_of(Build)
    assert applies(fields["diaphragm_rim"], build)
    assert not applies(fields["piston_bore"], build)


@pytest.mark.parametrize("kind", [choice.key for choice in KINDS])
def test_each_kind_of_reading_has_fields_to_fill(kind: str) -> None:
    values = ReadingValues(kind=kind)
    fields = fields_of(ReadingValues)
    shown = {name for name, field in fields.items() if applies(field, values)}
    assert {"minutes", "hot_metal", "cold_metal", "room_temperature", "heat_source", "cold_side"} <= shown
    assert (shown - set(CONDITIONS) - {"kind", "mark", "note"}) or kind == "temperatures"


def test_conditions_are_fields_of_a_reading() -> None:
    assert set(CONDITIONS) <= set(fields_of(ReadingValues))


def test_unknown_names_in_a_mark_are_passed_over() -> None:
    values, problems = parse_fields(Build, {"colour": "green", "layout": "beta"})
    assert values.layout == "beta"
    assert not problems


def test_materials_of_the_choosers_are_words_of_the_trade() -> None:
    for choice in (*METALS, *DISPLACER_MATERIALS):
        assert choice.key.isascii()
        assert choice.key == choice.key.lower()
