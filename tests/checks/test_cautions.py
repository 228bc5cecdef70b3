"""The table of cautions, and what triggers each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.bench.kinds import KINDS
from model.checks.cautions import DEFER, all_cautions, cautions_for
from model.errors import TableError
from model.fields import Build
from model.quantities.uncertain import Uncertain

PLATE = Build(heat_source="water", hot_end_material="aluminium", hot_end_thickness=Uncertain(value=3e-3))
"""A flat engine of plates of 3 mm."""


def ids(build: Build, *kinds: str) -> set[str]:
    return {caution.id for caution in cautions_for(build, kinds)}


def test_never_pressurise_stands_first_for_every_engine() -> None:
    assert cautions_for(Build())[0].id == "pressure"


@pytest.mark.parametrize(
    ("build", "wanted"),
    [
        (Build(heat_source="candle"), {"flame", "wax", "closed_can", "hot_parts", "glue"}),
        (Build(heat_source="spirit"), {"flame", "spirit", "closed_can", "hot_parts"}),
        (Build(heat_source="gas"), {"flame", "gas"}),
        (Build(heat_source="water"), {"hot_water", "glue"}),
        (Build(heat_source="sun"), {"lens", "hot_parts"}),
        (Build(piston_kind="diaphragm"), {"latex"}),
        (Build(piston_kind="diaphragm", heat_source="candle"), {"rubber_flame", "latex"}),
        (Build(hot_end_material="tinplate"), {"cut_tin"}),
        (Build(hot_end_material="tinplate", heat_source="candle"), {"lining", "zinc", "cut_tin"}),
        (Build(displacer_material="steel_wool"), {"steel_wool"}),
        (Build(regenerator="steel_wool"), {"steel_wool"}),
        (Build(layout="alpha"), {"syringe"}),
        (Build(layout="rocking"), {"syringe"}),
        (Build(displacer_material="eps", heat_source="water"), {"foam"}),
        (Build(wheel_mass=Uncertain(value=0.05)), {"wheel"}),
        (Build(cold_side="ice"), {"ice"}),
        (Build(hot_end_material="aluminium", heat_source="spirit"), {"cut_tin"}),
        (Build(hot_end_material="aluminium", hot_end_thickness=Uncertain(value=2e-4)), {"cut_tin"}),
        (Build(wall_material="tinplate"), {"cut_tin"}),
    ],
)
def test_a_build_triggers_its_cautions(build: Build, wanted: set[str]) -> None:
    assert wanted <= ids(build)


@pytest.mark.parametrize(
    ("build", "not_wanted"),
    [
        (Build(heat_source="water", hot_end_material="aluminium"), {"cut_tin"}),
        (PLATE, {"cut_tin", "flame", "lining"}),
        (replace(PLATE, heat_source="candle"), {"cut_tin"}),
        (Build(heat_source="water"), {"flame", "wax", "spirit", "lining", "zinc", "rubber_flame", "lens"}),
        (Build(heat_source="candle"), {"spirit", "gas", "latex", "hot_water", "foam"}),
        (Build(layout="gamma"), {"syringe", "steel_wool", "wheel", "brake"}),
        (Build(hot_end_material="aluminium", heat_source="water"), {"lining"}),
    ],
)
def test_a_build_does_not_trigger_what_it_has_not(build: Build, not_wanted: set[str]) -> None:
    assert not not_wanted & ids(build)


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [("speed", "wheel"), ("brake", "brake"), ("piston_drop", "syringe"), ("temperatures", "hot_parts")],
)
def test_a_reading_triggers_its_cautions(kind: str, wanted: str) -> None:
    assert wanted in ids(Build(), kind)
    assert wanted not in ids(Build())


def test_each_caution_defers_to_local_rules_and_has_a_source() -> None:
    for caution in all_cautions():
        assert caution.text.endswith(DEFER)
        assert caution.body.endswith(".")
        assert not caution.title.endswith(".")
        assert caution.source
        assert len(caution.title) <= 60


def test_ids_and_titles_are_unique() -> None:
    for name in ("id", "title"):
        values = [getattr(caution, name) for caution in all_cautions()]
        assert len(values) == len(set(values))


def test_every_caution_can_arise() -> None:
    kinds = {choice.key for choice in KINDS}
    for caution in all_cautions():
        trigger = caution.when[0]
        build = Build(
            **{
                key: (words[0] if key not in ("reading", "at", "given", "always") else None)
                for key, words in trigger.items()
                if key not in ("reading", "at", "given", "always")
            },
            **{name: Uncertain(value=1.0) for name in trigger.get("given", [])},
        )
        assert caution.id in ids(build, *(kinds & set(trigger.get("reading", []))))


@pytest.mark.parametrize(
    "row",
    [
        {"id": "x", "title": "T", "text": "B.", "source": "s"},
        {"id": "x", "title": "T", "text": "B.", "source": "s", "when": [{}]},
        {"id": "x", "title": "T", "text": "B.", "source": "s", "when": [{"colour": ["red"]}]},
        {"id": "x", "title": "T", "text": "B.", "source": "s", "when": [{"heat_source": ["cande"]}]},
        {"id": "x", "title": "T", "text": "B.", "source": "s", "when": [{"reading": ["wind"]}]},
        {"id": "x", "title": "T", "text": "B.", "source": "s", "when": [{"reading": ["brake"], "at": ["swing"]}]},
        {"id": "x", "title": "T", "text": "B.", "when": [{"always": True}]},
    ],
)
def test_a_row_that_could_never_arise_is_refused(row: dict[str, object]) -> None:
    from model.checks.cautions import _caution

    with pytest.raises(TableError, match="x"):
        _caution(row)


def test_only_what_is_not_usual_is_sharp() -> None:
    """What a part of this very build does in its heat, or what blinds; flames, spinning wheels, hot metal are usual."""
    assert {caution.id for caution in all_cautions() if caution.sharp} == {"lens", "rubber_flame", "steel_wool", "foam"}


def test_no_caution_of_hot_water_speaks_of_a_flame_that_is_put_out() -> None:
    for caution in cautions_for(replace(PLATE, displacer_material="eps"), [choice.key for choice in KINDS]):
        assert "flame is out" not in caution.body
        assert "drops a part into the flame" not in caution.body
