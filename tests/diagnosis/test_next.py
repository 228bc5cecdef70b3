"""``quarterturn next``: what it prints and its JSON."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tui.__main__ import main

pytestmark = pytest.mark.usefixtures("few_drawn")
DEMO = Path(__file__).resolve().parents[2] / "projects"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path_factory.mktemp("demo") / "projects"))


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str]:
    code = main(list(argv))
    return code, capsys.readouterr().out


def test_next_names_causes_the_test_its_caution_and_the_allowances(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out = said(capsys, "next", str(folder / "two-syringes.toml"))
    assert code == 0
    for text in (
        "Why it may not run:",
        "Found so far:",
        "Next test:",
        "Expect",
        "If ",
        "Write it down as:",
        "<- tightest",
    ):
        assert text in out
    assert out.isascii()
    assert "\x1b" not in out


def test_next_json_holds_the_same(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, "next", str(folder / "two-syringes.toml"), "--json", "--mark", "1", "--symptom", "smokes")
    got = json.loads(out)
    assert code == 0
    assert got["mark"] == 1
    assert sum(c["probability"] for c in got["causes"]) == pytest.approx(1.0, abs=0.01)
    assert got["next"]["branches"]
    assert len(got["allowances"]) == 5
    assert sum(a["tightest"] for a in got["allowances"]) == 1
    assert got["symptoms"][0]["id"] == "smokes"


def test_a_mark_without_a_prediction_says_what_is_needed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "bare.toml"
    file.write_text('format = 1\nname = "Bare"\n[mark.1.build]\nlayout = "gamma"\n', encoding="utf-8")
    code, out = said(capsys, "next", str(file))
    assert code == 0
    assert "No diagnosis. Still needed:" in out
    code, out = said(capsys, "next", str(file), "--json", "--symptom", "zzz")
    got = json.loads(out)
    assert got["next"] is None
    assert got["causes"] == got["allowances"] == got["symptoms"] == []


def test_a_symptom_nobody_knows_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = said(capsys, "next", str(folder / "mug.toml"), "--symptom", "purple elephant\x1b[31m")
    assert "Nothing is known of: purple elephant" in out
    assert "\x1b" not in out


def test_a_mark_that_does_not_exist_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _ = said(capsys, "next", str(folder / "mug.toml"), "--mark", "99")
    assert code != 0
