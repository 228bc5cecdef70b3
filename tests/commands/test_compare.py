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
def folder(unlearned: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
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


def test_marks_of_one_file_stand_side_by_side(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tin = folder / "cocoa-tin.toml"
    assert main(["compare", f"{tin}:1", f"{tin}:3"]) == Exit.OK
    out = capsys.readouterr().out
    assert out.startswith("Cocoa tin, Mk 1 | Cocoa tin, Mk 3\n")
    assert "  Stage, latest\n    Cocoa tin, Mk 1: " in out
    assert "    Cocoa tin, Mk 3: carries a load, Mk 3\n" in out
    assert "    Cocoa tin, Mk 1: carries a load" not in out
    assert "what differs" in out


def test_one_file_against_itself_differs_in_nothing(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tin = folder / "cocoa-tin.toml"
    assert main(["compare", str(tin), f"{tin}:3"]) == Exit.OK
    assert "Nothing differs in the build" in capsys.readouterr().out


def test_two_files_of_one_name_are_told_apart(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tin, twin = folder / "cocoa-tin.toml", folder / "twin:2"
    shutil.copy(tin, twin)
    assert main(["compare", str(tin), str(twin)]) == Exit.OK
    assert capsys.readouterr().out.startswith(f"Cocoa tin, Mk 3 ({tin}) | Cocoa tin, Mk 3 ({twin})\n")


@pytest.mark.parametrize("mark", ["9", "99999999", "x", "9" * 5000])
def test_a_mark_that_is_not_there_is_said(folder: Path, mark: str, capsys: pytest.CaptureFixture[str]) -> None:
    tin = folder / "cocoa-tin.toml"
    code = main(["compare", str(tin), f"{tin}:{mark}"])
    err = capsys.readouterr().err
    assert code == (Exit.USAGE if mark == "9" else Exit.CANNOT_READ)
    assert ("Its marks: 1, 2, 3." if mark == "9" else "cannot be read") in err
