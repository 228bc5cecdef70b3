"""The runner: the newest question alone is answered, the value before the interval, errors in words."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from model.checkpoint import checkpoint
from model.errors import ModelError
from model.explain.diagnosis.allowances import Allowance
from model.explain.diagnosis.diagnose import Diagnosis
from model.fields import Build, parse_build
from model.prediction.result import Figure, Gap, Prediction, Verdict
from model.record import Project
from model.store import read_project
from tests.tui.stage import Play, play, predicted, stand_in_gaps
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner

DEMO = Path(__file__).parents[2] / "projects"
WAIT = 240.0
Stages = Iterator[Prediction]
STAGES = tuple(Prediction(verdict=Verdict.RUNS, has_interval=known) for known in (False, True))


class ProjectController:
    """Gathers answers."""

    def __init__(self) -> None:
        self.answers: list[ModelResult] = []
        self.came = threading.Condition()

    def post(self, answer: ModelResult) -> None:
        with self.came:
            self.answers.append(answer)
            self.came.notify_all()

    def wait(self, enough: Callable[[list[ModelResult]], bool], seconds: float = WAIT) -> None:
        with self.came:
            assert self.came.wait_for(lambda: enough(self.answers), seconds)


def came(true: Callable[[], bool]) -> bool:
    """Wait until something is true that nobody posts."""
    end = time.monotonic() + WAIT
    while not true() and time.monotonic() < end:
        time.sleep(0.005)
    return true()


def request(layout: str) -> ModelRequest:
    return ModelRequest(path=Path("a"), build=Build(layout=layout), project=Project(name="a"), mark=1)


def test_the_value_comes_first_and_its_interval_after() -> None:
    controller = ProjectController()

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        yield from STAGES

    runner = Runner(controller.post, predict=predict)
    number = runner.ask(request("gamma"))
    runner.start()
    controller.wait(lambda answers: len(answers) == 2)
    runner.stop()
    assert [a.prediction.has_interval for a in controller.answers if a.prediction] == [False, True]
    assert {a.request.number for a in controller.answers} == {number}


def test_a_newer_question_cancels_the_one_at_work_and_its_late_result_is_dropped() -> None:
    controller = ProjectController()
    begun, seen = threading.Event(), []

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        seen.append(build.layout)
        while build.layout == "alpha":
            begun.set()
            checkpoint()
            threading.Event().wait(0.001)
        yield from STAGES

    runner = Runner(controller.post, predict=predict)
    runner.start()
    runner.ask(request("alpha"))
    assert begun.wait(WAIT)
    runner.ask(request("beta"))
    controller.wait(lambda answers: any(a.prediction and a.prediction.has_interval for a in answers))
    runner.stop()
    assert seen == ["alpha", "beta"]
    assert {a.request.build.layout for a in controller.answers} == {"beta"}


def test_the_models_own_words_are_told() -> None:
    controller = ProjectController()

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        yield from ()
        raise ModelError("The bore is 3 m.", hint="Check the unit.")

    runner = Runner(controller.post, predict=predict)
    runner.start()
    runner.ask(request("gamma"))
    controller.wait(bool)
    runner.stop()
    assert controller.answers[0].failure == "The bore is 3 m. Check the unit."


def test_another_error_is_written_down_and_names_the_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    controller = ProjectController()

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        yield from ()
        raise ZeroDivisionError("float division\x1b[2J by zero")

    runner = Runner(controller.post, predict=predict)
    runner.start()
    runner.ask(request("gamma"))
    controller.wait(bool)
    runner.stop()
    told = controller.answers[0].failure
    log = tmp_path / "quarterturn" / "faults.log"
    assert str(log) in told
    assert "\x1b" not in told
    assert "ZeroDivisionError" in log.read_text()


def test_the_list_gives_way_to_the_open_prototype_and_is_answered_after_it() -> None:
    controller = ProjectController()
    begun = threading.Event()
    order: list[str | None] = []

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        order.append(build.layout)
        if build.layout == "alpha" and not begun.is_set():
            begun.set()
            while True:
                checkpoint()
                threading.Event().wait(0.001)
        yield from STAGES

    runner = Runner(controller.post, predict=predict)
    runner.start()
    runner.ask_listed(request("alpha"))
    assert begun.wait(WAIT)
    runner.ask(request("beta"))
    controller.wait(lambda answers: any(a.listed for a in answers))
    runner.stop()
    assert [a.listed for a in controller.answers] == [False, False, True]
    assert sorted(map(str, order)) == ["alpha", "alpha", "beta"]


def test_what_is_found_on_the_same_build_is_weighed_before_the_interval_and_its_allowances_after() -> None:
    """The first diagnosis waits for the prediction; the second, of another reading, does not."""
    controller = ProjectController()
    slow, let = threading.Event(), threading.Event()
    told: list[str] = []

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        for stage in STAGES:
            if slow.is_set() and stage.has_interval:
                let.wait(WAIT)
            told.append(f"predicted {stage.has_interval}")
            yield stage

    def diagnose(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
        progress(0.5)
        told.append("weighed")
        return Diagnosis()

    def allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
        told.append("allowed")
        return ()

    def weighed(answers: list[ModelResult]) -> int:
        return sum(answer.diagnosis is not None for answer in answers)

    runner = Runner(controller.post, predict=predict, diagnose=diagnose, allowances=allowances)
    runner.ask(request("gamma"))
    runner.ask_diagnosis(request("gamma"))
    runner.start()
    controller.wait(lambda answers: any(answer.allowances is not None for answer in answers))
    assert told == ["predicted False", "predicted True", "weighed", "allowed"]
    assert [a.progress for a in controller.answers if a.progress is not None] == [0.5]
    told.clear()
    slow.set()
    runner.ask(request("gamma"))
    runner.ask_diagnosis(request("gamma"))
    controller.wait(lambda answers: weighed(answers) == 2)
    assert "predicted True" not in told
    assert "allowed" not in told
    let.set()
    controller.wait(lambda answers: sum(answer.allowances is not None for answer in answers) == 2)
    assert told[-1] == "allowed"
    runner.stop()


def test_a_weighing_that_nobody_waits_for_ends() -> None:
    controller = ProjectController()
    begun, go = threading.Event(), threading.Event()
    ended: list[str] = []

    def diagnose(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
        begun.set()
        go.wait(WAIT)
        progress(0.5)
        ended.append(project.name)
        return Diagnosis()

    runner = Runner(controller.post, diagnose=diagnose, allowances=lambda project, *, mark: ())
    runner.start()
    runner.ask_diagnosis(request("gamma"))
    assert begun.wait(WAIT)
    newest = runner.ask_diagnosis(request("beta"))
    go.set()
    controller.wait(lambda answers: any(answer.diagnosis is not None for answer in answers))
    runner.stop()
    assert ended == ["a"]
    assert {answer.request.number for answer in controller.answers} == {newest}


def test_between_the_steps_of_the_model_a_lane_gives_way() -> None:
    """The real model: every step that takes long asks first whether the screen has something to do."""
    controller, waited = ProjectController(), []
    runner = Runner(controller.post, yield_to_ui=lambda: waited.append(threading.current_thread().name))
    runner.start()
    tin = read_project(DEMO / "cocoa-tin.toml").project
    runner.ask(
        replace(request("gamma"), project=tin, build=parse_build(tin.latest.build).build, mark=tin.latest.number)
    )
    controller.wait(lambda answers: any(a.prediction and a.prediction.has_interval for a in answers), 12 * WAIT)
    runner.stop()
    assert len(waited) > 10
    assert set(waited) == {"predict-open"}


def test_what_an_engine_lasts_comes_after_its_gaps_and_a_fault_in_it_takes_nothing_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    controller = ProjectController()
    told: list[str] = []

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        told.append("predicted")
        yield from STAGES

    def gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
        told.append("compared")
        return ()

    def lasting(project: Project, *, mark: int, build: Build, prediction: Prediction) -> dict[str, Figure]:
        told.append(f"lasts {prediction.has_interval}")
        raise ZeroDivisionError

    tin = read_project(DEMO / "cocoa-tin.toml").project
    runner = Runner(controller.post, predict=predict, gaps=gaps, lasting=lasting)
    runner.start()
    runner.ask(replace(request("gamma"), project=tin))
    controller.wait(lambda answers: any(a.gaps is not None for a in answers))
    assert came(lambda: runner.idle)
    runner.stop()
    assert told == ["predicted", "compared", "lasts True"]
    assert not any(answer.failure for answer in controller.answers)
    assert "ZeroDivisionError" in (tmp_path / "quarterturn" / "faults.log").read_text()


def test_allowances_that_nobody_waits_for_end_at_a_breath() -> None:
    """A newer question of causes makes them late, also once the queue of causes has taken it."""
    controller = ProjectController()
    begun, ended = threading.Event(), []

    def allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
        while not begun.is_set():
            begun.set()
            while True:
                checkpoint()
                time.sleep(0.001)
        ended.append(project.name)
        return ()

    runner = Runner(controller.post, diagnose=lambda project, *, mark, progress: Diagnosis(), allowances=allowances)
    runner.start()
    runner.ask_diagnosis(request("gamma"))
    assert begun.wait(WAIT)
    newest = runner.ask_diagnosis(request("beta"))
    controller.wait(lambda answers: any(answer.allowances is not None for answer in answers))
    runner.stop()
    assert ended == ["a"]
    assert [a.request.number for a in controller.answers if a.allowances is not None] == [newest]


def test_gaps_of_the_list_give_way_to_the_open_prototype_and_come_after_it() -> None:
    controller = ProjectController()
    begun = threading.Event()
    tin = read_project(DEMO / "cocoa-tin.toml").project

    def predict(project: Project, *, mark: int, build: Build) -> Stages:
        yield from STAGES

    def gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
        while samples == 7 and not begun.is_set():
            begun.set()
            while True:
                checkpoint()
                time.sleep(0.001)
        return ()

    runner = Runner(controller.post, predict=predict, gaps=gaps)
    runner.start()
    runner.ask_listed(replace(request("alpha"), project=tin, gap_samples=7))
    assert begun.wait(WAIT)
    runner.ask(replace(request("beta"), project=tin))
    controller.wait(lambda answers: any(a.listed and a.gaps is not None for a in answers))
    runner.stop()
    gapped = [a.listed for a in controller.answers if a.gaps is not None]
    assert gapped == [False, True]


def test_a_prototype_that_is_left_before_its_interval_gets_it_in_the_list(notebook: Path) -> None:
    left = threading.Event()

    def answer(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
        yield predicted(build, spread=False)
        if threading.current_thread().name == "predict-open":
            left.wait(WAIT)
        yield predicted(build, spread=True)

    async def scene(acts: Play) -> None:
        await acts.press("down")
        acts.send("enter")
        await acts.until(lambda: "mW" in acts.screen() and "[Dimensions" in acts.screen())
        acts.send("escape")
        await acts.until(lambda: "prototypes" in acts.screen())
        left.set()
        await acts.quiet()
        tin = acts.screen().split("Paint tin")[1]
        assert "between" in tin

    play(notebook, scene, runner=lambda post: Runner(post, predict=answer, gaps=stand_in_gaps))
