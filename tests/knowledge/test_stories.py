"""What happened to builders, through the commands: what was measured stays known, and nothing is promised untested."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from model.record import Entry
from model.store.files import save_project
from tests.knowledge.stories import FLAT, entry, project, speed
from tui.__main__ import main

HEAVY = ("rim_weight", {"weight": "1 g +-0.1", "radius": "60 mm"})
LATER = {**FLAT, "piston_throw": "4 mm"}


def asked(folder: Path, capsys: pytest.CaptureFixture[str], word: str, *entries: Entry, mark: int | None = None) -> Any:
    file = folder / "trial.toml"
    file.unlink(missing_ok=True)
    save_project(file, project(FLAT, LATER, entries=entries), revision=None)
    capsys.readouterr()
    main([word, str(file), "--json", *(["--mark", str(mark)] if mark else [])])
    return json.loads(capsys.readouterr().out)


def test_a_gram_on_the_rim_of_mk_1_takes_the_promise_from_mk_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(tmp_path, capsys, "predict", entry("a", 1, HEAVY))
    assert told["mark"] == 2
    assert told["run_probability"] > told["shown"]["run_probability"]
    assert told["shown"]["run_probability"] < 0.9
    friction = next(item for item in told["unknowns"] if item["key"] == "friction_torque")
    assert friction["origin"] == "carried from Mk 1"
    assert friction["since"] == "taken apart since"
    assert friction["after"]["value"] > 2 * friction["before"]["value"]


@pytest.mark.usefixtures("few_drawn")
def test_deleting_the_reading_of_mk_1_gives_the_promise_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(tmp_path, capsys, "predict", entry("a", 1))
    assert told["shown"] is None
    assert told["took_part"] == []


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


@pytest.mark.usefixtures("few_drawn")
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


@pytest.mark.usefixtures("few_drawn")
def test_after_a_gram_on_the_rim_and_a_lapped_piston_neither_promise_nor_cause_forgets_the_gram(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lapping may have mended it: no longer sure, yet no "100 in 100", and the first to be tested."""
    lapped = (entry("a", 1, HEAVY), entry("b", 2, ticks=("new_piston",)))
    told = asked(tmp_path, capsys, "predict", *lapped)
    assert told["run_probability"] > told["shown"]["run_probability"]
    assert told["shown"]["run_probability"] < 0.95
    why = asked(tmp_path, capsys, "next", *lapped)
    assert why["causes"][0]["key"] == "friction"
    assert "Earlier findings" in {item["finding"] for item in why["causes"][0]["moved"]}
    assert why["causes"][0]["probability"] > 0.4
    bare = asked(tmp_path, capsys, "next", entry("b", 2, ticks=("new_piston",)))
    friction = next(cause["probability"] for cause in bare["causes"] if cause["key"] == "friction")
    assert why["causes"][0]["probability"] > friction + 0.1


def test_a_speed_typed_with_a_zero_too_many_is_named_as_typed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(tmp_path, capsys, "predict", entry("a", 2, speed(2800)))
    assert any("2800 rpm" in text for text in told["at_odds"]) or "2800 rpm" in told["note"]
    assert told["shown"] is None or told["engines"] >= 200
