"""``quarterturn FOLDER --text``: the list without a screen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.conftest import running, standing
from tests.shell.terminal import ROOT
from tui.__main__ import main
from tui.commands import COMMANDS
from tui.exits import Exit
from tui.host.terminal import HEADLESS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo with a file that cannot be read."""
    found = Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook"))
    (found / "aa-broken.toml").write_text("name = = 3\n")
    return found


def test_every_prototype_is_told_line_by_line(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = {"Cocoa tin": running(), "Mug": running(), "Two syringes": standing()}
    monkeypatch.setattr("model.explain.outlook.outlook", lambda project, **rest: answers[project.name])
    monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: ())
    assert main([str(folder), "--text"]) == Exit.OK
    out = capsys.readouterr().out
    assert out.startswith("4 prototypes in ")
    assert "\naa-broken.toml: cannot be read." in out
    assert "\nCocoa tin: gamma, Mk 3, carries a load.\n  Runs" in out
    assert "\nTwo syringes: alpha, Mk 2, " in out
    assert "Does not run" in out
    assert "\x1b" not in out


def test_the_list_as_text_never_loads_a_screen(folder: Path) -> None:
    code = "from tests.few import draw_few; draw_few(); "
    code += f"from tui.__main__ import main; main([{str(folder)!r}, '--text']); import sys; print(sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert "'textual'" not in done.stdout.splitlines()[-1]


def test_a_folder_that_is_not_there_is_told_without_a_screen_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(tmp_path / "none"), "--text"]) == Exit.CANNOT_READ
    assert "There is no folder" in capsys.readouterr().err


def test_what_is_named_where_there_is_no_terminal_are_commands() -> None:
    words = {part.split()[0] for part in HEADLESS.split(", ")[1:]}
    assert words <= {command.word for command in COMMANDS}
    assert "predict" in words
