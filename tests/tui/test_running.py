"""An engine that was seen running is not told why it does not run; a stage belongs to the mark on which it was seen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from model.checks.seen_running import SeenRunning, seen_running, was_tried
from model.checks.stage import stage_of
from model.knowledge.not_running import diagnose
from model.prediction.result import Figure, Prediction, Verdict
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from tests.tui.stage import CAN, Play, play
from tui.commands.next import diagnosis_lines
from tui.view.diagnosis import running_lines
from tui.view.lines import text_of

SPEED = Reading(key="a", kind="speed", texts={"turns": "69", "time": "60 s"})
BRAKE = Reading(key="a", kind="brake", texts={"tachometer": "69 rpm", "force_tight": "10 g", "radius": "20 mm"})


def diary(*entries: Entry, marks: int = 2) -> Project:
    build = {**CAN, "piston_throw": "25 mm"}
    made = {n: Mark(number=n, build=build) for n in range(1, marks + 1)}
    return Project(name="x", marks=made, entries={entry.key: entry for entry in entries})


def entry(key: str, mark: int, *ticks: str, reading: Reading | None = None) -> Entry:
    readings = {reading.key: reading} if reading else {}
    return Entry(key=key, day=f"2026-11-2{mark}", mark=mark, ticks=ticks, readings=readings)


@pytest.mark.parametrize(
    ("found", "by"),
    [
        (entry("e", 2, reading=SPEED), "speed reading, 69 rpm"),
        (entry("e", 2, reading=BRAKE), "brake reading, 69 rpm"),
        (entry("e", 2, "runs_spent"), "ticked: runs till the heat is spent"),
        (entry("e", 2, "bounces", reading=SPEED), "speed reading, 69 rpm"),
    ],
)
def test_a_speed_a_brake_reading_or_a_tick_shows_that_it_runs(found: Entry, by: str) -> None:
    project = diary(entry("b", 1, "binds"), found)
    seen = seen_running(project, 2)
    assert seen is not None
    assert seen.by == by
    assert seen_running(project, 1) is None
    diagnosis = diagnose(project, mark=2)
    assert diagnosis.causes == ()
    assert diagnosis.next is None
    assert f"seen running on 2026-11-22 ({by})" in "\n".join(diagnosis_lines(diagnosis))


@pytest.mark.parametrize(
    "found",
    [
        Reading(key="a", kind="free_turns", texts={"turns": "9", "time": "6 s"}),
        Reading(key="a", kind="trial", texts={"trial": "ice", "outcome": "ran"}),
        Reading(key="a", kind="speed", texts={"turns": "0", "time": "6 s"}),
        Reading(key="a", kind="speed", texts={"turns": "99999", "time": "1 s"}),
        Reading(key="a", kind="speed", texts={"turns": "69", "time": "60 s", "mark": "1"}),
    ],
)
def test_what_does_not_show_that_it_runs_is_not_taken_for_it(found: Reading) -> None:
    assert seen_running(diary(entry("e", 2, reading=found)), 2) is None


def test_a_later_evening_on_which_it_got_less_far_counts() -> None:
    project = diary(entry("e", 2, reading=SPEED), entry("f", 2, "binds"))
    assert seen_running(project, 2) is None
    assert seen_running(diary(entry("e", 2, reading=SPEED), entry("f", 1, "binds")), 2) is not None


def test_the_list_shows_the_stage_with_the_mark_on_which_it_was_seen(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        assert "Mk 2  Mk 1: binds" in acts.screen()

    play(write(diary(entry("b", 1, "binds"))), scene)


def test_a_stage_is_told_with_its_mark_wherever_it_stands() -> None:
    stage = stage_of(diary(entry("a", 1, "runs_ten"), entry("b", 2, "binds")))
    assert stage.best_text == "Mk 1: runs ten seconds"
    assert stage.latest_text == "Mk 2: binds"


def test_an_engine_that_runs_is_told_what_it_loses_by() -> None:
    seen = SeenRunning(day="2026-11-22", by="speed reading, 69 rpm")
    figures = {
        key: Figure(key=key, label=label, kind=Kind.POWER, unit="W", value=value)
        for key, label, value in (
            ("indicated_power", "Indicated power", 0.024), ("shaft_power_there", "Shaft power", 0.006),
            ("friction_loss", "Lost to friction", 0.012), ("flow_loss", "Lost to flow", 0.001),
            ("crank_loss", "Lost in the crank", 0.005),
        )
    }  # fmt: skip
    made = Prediction(verdict=Verdict.RUNS, figures=figures, at_speed=9.0)
    lines = [text_of(line) for line in running_lines(seen, made, 78)]
    assert any("Of 24 mW that the air gives" in line for line in lines)
    lost = [line for line in lines if "Lost" in line]
    assert "friction: 12 mW, 50 %" in lost[0]
    assert "crank" in lost[1]
    assert not any("Why it does not run" in line for line in lines)


def test_the_list_says_that_it_ran(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        assert "Mk 2  ran: 69 rpm" in acts.screen()

    play(write(diary(entry("b", 1, "binds"), entry("e", 2, reading=SPEED))), scene)


def test_the_pane_says_by_what_it_was_seen_running_and_gives_no_odds(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert "[Dimensions]" in acts.screen()
        await acts.press("left")
        screen = acts.screen()
        assert "[What next]" in screen
        assert "It runs: what it loses by" in screen
        assert "on 2026-11-22 (speed reading, 69 rpm)" in screen
        assert "Why it does not run" not in screen
        assert "in 100" not in screen
        assert "Friction" not in screen
        await acts.press("enter", "w")
        assert "Why it does not run" not in acts.screen()

    play(write(diary(entry("b", 1, "binds"), entry("e", 2, reading=SPEED))), scene)


def test_nothing_says_that_a_mark_does_not_run_before_it_was_tried() -> None:
    assert not was_tried(diary(entry("b", 1, "binds")), 2)
    assert was_tried(diary(entry("b", 2, "binds")), 2)
    assert was_tried(diary(entry("e", 2, reading=SPEED)), 2)
    assert not was_tried(diary(entry("e", 2)), 2)
