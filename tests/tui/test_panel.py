"""What the panel, the rows and the bottom line say: whole words, nothing that reads as something else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from model.fields import Build
from model.prediction.result import CurvePoint, Need, Prediction, Verdict, Why
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from tests.tui.stage import Play, can, play
from tui.state.diary_edits import offers
from tui.state.prototype import Prototype
from tui.state.session import Session
from tui.view.field_help import advice
from tui.view.form_rows import content_of
from tui.view.lines import text_of
from tui.view.panel import panel_lines
from tui.view.plot import power_plot
from tui.view.readings import _columns, below_lines, reading_rows
from tui.widgets.screen import hint_line

WHY = Why(formula="invented", source="A stand-in for the tests")


def need(key: str, label: str, wants: float | None, has: float, *, met: bool) -> Need:
    return Need(key=key, label=label, kind=Kind.TIME, unit="s", wants=wants, has=has, met=met, why=WHY)


def panel(prediction: Prediction) -> str:
    session = Session(Path())
    prototype = Prototype(path=Path("a.toml"), project=can())
    session.add(prototype)
    session.open(prototype.path)
    prototype.outlook.prediction, prototype.outlook.build = prediction, session.parsed.build
    lines = panel_lines(session, width=40, height=20, plain=True)
    return " ".join(" ".join(text_of(line) for line in lines).split())


def test_a_doubtful_engine_is_told_its_two_tightest_needs_and_guesses_are_called_assumed() -> None:
    needs = (
        need("leak_half_time", "Leak-down half-time", 0.8, 4.5, met=True),
        need("piston", "Stroke", 2.0, 3.0, met=True),
        need("phase", "Phase", 5.0, 9.0, met=True),
    )
    said = panel(Prediction(verdict=Verdict.DOUBTFUL, needs=needs, assumed={"piston_clearance": "5 to 30 um"}))
    assert "Leak-down half-time: at least 0.8 s, assumed 4.5 s" in said
    assert "Stroke: at least 2 s, has 3 s" in said
    assert "Phase" not in said


def test_what_would_not_help_alone_stands_in_one_line() -> None:
    needs = (
        need("temperature_difference", "Difference", 80.0, 60.0, met=False),
        need("leak_half_time", "Leak", None, 1.6, met=False),
        need("piston", "Stroke", None, 12.0, met=False),
    )
    said = panel(Prediction(verdict=Verdict.DOES_NOT_RUN, needs=needs))
    assert "alone not enough: leak, stroke" in said
    assert "no value would do" not in said


def test_readings_stand_on_the_curve_as_crosses_and_the_axes_end_at_round_numbers() -> None:
    curve = [CurvePoint(speed=s, indicated=0.01, shaft=0.01 * (1 - s / 65)) for s in range(5, 66, 5)]
    bare = [text_of(line) for line in power_plot(curve, width=60, height=14, plain=True)]
    drawn = [text_of(line) for line in power_plot(curve, width=60, height=14, plain=True, dots=[(30.0, 0.008)])]
    assert sum(line[8:].count("x") for line in bare[:-1]) == 0
    assert sum(line[8:].count("x") for line in drawn[:-2]) == 1
    # 5 and 65 rad/s are 47.7 and 620.7 rpm
    assert drawn[-2].split() == ["0", "200", "400", "600", "rpm"]
    assert "x: measured" in drawn[-1]


def test_guesses_are_short_and_how_a_value_is_known_is_left_to_the_help(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter")
        await acts.press("home", "down", "down")
        screen = acts.screen()
        assert "3/8 in +-0.1 mm" in screen
        assert "mea>" not in screen
        assert "Read as 9.52 mm +-0.1, measured." in screen

    play(notebook, scene)


def test_a_help_that_goes_on_says_so() -> None:
    caution = "; ".join(f"Caution number {n} of the invented ones" for n in range(9))
    content = content_of(
        Build, {"heat_source": "candle"}, pane="heat", cautions={"heat_source": caution}, sharp={"heat_source"}
    )
    lines = advice(content.row("heat_source"), width=60, height=4)
    assert len(lines) <= 4
    assert text_of(lines[3]).endswith("... (w: all)")


def test_the_gap_does_not_touch_the_panel() -> None:
    assert all(2 + 3 + sum(_columns(width)) <= width - 2 for width in (47, 60, 87, 120))


def test_the_bottom_line_of_the_results_names_every_key_at_eighty_columns(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter")
        while "[Results]" not in acts.screen():
            await acts.press("right")
        await acts.press("o")
        last = acts.screen().splitlines()[-1]
        for said in ("a add", "o this mark", "Left Right pane", "w why", "m marks", "n note"):
            assert said in last
        await acts.press("o")
        assert "o all" in acts.screen().splitlines()[-1]

    play(notebook, scene)


def test_keys_stand_closer_only_where_more_of_them_fit() -> None:
    hints = (("a", "add"), ("d", "del"))
    assert text_of(hint_line(hints, 80)) == " a add   d del"
    assert text_of(hint_line(hints, 13)) == " a add  d del"
    assert text_of(hint_line(hints, 12)) == " a add"


def test_the_name_of_a_copy_is_typed_over(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "c")
        assert "Paint tin 2" in acts.screen()
        await acts.write("Bean tin")
        await acts.press("enter")
        assert "Bean tin" in acts.screen()

    play(notebook, scene)
    assert (notebook / "bean-tin.toml").exists()


def with_reading(project: Project, key: str, **texts: str) -> Project:
    reading = Reading(key="a", kind="speed", texts=texts)
    return project.with_entry(Entry(key=key, day="2026-11-26", mark=1, readings={"a": reading}))


def test_each_condition_is_offered_from_the_last_reading_that_says_it() -> None:
    project = with_reading(
        with_reading(can(), "aaaaaa", hot_metal="150 C", cold_metal="40 C"), "bbbbbb", hot_metal="160 C"
    )
    found = offers(project, 1, Reading(key="z", kind="speed", texts={}), None)
    assert (found["hot_metal"].text, found["cold_metal"].text) == ("160 C", "40 C")


def test_every_condition_of_a_comparison_is_told_with_its_mark() -> None:
    project = with_reading(can(), "aaaaaa", turns="100", time="20 s", hot_metal="150 C")
    mark = replace(project.marks[1], build={**project.marks[1].build, "cold_metal": "46 C"})
    project = project.with_mark(mark)
    taken = reading_rows(project, 1)[-1]
    said = " ".join(" ".join(text_of(line) for line in below_lines(taken, None, project, 80, looked_at=1)).split())
    assert "At: hot 150 C, cold 46 C (Mk 1)" in said


def test_a_field_in_trouble_is_named_in_a_builders_words(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"
    path.write_text(path.read_text().replace('"4 mm"', '"4 mmx"'), encoding="utf-8")

    async def scene(acts: Play) -> None:
        await acts.press("down")
        said = " ".join(acts.screen().split())
        assert "Mk 2, Piston throw '4 mmx'" in said
        assert "mark.2.build" not in said

    play(notebook, scene)
