"""The commands without a screen: what they print, their exit codes, and what they do with hostile files."""

from __future__ import annotations

import importlib
import json
import math
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.knowledge.result import Knowledge
from model.prediction.result import Prediction, Verdict
from model.quantities.units import Kind
from model.store import read_project
from tests.commands.conftest import RPM, figure, one_gap, running, standing
from tests.shell.terminal import ROOT
from tui.__main__ import main
from tui.commands import COMMANDS, Command
from tui.commands.parser import Parser
from tui.exits import Exit

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command line in this process; returns exit code, output and errors."""

    def go(*argv: str) -> tuple[int, str, str]:
        code = main(list(argv))
        captured = capsys.readouterr()
        return code, captured.out, captured.err

    return go


@pytest.fixture
def predicts(unlearned: None, monkeypatch: pytest.MonkeyPatch) -> Callable[[Prediction], None]:
    """Put a prediction made by hand in place of the model's; no reading is compared, nothing says how long it lasts."""

    def set_prediction(prediction: Prediction) -> None:
        monkeypatch.setattr("model.explain.outlook.outlook", lambda project, **rest: prediction)
        monkeypatch.setattr("model.explain.outlook.lasting", lambda project, **rest: {})
        monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: ())

        def nothing_shown(project: object, mark: int, **rest: object) -> Knowledge:
            return Knowledge(mark=mark, prediction=prediction)

        monkeypatch.setattr("model.knowledge.learn.learn", nothing_shown)

    return set_prediction


def one_line(err: str) -> str:
    """Return the one line of standard error; it names the program and holds nothing that steers a terminal."""
    assert err.endswith("\n")
    assert err.count("\n") == 1
    line = err[:-1]
    assert line.startswith("quarterturn: ")
    assert line.isprintable()
    assert "Traceback" not in line
    return line


def loads(text: str) -> Any:
    """Read JSON and refuse what JSON does not know: NaN and the infinities."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} in JSON")

    return json.loads(text, parse_constant=refuse)


# --- predict ---------------------------------------------------------------------------------------------------------


def test_predict_tells_name_mark_power_and_interval(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(running())
    code, out, err = run("predict", str(notebook / "cocoa-tin.toml"))
    assert (code, err) == (Exit.OK, "")
    assert out.startswith("Cocoa tin, Mk 3\nRuns, 93 in 100.\n")
    assert "5.2 mW (between 3 and 9 mW)" in out
    assert "Displacer side clearance" not in out.split("Assumed")[0]
    assert "Displacer to one side" in out.split("Assumed")[1]


def test_the_figures_at_a_speed_say_how_it_stands_to_the_heading(run: Run, predicts: Any, notebook: Path) -> None:
    made = running()
    predicts(replace(made, at_speed=82 * RPM))
    _, out, _ = run("predict", str(notebook / "mug.toml"))
    assert "At 82 rpm, of the speeds tried the nearest to the best:" in out
    predicts(standing())
    assert "Where it comes nearest, at 90 rpm:" in run("predict", str(notebook / "mug.toml"))[1]


def test_a_chance_is_said_in_one_way_by_every_command(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(running())
    for argv in (["predict"], ["report"], ["compare", str(notebook / "cocoa-tin.toml")]):
        _, out, _ = run(argv[0], *argv[1:], str(notebook / "mug.toml"))
        assert re.search(r"(?i)\bruns, 93 in 100", out), argv
        assert "93%" not in out and "93 %" not in out
    assert "Runs, 93 in 100." in run("list", str(notebook))[1]


def test_how_far_a_formula_was_tried_stands_behind_why_and_not_beside_what_may_melt(
    run: Run, predicts: Any, notebook: Path
) -> None:
    predicts(running())
    _, out, _ = run("predict", str(notebook / "mug.toml"))
    assert "Warning: the foam melts at 80 C" in out
    assert "the jet was tried" not in out
    _, out, _ = run("report", str(notebook / "mug.toml"))
    assert "the jet was tried" in out.partition("\nWhy\n")[2]
    assert "the jet was tried" not in out.partition("\nWhy\n")[0]


def test_predict_json_has_the_keys_that_are_promised(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(running())
    code, out, _ = run("predict", str(notebook / "cocoa-tin.toml"), "--json")
    found = loads(out)
    assert code == Exit.OK
    assert found["project"] == "Cocoa tin"
    assert found["mark"] == 3
    assert found["layout"] == "gamma"
    assert found["verdict"] == "runs"
    assert found["run_probability"] == 0.93
    assert found["shaft_power_W"] == {"value": 0.0052, "low": 0.0031, "high": 0.0094}
    assert found["speed_at_best_power_rpm"] == {"value": 150, "low": 110, "high": 190}
    assert found["free_running_speed_rpm"] == {"value": 240, "low": 180, "high": 310}
    assert found["at_speed_rpm"] == 150
    assert (found["indicated_power_W"], found["isothermal_power_W"]) == (0.031, 0.09)
    temperatures = [found[key] for key in ("hot_metal_C", "cold_metal_C", "hot_gas_C", "cold_gas_C")]
    assert temperatures == [212, 47, 127, 77]
    assert (found["heat_in_W"], found["heat_out_W"]) == (11, 10.97)
    assert found["curve"][1] == {"speed_rpm": 150, "indicated_power_W": 0.031, "shaft_power_W": 0.0052}
    assert found["needs"] == []
    assert found["warnings"] == ["the foam melts at 80 C"]
    assert found["untried"] == ["the jet was tried from 3000 to 90000"]
    assert found["assumed"] == {"displacer_offcentre": "between 20 and 80 %"}
    assert found["widest"] == [{"input": "Share that gets in", "share": 0.4}]
    assert found["figures"]["hot_gas"]["why"]["formula"]
    assert found["figures"]["hot_gas"]["low"] == 107


def test_an_engine_that_does_not_run_has_null_and_figures_at_a_stated_speed(
    run: Run, predicts: Any, notebook: Path
) -> None:
    predicts(standing())
    code, out, _ = run("predict", str(notebook / "two-syringes.toml"), "--json")
    found = loads(out)
    assert code == Exit.OK
    assert found["verdict"] == "does not run"
    for key in ("shaft_power_W", "speed_at_best_power_rpm", "free_running_speed_rpm"):
        assert found[key] is None
    assert found["at_speed_rpm"] == 90
    assert found["shaft_power_at_speed_W"] == -0.02
    need, friction = found["needs"]
    assert (need["key"], need["unit"], need["wants"], need["has"]) == ("temperature_difference", "K", 260, 180)
    assert friction["wants"] is None
    _, text, _ = run("predict", str(notebook / "two-syringes.toml"))
    assert "needs temperature difference: at least 260 K, has 180 K" in text
    assert "needs friction: no value would do, has 3 mN m" in text
    assert not re.search("^ +Shaft power  ", text, re.MULTILINE)
    assert re.search(r"^ +Shaft power there +-20 mW", text, re.MULTILINE)


def test_a_number_that_is_not_finite_is_null_and_never_printed(run: Run, predicts: Any, notebook: Path) -> None:
    bad = figure("hot_gas", Kind.TEMPERATURE, "C", math.nan, -math.inf, math.inf)
    made = running()
    predicts(replace(made, figures={**made.figures, "hot_gas": bad}))
    _, out, _ = run("predict", str(notebook / "mug.toml"), "--json")
    assert loads(out)["hot_gas_C"] is None
    _, text, _ = run("predict", str(notebook / "mug.toml"))
    assert not re.search(r"\b(nan|inf)\b", text.lower())


def test_no_prediction_says_why_and_names_what_is_missing(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(Prediction(verdict=Verdict.NO_PREDICTION, reason="Still needed: the bore.", missing=("piston_bore",)))
    code, out, _ = run("predict", str(notebook / "mug.toml"))
    assert code == Exit.OK
    assert "No prediction. Still needed: the bore.\n" in out
    _, out, _ = run("predict", str(notebook / "mug.toml"), "--json")
    found = loads(out)
    assert found["verdict"] == "no prediction"
    assert found["shaft_power_W"] is None
    assert found["missing"] == ["piston_bore"]
    assert found["at_speed_rpm"] is None
    assert found["curve"] == []


def test_predict_takes_the_mark_that_is_named(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(running())
    _, out, _ = run("predict", str(notebook / "cocoa-tin.toml"), "--mark", "1", "--json")
    assert loads(out)["mark"] == 1
    code, _, err = run("predict", str(notebook / "cocoa-tin.toml"), "--mark", "9")
    assert code == Exit.USAGE
    assert "Its marks: 1, 2, 3" in one_line(err)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("sweep", "throw_of_nothing"), "'throw_of_nothing' is no field of a build. Fields are called as in the file"),
        (("sweep", "piston_thro"), "'piston_thro' is no field of a build. Did you mean piston_throw"),
        (("explain", "--if", "wheel_mas=90 g"), "--if: 'wheel_mas' is no field of a build. Did you mean wheel_mass?"),
        (
            ("explain", "--if", "nonsense=3"),
            "--if: 'nonsense' is no field of a build. Fields are called as in the file",
        ),
        (("sweep", "layout"), "takes a word, not a number"),
        (("explain", "--aim", "faster please"), "is no aim that can be worked out. Ask for one of"),
    ],
)
def test_what_is_no_field_or_no_aim_is_a_wrong_command_line(
    run: Run, notebook: Path, asked: tuple[str, ...], told: str
) -> None:
    command, *rest = asked
    code, _, err = run(command, str(notebook / "mug.toml"), *rest)
    assert code == Exit.USAGE
    assert told in one_line(err)


def test_flagged_fields_are_told_beside_the_prediction(run: Run, predicts: Any, notebook: Path) -> None:
    path = notebook / "mug.toml"
    path.write_text(path.read_text().replace('phase = "90 deg +-4 measured"', 'phase = "4000"'))
    predicts(running())
    _, out, _ = run("predict", str(path), "--json")
    assert [problem["where"] for problem in loads(out)["flagged"]] == ["mark.2.build.phase"]
    _, text, _ = run("predict", str(path))
    assert "Flagged: mark.2.build.phase '4000'" in text


@pytest.mark.usefixtures("few_drawn")
@pytest.mark.parametrize("name", ["cocoa-tin", "mug", "two-syringes"])
def test_the_model_answers_for_each_demo_project(
    run: Run, notebook: Path, name: str, request: pytest.FixtureRequest
) -> None:
    """The real model, whatever it says: the shape holds and nothing that is not finite gets through."""
    if name != "mug":
        request.getfixturevalue("unlearned")
    code, out, err = run("predict", str(notebook / f"{name}.toml"), "--json")
    assert (code, err) == (Exit.OK, "")
    found = loads(out)
    assert found["verdict"] in {str(verdict) for verdict in Verdict}
    for key in ("shaft_power_W", "speed_at_best_power_rpm", "free_running_speed_rpm"):
        if found[key] is not None:
            assert found[key]["low"] <= found[key]["value"] <= found[key]["high"]


# --- gap -------------------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("unlearned")
def test_gap_json_has_a_list_with_value_low_and_high(run: Run, monkeypatch: pytest.MonkeyPatch, notebook: Path) -> None:
    monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: (one_gap(),))
    code, out, _ = run("gap", str(notebook / "cocoa-tin.toml"), "--json")
    assert code == Exit.OK
    (found,) = loads(out)["gaps"]
    assert found["reading"] == "t5b7kn.e"
    assert (found["mark"], found["quantity"], found["unit"]) == (3, "speed", "rpm")
    assert found["measured"] == {"value": 230, "low": 226, "high": 234}
    assert found["predicted"] == {"value": 240, "low": 180, "high": 310}
    assert found["gap"] == {"value": -10, "low": -80, "high": 50}
    _, text, _ = run("gap", str(notebook / "cocoa-tin.toml"))
    assert "predicted  240 rpm (between 180 and 310 rpm)" in text


def test_gap_without_readings_says_so(run: Run, monkeypatch: pytest.MonkeyPatch, notebook: Path) -> None:
    monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: ())
    code, out, _ = run("gap", str(notebook / "two-syringes.toml"))
    assert code == Exit.OK
    assert out.startswith("No reading can be compared")
    assert loads(run("gap", str(notebook / "two-syringes.toml"), "--json")[1])["gaps"] == []


# --- check -----------------------------------------------------------------------------------------------------------


def test_the_demo_has_nothing_wrong(run: Run, notebook: Path) -> None:
    assert run("check", str(notebook)) == (Exit.OK, "3 files: nothing is wrong.\n", "")
    code, out, err = run("check", str(notebook), "--json")
    assert (code, loads(out), err) == (Exit.OK, {"format": 1, "files": 3, "problems": []}, "")


def test_check_tells_every_problem_of_every_file(run: Run, notebook: Path) -> None:
    (notebook / "broken.toml").write_text('format = 1\nname = "x"\nmark = = 2\n')
    (notebook / "other.toml").write_text('[tool.thing]\nversion = "1"\n')
    (notebook / "flagged.toml").write_text(
        'format = 1\nname = "F"\n[mark.1.build]\npiston_bore = "abc"\nphase = "4000"\n'
        '[entry.a2]\nday = "some day"\nmark = 7\nticks = ["flies"]\n[entry.a2.reading.b]\nkind = "wind"\ntime = "nan"\n'
    )
    code, out, err = run("check", str(notebook), "--json")
    assert (code, err) == (Exit.PROBLEMS, "")
    found = loads(out)["problems"]
    by_file = {Path(problem["file"]).name for problem in found}
    assert by_file == {"broken.toml", "other.toml", "flagged.toml"}
    assert [problem["line"] for problem in found if problem["file"].endswith("broken.toml")] == [3]
    where = {problem["where"] for problem in found if problem["file"].endswith("flagged.toml")}
    assert where == {
        "mark.1.build.piston_bore",
        "mark.1.build.phase",
        "entry.a2.day",
        "entry.a2.mark",
        "entry.a2.ticks",
        "entry.a2.reading.b.kind",
        "entry.a2.reading.b.time",
    }
    code, out, _ = run("check", str(notebook))
    assert code == Exit.PROBLEMS
    assert "broken.toml:3: " in out
    assert "6 files: 9 problems." in out


def test_check_tells_a_misspelt_field_with_the_nearest_and_its_line(run: Run, notebook: Path) -> None:
    path = notebook / "mug.toml"
    text = path.read_text().replace("piston_bore =", "piston_bor =", 1).replace("\nturns = ", "\nturnz = ", 1)
    text = text.replace('phase = "90 deg +-4 measured"', 'phase = "4000"')
    path.write_text(text)
    lines = dict(enumerate(text.splitlines(), start=1))
    code, out, _ = run("check", str(path), "--json")
    assert code == Exit.PROBLEMS
    found = {problem["where"].rpartition(".")[2]: problem for problem in loads(out)["problems"]}
    assert found["piston_bor"]["remedy"] == "Did you mean piston_bore?"
    assert found["turnz"]["remedy"] == "Did you mean turns?"
    for name in ("piston_bor", "turnz", "phase"):
        assert lines[found[name]["line"]].strip().startswith(f"{name} = ")
    _, out, _ = run("check", str(path))
    assert f"{path}:{found['turnz']['line']}: entry." in out


def test_check_takes_one_file(run: Run, notebook: Path) -> None:
    assert run("check", str(notebook / "mug.toml"))[1] == "1 file: nothing is wrong.\n"


def test_check_of_a_missing_or_empty_folder_is_clear(run: Run, tmp_path: Path) -> None:
    code, _, err = run("check", str(tmp_path / "nowhere"))
    assert code == Exit.CANNOT_READ
    assert "nowhere" in one_line(err)
    code, out, _ = run("check", str(tmp_path))
    assert code == Exit.OK
    assert "no project file" in out


# --- note ------------------------------------------------------------------------------------------------------------


def test_note_adds_an_entry_at_the_end_and_keeps_the_rest(run: Run, notebook: Path) -> None:
    path = notebook / "mug.toml"
    before = read_project(path).project
    code, out, err = run("note", str(path), "ran", "on", "tea")
    assert (code, err) == (Exit.OK, "")
    after = read_project(path).project
    new = [entry for key, entry in after.entries.items() if key not in before.entries]
    assert [entry.text for entry in new] == ["ran on tea"]
    assert new[0].mark == 2
    assert re.fullmatch(r"\d{4}-\d{2}-\d{2}", new[0].day)
    assert list(after.entries)[:-1] == list(before.entries)
    assert {**after.entries, new[0].key: None} == {**before.entries, new[0].key: None}
    assert after.marks == before.marks
    assert new[0].key in out


@pytest.mark.parametrize(
    "text",
    ['"""', "\\", "a\nb\n", "tab\there", "[entry.x]", "\x1b[31mred", "Größe \u202e μ", "'", "# no comment", "=" * 9000],
)
def test_any_text_of_a_note_reads_back_as_typed(run: Run, predicts: Any, notebook: Path, text: str) -> None:
    predicts(running())
    path = notebook / "mug.toml"
    code, out, err = run("note", str(path), text)
    assert (code, err) == (Exit.OK, "")
    assert list(read_project(path).project.entries.values())[-1].text == text.strip()
    for command in ("report", "predict", "gap"):
        _, out, _ = run(command, str(path))
        assert all(char == "\n" or char.isprintable() for char in out)


def test_an_empty_note_is_refused(run: Run, notebook: Path) -> None:
    code, _, err = run("note", str(notebook / "mug.toml"), "  ")
    assert code == Exit.USAGE
    assert "empty" in one_line(err)


def test_half_a_character_is_refused_and_the_file_kept(run: Run, notebook: Path) -> None:
    path = notebook / "mug.toml"
    before = path.read_bytes()
    code, _, err = run("note", str(path), "bad \udce9 byte")
    assert code == Exit.CANNOT_WRITE
    one_line(err)
    assert path.read_bytes() == before


def test_a_newer_format_is_not_written_to(run: Run, notebook: Path) -> None:
    path = notebook / "mug.toml"
    path.write_text(path.read_text().replace("format = 1", "format = 9", 1))
    before = path.read_bytes()
    code, _, err = run("note", str(path), "hello")
    assert code == Exit.CANNOT_WRITE
    assert "newer version" in one_line(err)
    assert path.read_bytes() == before


# --- report ----------------------------------------------------------------------------------------------------------


def test_the_report_is_one_plain_sheet(
    run: Run, predicts: Any, monkeypatch: pytest.MonkeyPatch, notebook: Path
) -> None:
    predicts(running())
    monkeypatch.setattr("model.explain.gap.gaps", lambda project, **rest: (one_gap(),))
    code, out, err = run("report", str(notebook / "cocoa-tin.toml"))
    assert (code, err) == (Exit.OK, "")
    assert out.isascii()
    assert all(len(line) <= 80 for line in out.splitlines())
    for words in (
        "Cocoa tin",
        "Invented for this demo",
        "Mk 3 of 3, gamma",
        "best: carries a load",
        "    2026-10-09  binds\n    2026-10-13  coasts longer hot than cold\n",
        "2 5/8 in +-0.5 mm measured",
        "5.2 mW (between 3 and 9 mW)",
        "measured   230 rpm",
        "Never pressurise a can, jar or plastic vessel",
        "Local rules and the advice of licensed people come first.",
        "source: derived here",
    ):
        assert words in out, words
    assert "all the air is hot" in out


def test_the_report_says_which_field_is_flagged_or_not_known(run: Run, predicts: Any, notebook: Path) -> None:
    path = notebook / "mug.toml"
    path.write_text(path.read_text().replace('tube_bore = "6 mm"', 'tube_bore = "wide"'))
    predicts(running())
    _, out, _ = run("report", str(path))
    assert re.search(r"Passage bore +wide  \(flagged\)", out)
    assert re.search(r"Air pressure +\?  \(not known\)", out)


def test_the_report_adds_the_unit_that_was_meant_behind_a_drawing_s_sign(
    run: Run, predicts: Any, notebook: Path
) -> None:
    path = notebook / "mug.toml"
    path.write_text(re.sub("(?m)^( *)(piston_bore|displacer_bore) = .*$", r'\1\2 = "Ø12, measured"', path.read_text()))
    predicts(running())
    _, out, _ = run("report", str(path))
    assert "Ø12, measured mm" in out


# --- the line itself -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["predict", "gap", "report", "note", "check"])
@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00\x01\x02",
        b"\xff\xfe\x00",
        b"not toml at all",
        b'{"json": true}',
        b"a = 1e400\n",
        b"a = " + b"[" * 4000,
        b"a = " + b"9" * 6000,
        b"a." * 3000 + b"b = 1",
        b'name = "only',
        b'format = 1\nname = "\\u0000"\nmark = 3\nentry = 4\n',
        b'format = 1\nname = "x"\n[mark.1]\nbuild = "y"\n[entry.e]\nreading = 5\n',
    ],
)
def test_a_hostile_file_never_gives_a_traceback(run: Run, tmp_path: Path, command: str, content: bytes) -> None:
    path = tmp_path / "evil.toml"
    path.write_bytes(content)
    code, out, err = run(command, str(path), *(["hello"] if command == "note" else []))
    assert code in (Exit.OK, Exit.PROBLEMS, Exit.CANNOT_READ, Exit.CANNOT_WRITE)
    assert "Traceback" not in out + err
    if err:
        one_line(err)
    assert all(char == "\n" or char.isprintable() for char in out)


def test_a_hostile_name_is_cleaned_wherever_it_is_printed(run: Run, predicts: Any, tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text('format = 1\nname = "a\\u001b[2Jb\\u0007\\u202ec"\n[mark.1.build]\nlayout = "\\u001b[1m"\n')
    predicts(running())
    for command in ("predict", "report", "gap", "check"):
        for extra in ([], ["--json"] if command != "report" else []):
            _, out, err = run(command, str(path), *extra)
            assert all(char == "\n" or char.isprintable() for char in out + err)
    assert loads(run("predict", str(path), "--json")[1])["project"] == "a[2Jbc"


def test_a_missing_file_and_a_folder_are_told_apart(run: Run, notebook: Path) -> None:
    code, _, err = run("predict", str(notebook / "none.toml"))
    assert code == Exit.CANNOT_READ
    assert "none.toml" in one_line(err)
    code, _, err = run("predict", str(notebook))
    assert code == Exit.CANNOT_READ
    assert "Name one project file in it" in one_line(err)


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["predict"], "FILE"),
        (["predict", "x", "--mark", "two"], "--mark"),
        (["predict", "x", "--nonsense"], "--nonsense"),
        (["prdict", "x"], "did you mean predict"),
        (["--nonsense"], "--nonsense"),
        (["a", "b", "\x1b[2J"], "not understood"),
    ],
)
def test_a_wrong_command_line_is_one_line_and_exit_two(run: Run, argv: list[str], says: str) -> None:
    code, out, err = run(*argv)
    assert (code, out) == (Exit.USAGE, "")
    line = one_line(err)
    assert says in line
    assert "--help" in line


def test_help_names_every_command_and_every_exit_code(run: Run) -> None:
    code, out, err = run("--help")
    assert (code, err) == (Exit.OK, "")
    for word in ("predict", "gap", "check", "report", "note", "FOLDER"):
        assert word in out
    for exit_code in Exit:
        assert re.search(rf"^  {exit_code.value} +{re.escape(exit_code.meaning)}$", out, re.MULTILINE)


@pytest.mark.parametrize("command", ["predict", "gap", "check", "report", "note"])
def test_each_command_has_its_help(run: Run, command: str) -> None:
    code, out, _ = run(command, "--help")
    assert code == Exit.OK
    assert out.startswith(f"usage: quarterturn {command}")


def test_version_is_one_line(run: Run) -> None:
    code, out, _ = run("--version")
    assert code == Exit.OK
    assert out.startswith("quarterturn ")
    assert out.count("\n") == 1


def test_a_missing_folder_says_how_to_make_it(run: Run, tmp_path: Path) -> None:
    code, _, err = run(str(tmp_path / "engines"))
    assert code == Exit.CANNOT_READ
    assert "mkdir -p" in one_line(err)


def test_a_file_in_place_of_a_folder_says_what_to_open(run: Run, notebook: Path) -> None:
    code, _, err = run(str(notebook / "mug.toml"))
    assert code == Exit.CANNOT_READ
    assert f"quarterturn {notebook}" in one_line(err)


def test_without_a_terminal_the_screens_say_so(run: Run, notebook: Path) -> None:
    code, _, err = run(str(notebook))
    assert code == Exit.NO_TERMINAL
    assert "terminal" in one_line(err)


def test_ctrl_c_is_one_line(run: Run, monkeypatch: pytest.MonkeyPatch, notebook: Path) -> None:
    def stop(project: object, **rest: object) -> Prediction:
        raise KeyboardInterrupt

    monkeypatch.setattr("model.explain.outlook.outlook", stop)
    code, _, err = run("predict", str(notebook / "mug.toml"))
    assert code == Exit.INTERRUPTED
    one_line(err)


def test_a_fault_of_the_program_is_one_line_and_a_log(
    run: Run, monkeypatch: pytest.MonkeyPatch, notebook: Path, tmp_path: Path
) -> None:
    def fail(project: object, **rest: object) -> Prediction:
        raise ZeroDivisionError("made for this test")

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr("model.explain.outlook.outlook", fail)
    code, out, err = run("predict", str(notebook / "mug.toml"))
    assert (code, out) == (Exit.INTERNAL, "")
    line = one_line(err)
    assert str(tmp_path / "state") in line
    logs = list((tmp_path / "state").rglob("*.log"))
    assert len(logs) == 1
    assert "made for this test" in logs[0].read_text()


def test_a_word_that_is_nearly_a_command_ends_its_sentence(run: Run) -> None:
    _, _, err = run("predcit", "x")
    assert "did you mean predict? See quarterturn --help." in one_line(err)


@pytest.mark.parametrize("argv", [["help"], ["help", "predict"], ["help", "nonsense"]])
def test_help_is_answered_and_not_taken_for_a_folder(run: Run, argv: list[str]) -> None:
    code, out, err = run(*argv)
    assert (code, err) == (Exit.OK, "")
    assert out.startswith("usage: quarterturn predict" if "predict" in argv else "usage: quarterturn [FOLDER | --demo]")


def test_list_is_answered_and_not_taken_for_a_folder(run: Run, predicts: Any, notebook: Path) -> None:
    predicts(running())
    code, out, err = run("list", str(notebook))
    assert (code, err) == (Exit.OK, "")
    assert out == run(str(notebook), "--text")[1]
    assert out.startswith("3 prototypes in ")


def test_list_without_a_folder_is_the_own_notebook(run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    code, out, err = run("list")
    assert code == Exit.OK
    assert out.startswith("0 prototypes in ")
    assert "To copy the examples" in err


def test_json_of_the_screens_is_refused(run: Run, notebook: Path) -> None:
    code, _, err = run(str(notebook), "--json")
    assert code == Exit.USAGE
    assert "--text" in one_line(err)


@pytest.mark.parametrize("word", [command.word for command in COMMANDS])
def test_each_help_has_an_example_that_names_the_command(run: Run, word: str) -> None:
    _, out, _ = run(word, "--help")
    assert re.search(rf"^example:\n  quarterturn {word} \S", out, re.MULTILINE)
    assert "examples:\n  quarterturn --demo" in run("--help")[1]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.word)
def test_each_example_is_one_that_the_command_understands(command: Command) -> None:
    """Of a shell's line only the words count; what stands behind > is the shell's."""
    module, parser = importlib.import_module(command.module), Parser()
    module.arguments(parser)
    options = parser.parse_args(shlex.split(command.example.partition(">")[0]))
    for name in ("file", "folder"):
        if hasattr(options, name):
            assert (ROOT / getattr(options, name)).exists()


def test_a_capital_v_is_the_version_too(run: Run) -> None:
    assert run("-V") == run("--version")


@pytest.mark.parametrize("argv", [["--help"], ["predict", "--help"], ["--version"]])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_help_that_cannot_be_written_is_an_error(argv: list[str], unbuffered: str) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "tui", *argv],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
        )
    assert done.returncode == Exit.CANNOT_WRITE
    assert "cannot be written" in one_line(done.stderr)


# --- note from standard input ------------------------------------------------------------------------------------


def piped(notebook: Path, data: bytes) -> subprocess.CompletedProcess[bytes]:
    argv = [sys.executable, "-m", "tui", "note", str(notebook / "mug.toml"), "-"]
    return subprocess.run(argv, input=data, capture_output=True, cwd=ROOT, env={**os.environ, "PYTHONUTF8": "1"})


def test_a_dash_reads_the_note_from_standard_input(notebook: Path) -> None:
    done = piped(notebook, "Größe geprüft\nand it ran\n".encode())
    assert (done.returncode, done.stderr) == (Exit.OK, b"")
    assert list(read_project(notebook / "mug.toml").project.entries.values())[-1].text == "Größe geprüft\nand it ran"


@pytest.mark.parametrize(("data", "code"), [(b"", Exit.USAGE), (b"bad \xe9 byte", Exit.CANNOT_WRITE)])
def test_standard_input_that_is_no_note_is_refused(notebook: Path, data: bytes, code: Exit) -> None:
    before = (notebook / "mug.toml").read_bytes()
    done = piped(notebook, data)
    assert done.returncode == code
    one_line(done.stderr.decode())
    assert (notebook / "mug.toml").read_bytes() == before


def test_a_note_whose_output_cannot_be_written_is_no_failure(notebook: Path) -> None:
    """A script that takes it for one writes the note twice."""
    argv = [sys.executable, "-m", "tui", "note", str(notebook / "mug.toml"), "hello"]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(argv, stdout=full, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    assert done.returncode == Exit.OK
    assert "Added to" in done.stderr
    assert list(read_project(notebook / "mug.toml").project.entries.values())[-1].text == "hello"
