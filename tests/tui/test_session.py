"""The session: texts as typed, undo by visit, what is flagged, and how old a prediction is."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.prediction.result import Prediction, Verdict
from model.record import Mark, Project
from tests.tui.stage import can
from tui.state import session as session_module
from tui.state.prototype import Age, Prototype
from tui.state.session import Session

PATH = Path("paint-tin.toml")


@pytest.fixture
def session() -> Session:
    session = Session(Path())
    session.add(Prototype(path=PATH, project=can()))
    session.open(PATH)
    return session


def visit(session: Session, name: str, *texts: str) -> None:
    session.begin_visit()
    for text in texts:
        session.type(name, text)
    session.end_visit()


def test_a_prototype_opens_at_its_latest_mark(session: Session) -> None:
    assert session.number == 2
    assert session.texts["piston_throw"] == "4 mm"


def test_undo_takes_back_a_whole_visit_and_redo_brings_it_again(session: Session) -> None:
    visit(session, "piston_throw", "6", "6.", "6.5")
    assert session.step_back()
    assert session.texts["piston_throw"] == "4 mm"
    assert session.step_forward()
    assert session.texts["piston_throw"] == "6.5"
    assert not session.step_forward()


def test_of_many_visits_the_latest_are_taken_back_and_the_oldest_let_go(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else an evening's undo grows for ever: each step holds a project of its own."""
    monkeypatch.setattr(session_module, "UNDO_LIMIT", 3)
    for number in range(6):
        visit(session, "piston_throw", f"1{number} mm")
    for expected in ("14 mm", "13 mm", "12 mm"):
        assert session.step_back()
        assert session.texts["piston_throw"] == expected
    assert not session.step_back()


def test_undo_within_a_visit_goes_back_to_its_beginning(session: Session) -> None:
    session.begin_visit()
    session.type("piston_throw", "abc")
    assert session.step_back()
    assert session.texts["piston_throw"] == "4 mm"
    assert not session.end_visit()


def test_a_new_visit_after_undo_drops_what_could_be_redone(session: Session) -> None:
    visit(session, "piston_throw", "6")
    session.step_back()
    visit(session, "piston_throw", "7")
    assert not session.step_forward()


def test_an_open_visit_that_is_taken_back_drops_it_too(session: Session) -> None:
    """Else each text that is tried and taken back would stay in memory, and come again in an order nobody made."""
    for text in ("6", "7", "8"):
        session.begin_visit()
        session.type("piston_throw", text)
        session.step_back()
    assert session.step_forward()
    assert session.texts["piston_throw"] == "8"
    assert not session.step_forward()


def test_a_visit_that_changes_nothing_is_no_step(session: Session) -> None:
    visit(session, "piston_throw", "9", "4 mm")
    assert not session.step_back()


@pytest.mark.parametrize("text", ["abc", "-3 mm", "nan", "1e400", "1,500", "12.5 kg", "4000", " ", "\u202e3 mm"])
def test_a_wrong_text_stays_as_typed_and_is_flagged(session: Session, text: str) -> None:
    name = "phase" if text == "4000" else "piston_throw"
    visit(session, name, text)
    assert session.texts[name] == text
    assert bool(session.parsed.problems) == (text != " ")


def test_an_emptied_field_leaves_no_key_behind(session: Session) -> None:
    visit(session, "piston_throw", "")
    assert "piston_throw" not in session.texts


def test_a_prediction_is_old_while_a_field_is_flagged_and_computing_while_it_is_not(session: Session) -> None:
    outlook = session.prototype.outlook
    assert session.age is Age.COMPUTING
    outlook.build = session.parsed.build
    outlook.prediction = Prediction(verdict=Verdict.RUNS)
    assert session.age is Age.VALUE
    outlook.prediction = outlook.spread = Prediction(verdict=Verdict.RUNS, has_interval=True)
    assert session.age is Age.UP_TO_DATE
    visit(session, "piston_throw", "6 mm")
    assert session.age is Age.COMPUTING
    visit(session, "piston_throw", "6 mmm")
    assert session.age is Age.OLD
    assert tuple(session.parsed.problems) == ("piston_throw",)


def test_undoing_a_new_mark_looks_at_the_one_before(session: Session) -> None:
    session.begin_visit()
    session.put(session.prototype.project.with_mark(Mark(number=3)))
    session.number = 3
    session.end_visit()
    session.step_back()
    assert session.number == 2


def test_a_project_without_marks_can_be_typed_into() -> None:
    session = Session(Path())
    session.add(Prototype(path=PATH, project=Project(name="Empty")))
    session.open(PATH)
    visit(session, "layout", "gamma")
    assert session.prototype.project.marks[1].build == {"layout": "gamma"}
