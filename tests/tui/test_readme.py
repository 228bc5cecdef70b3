"""The README's first command edits no tracked file; its screen is the real one, with the real model.

``QUARTERTURN_GOLDEN=write`` writes the screen anew.
"""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

from model.store import read_project
from tests.shell.terminal import Terminal, installed_command
from tests.tui.stage import Play, play
from tui.runs.model_api import default_learn
from tui.runs.runner import Runner

FIRST = re.compile(r"^    \[ \.venv/ready .*&& \.venv/bin/(quarterturn .*)$", re.MULTILINE)
"""The command at the end of the README's first line."""
THROW = r"^> .*Piston throw"
ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(r"(?s)(<!-- screen: begin -->\n)(.*?)(<!-- screen: end -->)")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
BESIDE = 48
"""Column at which the panel begins."""


def seen(tmp_path: Path) -> str:
    """Return the demo's first prototype at the throw of its piston, once everything has come."""
    folder = Path(shutil.copytree(ROOT / "projects", tmp_path / "projects"))
    found: list[str] = []

    async def scene(acts: Play) -> None:
        await acts.press("home", "enter")
        while "> " not in acts.screen() or not re.search(r"^>\s+Piston throw", acts.screen(), re.MULTILINE):
            await acts.press("down")
        await acts.until(lambda: "From what it has shown" in acts.screen())
        found.append(acts.screen())

    play(folder, scene, runner=lambda post: Runner(post, learn=default_learn))
    return found[0]


def form_of(screen: str) -> str:
    """Return what stands left of the panel, above the help."""
    return "\n".join(line[:BESIDE].rstrip() for line in screen.splitlines())


def labels_of(screen: str) -> list[str]:
    """Return the panel's lines that name a figure. What was learnt comes of random steps, which another machine's
    rounding sends elsewhere: its numbers, and sentences about them, differ a little."""
    beside = (NUMBER.sub("", line[BESIDE:]) for line in screen.splitlines())
    return [line.strip() for line in beside if line[:1].isupper() or line.startswith("  predicted there")]


def test_the_screen_in_the_readme_is_the_real_one(tmp_path: Path) -> None:
    screen = seen(tmp_path)
    text = README.read_text(encoding="utf-8")
    block = BLOCK.search(text)
    assert block is not None
    if os.environ.get("QUARTERTURN_GOLDEN") == "write":
        lines = "".join(f"    {line}".rstrip() + "\n" for line in screen.rstrip("\n").splitlines())
        README.write_text(BLOCK.sub(lambda m: m[1] + lines + m[3], text), encoding="utf-8")
        return
    stored = "\n".join(line.removeprefix("    ") for line in block[2].splitlines())
    assert form_of(screen) == form_of(stored)
    assert labels_of(screen) == labels_of(stored)


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
