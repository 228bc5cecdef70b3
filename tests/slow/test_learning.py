"""More of what happened to builders, and ten readings against one: see ``tests/knowledge``."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.knowledge.learn import learn
from tests.knowledge.stories import CAN, entry, project, speed
from tests.knowledge.test_learn import _width, drawing, drawn_speed
from tests.knowledge.test_stories import asked

__all__ = ["drawing", "drawn_speed"]


def test_ten_readings_of_one_evening_say_little_more_than_one(drawn_speed: float) -> None:
    one = speed(drawn_speed, 0.03 * drawn_speed)
    once = learn(project(CAN, entries=(entry("a", 1, one),)), 1)
    ten = learn(project(CAN, entries=(entry("a", 1, *[one] * 10),)), 1)
    # the samples of two runs differ by 5 %
    assert _width(ten.prediction) > 0.88 * _width(once.prediction)


def test_an_engine_that_ran_at_69_rpm_is_expected_there_and_nothing_stops_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    brake = ("brake", {"force_tight": "0.6 g", "force_slack": "0 g", "radius": "10 mm", "tachometer": "40 rpm"})
    ran = entry("a", 2, speed(69), brake)
    told = asked(tmp_path, capsys, "predict", ran)
    assert told["shown"]["verdict"] == "runs"
    low, high = (told["shown"]["free_running_speed_rpm"][end] for end in ("low", "high"))
    assert low < 69 < high < told["free_running_speed_rpm"]["value"]
    assert len(told["took_part"]) == 2
    assert "seen running" in asked(tmp_path, capsys, "next", ran)["reason"]


def test_a_tick_that_it_binds_is_a_finding_and_moves_the_friction(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(tmp_path, capsys, "next", entry("a", 2, ticks=("binds",)))
    assert [item["text"] for item in told["took_part"]] == ["Mk 2, 2026-11-20: ticked: binds"]
    friction = next(item for item in told["unknowns"] if item["key"] == "friction_torque")
    assert friction["after"]["high"] > 1.3 * friction["before"]["high"]
    moved = {
        cause["key"]: {item["finding"]: item["odds_factor"] for item in cause["moved"]} for cause in told["causes"]
    }
    assert moved["friction"]["Turned by hand"] > 1.5


def test_a_speed_typed_with_a_zero_too_many_is_named_as_typed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(tmp_path, capsys, "predict", entry("a", 2, speed(2800)))
    assert any("2800 rpm" in text for text in told["at_odds"]) or "2800 rpm" in told["note"]
    assert told["shown"] is None or told["engines"] >= 200
