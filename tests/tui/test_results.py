"""The pane of readings, driven by keys alone: what is stored, offered, flagged, compared and taken back."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from model.bench.kinds import KINDS
from model.bench.reading import ReadingValues, measured_of
from model.fields import Build, parse_build, parse_fields
from model.knowledge.gaps import gaps_with
from model.knowledge.result import Expected
from model.prediction.result import Gap
from model.quantities.units import Kind
from model.record import Entry, Project, Reading
from model.store import read_project
from tests.tui.stage import SHAPES, Play, can, figure, play, stand_in, stand_in_allowances, stand_in_diagnosis
from tui.dialogs.base import ChoiceDialog, Option
from tui.host.terminal import Terminal
from tui.notebook import NotebookApp
from tui.panes.build import field_cautions as build_cautions
from tui.panes.results import ResultsPane
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.view.form_rows import content_of
from tui.view.lines import text_of
from tui.view.readings import ReadingRow, below_lines, fact_text, field_cautions, good_for_text, reading_content

KINDS_OF_FIGURE = {"speed": (Kind.ROTATION, "rpm", 20.0), "shaft_power": (Kind.POWER, "mW", 0.1)}


def gaps_of(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
    """Hold each reading against a prediction that is always the same: 20 rad/s, 0.1 W."""
    found = []
    for entry, reading in project.readings_of(mark or 1):
        values, _ = parse_fields(ReadingValues, reading.texts)
        measured = measured_of(replace(values, kind=reading.kind))
        if measured is None:
            continue
        kind, unit, predicted = KINDS_OF_FIGURE[measured.quantity]
        at = measured.value
        gap = Gap(
            entry=entry.key, reading=reading.key, mark=mark, day=entry.day, quantity=measured.quantity,
            measured=figure("m", "Measured", kind, unit, at), predicted=figure("p", "Predicted", kind, unit, predicted),
            gap=figure("gap", "Gap", kind, unit, at - predicted, spread=False),
        )  # fmt: skip
        found.append(gap)
    return tuple(found)


def with_gaps(post: Callable[..., None]) -> Runner:
    return Runner(post, predict=stand_in, gaps=gaps_of, diagnose=stand_in_diagnosis, allowances=stand_in_allowances)


def saved(notebook: Path) -> Project:
    return read_project(notebook / "paint-tin.toml").project


def pane(app: NotebookApp) -> ResultsPane:
    assert isinstance(app.screen, ProjectScreen)
    shown = app.screen.pane
    assert isinstance(shown, ResultsPane)
    return shown


async def open_results(acts: Play, mark: int = 2) -> None:
    """Open the can's readings; the latest mark is the second, the reading was taken on the first."""
    await acts.press("down", "enter")
    if mark == 1:
        await acts.press("m", "down", "enter")
    await acts.press("right", "right", "right")


def left(acts: Play) -> str:
    """Return the pane alone, without the panel beside it."""
    return "\n".join(line[:47].rstrip() for line in acts.screen().splitlines()[3:18])


def test_a_brake_reading_stands_with_its_power_and_spread_the_prediction_and_the_gap(notebook: Path) -> None:
    """10 g at 20 mm and 300 rpm: 0.010 kg x 9.80665 m/s2 x 0.020 m x 2 pi 5/s = 61.6 mW (rope brake, worked by hand).

    Spread, twice the root of squares (JCGM 100:2008, 5.1.2): force 0.5 g of 10 g, radius 0.4 mm of 20 mm, speed
    1.5 rpm of 300 rpm: 5.4 %, so 6.7 mW.
    """

    async def scene(acts: Play) -> None:
        await open_results(acts, mark=1)
        assert re.search(r"^> +11-25 1 +Brake +62 \+-7 mW +100 +-38$", left(acts), re.MULTILINE), left(acts)
        await acts.press("m", "up", "enter")
        assert "Nothing measured yet" in left(acts)
        assert "1 more on other marks" in left(acts)
        await acts.press("o")
        assert re.search(r"11-25 1 +Brake +62 \+-7 mW +- +-$", left(acts), re.MULTILINE), left(acts)
        assert "Its gap is shown while Mk 1 is looked at" in acts.screen()

    play(notebook, scene, runner=with_gaps)


def test_a_counted_speed_becomes_a_reading_of_todays_entry_and_shows_its_gap(notebook: Path) -> None:
    """100 turns in 31.2 s: 6000 / 31.2 = 192.3 rpm; half a turn and 0.3 s make 1.08 %, twice that 4.2 rpm."""

    async def scene(acts: Play) -> None:
        await open_results(acts)
        await acts.press("a")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("1")
        assert saved(notebook) == can()
        await acts.write("100")
        await acts.press("down")
        await acts.write("31.2")
        await acts.press("enter")
        assert "Comes to 192 +-4 rpm; predicted 190 rpm; gap" in acts.screen()
        await acts.press("escape")
        assert re.search(r"^> +11-26 2 +Speed +192 \+-4 rpm +190", left(acts), re.MULTILINE), left(acts)
        assert "saved" in acts.screen().splitlines()[0]
        (entry,) = [entry for entry in saved(notebook).entries.values() if entry.day == "2026-11-26"]
        (reading,) = entry.readings.values()
        assert (entry.mark, reading.kind) == (2, "speed")
        assert reading.texts == {"mark": "2", "turns": "100", "time": "31.2"}

    play(notebook, scene, runner=with_gaps)


def test_a_second_reading_of_the_day_goes_into_the_same_entry(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts)
        for _ in range(2):
            await acts.press("a", "5", "enter")
            await acts.write("weak")
            await acts.press("enter", "escape")
        (entry,) = [entry for entry in saved(notebook).entries.values() if entry.day == "2026-11-26"]
        assert [reading.texts["bounce"] for reading in entry.readings.values()] == ["weak", "weak"]

    play(notebook, scene)


def test_a_reading_that_was_begun_and_left_empty_is_not_stored(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts)
        await acts.press("a", "1", "down", "down", "escape", "a", "escape")
        assert saved(notebook) == can()
        assert acts.app.session.prototype.project == can()

    play(notebook, scene)


def test_offered_conditions_are_stored_only_when_taken(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts)
        await acts.press("a", "1")
        await acts.write("100")
        await acts.press("enter")
        assert "? candle, Mk 2" in left(acts)
        (_, reading), *_ = acts.app.session.prototype.project.readings_of(2)
        assert set(reading.texts) == {"mark", "turns"}
        await acts.press("t")
        assert "? candle" not in left(acts)
        (_, reading), *_ = saved(notebook).readings_of(2)
        assert (reading.texts["heat_source"], reading.texts["cold_side"]) == ("candle", "air")
        await acts.press("ctrl+z")
        (_, reading), *_ = saved(notebook).readings_of(2)
        assert set(reading.texts) == {"mark", "turns"}

    play(notebook, scene)


def test_enter_on_an_offered_condition_opens_it_with_its_text(write: Callable[[Project], Path]) -> None:
    project = can()
    warm = Reading(key="w", kind="temperatures", texts={"hot_metal": "200 F"})
    entry = Entry(key="w", day="2026-11-25", mark=2, readings={"w": warm})

    async def scene(acts: Play) -> None:
        await acts.press("enter", "right", "right", "right", "a", "1")
        while pane(acts.app).form.name_at != "hot_metal":
            await acts.press("down")
        assert "? 200 F, last time" in left(acts)
        await acts.press("enter")
        await acts.write(" +-5")
        await acts.press("enter")
        readings = acts.app.session.prototype.project.readings_of(2)
        assert readings[-1][1].texts == {"mark": "2", "hot_metal": "200 F +-5"}

    play(write(project.with_entry(entry)), scene)


def test_wrong_text_in_a_reading_stays_flagged_over_a_restart(notebook: Path) -> None:
    async def first(acts: Play) -> None:
        await open_results(acts, mark=1)
        await acts.press("enter")
        while pane(acts.app).form.name_at != "radius":
            await acts.press("down")
        await acts.press("enter")
        await acts.write("q")
        await acts.press("escape")
        assert "20 mmq" in left(acts)
        assert "'mmq' is not a unit known here" in acts.screen()

    async def second(acts: Play) -> None:
        await open_results(acts, mark=1)
        assert re.search(r"^>!11-25", left(acts), re.MULTILINE)
        assert "'mmq' is not a unit known here" in acts.screen()

    play(notebook, first)
    assert saved(notebook).entries["k7f3m2"].readings["a"].texts["radius"] == "20 mmq"
    play(notebook, second)


def test_undo_takes_back_one_visit_and_then_the_reading_itself(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts)
        await acts.press("a", "1")
        await acts.write("100")
        await acts.press("down")
        await acts.write("31.2")
        await acts.press("enter", "ctrl+z")
        (_, reading), *_ = saved(notebook).readings_of(2)
        assert "time" not in reading.texts
        await acts.press("ctrl+z")
        assert saved(notebook) == can()
        await acts.write("90")
        await acts.press("escape")
        (_, reading), *_ = saved(notebook).readings_of(2)
        assert reading.texts == {"mark": "2", "tachometer": "90"}

    play(notebook, scene)


def test_deleting_asks_and_undo_brings_the_reading_back(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts, mark=1)
        await acts.press("d")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("k")
        assert saved(notebook) == can()
        await acts.press("d", "d")
        assert saved(notebook).readings_of(1) == ()
        assert saved(notebook).entries["k7f3m2"].text == "Turned free at last."
        await acts.press("ctrl+z")
        assert saved(notebook) == can()

    play(notebook, scene)


def test_a_clock_that_runs_behind_the_diary_is_asked_about_once(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        acts.app.controller.today = lambda: "1970-01-01"
        await open_results(acts)
        await acts.press("a")
        assert "The clock says 1970-01-01" in acts.screen()
        await acts.press("o")
        for _ in range(10):
            await acts.press("backspace")
        await acts.write("tomorrow")
        await acts.press("enter")
        assert "'tomorrow' is not a day" in acts.screen()
        for _ in range(8):
            await acts.press("backspace")
        await acts.write("2026-12-01")
        await acts.press("enter", "5", "space", "escape")
        assert list(saved(notebook).entries.values())[-1].day == "2026-12-01"
        await acts.press("a")
        assert "What was measured?" in acts.screen()

    play(notebook, scene)


def test_a_reading_of_another_mark_than_there_is_says_so(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts, mark=1)
        await acts.press("enter", "end", "up", "enter")
        await acts.write("7")
        await acts.press("enter")
        assert "There is no such mark" in acts.screen()
        assert saved(notebook).entries["k7f3m2"].readings["a"].texts["mark"] == "7"

    play(notebook, scene)


def test_a_build_field_of_a_mark_that_got_its_reading_here_asks_once(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts)
        await acts.press("a", "5", "space", "escape", "left", "left", "left")
        while acts.app.screen.panes.build.form.name_at != "piston_throw":
            await acts.press("down")
        await acts.write("6")
        await acts.press("enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("n")
        project = saved(notebook)
        assert project.marks[3].build["piston_throw"] == "6"
        assert [len(project.readings_of(number)) for number in (1, 2, 3)] == [1, 1, 0]

    play(notebook, scene)


def test_a_file_that_may_only_be_read_takes_no_reading(notebook: Path) -> None:
    path = notebook / "paint-tin.toml"
    newer = path.read_text(encoding="utf-8").replace("format = 1", "format = 2")
    path.write_text(newer, encoding="utf-8")

    async def scene(acts: Play) -> None:
        await open_results(acts, mark=1)
        await acts.press("a", "d")
        assert isinstance(acts.app.screen, ProjectScreen)
        await acts.press("enter", "enter")
        await acts.write("5")
        await acts.press("t", "escape")
        assert path.read_text(encoding="utf-8") == newer

    play(notebook, scene)


@pytest.mark.parametrize("kind", [choice.key for choice in KINDS])
def test_every_kind_of_reading_has_a_form_a_short_word_and_its_facts(kind: str) -> None:
    content = reading_content(Reading(key="a", kind=kind))
    measured = [row for row in content.rows if row.field and row.field.group == "What was measured"]
    assert len(measured) > 1 or kind == "temperatures"
    assert fact_text(Reading(key="a", kind=kind)) == "nothing yet"
    name = measured[-1].name if kind != "temperatures" else "hot_metal"
    row = content.row(name)
    assert row is not None and row.field is not None
    text = row.field.choices[0].key if row.field.takes_words else "12"
    assert fact_text(Reading(key="a", kind=kind, texts={name: text})) != "nothing yet"
    assert all(0 < len(kind.short) <= 6 for kind in KINDS)


def test_a_spin_down_says_how_the_engine_stood_and_whether_it_replaces_the_guess() -> None:
    """Only the opened one with all linked is the whole mechanism's friction; the one of before says what it said."""
    texts = {"turns": "6", "time": "5 s", "warmth": "cold"}
    said = {
        stood: (fact_text(made), good_for_text(made))
        for stood in ("", "closed", "opened", "unlinked")
        if (made := Reading(key="a", kind="free_turns", texts={**texts, **({"stood": stood} if stood else {})}))
    }
    assert said[""][0] == "6 turns, cold, in 5 s"
    assert said["closed"][0] == "6 turns, whole and closed, cold, in 5 s"
    assert said["unlinked"][0] == "6 turns, opened, displacer unlinked, cold, in 5 s"
    assert said["opened"][1].startswith("Opened, all linked, it measures the friction of the whole mechanism")
    assert "takes the place of no guess" in said["unlinked"][1]
    assert said[""][1] == said["closed"][1] != ""
    assert "guess" not in said[""][1]


def test_what_a_spin_down_counts_for_stands_before_its_numbers() -> None:
    """On a low screen the end is cut: that it replaces no guess must not be."""
    reading = Reading(key="a", kind="free_turns", texts={"turns": "9", "time": "9 s", "stood": "unlinked"})
    entry = Entry(key="e9", day="2026-11-27", mark=2, readings={"a": reading})
    gap = Gap(
        entry="e9", reading="a", mark=2, day=entry.day, quantity="displacer_friction",
        measured=figure("m", "Friction of displacer, rod and gland", Kind.TORQUE, "mN m", 3e-4),
        predicted=figure("p", "Predicted", Kind.TORQUE, "mN m", 2e-4),
        gap=figure("gap", "Gap", Kind.TORQUE, "mN m", 1e-4, spread=False), note="It replaces no guess.",
    )  # fmt: skip
    taken = ReadingRow(entry=entry, reading=reading, mark=2)
    lines = [text_of(line) for line in below_lines(taken, gap, can().with_entry(entry), 78, looked_at=2)]
    first = next(n for n, line in enumerate(lines) if "replaces no guess" in line)
    assert any("300 uN m" in line for line in lines[first + 1 :])


def test_a_reading_stands_beside_the_drawing_and_beside_all_else_that_was_found() -> None:
    reading = Reading(key="a", kind="speed", texts={"tachometer": "60 rpm"})
    entry = Entry(key="e9", day="2026-11-27", mark=2, readings={"a": reading})
    rpm = math.pi / 30
    gap = Gap(
        entry="e9", reading="a", mark=2, day=entry.day, quantity="speed",
        measured=figure("m", "Free-running speed", Kind.ROTATION, "rpm", 60 * rpm, spread=False),
        predicted=figure("p", "Predicted", Kind.ROTATION, "rpm", 200 * rpm),
        gap=figure("gap", "Gap", Kind.ROTATION, "rpm", -140 * rpm, spread=False),
    )  # fmt: skip
    expected = [Expected(entry="e9", reading="a", value=70 * rpm, low=50 * rpm, high=90 * rpm)]
    taken = ReadingRow(entry=entry, reading=reading, mark=2)

    def said(told: Gap) -> str:
        lines = below_lines(taken, told, can().with_entry(entry), 78, looked_at=2)
        return " ".join(" ".join(text_of(line) for line in lines).split())

    assert "all else" not in said(gap)
    (both,) = gaps_with([gap], expected)
    assert "By all else that was found 70 rpm (between 50 and 90 rpm); gap -10.0 rpm" in said(both)


def test_cautions_stand_at_the_fields_where_the_risk_arises() -> None:
    """Spinning wheel at the speed, brake at its force, hot metal at its temperature: the triggers of the table."""
    assert field_cautions("brake")["turns"] == "Discs and weights fly off"
    assert field_cautions("brake")["force_tight"] == "Brake and rope"
    assert field_cautions("rim_weight")["weight"] == "Brake and rope"
    assert field_cautions("temperatures")["hot_metal"] == "Hot metal and glass look cold"
    assert "turns" not in field_cautions("free_turns")
    assert "tachometer" not in field_cautions("speed")
    rows = reading_content(Reading(key="a", kind="speed"), None, field_cautions("speed")).rows
    assert not any(row.sharp for row in rows)


def test_a_reading_on_water_counts_since_pouring_and_a_spirit_lamp_has_its_own_usual_power() -> None:
    def label(source: str, own: str = "") -> str:
        texts = {"heat_source": own} if own else {}
        row = reading_content(Reading(key="a", kind="speed", texts=texts), heat_source=source).row("minutes")
        assert row is not None
        assert row.field is not None
        return row.field.label

    assert label("water") == label("candle", own="water") == "Since pouring"
    assert label("candle") == label("") == "Since lighting"
    assert label("electric") == "Since heating"
    row = content_of(Build, {"heat_source": "spirit"}).row("heat_released")
    assert row is not None
    assert row.field is not None
    assert "spirit lamp" in row.field.usual
    assert "tea-light" not in row.field.usual


def test_only_a_caution_that_is_not_usual_is_marked_on_the_form() -> None:
    candle = parse_build({"heat_source": "candle"}).build
    foam = parse_build({"heat_source": "candle", "displacer_material": "eps"}).build
    assert "heat_source" in build_cautions(candle)
    assert build_cautions(candle, sharp=True) == {}
    assert set(build_cautions(foam, sharp=True)) == {"heat_source"}


@pytest.mark.parametrize(("size", "terminal"), SHAPES)
def test_list_and_form_fit_every_size(notebook: Path, size: tuple[int, int], terminal: Terminal) -> None:
    async def scene(acts: Play) -> None:
        await open_results(acts, mark=1)
        assert "Brake" in acts.screen()
        await acts.press("enter")
        screen = acts.screen()
        assert "Larger force" in screen
        assert max(len(line) for line in screen.splitlines()) <= size[0]
        assert not terminal.plain or screen.isascii()

    play(notebook, scene, size=size, terminal=terminal)


def test_a_choice_that_is_exactly_full_says_how_many_are_below(notebook: Path) -> None:
    """A title, an empty line, 21 answers and the keys fill 24 lines; of 25 answers four are below."""
    options = tuple(Option(key=f"k{number}", label=f"Answer {number}") for number in range(25))

    async def scene(acts: Play) -> None:
        acts.app.push_screen(ChoiceDialog("Which?", "", options, colour=False))
        await acts.press("up")
        assert "Answer 20" in acts.screen() and "Answer 21" not in acts.screen()
        assert "Down 4 more below" in acts.screen()
        await acts.press(*["down"] * 21)
        assert "Down 3 more below" in acts.screen()
        await acts.press(*["down"] * 3)
        assert "more below" not in acts.screen()

    play(notebook, scene)
