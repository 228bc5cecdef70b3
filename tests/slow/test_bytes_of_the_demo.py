"""What each action sends down the line with the real model on the demo; bounds as in ``tests/tui``, in bytes."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.shell.terminal import ROOT
from tests.tui.line import Line
from tests.tui.test_bytes import FIELDS, NEVER

REAL = {"STAND_IN": "real", **NEVER}
DEMO = ("Cocoa tin", "Mug", "Two syringes")
ALL_PANES = ("Dimensions", "Materials", "Heat source", "Results", "Diary", "What next")
DIGITS = ("7", "3", "5")


def settled(line: Line, *keys: str, shown: str) -> int:
    """Press keys, wait for what they show and until nothing more comes; return the bytes."""
    before = len(line.wrote)
    line.press(*keys)
    line.wait_for(shown)
    line.settle()
    return len(line.wrote) - before


def demo_opened(folder: Path, name: str, environ: dict[str, str]) -> tuple[Line, dict[str, int]]:
    """Return a prototype of the demo at its dimensions, all figures there; the bytes on the way."""
    line = Line(folder, environ=environ)
    line.wait_for("Two syringes.*\n.*[Dd]oes not run")
    line.wait_for("Mug.*\n.*between")
    line.settle()
    spent = {"start": len(line.wrote), "idle: list": line.spent()}
    for number in range(DEMO.index(name)):
        spent[f"choice: list {number}"] = settled(line, "down", shown=rf"^> +{DEMO[number + 1]}")
    spent["opened: from the list"] = settled(line, "enter", shown=rf"^{name} +Mk")
    line.wait_for(r"\[What next\]|Model +(fresh|up to date)")
    line.settle()
    if "[Dimensions]" not in line.screen():
        spent["pane: first"] = settled(line, "right", shown=r"\[Dimensions\]")
    line.wait_for(r"Model +(fresh|up to date)")
    line.settle()
    return line, spent


def demo_walked(folder: Path, name: str) -> dict[str, int]:
    """Walk through all panes of a prototype of the demo, with the real model."""
    line, spent = demo_opened(folder, name, REAL)
    for number in range(FIELDS):
        spent[f"move: {number}"] = line.spent("down")
    for title in (*ALL_PANES[1:], ALL_PANES[0]):
        kind = "next" if title == "What next" else "pane"
        spent[f"{kind}: {title}"] = settled(line, "right", shown=rf"\[{title}\]")
        spent[f"help: {title}"] = settled(line, "?", shown="^Keys")
        spent[f"help: back to {title}"] = settled(line, "esc", shown=rf"\[{title}\]")
        spent[f"idle: {title}"] = line.spent()
    spent["help: why"] = settled(line, "w", shown="^Why")
    settled(line, "esc", shown=r"\[Dimensions\]")
    spent["engine: from a field"] = settled(line, "e", shown=r"\[Engine\]")
    for number in range(24):
        spent[f"turned: {number}"] = line.spent("up")
    spent["idle: engine"] = line.spent()
    settled(line, "e", shown=r"\[Dimensions\]")
    settled(line, "left", "left", shown=r"\[Diary\]")
    settled(line, "enter", shown="Esc")
    line.press("so ")
    line.settle()
    for number, letter in enumerate("far"):
        spent[f"character: {number}"] = line.spent(letter)
    spent["idle: diary"] = line.spent()
    line.close()
    return spent


def demo_typed(folder: Path, name: str, *, thinks: bool) -> dict[str, int]:
    """Type digits into the first field of the form that holds millimetres, what follows included unless it thinks."""
    line, _ = demo_opened(folder, name, {**REAL, "STAND_IN": "real,thinks"} if thinks else REAL)
    for _ in range(20):
        if re.search(r"^> +\S.* mm\b", line.screen(), re.MULTILINE):
            break
        line.spent("down")
    what = re.search(r"^> +(\S.*?)  ?\d", line.screen(), re.MULTILINE)
    assert what is not None, line.screen()
    spent, typed = {}, ""
    for number, digit in enumerate(DIGITS):
        typed += digit
        spent[f"digit: {number}"] = settled(line, digit, shown=rf"{re.escape(what[1])} +{typed}\b")
        if not thinks:
            before = len(line.wrote)
            line.wait_for("As typed: (?!computing)|Model +(fresh|up to date)")
            line.settle()
            spent[f"digit: {number}"] += len(line.wrote) - before
    line.close()
    return spent


GIVES_WAY = 500
"""A panel whose every line changes, once, when a field of a mark that has shown something is first typed into."""
BOUNDS = {
    "start": 8000,
    "opened": 4500,
    "choice": 300,
    "move": 200,
    "pane": 3000,
    "next": 6000,
    "help": 4000,
    "character": 120,
    "engine": 4000,
    "turned": 1500,
    "idle": 0,
}
"""A choice in the list tells of its prototype; opening takes what the mark has shown too, and the best thing to do,
with their progress. What next is drawn as it comes: at once, the first list, the whole one, the reading taken apart."""


@pytest.mark.parametrize("name", DEMO)
def test_every_step_through_the_demo_keeps_its_bound(tmp_path: Path, name: str) -> None:
    spent = demo_walked(Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook")), name)
    over = {step: found for step, found in spent.items() if found > BOUNDS[step.split(":")[0]]}
    assert not over, over
    assert all(found > 0 for step, found in spent.items() if not step.startswith("idle")), spent


@pytest.mark.parametrize("name", DEMO)
def test_a_digit_in_the_demo_keeps_its_bound_with_its_prediction(tmp_path: Path, name: str) -> None:
    spent = demo_typed(Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook")), name, thinks=False)
    assert 0 < spent.pop("digit: 0") <= 700 + GIVES_WAY
    assert all(0 < found <= 700 for found in spent.values()), spent


def test_a_digit_in_the_demo_keeps_its_bound_alone(tmp_path: Path) -> None:
    """The digit that opens a field has 200, as above, and what the mark has shown gives way to its drawing."""
    spent = demo_typed(Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook")), DEMO[0], thinks=True)
    assert 0 < spent.pop("digit: 0") <= 200 + GIVES_WAY
    assert all(0 < found <= 120 for found in spent.values()), spent
