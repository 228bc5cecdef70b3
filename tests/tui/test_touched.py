"""When a mark begins it is asked what was touched: likely answers are ticked, Enter goes on, Escape says nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from model.checks.problems import problems_of
from model.fields.field import Choice
from model.knowledge.carried import touched_between
from model.record import Entry, Mark, Project, Reading
from tests.tui.stage import CAN, Play, play
from tui.dialogs.ticks import TickDialog

SPEED = Reading(key="a", kind="speed", texts={"turns": "69", "time": "60 s"})


def measured() -> Project:
    entry = Entry(key="e", day="2026-11-22", mark=1, readings={"a": SPEED})
    return Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry})


def touched(project: Project) -> list[tuple[str, ...]]:
    return [entry.ticks for entry in project.entries.values() if entry.mark == 2]


def test_the_likely_answer_is_ticked_and_enter_writes_it_down(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r")
        assert "what was touched since Mk 1" in acts.screen()
        assert "[x] taken apart" in acts.screen()
        await acts.press("enter")
        project = acts.app.controller.session.prototype.project
        assert touched(project) == [("taken_apart",)]
        assert problems_of(project) == ()
        assert touched_between(project, 1, 2) == {"taken_apart"}

    play(write(measured()), scene)


def test_another_answer_is_ticked_with_space(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r", "down", "space", "down", "space", "enter")
        assert touched(acts.app.controller.session.prototype.project) == [("new_rubber",)]

    play(write(measured()), scene)


def test_escape_says_nothing_and_the_mark_stands(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r", "escape")
        project = acts.app.controller.session.prototype.project
        assert touched(project) == []
        assert set(project.marks) == {1, 2}

    play(write(measured()), scene)


def test_answers_below_the_screen_are_told(write: Callable[[Project], Path]) -> None:
    """Title, text, two empty lines, 19 answers and the keys fill 24 lines; of 25 answers six are below."""
    choices = [Choice(key=f"k{number}", label=f"Answer {number}", help="") for number in range(25)]

    async def scene(acts: Play) -> None:
        acts.app.push_screen(TickDialog("Which?", "All that hold.", choices, (), colour=False))
        await acts.press("up")
        assert "Answer 18" in acts.screen() and "Answer 19" not in acts.screen()
        assert "Down 6 more below" in acts.screen()
        await acts.press(*["down"] * 24)
        assert "more below" not in acts.screen()

    play(write(measured()), scene)


def test_nothing_is_asked_where_nothing_was_shown(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r")
        assert "what was touched" not in acts.screen()

    play(write(Project(name="x", marks={1: Mark(number=1, build=CAN)})), scene)


def test_what_was_done_stands_in_the_diary(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "m", "r", "enter", "left", "left")
        assert "Mark begun: taken apart" in acts.screen()

    play(write(measured()), scene)
