"""``quarterturn draw``: where the sheets go, what is refused, and what is told of an engine that is not whole."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest

from model.curves.chart import Axis, Chart, Curves, Series
from model.quantities.units import Kind
from tests.drawing.test_templates import SVG, words
from tui.__main__ import main
from tui.exits import Exit

DEMO = Path(__file__).resolve().parents[2] / "projects"
Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def mug(tmp_path: Path) -> Path:
    return Path(shutil.copy(DEMO / "mug.toml", tmp_path / "mug.toml"))


@pytest.fixture
def made_curves(monkeypatch: pytest.MonkeyPatch) -> None:
    """One curve by hand, in place of what takes seconds to learn."""
    x, y = Axis(label="Speed", kind=Kind.ROTATION, unit="rpm"), Axis(label="Power", kind=Kind.POWER, unit="mW")
    line = Series(label="Shaft", x=(0.0, 10.0, 20.0), y=(0.0, 0.02, 0.01))
    power = Chart(key="power", title="Power over speed", short="power", x=x, y=y, series=(line,))
    empty = Chart(key="loop", title="Loop", short="loop", x=x, y=y, lacks="Being worked out.")
    monkeypatch.setattr("model.curves.curves.curves_of", lambda project, mark: Curves(charts=(power, empty)))


def test_without_a_file_the_sheet_goes_to_a_pipe_and_never_to_a_terminal(
    mug: Path, capsys: Capsys, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert main(["draw", str(mug)]) == Exit.OK
    told = capsys.readouterr()
    assert ElementTree.fromstring(told.out).tag == f"{SVG}svg" and told.out.isascii()
    assert "Posts and screws are not drawn." in told.err
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["draw", str(mug)]) == Exit.USAGE
    told = capsys.readouterr()
    assert told.out == "" and "--to engine.svg" in told.err


def test_a_file_is_written_and_not_over_another_unasked(mug: Path, capsys: Capsys) -> None:
    to = mug.with_name("engine.svg")
    argv = ["draw", f"{mug}:1", "--template", "degree-wheel", "--to", str(to)]
    assert main(argv) == Exit.OK
    first = to.read_bytes()
    assert "Mk 1" in words(ElementTree.fromstring(first)) and str(to) in capsys.readouterr().out
    argv[1] = str(mug)
    assert main(argv) == Exit.CANNOT_WRITE
    assert to.read_bytes() == first and "--replace" in capsys.readouterr().err
    assert main([*argv, "--replace"]) == Exit.OK
    assert "Mk 2" in words(ElementTree.fromstring(to.read_bytes()))


@pytest.mark.parametrize(
    ("angle", "degree"), [("90 deg", 90), ("45", 45), ("-90", 270), ("0.25 turn", 90), ("1 rad", 57), ("360 deg", 0)]
)
def test_an_angle_is_read_as_in_a_field(mug: Path, capsys: Capsys, angle: str, degree: int) -> None:
    assert main(["draw", str(mug), "--template", "degree-wheel", f"--angle={angle}", "--json"]) == Exit.OK
    assert json.loads(capsys.readouterr().out)["angle_deg"] == degree


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--angle", "9 bananas"], "--angle '9 bananas'"),
        (["--angle", "400 deg"], "360"),
        (["--angle", "?"], "no angle is given"),
        (["--template", "displaser"], "Did you mean displacer?"),
        (["--curve", "powr"], "Did you mean power?"),
        (["--to", "engine.png"], "End it in .svg"),
        (["--all"], "Say where they go"),
        (["--template", "displacer", "--curve", "power"], "not allowed with"),
        (["--paper", "a5"], "invalid choice"),
        (["--to", "no-such-folder/engine.svg"], "not there"),
    ],
)
@pytest.mark.usefixtures("made_curves")
def test_what_is_not_understood_is_told_with_what_to_do(mug: Path, capsys: Capsys, argv: list[str], said: str) -> None:
    assert main(["draw", str(mug), *argv]) in (Exit.USAGE, Exit.CANNOT_WRITE)
    told = capsys.readouterr()
    assert told.out == "" and said in told.err and len(told.err.splitlines()) <= 2


@pytest.mark.usefixtures("made_curves")
def test_all_writes_every_sheet_or_none(mug: Path, capsys: Capsys) -> None:
    folder = mug.parent / "out"
    folder.mkdir()
    argv = ["draw", str(mug), "--all", "--paper", "letter", "--to", str(folder / "mug.svg")]
    (folder / "mug-displacer.svg").write_text("mine", encoding="utf-8")
    assert main(argv) == Exit.CANNOT_WRITE
    assert [each.name for each in folder.iterdir()] == ["mug-displacer.svg"]
    (folder / "mug-displacer.svg").unlink()
    capsys.readouterr()
    assert main([*argv, "--json"]) == Exit.OK
    told = json.loads(capsys.readouterr().out)
    assert {(each["width_mm"], each["height_mm"]) for each in told["sheets"]} == {(279.4, 215.9), (215.9, 279.4)}
    names = {Path(each["file"]).name for each in told["sheets"]}
    assert names == {each.name for each in folder.iterdir()}
    assert {"mug-engine.svg", "mug-degree-wheel.svg", "mug-curve-power.svg"} <= names
    assert all(ElementTree.parse(each).getroot().tag == f"{SVG}svg" for each in folder.iterdir())


@pytest.mark.usefixtures("made_curves")
def test_a_curve_lies_on_its_sheet_with_its_texts(mug: Path, capsys: Capsys) -> None:
    assert main(["draw", str(mug), "--curve", "power"]) == Exit.OK
    root = ElementTree.fromstring(capsys.readouterr().out)
    assert root.get("width") == "297mm" and "Power over speed" in words(root)
    inner = list(root.iter(f"{SVG}svg"))[1]
    assert inner.get("viewBox") and float(inner.get("height", 0)) < 210
    assert main(["draw", str(mug), "--curve", "loop"]) == Exit.PROBLEMS
    assert "Being worked out." in capsys.readouterr().err


def test_a_build_that_is_not_whole_is_drawn_as_far_as_it_is_known(tmp_path: Path, capsys: Capsys) -> None:
    file = tmp_path / "half.toml"
    file.write_text('format = 1\nname = "Half"\n[mark.1.build]\nlayout = "gamma"\npiston_bore = "10 mm"\n'
                    'piston_throw = "3 mm"\n', encoding="utf-8")  # fmt: skip
    assert main(["draw", str(file)]) == Exit.OK
    told = capsys.readouterr()
    assert ElementTree.fromstring(told.out).tag == f"{SVG}svg"
    assert "Displacer cylinder bore" in told.err and "not drawn" in told.err
    assert main(["draw", str(file), "--template", "displacer"]) == Exit.PROBLEMS
    assert "Displacer cylinder bore" in capsys.readouterr().err
    assert main(["draw", str(file), "--template", "piston-crank"]) == Exit.OK


def test_the_json_tells_lengths_as_typed(mug: Path, capsys: Capsys) -> None:
    """The mug's displacer cylinder is typed as 105 mm, its wheel as 120 mm; an inch is 25.4 mm."""
    for units, bore in (("mm", 105.0), ("in", 105 / 25.4)):
        assert main(["draw", str(mug), "--units", units, "--json"]) == Exit.OK
        told = {each["field"]: each for each in json.loads(capsys.readouterr().out)["dimensions"]}
        assert told["displacer_bore"]["value"] == pytest.approx(bore, abs=1e-3)
        assert not told["displacer_bore"]["assumed"] and told["gland_length"]["assumed"]
