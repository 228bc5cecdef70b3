"""The README's first command edits no tracked file; its screen is the real one."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

from model.store import read_project
from tests.shell.terminal import Terminal, installed_command
from tests.tui.stage import Play, play

FIRST = re.compile(r"^    \[ \.venv/ready .*&& \.venv/bin/(quarterturn .*)$", re.MULTILINE)
"""The command at the end of the README's first line."""
THROW = r"^> .*Piston throw"
ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(r"(?s)(<!-- screen: begin -->\n)(.*?)(<!-- screen: end -->)")
BESIDE = 48
"""Column at which the panel begins."""


def seen(tmp_path: Path, *, until: str = "", **stage: Any) -> str:
    """Return the demo's first prototype at the throw of its piston, once a text has come."""
    folder = Path(shutil.copytree(ROOT / "projects", tmp_path / "projects"))
    found: list[str] = []

    async def scene(acts: Play) -> None:
        await acts.press("home", "enter")
        while "> " not in acts.screen() or not re.search(r"^>\s+Piston throw", acts.screen(), re.MULTILINE):
            await acts.press("down")
        await acts.until(lambda: until in acts.screen())
        found.append(acts.screen())

    play(folder, scene, **stage)
    return found[0]


def form_of(screen: str) -> str:
    """Return what stands left of the panel, above the help."""
    return "\n".join(line[:BESIDE].rstrip() for line in screen.splitlines())


def stored() -> str:
    """Return the screen that the README shows."""
    block = BLOCK.search(README.read_text(encoding="utf-8"))
    assert block is not None
    return "\n".join(line.removeprefix("    ") for line in block[2].splitlines())


def test_the_form_on_the_screen_of_the_readme_is_the_real_one(tmp_path: Path) -> None:
    """What stands beside it is the real model's: ``tests/slow`` asks that."""
    assert form_of(seen(tmp_path)) == form_of(stored())


def begun(words: list[str], data: Path) -> Terminal:
    """Return the README's command at the throw of the first prototype's piston."""
    terminal = Terminal([*installed_command(), *words], environ={"XDG_DATA_HOME": str(data)}, cwd=ROOT)
    terminal.wait_for(r"3 prototypes[\s\S]*Two syringes")
    terminal.press("enter")
    terminal.wait_for(r"^Cocoa tin +Mk[\s\S]*\[Dimensions\]")
    while not re.search(THROW, terminal.screen(), re.MULTILINE):
        here = re.search(r"^>.*", terminal.screen(), re.MULTILINE)
        terminal.press("down")
        terminal.wait_for(rf"^>(?!{re.escape(here[0][1:])}).*" if here else "^>.*")
    return terminal


def test_the_first_session_of_the_readme_changes_its_copy_and_no_file_of_the_checkout(tmp_path: Path) -> None:
    """Step 3: another throw, as a correction. Opened again, the copy holds it."""
    program, *words = FIRST.findall(README.read_text(encoding="utf-8"))[0].split()
    assert program == "quarterturn"
    before = {path: path.read_bytes() for path in (ROOT / "projects").iterdir()}
    terminal = begun(words, tmp_path)
    terminal.press("4 mm", "enter")
    terminal.wait_for("measured wrongly|Correction")
    terminal.press("enter")
    terminal.wait_for("what was touched since")
    terminal.press("enter")
    terminal.wait_for(r"Piston throw +4 mm")
    terminal.press("ctrl+q")
    assert terminal.wait_for_end() == 0
    assert {path: path.read_bytes() for path in (ROOT / "projects").iterdir()} == before
    copy = tmp_path / "quarterturn-demo" / "cocoa-tin.toml"
    assert read_project(copy).project.latest.build["piston_throw"] == "4 mm"
    again = begun(words, tmp_path)
    assert re.search(THROW + " +4 mm", again.screen(), re.MULTILINE)
    again.press("ctrl+q")
    assert again.wait_for_end() == 0
