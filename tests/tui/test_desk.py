"""The desk: correction or change, marks, and results that come too late."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.prediction import Prediction, Verdict
from model.record import Entry, Mark
from model.store import read_project, save_project
from tests.tui.stage import make_runner, silent_keeper, stand_in_gaps
from tui.asking.calls import Answer, Question
from tui.keeping.keeper import Changed, NotSaved, Saved
from tui.state.desk import REBUILT, Desk
from tui.state.session import Age, Kept, Session, parsed_build
from tui.state.shelf import Shelf
from tui.state.sound import sound_build

WAIT = 5.0


@pytest.fixture
def desk(notebook: Path) -> Desk:
    """A desk whose runner never starts."""
    return furnished(notebook)[0]


def furnished(notebook: Path) -> tuple[Desk, list[Any]]:
    """Return a desk whose runner never starts, and the list that the keeper's news go to."""
    keeper, news = silent_keeper()
    runner = make_runner(lambda answer: None)
    session = Session(notebook)
    Shelf(session, keeper, runner, lambda: "2026-11-26").take_notebook(keeper.read_folder(notebook))
    desk = Desk(session, keeper, runner)
    desk.open(notebook / "paint-tin.toml")
    return desk, news


def take_all(desk: Desk, news: list[Any]) -> None:
    """Take what came back so far."""
    for each in list(news):
        desk.take(each)


def add_theirs(path: Path) -> None:
    """Add an entry as another window does."""
    stored = read_project(path)
    theirs = stored.project.with_entry(Entry(key="zzzzzz", text="From elsewhere."))
    save_project(path, theirs, revision=stored.revision)


def edit(desk: Desk, text: str) -> None:
    desk.enter_field()
    desk.type("piston_throw", text)


def test_a_mark_without_readings_is_edited_without_a_question(desk: Desk) -> None:
    edit(desk, "6 mm")
    assert not desk.must_ask


def test_a_mark_with_readings_asks_and_a_correction_is_asked_once(desk: Desk) -> None:
    desk.look_at(1)
    edit(desk, "6 mm")
    assert desk.must_ask
    desk.settle_as_correction()
    desk.leave_field()
    edit(desk, "7 mm")
    assert not desk.must_ask
    desk.leave_field()
    assert desk.session.at.project.marks[1].build["piston_throw"] == "7 mm"


def test_a_change_begins_the_next_mark_and_readings_stay(desk: Desk) -> None:
    desk.look_at(1)
    edit(desk, "6 mm")
    desk.settle_as_change("Throw: 5 mm -> 6 mm")
    desk.leave_field()
    project = desk.session.at.project
    assert desk.session.number == 3
    assert project.marks[1].build["piston_throw"] == "5 mm"
    assert project.marks[3].build["piston_throw"] == "6 mm"
    assert project.marks[3].reason == "Throw: 5 mm -> 6 mm"
    assert len(project.readings_of(1)) == 1
    assert desk.step(back=True)
    assert set(desk.session.at.project.marks) == {1, 2}


def test_a_rebuilt_engine_is_a_new_mark_of_the_same_build(desk: Desk) -> None:
    desk.next_mark(REBUILT)
    marks = desk.session.at.project.marks
    assert marks[3] == Mark(number=3, reason=REBUILT, build=marks[2].build)
    assert desk.session.number == 3


def test_saved_is_said_only_of_what_stands_on_the_screen(desk: Desk) -> None:
    edit(desk, "6 mm")
    older = desk.session.at.project
    desk.type("piston_throw", "6.5 mm")
    assert desk.session.at.kept is Kept.TYPING
    desk.take(Saved(path=desk.session.at.path, project=older))
    assert desk.session.at.kept is Kept.TYPING
    desk.take(Saved(path=desk.session.at.path, project=desk.session.at.project))
    assert desk.session.at.kept is Kept.SAVED


def test_a_failed_save_stays_told_until_one_succeeds(desk: Desk) -> None:
    edit(desk, "6 mm")
    at = desk.session.at
    desk.take(NotSaved(path=at.path, project=at.project, message="The disk is full."))
    desk.type("piston_throw", "6.5 mm")
    assert at.kept is Kept.FAILED
    assert "The disk is full." in at.message
    desk.take(Saved(path=at.path, project=at.project))
    assert at.message == ""


def test_a_text_that_is_typed_back_counts_as_saved_again(notebook: Path) -> None:
    desk, news = furnished(notebook)
    edit(desk, "4")
    desk.type("piston_throw", "4 mm")
    desk.leave_field()
    assert desk.keeper.wait_until_idle(WAIT)
    take_all(desk, news)
    assert desk.session.at.kept is Kept.SAVED
    assert desk.keeper.unsaved == ()


def test_nothing_is_redone_over_what_another_wrote(notebook: Path) -> None:
    desk, news = furnished(notebook)
    edit(desk, "6 mm")
    desk.leave_field()
    desk.step(back=True)
    assert desk.keeper.wait_until_idle(WAIT)
    take_all(desk, news)
    add_theirs(desk.session.at.path)
    desk.take(Changed(path=desk.session.at.path))
    desk.step(back=False)
    assert desk.keeper.wait_until_idle(WAIT)
    assert "zzzzzz" in read_project(desk.session.at.path).project.entries


def test_undo_takes_back_what_was_done_here_and_leaves_what_another_wrote(notebook: Path) -> None:
    desk, news = furnished(notebook)
    path = notebook / "paint-tin.toml"
    was = desk.session.at.project.latest.build["piston_throw"]
    for text in ("6 mm", "7 mm"):
        edit(desk, text)
        desk.leave_field()
    assert desk.keeper.wait_until_idle(WAIT)
    take_all(desk, news)
    add_theirs(path)
    desk.take(Changed(path=path))
    assert "zzzzzz" in desk.session.at.project.entries
    for text in ("6 mm", was):
        assert desk.step(back=True)
        found = desk.session.at.project
        assert found.latest.build["piston_throw"] == text
        assert "zzzzzz" in found.entries


def test_a_text_that_waits_for_an_answer_outlives_its_mark(notebook: Path) -> None:
    desk, _ = furnished(notebook)
    path = desk.session.at.path
    desk.look_at(1)
    edit(desk, "6 mm")
    desk.leave_field()
    stored = read_project(path)
    save_project(path, replace(stored.project, marks={2: stored.project.marks[2]}), revision=stored.revision)
    desk.take(Changed(path=path))
    assert set(desk.session.at.project.marks) == {2}
    desk.settle_as_correction()
    assert desk.session.at.project.marks[1].build == {"piston_throw": "6 mm"}


def test_an_answer_to_an_older_question_is_dropped(desk: Desk) -> None:
    first = desk.asked
    edit(desk, "6 mm")
    assert desk.asked > first
    at = desk.session.at
    question = Question(path=at.path, build=desk.session.parsed.build, project=at.project, mark=2, number=first)
    late = Answer(question=question, listed=False, prediction=Prediction(verdict=Verdict.RUNS))
    assert desk.take(late) is None
    assert at.outlook.prediction is None


def test_a_flagged_field_asks_nothing_while_there_is_a_good_prediction(desk: Desk) -> None:
    outlook = desk.session.at.outlook
    outlook.prediction, outlook.mark, outlook.pending = Prediction(verdict=Verdict.RUNS), 2, False
    asked = keep_answers(desk)
    edit(desk, "6 furlongs")
    assert not asked


def test_the_prediction_of_one_mark_does_not_stand_for_another_that_has_a_flagged_field(desk: Desk) -> None:
    at = desk.session.at
    at.outlook.prediction, at.outlook.mark = Prediction(verdict=Verdict.RUNS), 2
    at.project = at.project.with_mark(Mark(number=1, build={**at.project.marks[1].build, "piston_throw": "5 furlongs"}))
    before = desk.asked
    desk.look_at(1)
    assert desk.asked > before


def test_a_newer_format_takes_no_text(notebook: Path, desk: Desk) -> None:
    desk.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace("format = 1", "format = 99"), encoding="utf-8")
    desk.open(path)
    edit(desk, "6 mm")
    assert desk.session.texts["piston_throw"] == "4 mm"
    assert "reading only" in desk.session.at.notice


def test_a_file_changed_while_closed_is_read_again_when_opened(notebook: Path, desk: Desk) -> None:
    desk.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace('"4 mm"', '"4.4 mm"'), encoding="utf-8")
    desk.open(path)
    assert desk.session.texts["piston_throw"] == "4.4 mm"


def test_a_copy_takes_the_latest_build_as_its_first_mark_and_leaves_the_diary(notebook: Path, desk: Desk) -> None:
    shelf = Shelf(desk.session, desk.keeper, desk.runner, lambda: "2026-11-26")
    copy = shelf.copy(notebook / "paint-tin.toml", "Paint tin 2")
    assert desk.keeper.wait_until_idle(WAIT)
    project = read_project(copy.path).project
    assert project.marks[1].build["piston_throw"] == "4 mm"
    assert set(project.marks) == {1}
    assert not project.entries


def test_gaps_of_readings_that_are_gone_by_now_are_dropped(desk: Desk) -> None:
    at = desk.session.at
    desk.close()
    question = Question(path=at.path, build=parsed_build(at.project.latest).build, project=at.project, mark=2)
    late = Answer(question=question, listed=True, gaps=stand_in_gaps(at.project, mark=1, samples=0))
    at.project = replace(at.project, entries={})
    assert desk.take(late) is None
    assert at.outlook.gaps == ()


def keep_answers(desk: Desk) -> list[Question]:
    """Keep what is asked of the runner from now on, with its number, in place of working on it."""
    asked: list[Question] = []

    def ask(question: Question) -> int:
        asked.append(replace(question, number=1000 + len(asked)))
        return asked[-1].number

    desk.runner.ask = ask  # type: ignore[method-assign]
    return asked


def answered(desk: Desk, question: Question, name: str) -> bool:
    """Let the answer to a question come; return whether it was taken."""
    prediction = Prediction(verdict=Verdict.RUNS, has_interval=True, reason=name)
    return desk.take(Answer(question=question, listed=False, prediction=prediction)) is not None


def test_a_text_that_cannot_be_read_leaves_the_engine_of_before_the_field_was_opened(desk: Desk) -> None:
    asked = keep_answers(desk)
    edit(desk, "9 mm")
    desk.leave_field()
    assert answered(desk, asked[-1], "of 9 mm")
    desk.enter_field()
    for text in ("1", "1 ", "1 f"):
        desk.type("piston_throw", text)
        if text == "1":
            assert answered(desk, asked[-1], "of 1 mm")
    outlook = desk.session.at.outlook
    assert outlook.prediction is not None and outlook.prediction.reason == "of 9 mm"
    desk.leave_field()
    assert desk.session.age is Age.OLD
    assert desk.session.at.outlook.prediction is outlook.prediction


def test_an_answer_about_a_text_on_the_way_comes_too_late_for_a_text_that_cannot_be_read(desk: Desk) -> None:
    asked = keep_answers(desk)
    edit(desk, "9 mm")
    desk.leave_field()
    assert answered(desk, asked[-1], "of 9 mm")
    edit(desk, "1")
    between = asked[-1]
    desk.type("piston_throw", "1 f")
    assert not answered(desk, between, "of 1 mm")


def test_what_was_still_being_worked_out_when_the_field_was_opened_is_asked_again(desk: Desk) -> None:
    asked = keep_answers(desk)
    edit(desk, "9 mm")
    desk.leave_field()
    edit(desk, "1")
    desk.type("piston_throw", "1 f")
    assert asked[-1].build.piston_throw is not None
    assert asked[-1].build.piston_throw.value == pytest.approx(9e-3)
    desk.leave_field()
    assert answered(desk, asked[-1], "of 9 mm")
    assert desk.session.age is Age.OLD


def test_a_reading_counts_once_its_field_is_left(desk: Desk) -> None:
    asked = keep_answers(desk)
    project = desk.session.at.project
    entry = project.entries["k7f3m2"]
    desk.look_at(1)
    before = len(asked)
    desk.enter_field()
    for text in ("1", "12", "12 g"):
        texts = {**entry.readings["a"].texts, "force_tight": text}
        reading = replace(entry.readings["a"], texts=texts)
        desk.put(project.with_entry(replace(entry, readings={"a": reading})))
    assert len(asked) == before
    desk.leave_field()
    assert asked[-1].project.entries["k7f3m2"].readings["a"].texts["force_tight"] == "12 g"


def test_a_flagged_word_leaves_the_fields_as_they_were(desk: Desk) -> None:
    asked = keep_answers(desk)
    edit(desk, "9 mm")
    desk.leave_field()
    assert answered(desk, asked[-1], "of 9 mm")
    edit_word(desk, "diaphragm")
    desk.leave_field()
    assert answered(desk, asked[-1], "of a diaphragm")
    edit_word(desk, "piston of brass")
    assert desk.session.parsed.build.piston_kind is None
    assert sound_build(desk.session).piston_kind == "diaphragm"


def edit_word(desk: Desk, text: str) -> None:
    desk.enter_field()
    desk.type("piston_kind", text)
