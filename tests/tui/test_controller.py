"""The controller: correction or change, marks, and results that come too late."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.prediction.result import Prediction, Verdict
from model.record import Entry, Mark
from model.store import read_project, save_project
from tests.tui.stage import make_runner, silent_persistence, stand_in_gaps
from tests.tui.waiting import read_folder, wait_until_idle
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.state.controller import REBUILT, ProjectController
from tui.state.last_valid import last_valid_build
from tui.state.project_list import ProjectList
from tui.state.prototype import Age, SaveState, parsed_build
from tui.state.session import Session
from tui.storage.persistence import ChangedOnDisk, NotSaved, Saved

WAIT = 240.0


@pytest.fixture
def controller(notebook: Path) -> ProjectController:
    """A controller whose runner never starts."""
    return services_ready(notebook)[0]


def services_ready(notebook: Path) -> tuple[ProjectController, list[Any]]:
    """Return a controller whose runner never starts, and the list that persistence's news go to."""
    persistence, news = silent_persistence()
    runner = make_runner(lambda answer: None)
    session = Session(notebook)
    ProjectList(session, persistence, runner, lambda: "2026-11-26").take_notebook(read_folder(persistence, notebook))
    controller = ProjectController(session, persistence, runner)
    controller.open(notebook / "paint-tin.toml")
    return controller, news


def take_all(controller: ProjectController, news: list[Any]) -> None:
    """Take what came back so far."""
    for each in list(news):
        controller.take(each)


def add_theirs(path: Path) -> None:
    """Add an entry as another window does."""
    stored = read_project(path)
    theirs = stored.project.with_entry(Entry(key="zzzzzz", text="From elsewhere."))
    save_project(path, theirs, revision=stored.revision)


def edit(controller: ProjectController, text: str) -> None:
    controller.enter_field()
    controller.type("piston_throw", text)


def test_a_mark_without_readings_is_edited_without_a_question(controller: ProjectController) -> None:
    edit(controller, "6 mm")
    assert not controller.must_ask


def test_what_was_taken_back_is_told_until_something_else_is_done(controller: ProjectController) -> None:
    def undone() -> str:
        edit(controller, "6 mm")
        controller.leave_field()
        controller.step(back=True)
        return controller.session.prototype.done

    assert undone().startswith("Taken back: Mk 2, Piston throw 6 mm")
    edit(controller, "5 mm")
    assert controller.session.prototype.done == ""
    controller.leave_field()
    assert undone()
    controller.change(controller.session.prototype.project.with_entry(Entry(key="n", text="A note.")))
    assert controller.session.prototype.done == ""
    assert undone()
    controller.next_mark(REBUILT)
    assert controller.session.prototype.done == ""


def test_a_mark_with_readings_asks_and_a_correction_is_asked_once(controller: ProjectController) -> None:
    controller.look_at(1)
    edit(controller, "6 mm")
    assert controller.must_ask
    controller.settle_as_correction()
    controller.leave_field()
    edit(controller, "7 mm")
    assert not controller.must_ask
    controller.leave_field()
    assert controller.session.prototype.project.marks[1].build["piston_throw"] == "7 mm"


def test_a_change_begins_the_next_mark_and_readings_stay(controller: ProjectController) -> None:
    controller.look_at(1)
    edit(controller, "6 mm")
    controller.settle_as_change("Throw: 5 mm -> 6 mm")
    controller.leave_field()
    project = controller.session.prototype.project
    assert controller.session.number == 3
    assert project.marks[1].build["piston_throw"] == "5 mm"
    assert project.marks[3].build["piston_throw"] == "6 mm"
    assert project.marks[3].reason == "Throw: 5 mm -> 6 mm"
    assert len(project.readings_of(1)) == 1
    assert controller.step(back=True)
    assert set(controller.session.prototype.project.marks) == {1, 2}


def test_a_rebuilt_engine_is_a_new_mark_of_the_same_build(controller: ProjectController) -> None:
    controller.next_mark(REBUILT)
    marks = controller.session.prototype.project.marks
    assert marks[3] == Mark(number=3, reason=REBUILT, build=marks[2].build)
    assert controller.session.number == 3


def test_saved_is_said_only_of_what_stands_on_the_screen(controller: ProjectController) -> None:
    edit(controller, "6 mm")
    older = controller.session.prototype.project
    controller.type("piston_throw", "6.5 mm")
    assert controller.session.prototype.save_state is SaveState.TYPING
    controller.take(Saved(path=controller.session.prototype.path, project=older))
    assert controller.session.prototype.save_state is SaveState.TYPING
    controller.take(Saved(path=controller.session.prototype.path, project=controller.session.prototype.project))
    assert controller.session.prototype.save_state is SaveState.SAVED


def test_a_failed_save_stays_told_until_one_succeeds(controller: ProjectController) -> None:
    edit(controller, "6 mm")
    prototype = controller.session.prototype
    controller.take(NotSaved(path=prototype.path, project=prototype.project, message="The disk is full."))
    controller.type("piston_throw", "6.5 mm")
    assert prototype.save_state is SaveState.FAILED
    assert "The disk is full." in prototype.message
    controller.take(Saved(path=prototype.path, project=prototype.project))
    assert prototype.message == ""


def test_a_text_that_is_typed_back_counts_as_saved_again(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    edit(controller, "4")
    controller.type("piston_throw", "4 mm")
    controller.leave_field()
    assert wait_until_idle(controller.persistence, WAIT)
    take_all(controller, news)
    assert controller.session.prototype.save_state is SaveState.SAVED
    assert controller.persistence.unsaved == ()


def test_nothing_is_redone_over_what_another_wrote(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    edit(controller, "6 mm")
    controller.leave_field()
    controller.step(back=True)
    assert wait_until_idle(controller.persistence, WAIT)
    take_all(controller, news)
    add_theirs(controller.session.prototype.path)
    controller.take(ChangedOnDisk(path=controller.session.prototype.path))
    controller.step(back=False)
    assert wait_until_idle(controller.persistence, WAIT)
    assert "zzzzzz" in read_project(controller.session.prototype.path).project.entries


def test_undo_takes_back_what_was_done_here_and_leaves_what_another_wrote(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    path = notebook / "paint-tin.toml"
    was = controller.session.prototype.project.latest.build["piston_throw"]
    for text in ("6 mm", "7 mm"):
        edit(controller, text)
        controller.leave_field()
    assert wait_until_idle(controller.persistence, WAIT)
    take_all(controller, news)
    add_theirs(path)
    controller.take(ChangedOnDisk(path=path))
    assert "zzzzzz" in controller.session.prototype.project.entries
    for text in ("6 mm", was):
        assert controller.step(back=True)
        found = controller.session.prototype.project
        assert found.latest.build["piston_throw"] == text
        assert "zzzzzz" in found.entries


def test_a_text_that_waits_for_an_answer_outlives_its_mark(notebook: Path) -> None:
    controller, _ = services_ready(notebook)
    path = controller.session.prototype.path
    controller.look_at(1)
    edit(controller, "6 mm")
    controller.leave_field()
    stored = read_project(path)
    save_project(path, replace(stored.project, marks={2: stored.project.marks[2]}), revision=stored.revision)
    controller.take(ChangedOnDisk(path=path))
    assert set(controller.session.prototype.project.marks) == {2}
    controller.settle_as_correction()
    assert controller.session.prototype.project.marks[1].build == {"piston_throw": "6 mm"}


def test_an_answer_to_an_older_question_is_dropped(controller: ProjectController) -> None:
    first = controller.requests.number
    edit(controller, "6 mm")
    assert controller.requests.number > first
    prototype = controller.session.prototype
    request = ModelRequest(
        path=prototype.path, build=controller.session.parsed.build, project=prototype.project, mark=2, number=first
    )
    late = ModelResult(request=request, listed=False, prediction=Prediction(verdict=Verdict.RUNS))
    assert controller.take(late) is None
    assert prototype.outlook.prediction is None


def test_a_flagged_field_asks_nothing_while_there_is_a_good_prediction(controller: ProjectController) -> None:
    outlook = controller.session.prototype.outlook
    outlook.prediction, outlook.mark, outlook.pending = Prediction(verdict=Verdict.RUNS), 2, False
    asked = keep_answers(controller)
    edit(controller, "6 furlongs")
    assert not asked


def test_the_prediction_of_one_mark_does_not_stand_for_another_that_has_a_flagged_field(
    controller: ProjectController,
) -> None:
    prototype = controller.session.prototype
    prototype.outlook.prediction, prototype.outlook.mark = Prediction(verdict=Verdict.RUNS), 2
    prototype.project = prototype.project.with_mark(
        Mark(number=1, build={**prototype.project.marks[1].build, "piston_throw": "5 furlongs"})
    )
    before = controller.requests.number
    controller.look_at(1)
    assert controller.requests.number > before


def test_a_newer_format_takes_no_text(notebook: Path, controller: ProjectController) -> None:
    controller.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace("format = 1", "format = 99"), encoding="utf-8")
    controller.open(path)
    edit(controller, "6 mm")
    assert controller.session.texts["piston_throw"] == "4 mm"
    assert "reading only" in controller.session.prototype.notice


def test_a_newer_format_takes_no_mark_and_says_so(notebook: Path, controller: ProjectController) -> None:
    controller.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace("format = 1", "format = 99"), encoding="utf-8")
    controller.open(path)
    number = controller.session.number
    controller.next_mark("Rebuilt")
    assert controller.session.number == number == controller.session.prototype.project.latest.number
    assert "reading only" in controller.session.prototype.message


def test_a_file_changed_while_closed_is_read_again_when_opened(notebook: Path, controller: ProjectController) -> None:
    controller.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace('"4 mm"', '"4.4 mm"'), encoding="utf-8")
    controller.open(path)
    assert controller.session.texts["piston_throw"] == "4.4 mm"


def test_a_copy_takes_the_latest_build_as_its_first_mark_and_leaves_the_diary(
    notebook: Path, controller: ProjectController
) -> None:
    project_list = ProjectList(controller.session, controller.persistence, controller.runner, lambda: "2026-11-26")
    copy = project_list.copy(notebook / "paint-tin.toml", "Paint tin 2")
    assert wait_until_idle(controller.persistence, WAIT)
    project = read_project(copy.path).project
    assert project.marks[1].build["piston_throw"] == "4 mm"
    assert set(project.marks) == {1}
    assert not project.entries


def test_gaps_of_readings_that_are_gone_by_now_are_dropped(controller: ProjectController) -> None:
    prototype = controller.session.prototype
    controller.close()
    request = ModelRequest(
        path=prototype.path, build=parsed_build(prototype.project.latest).build, project=prototype.project, mark=2
    )
    late = ModelResult(request=request, listed=True, gaps=stand_in_gaps(prototype.project, mark=1, samples=0))
    prototype.project = replace(prototype.project, entries={})
    assert controller.take(late) is None
    assert prototype.outlook.gaps == ()


def keep_answers(controller: ProjectController) -> list[ModelRequest]:
    """Keep what is asked of the runner from now on, with its number, in place of working on it."""
    asked: list[ModelRequest] = []

    def ask(request: ModelRequest) -> int:
        asked.append(replace(request, number=1000 + len(asked)))
        return asked[-1].number

    controller.runner.ask = ask  # type: ignore[method-assign]
    return asked


def answered(controller: ProjectController, request: ModelRequest, name: str) -> bool:
    """Let the answer to a question come; return whether it was taken."""
    prediction = Prediction(verdict=Verdict.RUNS, has_interval=True, reason=name)
    return controller.take(ModelResult(request=request, listed=False, prediction=prediction)) is not None


def test_a_text_that_cannot_be_read_leaves_the_engine_of_before_the_field_was_opened(
    controller: ProjectController,
) -> None:
    asked = keep_answers(controller)
    edit(controller, "9 mm")
    controller.leave_field()
    assert answered(controller, asked[-1], "of 9 mm")
    controller.enter_field()
    for text in ("1", "1 ", "1 f"):
        controller.type("piston_throw", text)
        if text == "1":
            assert answered(controller, asked[-1], "of 1 mm")
    outlook = controller.session.prototype.outlook
    assert outlook.prediction is not None and outlook.prediction.reason == "of 9 mm"
    controller.leave_field()
    assert controller.session.age is Age.OLD
    assert controller.session.prototype.outlook.prediction is outlook.prediction


def test_an_answer_about_a_text_on_the_way_comes_too_late_for_a_text_that_cannot_be_read(
    controller: ProjectController,
) -> None:
    asked = keep_answers(controller)
    edit(controller, "9 mm")
    controller.leave_field()
    assert answered(controller, asked[-1], "of 9 mm")
    edit(controller, "1")
    between = asked[-1]
    controller.type("piston_throw", "1 f")
    assert not answered(controller, between, "of 1 mm")


def test_what_was_still_being_worked_out_when_the_field_was_opened_is_asked_again(
    controller: ProjectController,
) -> None:
    asked = keep_answers(controller)
    edit(controller, "9 mm")
    controller.leave_field()
    edit(controller, "1")
    controller.type("piston_throw", "1 f")
    assert asked[-1].build.piston_throw is not None
    assert asked[-1].build.piston_throw.value == pytest.approx(9e-3)
    controller.leave_field()
    assert answered(controller, asked[-1], "of 9 mm")
    assert controller.session.age is Age.OLD


def test_a_reading_counts_once_its_field_is_left(controller: ProjectController) -> None:
    asked = keep_answers(controller)
    project = controller.session.prototype.project
    entry = project.entries["k7f3m2"]
    controller.look_at(1)
    before = len(asked)
    controller.enter_field()
    for text in ("1", "12", "12 g"):
        texts = {**entry.readings["a"].texts, "force_tight": text}
        reading = replace(entry.readings["a"], texts=texts)
        controller.put(project.with_entry(replace(entry, readings={"a": reading})))
    assert len(asked) == before
    controller.leave_field()
    assert asked[-1].project.entries["k7f3m2"].readings["a"].texts["force_tight"] == "12 g"


def test_a_flagged_word_leaves_the_fields_as_they_were(controller: ProjectController) -> None:
    asked = keep_answers(controller)
    edit(controller, "9 mm")
    controller.leave_field()
    assert answered(controller, asked[-1], "of 9 mm")
    edit_word(controller, "diaphragm")
    controller.leave_field()
    assert answered(controller, asked[-1], "of a diaphragm")
    edit_word(controller, "piston of brass")
    assert controller.session.parsed.build.piston_kind is None
    assert last_valid_build(controller.session).piston_kind == "diaphragm"


def edit_word(controller: ProjectController, text: str) -> None:
    controller.enter_field()
    controller.type("piston_kind", text)
