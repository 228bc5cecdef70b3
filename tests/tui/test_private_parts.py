"""A textual without one of the private parts that are used: less is saved, nothing ends."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import tui.textual_patches.base as base
import tui.textual_patches.celldiff as celldiff
from tests.tui.stage import Play, can, play
from tests.tui.waiting import wait_until_idle
from tui.host.terminal import Terminal
from tui.storage.persistence import Persistence

PATCHES = Path(base.__file__).parent
OF_SCREEN = ("_refresh_layout", "_on_timer_update", "_dirty_widgets", "_repaint_required")
OF_UPDATES = ("spans", "chops", "chop_ends", "strips", "_color_system")


def notebook(folder: Path) -> Path:
    made = Persistence(lambda _: None)
    made.save(folder / "can.toml", can())
    assert wait_until_idle(made, 60)
    made.close()
    return folder


@pytest.mark.parametrize("name", [*OF_SCREEN, *OF_UPDATES])
def test_without_a_private_part_of_textual_the_screens_go_on(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`hasattr` as these modules see it finds the part no more, as after a rename in textual."""
    asked: list[str] = []

    def seems(thing: object, part: str) -> bool:
        asked.append(part)
        return part != name and hasattr(thing, part)

    for module in (base, celldiff):
        monkeypatch.setattr(module, "hasattr", seems, raising=False)

    async def scene(acts: Play) -> None:
        await acts.press("enter", "right", "right", "right")
        assert "[Results]" in acts.screen()
        await acts.press("left", "left", "left", "down", "7", "esc")
        assert "[Dimensions]" in acts.screen()

    play(notebook(tmp_path), scene, terminal=Terminal(diff=True))
    if name in OF_SCREEN:
        assert name in asked


def test_every_private_part_that_is_used_is_looked_for_first() -> None:
    """`hasattr` with its name stands in the same file, or a version check imports it in `supported`."""
    overridden = {"_display", "_fatal_error"}
    texts = {path.name: path.read_text(encoding="utf-8") for path in PATCHES.glob("*.py")}
    trees = {name: ast.parse(text) for name, text in texts.items()}
    nodes = [node for tree in trees.values() for node in ast.walk(tree)]
    own = {n.attr for n in nodes if isinstance(n, ast.Attribute) and isinstance(n.ctx, ast.Store)}
    own |= {n.name for n in nodes if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)}
    own -= {"_repaint_required", "_return_code"}  # of textual, and written here
    for name, tree in trees.items():
        used = {n.attr for n in ast.walk(tree) if isinstance(n, ast.Attribute) and re.match(r"_[a-z]", n.attr)}
        assert used - own - overridden <= set(re.findall(r'"(_\w+)"', texts[name])), name
