"""Symptoms in a builder's own words."""

from __future__ import annotations

import pytest

from model.checks.cautions import DEFER
from model.explain.diagnosis.bench_tests import BENCH_TESTS
from model.explain.diagnosis.causes import CAUSES
from model.explain.symptoms import all_symptoms, search

SAID = (
    ("stops at the top", "stops_at_top"),
    ("it always stopps at the same place", "stops_at_top"),
    ("it smokes", "smokes"),
    ("only turns backwards", "backwards"),
    ("runs then fades", "fades"),
    ("gets slower and dies after ten minutes", "fades"),
    ("ticks", "ticks"),
    ("wet after ice", "wet"),
    ("no bouce at all", "no_bounce"),
    ("ice doesn't help", "ice_nothing"),
    ("goes only with ice", "ice_only"),
    ("displacer rubbs on the wall", "scrapes"),
    ("Stopped after I oiled it!", "oiled"),
    ("the balloon bulges", "rubber_balloons"),
    ("hard to turn over", "stiff"),
    ("flywheel wobbles", "wobbles"),
    ("hot glue is melting", "glue"),
)


@pytest.mark.parametrize(("text", "wanted"), SAID)
def test_what_builders_say_is_found(text: str, wanted: str) -> None:
    """Slips of the pen, other endings, other order. Common practice, no source."""
    assert search(text)[0].id == wanted


@pytest.mark.parametrize("text", ["", "   ", "purple elephant", "?!", "12345", "the it a of"])
def test_what_says_nothing_finds_nothing(text: str) -> None:
    assert search(text) == ()


def test_the_best_comes_first_and_no_more_than_asked_for() -> None:
    found = search("stops", most=3)
    assert len(found) <= 3
    assert [s.likeness for s in found] == sorted((s.likeness for s in found), reverse=True)
    assert all(0 < s.likeness <= 1 for s in found)


def test_every_symptom_names_causes_and_a_test_that_exist() -> None:
    causes, tests = {c.key for c in CAUSES}, {t.key for t in BENCH_TESTS}
    rows = all_symptoms()
    assert len(rows) >= 30
    assert len({row.id for row in rows}) == len(rows)
    for row in rows:
        assert set(row.points) <= causes, row.id
        assert row.test in tests, row.id
        assert row.meaning.endswith("."), row.id
        assert not row.caution or row.caution.endswith(DEFER), row.id
    assert causes <= {key for row in rows for key in row.points}


@pytest.mark.parametrize("row", all_symptoms(), ids=lambda row: row.id)
def test_every_way_of_saying_it_finds_its_own_symptom(row: object) -> None:
    for way in row.words:  # type: ignore[attr-defined]
        assert row.id in {s.id for s in search(way, most=2)}, way  # type: ignore[attr-defined]


def test_a_long_text_and_strange_signs_do_no_harm() -> None:
    assert len(search("stops at the top " * 200)) >= 1
    search("\x1b[31m \u202e \udcff" + "x" * 5000)
