"""What next: the gap as bars and the list of changes of a running engine, scratch copies and marks made of it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.changes.result import Advice, Aim, Breakdown, Effect, Loss, Option, Outcome
from model.fields import Build
from model.prediction.result import FirstTest, Prediction
from model.quantities.ranges import Range
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.store import read_project
from tests.tui.stage import Play, can, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tests.tui.test_notrunning import stuck
from tui.dialogs.base import ChoiceDialog
from tui.host.terminal import Terminal
from tui.panes.next import NextPane
from tui.runs.model_api import AimQuestion, Answer, NextQuestion, Question
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.state.prototype import Prototype
from tui.text.promise import promise_text
from tui.view.comparison import table_rows
from tui.view.lines import text_of
from tui.view.next import breakdown_lines, head_line, note_lines, option_lines

BRAKE = {"tachometer": "300 rpm", "force_tight": "10 g", "force_slack": "0 g", "radius": "20 mm"}


def ends(middle: float) -> Range:
    return Range(middle=middle, low=0.5 * middle, high=1.5 * middle)


def option(key: str, gain: float, group: int, **texts: str) -> Option:
    power = ends(gain)
    effect = Effect(power=power, best_speed=None, free_speed=ends(2.0), least_difference=None, spare=power, runs=0.1,
                    helps=0.93, sure=power.low)  # fmt: skip
    return Option(key=key, words=f"{key}, as far as it goes", short=key, parts=(key,), texts=texts, hours=0.5,
                  needs="a drill",
                  caution="It is sharp.", source="common practice, no source", outcome=Outcome(solved=True, runs=0.9),
                  effect=effect, group=group)  # fmt: skip


ADVICE = Advice(
    mark=2, now=Outcome(solved=True, runs=0.8), sentence="Longer throw: 4 mW more.", running=True,
    options=(option("longer throw", 4e-3, 0, piston_throw="5 mm"), option("dry piston", 3e-3, 0),
             *(option(f"change {n}", 2e-3, n) for n in range(1, 9))),
    note="Nothing is measured yet: the list stands on the drawing.",
)  # fmt: skip
LOSSES = tuple(
    Loss(
        key=f"loss{n}",
        label=f"Loss {n} of the air",
        short=f"loss {n}",
        power=ends(n * 1e-3),
        orders=None,
        known="learned",
    )
    for n in (3, -1, 2, 4, 1, 1, 2, 1, 3)
)
BREAKDOWN = Breakdown(mark=2, entry="e", reading="a", told="Mk 2: brake", ideal=ends(20e-3), losses=LOSSES,
                      measured=ends(4e-3), verdict="short", sentence="It is short.")  # fmt: skip


def answers(project: Project, *, mark: int, question: Question, progress: Callable[[float], None]) -> Iterator[Answer]:
    if isinstance(question, NextQuestion):
        yield replace(ADVICE, mark=mark, options=ADVICE.options[:3], whole=False)
        yield replace(ADVICE, mark=mark)
        yield from [BREAKDOWN] if question.apart else []
    elif isinstance(question, AimQuestion):
        reached = ((ADVICE.options[0], 0.7),) if "rpm" in question.goal else ()
        yield Aim(mark=mark, goal=question.goal, now=0.2, ways=reached, sentence="A longer throw does it.",
                  reason="" if reached else f"{question.goal!r} is no goal: write 150 rpm.")  # fmt: skip


def runner(post: Callable[..., None]) -> Runner:
    return Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=answers,
    )  # fmt: skip


def running() -> Project:
    """The can, which runs at its second mark."""
    reading = Reading(key="a", kind="brake", texts=BRAKE)
    return can().with_entry(Entry(key="e5", day="2026-11-27", mark=2, readings={"a": reading}, ticks=("runs_ten",)))


async def turn_to_next(acts: Play) -> NextPane:
    await acts.press("enter")
    while "[What next]" not in acts.screen():
        await acts.press("left")
    assert isinstance(acts.app.screen, ProjectScreen)
    pane = acts.app.screen.pane
    assert isinstance(pane, NextPane)
    return pane


def panel(acts: Play) -> str:
    return " ".join(" ".join(line[48:].split()) for line in acts.screen().splitlines()[3:18])


def flat(acts: Play) -> str:
    return " ".join(acts.screen().split())


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (120, 40)])
@pytest.mark.parametrize("terminal", [Terminal(), Terminal(colour=False, plain=True)])
def test_a_running_engine_shows_the_best_first_then_the_gap_then_the_list(
    write: Callable[[Project], Path], size: tuple[int, int], terminal: Terminal
) -> None:
    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        lines = acts.screen().splitlines()
        assert next(line for line in lines[2:] if "Longer throw: 4 mW more." in line) in lines[3:5]
        assert any("####" in line and "Loss" in line for line in lines)
        assert any(line.startswith("> 1 longer throw") for line in lines)
        assert sum("30 min" in line for line in lines) >= 4
        assert all(len(line) <= size[0] for line in lines)

    play(write(running()), scene, size=size, terminal=terminal, runner=runner)


def test_bars_and_numbers_say_the_same_and_the_small_ones_are_told_together() -> None:
    lines = [text_of(line) for line in breakdown_lines(BREAKDOWN, 80, most=5)]
    assert lines[0] == "Ideal turn 20 mW, 4 mW measured: short of the prediction"
    assert len(lines) == 5
    assert "#" * 10 in next(line for line in lines if "Loss 4" in line)
    assert " in all: " in lines[-1] and lines[-1].endswith("(w)")
    whole = [text_of(line) for line in breakdown_lines(BREAKDOWN, 80, most=99)]
    assert len(whole) == 10
    assert "+" in next(line for line in whole if "Loss -1" in line).split(")")[-1]  # what gives is drawn otherwise


def test_what_cannot_be_told_apart_carries_one_number() -> None:
    lines = [text_of(line) for line in option_lines(ADVICE, ADVICE.options, 80, at=1)]
    assert [line[:4] for line in lines[1:4]] == ["  1 ", ">  =", "  2 "]


def test_a_change_is_put_into_a_scratch_copy_and_its_promise_goes_with_it(write: Callable[[Project], Path]) -> None:
    folder = write(running())

    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        await acts.press("enter")
        request = acts.app.screen
        assert isinstance(request, ChoiceDialog)
        assert "It is sharp." in acts.screen()
        await acts.press("s")
        scratch = acts.app.session.scratch
        assert scratch is not None
        assert scratch.texts == {"piston_throw": "5 mm"}
        assert scratch.promise["power"] == "4 (2 to 6) mW"
        assert "of Mk 2 as it is" in text_of(head_line(acts.app.session, 80))
        await acts.press("i", "k", "enter")
        if not isinstance(acts.app.screen, ProjectScreen):
            await acts.press("escape")
        mark = read_project(folder / "one.toml").project.marks[3]
        assert (mark.build["piston_throw"], mark.promise["since"]) == ("5 mm", "2")
        await acts.press("ctrl+z")
        assert 3 not in read_project(folder / "one.toml").project.marks

    play(folder, scene, runner=runner)


def test_a_change_without_a_field_begins_its_mark_and_is_held_against_what_comes(
    write: Callable[[Project], Path],
) -> None:
    folder = write(running())

    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        await acts.press("down", "enter")
        request = acts.app.screen
        assert isinstance(request, ChoiceDialog)
        assert [each.key for each in request.options] == ["m"]
        await acts.press("m")
        if not isinstance(acts.app.screen, ProjectScreen):
            await acts.press("escape")
        assert read_project(folder / "one.toml").project.marks[3].promise["change"].startswith("dry piston")
        await acts.press("left")
        assert "Promised for Mk 3 (dry piston" in flat(acts)
        assert "+3 mW (1.5 to 4.5) over" in flat(acts)

    play(folder, scene, runner=runner)


def test_an_engine_that_does_not_run_shows_causes_and_turns_to_changes(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        pane = await turn_to_next(acts)
        assert "Longer throw: 4 mW more." in acts.screen()
        assert "Friction" in acts.screen()
        await acts.press("c")
        assert "Friction" not in acts.screen()
        assert pane.options
        await acts.press("down", "c")
        assert "Friction" in acts.screen()

    play(write(stuck()), scene, runner=runner)


def test_enter_on_a_cause_writes_down_what_is_seen_of_it_and_where(write: Callable[[Project], Path]) -> None:
    folder = write(stuck())

    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        await acts.press("tab", "shift+tab", "enter")
        assert "Friction: what is seen here?" in acts.screen()
        await acts.press("enter")
        await acts.write("at the gland")
        await acts.press("enter")
        if not isinstance(acts.app.screen, ProjectScreen):
            await acts.press("c")
        (seen,) = [e for e in read_project(folder / "one.toml").project.entries.values() if "gland" in e.text]
        assert (seen.ticks, seen.text, seen.mark) == (("binds",), "Binds: at the gland", 2)
        await acts.press("ctrl+z")
        assert len(read_project(folder / "one.toml").project.entries) == len(stuck().entries)

    play(folder, scene, runner=runner)


def test_a_goal_is_asked_and_its_ways_are_told_or_why_it_is_none(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        await acts.press("g")
        await acts.write("150 rpm")
        await acts.press("enter")
        assert "Aim of Mk 2: 150 rpm" in acts.screen()
        assert "> longer throw" in acts.screen()
        assert "70 in 100" in acts.screen()
        await acts.press("enter", "s")
        assert acts.app.session.texts["piston_throw"] == "5 mm"
        await acts.press("g")
        await acts.write("soon")
        await acts.press("enter")
        assert "'soon' is no goal: write 150 rpm." in flat(acts)
        await acts.press("enter")  # back to the text, which is edited
        assert "What is Mk 2 to do?" in acts.screen() and "soon" in acts.screen()
        await acts.press("backspace", "backspace", "backspace", "backspace")
        await acts.write("150 rpm")
        await acts.press("enter")
        assert "Aim of Mk 2: 150 rpm" in acts.screen()
        await acts.press("escape")
        assert isinstance(acts.app.screen, ProjectScreen)

    play(write(running()), scene, runner=runner)


def test_the_panel_says_the_best_and_all_of_it_stands_behind_a_key(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert "Next: longer throw, at least +2 mW" in panel(acts)
        await acts.press("left", "w")
        assert "Changes that help" in acts.screen() or "short of the prediction" in acts.screen()

    play(write(running()), scene, runner=runner)


def test_a_reading_is_taken_apart_once_it_is_looked_at_and_nothing_is_asked_twice(
    write: Callable[[Project], Path],
) -> None:
    asked: list[Any] = []

    def counting(project: Project, *, mark: int, question: Question, progress: Any) -> Iterator[Answer]:
        asked.append(question)
        yield from answers(project, mark=mark, question=question, progress=progress)

    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        assert [each.apart for each in asked] == [False, True]
        await acts.press("right", "left")
        assert [each.apart for each in asked] == [False, True]
        await acts.press("n")
        await acts.write("a note")
        await acts.press("enter")
        assert [each.apart for each in asked] == [False, True]

    play(write(running()), scene, runner=lambda post: Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=counting,
    ))  # fmt: skip


def test_side_by_side_tells_what_was_promised_and_what_came() -> None:
    promise = {"change": "longer throw", "since": "1", "power": "4 (2 to 6) mW"}
    marks = {number: replace(mark, promise=promise if number == 2 else {}) for number, mark in can().marks.items()}
    rows = table_rows([Prototype(path=Path("a"), project=replace(running(), marks=marks))])
    (row,) = [row for row in rows if row.label == "Promised, and came"]
    assert row.cells == (promise_text(replace(running(), marks=marks), 2),)
    assert "Promised for Mk 2 (longer throw): +4 mW (2 to 6) over Mk 1; came" in row.cells[0]


def test_what_is_being_worked_out_ends_with_escape_and_is_asked_again_on_the_way_back(
    write: Callable[[Project], Path],
) -> None:
    begun: list[int] = []

    def thinks(
        project: Project, *, mark: int, question: Question, progress: Callable[[float], None]
    ) -> Iterator[Answer]:
        if not isinstance(question, NextQuestion):
            return
        begun.append(mark)
        while len(begun) == 1:
            time.sleep(0.005)
            progress(0.3)  # ends the work once nobody waits for it
        yield from answers(project, mark=mark, question=question, progress=progress)

    async def scene(acts: Play) -> None:
        acts.send("enter")
        await acts.until(lambda: bool(begun))
        await acts.press("escape")  # comes to rest: the work has ended
        assert acts.app.session.prototypes[next(iter(acts.app.session.prototypes))].next.answer is None
        await turn_to_next(acts)
        assert len(begun) == 3  # the list, and once it is looked at with the reading taken apart
        assert "Longer throw: 4 mW more." in acts.screen()

    play(write(running()), scene, runner=lambda post: Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=thinks,
    ))  # fmt: skip


def test_titles_stand_whole_at_eighty_columns_and_the_chance_to_help_only_where_it_is_in_doubt() -> None:
    from model.changes.catalogue import CATALOGUE

    changes = tuple(
        replace(option(each.key, 1e-3, 0), words=each.words, short=each.short or each.words, size="3 to 1.8 mm")
        for each in CATALOGUE
    )
    long = Range(middle=1e-3, low=1e-6, high=1.7e-3)
    changes = (*changes, replace(changes[0], effect=replace(changes[0].effect, power=long)))
    doubtful = replace(changes[0], effect=replace(changes[0].effect, helps=0.72))
    for shown, titled in ((changes, False), ((doubtful, *changes), True)):
        first, *lines = (text_of(line) for line in option_lines(ADVICE, shown, 80, at=0))
        assert ("helps" in first) is titled and "at least mW" in first
        assert all(len(line) <= 80 for line in lines)
        assert not any(">" in line[1:] for line in lines)
        assert all(line.endswith(("min", " h")) for line in lines)
        assert sum("72" in line for line in lines) == titled


def test_a_gain_of_which_nothing_is_sure_is_told_as_more_chance_to_run() -> None:
    each = option("more heat", 15e-3, 0)
    unsure = replace(each, effect=replace(each.effect, sure=0.0, runs=0.31))
    (_, line) = (text_of(line) for line in option_lines(ADVICE, (unsure,), 80, at=0))
    assert "runs +31" in line


def kept_mark() -> Project:
    """The running can with a third mark, begun by a change of the list and not tried."""
    promise = {"change": "narrower gap", "since": "2", "power": "12 (9 to 18) mW"}
    project = running()
    marks = {**project.marks, 3: replace(project.marks[2], number=3, promise=promise)}
    return replace(project, marks=marks)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_kept_mark_that_was_not_tried_tells_its_promise_and_the_first_reading(
    write: Callable[[Project], Path], size: tuple[int, int]
) -> None:
    async def scene(acts: Play) -> None:
        await turn_to_next(acts)
        assert flat(acts).count("Not tried yet") == 1
        said = "Promised for Mk 3 (narrower gap): +12 mW (9 to 18) over Mk 2. "
        assert said + "First reading: brake, as on Mk 2." in flat(acts)
        assert "Friction" not in acts.screen() and "longer throw" in acts.screen()
        await acts.press("c")
        assert "If it does not run" in acts.screen() and "Friction" in acts.screen()
        await acts.press("c", "right")
        assert "Not tried yet. First reading: brake, as on Mk 2." in panel(acts)

    play(write(kept_mark()), scene, size=size, runner=runner)


def test_before_anything_is_tried_it_begins_with_changes_and_one_first_test(write: Callable[[Project], Path]) -> None:
    test = FirstTest(key="rim_weight", label="grams on the rim", minutes=4, at=0.053, kind=Kind.MASS, unit="g",
                     below=0.6, above=0.9, alike=False, power_below=0, power_above=1e-3)  # fmt: skip

    def drawn(project: Project, *, mark: int, build: Build) -> Iterator[Prediction]:
        for each in stand_in(project, mark=mark, build=build):
            yield replace(each, first_test=test)

    said = "rams on the rim (4 min) tells most: up to 53 g: 60 in 100, more: 90 in 100."

    async def scene(acts: Play) -> None:
        pane = await turn_to_next(acts)
        assert "Before you build" in acts.screen() and said in flat(acts)
        assert "Longer throw: 4 mW more." in acts.screen()
        await acts.press("c")
        assert pane.tests[0].key == test.key and "Next test: Grams on the rim" in acts.screen()
        await acts.press("right")
        assert said in panel(acts)

    play(
        write(replace(can(), entries={})), scene,
        runner=lambda post: Runner(
            post, predict=drawn, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
            changes=answers,
        ),
    )  # fmt: skip


def test_what_is_cut_of_a_note_is_said_to_go_on() -> None:
    note = "Mk 1: U-tube half-time, 0.8 s: found otherwise later on the same mark, and not counted. " * 3
    lines = [text_of(line) for line in note_lines(note, 80, most=2)]
    assert len(lines) == 2 and lines[-1].endswith(" ... (w)") and all(len(line) <= 80 for line in lines)
    assert [text_of(line) for line in note_lines("Short.", 80, most=1)] == ["Short."]
