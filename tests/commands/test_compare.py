"""``quarterturn compare``: what the screen shows side by side, line by line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import running, standing
from tests.shell.terminal import ROOT
from tui.__main__ import main
from tui.exits import Exit


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    answers = {"Cocoa tin": running(), "Mug": running(), "Two syringes": standing()}
    monkeypatch.setattr("model.explain.outlook.outlook", lambda project, **rest: answers.get(project.name, running()))
    monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: ())
    return Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook"))


def test_each_row_names_every_prototype(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tin, syringes = folder / "cocoa-tin.toml", folder / "two-syringes.toml"
    assert main(["compare", str(tin), str(syringes)]) == Exit.OK
    out = capsys.readouterr().out
    assert out.startswith("Cocoa tin, Mk 3 | Two syringes, Mk 2\n")
    assert "  Layout\n    Cocoa tin, Mk 3: gamma\n    Two syringes, Mk 2: alpha\n" in out
    assert "    Two syringes, Mk 2: does not run" in out
    assert "\x1b" not in out


@pytest.mark.parametrize("count", [1, 4])
def test_another_number_of_files_is_refused(folder: Path, count: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", *[str(folder / "mug.toml")] * count]) == Exit.USAGE
    assert f"Two or three files can be compared, not {count}." in capsys.readouterr().err


def test_a_name_cannot_steer_the_terminal(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mug = folder / "mug.toml"
    mug.write_text(mug.read_text().replace('name = "Mug"', 'name = "Mug \\u001b[2J"', 1))
    assert main(["compare", str(folder / "cocoa-tin.toml"), str(mug)]) == Exit.OK
    out = capsys.readouterr().out
    assert "Mug" in out
    assert "\x1b" not in out
