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


@pytest.mark.usefixtures("few_drawn")
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


@pytest.mark.usefixtures("few_drawn")
def test_a_speed_stands_beside_the_drawing_and_beside_all_else_that_was_found(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A gram on the rim, then a slow run: far below the drawing, about what the gram promised."""
    light = ("rim_weight", {"weight": "0.4 g +-0.05", "radius": "60 mm"})
    (gap,) = asked(tmp_path, capsys, "gap", entry("a", 1, light), entry("b", 1, speed(150)))["gaps"]
    assert gap["shown"]["value"] != gap["predicted"]["value"]
    difference = gap["measured"]["value"] - gap["shown"]["value"]
    assert gap["shown_gap"]["value"] == pytest.approx(difference, abs=1e-3)  # six digits are told
    (alone,) = asked(tmp_path, capsys, "gap", entry("b", 1, speed(150)))["gaps"]
    assert alone["shown"] is None and alone["shown_gap"] is None
    main(["gap", str(tmp_path / "trial.toml")])
    assert "all else" not in capsys.readouterr().out
