"""The controller: correction or change, marks, and results that come too late."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.prediction.result import Prediction, Verdict
from model.record import Entry, Mark
from model.store import read_project, save_project
from tests.tui.stage import make_runner, silent_keeper, stand_in_gaps
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.state.controller import REBUILT, ProjectController
from tui.state.project_list import ProjectList
from tui.state.prototype import SaveState, parsed_build
from tui.state.session import Session
from tui.storage.persistence import ChangedOnDisk, NotSaved, Saved

WAIT = 5.0


@pytest.fixture
def controller(notebook: Path) -> ProjectController:
    """A controller whose runner never starts."""
    return services_ready(notebook)[0]


def services_ready(notebook: Path) -> tuple[ProjectController, list[Any]]:
    """Return a controller whose runner never starts, and the list that persistence's news go to."""
    persistence, news = silent_keeper()
    runner = make_runner(lambda answer: None)
    session = Session(notebook)
    ProjectList(session, persistence, runner, lambda: "2026-11-26").take_notebook(persistence.read_folder(notebook))
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


def test_a_mark_with_readings_asks_and_a_correction_is_asked_once(controller: ProjectController) -> None:
    controller.look_at(1)
    edit(controller, "6 mm")
    assert controller.must_ask
    controller.settle_as_correction()
    controller.leave_field()
    edit(controller, "7 mm")
    assert not controller.must_ask
    controller.leave_field()
    assert controller.session.at.project.marks[1].build["piston_throw"] == "7 mm"


def test_a_change_begins_the_next_mark_and_readings_stay(controller: ProjectController) -> None:
    controller.look_at(1)
    edit(controller, "6 mm")
    controller.settle_as_change("Throw: 5 mm -> 6 mm")
    controller.leave_field()
    project = controller.session.at.project
    assert controller.session.number == 3
    assert project.marks[1].build["piston_throw"] == "5 mm"
    assert project.marks[3].build["piston_throw"] == "6 mm"
    assert project.marks[3].reason == "Throw: 5 mm -> 6 mm"
    assert len(project.readings_of(1)) == 1
    assert controller.step(back=True)
    assert set(controller.session.at.project.marks) == {1, 2}


def test_a_rebuilt_engine_is_a_new_mark_of_the_same_build(controller: ProjectController) -> None:
    controller.next_mark(REBUILT)
    marks = controller.session.at.project.marks
    assert marks[3] == Mark(number=3, reason=REBUILT, build=marks[2].build)
    assert controller.session.number == 3


def test_saved_is_said_only_of_what_stands_on_the_screen(controller: ProjectController) -> None:
    edit(controller, "6 mm")
    older = controller.session.at.project
    controller.type("piston_throw", "6.5 mm")
    assert controller.session.at.save_state is SaveState.TYPING
    controller.take(Saved(path=controller.session.at.path, project=older))
    assert controller.session.at.save_state is SaveState.TYPING
    controller.take(Saved(path=controller.session.at.path, project=controller.session.at.project))
    assert controller.session.at.save_state is SaveState.SAVED


def test_a_failed_save_stays_told_until_one_succeeds(controller: ProjectController) -> None:
    edit(controller, "6 mm")
    at = controller.session.at
    controller.take(NotSaved(path=at.path, project=at.project, message="The disk is full."))
    controller.type("piston_throw", "6.5 mm")
    assert at.save_state is SaveState.FAILED
    assert "The disk is full." in at.message
    controller.take(Saved(path=at.path, project=at.project))
    assert at.message == ""


def test_a_text_that_is_typed_back_counts_as_saved_again(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    edit(controller, "4")
    controller.type("piston_throw", "4 mm")
    controller.leave_field()
    assert controller.persistence.wait_until_idle(WAIT)
    take_all(controller, news)
    assert controller.session.at.save_state is SaveState.SAVED
    assert controller.persistence.unsaved == ()


def test_nothing_is_redone_over_what_another_wrote(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    edit(controller, "6 mm")
    controller.leave_field()
    controller.step(back=True)
    assert controller.persistence.wait_until_idle(WAIT)
    take_all(controller, news)
    add_theirs(controller.session.at.path)
    controller.take(ChangedOnDisk(path=controller.session.at.path))
    controller.step(back=False)
    assert controller.persistence.wait_until_idle(WAIT)
    assert "zzzzzz" in read_project(controller.session.at.path).project.entries


def test_undo_takes_back_what_was_done_here_and_leaves_what_another_wrote(notebook: Path) -> None:
    controller, news = services_ready(notebook)
    path = notebook / "paint-tin.toml"
    was = controller.session.at.project.latest.build["piston_throw"]
    for text in ("6 mm", "7 mm"):
        edit(controller, text)
        controller.leave_field()
    assert controller.persistence.wait_until_idle(WAIT)
    take_all(controller, news)
    add_theirs(path)
    controller.take(ChangedOnDisk(path=path))
    assert "zzzzzz" in controller.session.at.project.entries
    for text in ("6 mm", was):
        assert controller.step(back=True)
        found = controller.session.at.project
        assert found.latest.build["piston_throw"] == text
        assert "zzzzzz" in found.entries


def test_a_text_that_waits_for_an_answer_outlives_its_mark(notebook: Path) -> None:
    controller, _ = services_ready(notebook)
    path = controller.session.at.path
    controller.look_at(1)
    edit(controller, "6 mm")
    controller.leave_field()
    stored = read_project(path)
    save_project(path, replace(stored.project, marks={2: stored.project.marks[2]}), revision=stored.revision)
    controller.take(ChangedOnDisk(path=path))
    assert set(controller.session.at.project.marks) == {2}
    controller.settle_as_correction()
    assert controller.session.at.project.marks[1].build == {"piston_throw": "6 mm"}


def test_an_answer_to_an_older_question_is_dropped(controller: ProjectController) -> None:
    first = controller.asked
    edit(controller, "6 mm")
    assert controller.asked > first
    at = controller.session.at
    request = ModelRequest(
        path=at.path, build=controller.session.parsed.build, project=at.project, mark=2, number=first
    )
    late = ModelResult(request=request, listed=False, prediction=Prediction(verdict=Verdict.RUNS))
    assert controller.take(late) is None
    assert at.outlook.prediction is None


def test_a_flagged_field_asks_nothing_while_there_is_a_good_prediction(controller: ProjectController) -> None:
    outlook = controller.session.at.outlook
    outlook.prediction, outlook.mark = Prediction(verdict=Verdict.RUNS), 2
    before = controller.asked
    edit(controller, "6 furlongs")
    assert controller.asked == before


def test_the_prediction_of_one_mark_does_not_stand_for_another_that_has_a_flagged_field(
    controller: ProjectController,
) -> None:
    at = controller.session.at
    at.outlook.prediction, at.outlook.mark = Prediction(verdict=Verdict.RUNS), 2
    at.project = at.project.with_mark(Mark(number=1, build={**at.project.marks[1].build, "piston_throw": "5 furlongs"}))
    before = controller.asked
    controller.look_at(1)
    assert controller.asked > before


def test_a_newer_format_takes_no_text(notebook: Path, controller: ProjectController) -> None:
    controller.close()
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace("format = 1", "format = 99"), encoding="utf-8")
    controller.open(path)
    edit(controller, "6 mm")
    assert controller.session.texts["piston_throw"] == "4 mm"
    assert "reading only" in controller.session.at.notice


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
    assert controller.persistence.wait_until_idle(WAIT)
    project = read_project(copy.path).project
    assert project.marks[1].build["piston_throw"] == "4 mm"
    assert set(project.marks) == {1}
    assert not project.entries


def test_gaps_of_readings_that_are_gone_by_now_are_dropped(controller: ProjectController) -> None:
    at = controller.session.at
    controller.close()
    request = ModelRequest(path=at.path, build=parsed_build(at.project.latest).build, project=at.project, mark=2)
    late = ModelResult(request=request, listed=True, gaps=stand_in_gaps(at.project, mark=1, samples=0))
    at.project = replace(at.project, entries={})
    assert controller.take(late) is None
    assert at.outlook.gaps == ()
