"""What cannot be together is told on the screen beside both fields; nothing typed is changed, no chart is flattened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from model.explain.gap import gaps
from model.fields import Build
from model.prediction.result import Gap
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from model.store import read_project, save_project
from tests.tui.stage import CAN, Play, can, figure, play
from tui.state.diary_edits import offers
from tui.text.figures import best_measured
from tui.view.entries import entry_content
from tui.view.field_help import advice
from tui.view.form_rows import content_of, shown_text
from tui.view.readings import reading_content


def test_a_build_that_cannot_be_is_told_at_both_fields_and_its_values_stand(write: Callable[[Project], Path]) -> None:
    build = {**CAN, "cold_metal": "1.5 C", "cold_side": "air"}
    notebook = write(Project(name="Paint tin", marks={1: Mark(number=1, build=build)}))

    async def scene(acts: Play) -> None:
        await acts.press("enter", "right", "right")
        assert "Heat source!]" in acts.screen()
        for label in ("Cold side", "Cold metal"):
            assert any(line[1:4] == " ! " and label in line for line in acts.screen().splitlines())
        assert "1.5 C" in acts.screen()

    play(notebook, scene)
    assert read_project(notebook / "one.toml").project.marks[1].build == build


def test_a_doubt_is_said_in_words_and_the_value_is_read_all_the_same() -> None:
    reading = Reading(key="a", kind="speed", texts={"turns": "99999", "time": "1 s"})
    entry = Entry(key="e", mark=1, readings={"a": reading})
    project = Project(name="x", marks={1: Mark(number=1)}, entries={"e": entry})
    from model.checks.plausibility import doubts_of_reading

    content = reading_content(reading, doubts=doubts_of_reading(project, entry, reading))
    row = content.row("turns")
    assert row is not None
    assert row.doubt is not None
    assert row.problem is None
    assert shown_text(row) == ("99999 turns", "")
    text = "\n".join("".join(part for part, _ in line) for line in advice(row, width=78, height=8))
    assert "99999 turns in Time 1 s: more than 10000 rpm" in text
    assert "Count again" in text
    assert "Read as 1e+05 turns" in text or "Read as 99999 turns" in text or "Read as 100000 turns" in text


def test_a_field_that_says_nothing_is_not_marked() -> None:
    from model.checks.plausibility import doubts_of_mark

    build = {"cold_metal": "1.5 C", "cold_side": "air"}
    doubts = doubts_of_mark(Project(name="x", marks={1: Mark(number=1, build=build)}), 1)
    rows = {row.name: row.doubt is not None for row in content_of(Build, build, doubts=doubts).rows}
    assert {name for name, doubted in rows.items() if doubted} == {"cold_metal", "cold_side"}


def test_ticks_that_exclude_each_other_are_both_marked_and_both_stay() -> None:
    entry = Entry(key="e", day="2026-11-25", ticks=("binds", "turns_free", "bounces"))
    rows = entry_content(entry, Project(name="x", entries={"e": entry}), ()).rows
    assert {row.name for row in rows if row.doubt} == {"tick.binds", "tick.turns_free"}
    assert {row.name for row in rows if row.text == "yes"} == {"tick.binds", "tick.turns_free", "tick.bounces"}


def wild() -> Project:
    """The can of the tests, one mark, with a reading of 99,999 turns in a second."""
    project = tame()
    entry = project.entries["k7f3m2"]
    mad = Reading(key="z", kind="speed", texts={"turns": "99999", "time": "1 s"})
    return project.with_entry(replace(entry, readings={**entry.readings, "z": mad}))


def tame() -> Project:
    return replace(can(), marks={1: can().marks[1]})


def test_a_speed_that_cannot_be_is_no_best() -> None:
    found = gaps(wild(), mark=1, samples=0)
    assert {gap.reading: gap.doubted for gap in found} == {"a": False, "z": True}
    assert best_measured(found, "speed") is None


def test_a_speed_that_cannot_be_does_not_set_the_scale_of_the_chart(tmp_path: Path) -> None:
    def scale(name: str, project: Project) -> tuple[list[str], bool]:
        folder = tmp_path / name
        folder.mkdir()
        save_project(folder / "one.toml", project, revision=None)
        seen: list[str] = []

        async def scene(acts: Play) -> None:
            await acts.press("enter")
            seen.extend(acts.screen().splitlines())

        play(folder, scene, size=(120, 50))
        axis = [line.split()[-3:] for line in seen if line.rstrip().endswith("rpm") and "000" in line]
        return axis, any("1 of 2 not counted" in line for line in seen)

    sound, quiet = scale("tame", tame())
    mad, flagged = scale("wild", wild())
    assert sound == mad
    assert (quiet, flagged) == (False, True)


def test_a_doubted_gap_is_passed_over_for_a_smaller_one_that_can_be() -> None:
    def one(value: float, *, doubted: bool) -> Gap:
        measured = figure("m", "m", Kind.ROTATION, "rpm", value)
        return Gap(entry="e", reading="a", mark=1, day="", quantity="speed", measured=measured, predicted=measured,
                   gap=measured, doubted=doubted)  # fmt: skip

    best = best_measured((one(6e5, doubted=True), one(7.0, doubted=False)), "speed")
    assert best is not None
    assert best.measured.value == 7.0


def test_a_cold_test_is_not_offered_what_the_heat_did_last_time() -> None:
    hot = {
        "minutes": "20",
        "hot_metal": "82 C",
        "cold_metal": "36 C",
        "heat_source": "candle",
        "room_temperature": "20 C",
    }
    entry = Entry(key="e", mark=1, readings={"a": Reading(key="a", kind="speed", texts=hot)})
    project = Project(name="x", marks={1: Mark(number=1, build=CAN)}, entries={"e": entry})
    cold = (
        Reading(key="n", kind="free_turns", texts={"warmth": "cold"}),
        Reading(key="n", kind="free_turns", texts={"stood": "opened"}),
        Reading(key="n", kind="swing_cold"),
        Reading(key="n", kind="rim_weight"),
    )
    for reading in cold:
        assert set(offers(project, 1, reading, None)) == {"room_temperature", "cold_side"}
    warm = Reading(key="n", kind="free_turns", texts={"warmth": "hot"})
    assert set(hot) <= set(offers(project, 1, warm, None))
