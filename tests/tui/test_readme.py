"""The screen in the README is the real one, with the real model. ``QUARTERTURN_GOLDEN=write`` writes it anew."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from tests.tui.stage import Play, play
from tui.runs.runner import Runner

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(r"(?s)(<!-- screen: begin -->\n)(.*?)(<!-- screen: end -->)")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
NEAR = 0.15
"""Numbers may differ by so much: another numpy, another rounding of the last digit shown."""


def seen(tmp_path: Path) -> str:
    """Return the demo's first prototype at the throw of its piston, once everything has come."""
    folder = Path(shutil.copytree(ROOT / "projects", tmp_path / "projects"))
    found: list[str] = []

    async def scene(acts: Play) -> None:
        await acts.press("home", "enter")
        while "> " not in acts.screen() or not re.search(r"^>\s+Piston throw", acts.screen(), re.MULTILINE):
            await acts.press("down")
        for _ in range(400):
            if re.search(r"up to date[\s\S]*\bgap +-?\d", acts.screen()):
                break
            await acts.pilot.pause(0.1)
        found.append(acts.screen())

    play(folder, scene, runner=Runner)
    return found[0]


def words(text: str) -> str:
    return " ".join(NUMBER.sub("0", text).split())


def test_the_screen_in_the_readme_is_the_real_one(tmp_path: Path) -> None:
    screen = seen(tmp_path)
    text = README.read_text(encoding="utf-8")
    block = BLOCK.search(text)
    assert block is not None
    if os.environ.get("QUARTERTURN_GOLDEN") == "write":
        lines = "".join(f"    {line}".rstrip() + "\n" for line in screen.rstrip("\n").splitlines())
        README.write_text(BLOCK.sub(lambda m: m[1] + lines + m[3], text), encoding="utf-8")
        return
    stored = block[2]
    assert words(screen) == words(stored)
    for real, told in zip(NUMBER.findall(screen), NUMBER.findall(stored), strict=True):
        assert float(told) == pytest.approx(float(real), rel=NEAR, abs=1.5), (told, real)
