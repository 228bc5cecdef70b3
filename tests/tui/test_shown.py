"""What a mark has shown stands beside what its drawing says, and Why says what is known from what."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from model.knowledge.result import Knowledge, Took, Unknown
from model.prediction.result import FirstTest, Prediction, Verdict
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from tests.tui.stage import CAN, Play, can, figure, play, stand_in, stand_in_allowances, stand_in_diagnosis
from tui.runs.model_calls import ModelRequest, ModelResult
from tui.runs.runner import Runner
from tui.state.asked import begin, take
from tui.state.knowledge import about, knowledge_of
from tui.state.prototype import Prototype, parsed_build
from tui.state.session import Session
from tui.view.comparison import table_rows
from tui.view.knowledge import knowledge_lines
from tui.view.lines import text_of
from tui.view.panel import panel_lines
from tui.view.project_list import item_lines

SPEED = Reading(key="a", kind="speed", texts={"turns": "69", "time": "60 s"})
DRAWN = Prediction(
    verdict=Verdict.RUNS,
    run_probability=0.75,
    untested=("rim_weight", "leak_down"),
    has_interval=True,
    figures={"shaft_power": figure("shaft_power", "Best shaft power", Kind.POWER, "W", 0.017)},
    first_test=FirstTest(
        key="rim_weight", label="grams on the rim", minutes=4, at=0.0006, kind=Kind.MASS, unit="g", below=0.97,
        above=0.41, alike=False, power_below=0.004, power_above=0.001,
    ),
)  # fmt: skip
KNOWN = Knowledge(
    mark=2,
    prediction=replace(
        DRAWN,
        run_probability=0.94,
        figures={"shaft_power": figure("shaft_power", "Best shaft power", Kind.POWER, "W", 0.0035)},
    ),
    unknowns=(
        Unknown(
            key="friction_torque", label="Friction", kind=Kind.TORQUE, unit="mN m", before=(1e-3, 1e-4, 3e-3),
            after=(3.1e-4, 1e-4, 8e-4), origin="carried from Mk 1", since="taken apart since",
        ),
    ),
    readings=(Took(mark=1, entry="e", reading="a", text="Mk 1: 69 turns in 60 s"),),
)  # fmt: skip


def measured() -> Project:
    entry = Entry(key="e", day="2026-11-22", mark=1, readings={"a": SPEED})
    return Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry})


def opened(project: Project, known: Knowledge | None) -> Session:
    session = Session(Path())
    prototype = Prototype(path=Path("a.toml"), project=project)
    session.add(prototype)
    session.open(prototype.path)
    prototype.outlook.prediction, prototype.outlook.build = DRAWN, session.parsed.build
    if known is not None:
        state = prototype.knowledge
        state.answer, state.of = known, about(session.shown, session.number)
    return session


def panel(session: Session, width: int = 32) -> str:
    lines = [text_of(line) for line in panel_lines(session, width=width, height=14, plain=True)]
    assert all(len(line) <= width for line in lines)
    return " ".join(" ".join(lines).split())


def test_before_anything_is_measured_the_panel_names_the_one_test_and_what_its_outcomes_mean() -> None:
    said = panel(opened(Project(name="x", marks={1: Mark(number=1, build=CAN)}), None))
    assert "Runs as drawn, 75 in 100" in said
    assert "Nothing tested yet; grams on the rim (4 min) tells most: up to 0.6 g: 97 in 100, more: 41 in 100." in said
    assert "Nothing measured" not in said


def test_both_predictions_stand_where_something_was_found() -> None:
    said = panel(opened(can(), KNOWN))
    assert "From what it has shown Runs, 94 in 100 as drawn 75 in 100" in said
    assert "Best shaft power 3.5 mW" in said
    assert "drawn 17 mW" in said
    assert "tells most" not in said


def test_a_first_look_says_that_it_is_rough_and_that_learning_goes_on() -> None:
    session = opened(can(), None)
    state = session.prototype.knowledge
    begin(state, about(session.shown, session.number), 1)
    request = ModelRequest(path=Path("a.toml"), build=parsed_build(session.own).build, project=can(), mark=2, number=1)
    blank = ModelResult(request=request, listed=False, of_knowledge=True)
    assert take(state, blank, replace(KNOWN, first_look=True))
    assert "From what it has shown, roughly Runs, 94 in 100" in panel(session)
    assert state.pending
    assert take(state, blank, KNOWN)
    assert "From what it has shown Runs, 94 in 100" in panel(session)


def test_what_was_learnt_of_other_texts_is_not_shown() -> None:
    session = opened(can(), KNOWN)
    assert knowledge_of(session) is not None
    session.prototype.project = can().with_entry(Entry(key="f", mark=2, ticks=("binds",)))
    assert knowledge_of(session) is None
    assert "From what it has shown" not in panel(session)


def test_why_says_what_is_known_and_where_it_comes_from() -> None:
    text = " ".join(" ".join(text_of(line) for line in knowledge_lines(KNOWN, 78)).split())
    assert "Friction: 310 uN m (between 100 and 800 uN m)" in text
    assert "carried from Mk 1, taken apart since" in text
    assert "Mk 1: 69 turns in 60 s" in text


class Learner:
    """A model that learns at once and counts."""

    def __init__(self) -> None:
        self.asked: list[int] = []

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> Knowledge:
        self.asked.append(mark)
        progress(0.5)
        return replace(KNOWN, mark=mark)

    def runner(self, post: Callable[[ModelResult], None]) -> Runner:
        return Runner(
            post, predict=stand_in, gaps=lambda *a, **n: (), diagnose=stand_in_diagnosis,
            allowances=stand_in_allowances, learn=self,
        )  # fmt: skip


def test_it_is_learnt_in_the_background_when_it_is_opened_and_again_when_something_was_found(
    write: Callable[[Project], Path],
) -> None:
    learner = Learner()

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert "From what it has shown" in acts.screen()
        assert learner.asked == [1]
        await acts.press("right")
        assert learner.asked == [1]

    play(write(measured()), scene, runner=learner.runner)
    assert learner.asked


def test_what_was_carried_is_dropped_by_a_key(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r", "escape", "m", "d")
        entries = acts.app.controller.session.prototype.project.entries.values()
        assert [e.ticks for e in entries if e.mark == 2] == [("nothing_kept",)]
        await acts.press("m", "d")
        entries = acts.app.controller.session.prototype.project.entries.values()
        assert [e.ticks for e in entries if e.mark == 2] == [()]

    play(write(measured()), scene)


def known_prototype() -> Prototype:
    prototype = opened(can(), KNOWN).prototype
    prototype.outlook.mark = 2
    return prototype


def test_the_list_says_what_is_expected_and_what_the_drawing_says() -> None:
    lines = [text_of(line) for line in item_lines(known_prototype(), 80, here=False)]
    assert "expect 3.5 mW (2 to 7 mW), drawn 17 mW" in lines[1]


def test_side_by_side_shows_both_where_one_has_shown_something() -> None:
    rows = {row.label: row.cells for row in table_rows([known_prototype(), opened(measured(), None).prototype])}
    assert "From what it has shown" in rows
    assert rows["Runs or not"] == ("runs, 94 in 100", "-")


def test_a_word_in_the_diary_makes_nothing_be_learnt_again_and_a_finding_does() -> None:
    project = measured()
    entry = project.entries["e"]
    assert about(project, 1) == about(project.with_entry(replace(entry, text="Sticky today.")), 1)
    assert about(project, 1) != about(project.with_entry(replace(entry, ticks=("binds",))), 1)
    assert about(project, 1) != about(project.with_mark(Mark(number=1, build={**CAN, "piston_throw": "4 mm"})), 1)
    assert about(project, 1) == about(project.with_mark(Mark(number=2, build=CAN)), 1)
