"""What each action sends down the line at 80x24 in 256 colours, in bytes. The bounds are goals the project sets itself.

One walk writes down every figure; each bound is a test of its own. Bytes do not depend on the machine: what is drawn
later (the help when keys rest) is switched off where it is not meant, and told apart where it is. ``tests/slow`` holds
the real model to the same bounds on the three builds of the demo.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from model.record import Mark, Project
from model.store import save_project
from tests.tui.line import Line
from tests.tui.stage import ROCKER, can

NEVER = {"STAND_IN_REST": "3600"}
"""The help below the form waits for ever."""
FIELDS = 6
"""Fields that a run goes through."""


def make(folder: Path) -> Path:
    """Make a notebook of two prototypes."""
    folder.mkdir()
    save_project(folder / "paint-tin.toml", can(), revision=None)
    rocker = Project(name="Rocker", marks={1: Mark(number=1, build=ROCKER)})
    save_project(folder / "rocker.toml", rocker, revision=None)
    return folder


def opened(folder: Path, **environ: str) -> Line:
    """Return the notebook with the can open."""
    line = Line(folder, environ=environ)
    line.wait_for("predicted")
    line.press("enter")
    line.wait_for(r"Model +(fresh|up to date)")
    line.settle()
    return line


def walked(folder: Path) -> dict[str, int]:
    """Walk through the screens: the bytes of each step, everything that follows from it included."""
    line = Line(folder)
    line.wait_for("predicted")
    line.settle()
    spent = {"start": len(line.wrote), "idle in the list": line.spent(), "cursor in the list": line.spent("down")}
    line.press("up", "enter")
    line.wait_for(r"Model +(fresh|up to date)")
    line.settle()
    spent["idle"] = line.spent()
    spent["three moves and the help"] = line.spent("down", "down", "down")
    for name in ("materials", "heat source", "results", "diary"):
        spent[f"pane: {name}"] = line.spent("right")
    spent["open an entry"] = line.spent("enter")
    line.press("x")
    line.settle()
    spent["diary character"] = line.spent("y")
    line.press("a long line of words that goes round the end")
    line.settle()
    spent["diary character further down"] = line.spent("z")
    spent["diary new line"] = line.spent("enter")
    spent["idle in the diary"] = line.spent()
    line.press("esc")
    line.settle()
    line.press("esc")
    line.settle()
    spent["pane: engine"] = line.spent("e")
    spent["engine: most of twelve steps"] = max(line.spent("up") for _ in range(12))
    spent["engine: a quarter"] = line.spent("pgup")
    spent["idle at the engine"] = line.spent()
    line.press("e")
    line.settle()
    spent["help"] = line.spent("?")
    spent["help, a line on"] = line.spent("down")
    spent["back from help"] = line.spent("esc")
    spent["why"] = line.spent("w")
    line.press("esc")
    line.settle()
    spent["back to the list"] = line.spent("q")
    line.close()
    return spent


def formed(folder: Path) -> dict[str, int]:
    """Move and type in the form alone: the help waits, and the model thinks about what is typed."""
    line = opened(folder, STAND_IN="thinks", **NEVER)
    spent = {f"move {n}": line.spent("down") for n in range(1, FIELDS + 1)}
    line.press("home", "down", "down", "down")
    line.settle()
    spent["opening digit"] = line.spent("6")
    for place, digit in enumerate(("5", ".", "2", "5"), 2):
        spent[f"digit {place}"] = line.spent(digit)
    spent["idle while it computes"] = line.spent()
    line.close()
    return spent


def predicted(folder: Path) -> dict[str, int]:
    """Type digits with the whole new prediction: value, then interval; every figure of the panel changes."""
    line = opened(folder)
    line.press("down", "down", "down")
    line.settle()
    spent = {"first digit and its prediction": line.spent("7")}
    line.press("backspace")
    line.settle()
    spent["digit and its prediction"] = line.spent("9")
    line.close()
    return spent


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Path]:
    """Make a notebook for each walk: what one typed would be brought back in the next."""
    return lambda: make(tmp_path_factory.mktemp("bytes") / "notebook")


@pytest.fixture(scope="module")
def walk(folder: Callable[[], Path]) -> dict[str, int]:
    return walked(folder())


@pytest.fixture(scope="module")
def form(folder: Callable[[], Path]) -> dict[str, int]:
    return formed(folder())


@pytest.fixture(scope="module")
def typed(folder: Callable[[], Path]) -> dict[str, int]:
    return predicted(folder())


@pytest.mark.parametrize(
    ("action", "most"),
    [
        ("start", 8000),
        ("cursor in the list", 200),
        ("pane: materials", 3000),
        ("pane: heat source", 3000),
        ("pane: results", 3000),
        ("pane: diary", 3000),
        ("open an entry", 3000),
        ("pane: engine", 4000),
        ("engine: most of twelve steps", 1500),
        ("engine: a quarter", 1500),
        ("diary character", 120),
        ("diary character further down", 120),
        ("diary new line", 120),
        ("help", 4000),
        ("help, a line on", 4000),
        ("back from help", 4000),
        ("why", 4000),
        ("back to the list", 4000),
    ],
)
def test_a_step_costs_at_most(walk: dict[str, int], action: str, most: int) -> None:
    assert 0 < walk[action] <= most


@pytest.mark.parametrize("where", ["idle in the list", "idle", "idle in the diary", "idle at the engine"])
def test_nothing_is_sent_while_nothing_happens(walk: dict[str, int], where: str) -> None:
    assert walk[where] == 0


def test_moving_the_focus_costs_at_most_200(form: dict[str, int]) -> None:
    assert all(0 < form[f"move {n}"] <= 200 for n in range(1, FIELDS + 1)), form


def test_a_run_through_three_fields_pays_for_one_help_alone(walk: dict[str, int]) -> None:
    """Three moves, and the text that has to be read where the cursor rests: five lines of 80 at most."""
    assert walk["three moves and the help"] <= 3 * 200 + 5 * 80


def test_a_digit_costs_at_most_120(form: dict[str, int]) -> None:
    assert all(0 < form[f"digit {n}"] <= 120 for n in range(2, 6)), form


def test_the_digit_that_opens_a_field_costs_at_most_200(form: dict[str, int]) -> None:
    """It also says that nothing is saved yet and that the model computes, and draws the field as open."""
    assert 0 < form["opening digit"] <= 200


def test_nothing_is_sent_while_the_model_computes(form: dict[str, int]) -> None:
    assert form["idle while it computes"] == 0


@pytest.mark.parametrize("action", ["first digit and its prediction", "digit and its prediction"])
def test_a_digit_with_its_new_prediction_costs_at_most_700(typed: dict[str, int], action: str) -> None:
    assert 0 < typed[action] <= 700
