"""The pane of an engine that does not run, driven by keys alone, and the stopwatch with a clock of the test."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.geometry import Region

from model.bench.kinds import KINDS, Mode, kind_of
from model.bench.reading import ReadingValues
from model.explain.diagnosis.allowances import Allowance
from model.explain.diagnosis.diagnose import Advice, Branch, Diagnosis, RankedCause
from model.fields import parse_fields
from model.prediction.result import Gap
from model.quantities.phrases import chance_text
from model.quantities.units import Kind
from model.record import Entry, Mark, Project, Reading
from model.store import read_project
from tests.examples import few_or
from tests.tui.stage import CAN, SHAPES, Play, can, figure, play, stand_in, stand_in_allowances, stand_in_diagnosis
from tests.tui.test_hostile import CONTROL, NASTY
from tui.dialogs.base import ChoiceDialog
from tui.dialogs.stopwatch import Stopwatch, line_delay, timed
from tui.dialogs.symptoms import SymptomScreen
from tui.host.terminal import Terminal
from tui.notebook import NotebookApp
from tui.panes.notrunning import NotRunningPane, readings_of
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.state.diagnosis import does_not_run
from tui.text.probabilities import NOT_COUNTED, bar
from tui.view.diagnosis import moved_text
from tui.widgets.lines_view import LinesView

STUCK = Entry(key="e2", day="2026-11-26", mark=2, text="Nothing yet.", ticks=("bounces",))


def stuck() -> Project:
    """The can, which ran once and does not any more."""
    return can().with_entry(STUCK)


def pane(app: NotebookApp) -> NotRunningPane:
    assert isinstance(app.screen, ProjectScreen)
    shown = app.screen.pane
    assert isinstance(shown, NotRunningPane)
    return shown


def test_a_project_whose_latest_stage_is_below_running_opens_at_its_causes(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter")
        screen = acts.screen()
        assert "[What next]" in screen
        assert re.search(r"^> Friction +60 in 100 ######\.\.\.\.$", screen, re.MULTILINE)
        assert re.search(r"^  Leak +30 in 100 ###\.\.\.\.\.\.\.$", screen, re.MULTILINE)
        assert "Next test: Free turns, cold, and where it stops" in screen
        assert "Expect  between 2 turns in 1.5 s and 9 turns in 7 s" in screen
        assert "If      fewer than 3 turns in 2 s: Friction 80 in 100" in screen
        await acts.press("right")
        assert "[Dimensions]" in acts.screen()
        assert "Model" in acts.screen()
        await acts.press("left")
        assert "[What next]" in acts.screen()

    play(write(stuck()), scene)


@pytest.mark.parametrize(
    ("ticks", "throw", "first"),
    [((), "4 mm", False), ((), "25 mm", True), (("runs_ten",), "25 mm", False), (("binds",), "4 mm", True)],
)
def test_the_latest_stage_decides_and_without_one_the_prediction(
    write: Callable[[Project], Path], ticks: tuple[str, ...], throw: str, first: bool
) -> None:
    """The stand-in says of a throw below 20 mm that it runs."""
    entries = {"e": Entry(key="e", day="2026-11-25", mark=1, ticks=ticks)} if ticks else {}
    project = Project(name="x", marks={1: Mark(number=1, build={**CAN, "piston_throw": throw})}, entries=entries)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert ("[What next]" in acts.screen()) is first
        assert does_not_run(acts.app.session.prototype) is first

    play(write(project), scene)


def test_the_caution_stands_right_below_what_to_do_in_words(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter")
        lines = acts.screen().splitlines()
        do = next(i for i, line in enumerate(lines) if line.startswith("  Do"))
        assert lines[do + 2].startswith("  Mind    By hand only: never spin it up with a drill.")

    for terminal in (Terminal(), Terminal(colour=False, plain=True)):
        play(write(stuck()), scene, terminal=terminal)


def test_up_and_down_turn_to_the_other_tests_and_tab_to_what_moved_a_cause(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "down")
        assert "Another test: Grams on the rim" in acts.screen()
        assert "2 of 2" in acts.screen()
        await acts.press("down", "up")
        assert "Next test: Free turns" in acts.screen()
        assert "Friction: no finding has moved it yet." in acts.screen()
        await acts.press("tab")
        assert "Leak: for it bounce (4 to 1); against it U-tube half-time (10 to 1)." in acts.screen()
        assert "If it is this: Soapy water on joints." in acts.screen()

    play(write(stuck()), scene)


def test_enter_writes_the_test_down_and_the_diagnosis_moves(write: Callable[[Project], Path]) -> None:
    folder = write(stuck())

    async def scene(acts: Play) -> None:
        await acts.press("enter", "enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("1")
        assert "Engine was" in acts.screen()
        assert "cold" in acts.screen()
        assert read_project(folder / "one.toml").project == stuck()
        await acts.write("3")
        await acts.press("enter", "escape")
        assert re.search(r"^  Friction +30 in 100", acts.screen(), re.MULTILINE)
        assert re.search(r"^> Leak +60 in 100", acts.screen(), re.MULTILINE)
        assert "Next test: Grams on the rim" in acts.screen()
        (entry, reading) = read_project(folder / "one.toml").project.readings_of(2)[-1]
        assert (entry.day, reading.kind) == ("2026-11-26", "free_turns")
        assert reading.texts == {"mark": "2", "warmth": "cold", "turns": "3"}
        await acts.press("ctrl+z")
        assert re.search(r"^> Friction +60 in 100", acts.screen(), re.MULTILINE)

    play(folder, scene)


def test_contradictions_and_the_tightest_allowance_are_told(write: Callable[[Project], Path]) -> None:
    readings = {key: Reading(key=key, kind="bounce", texts={"bounce": "yes"}) for key in "ab"}

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert "! Contradiction: Bounce, yes, does not fit the other findings." in acts.screen()
        tight = "Tightest: Leak, half-time of the U-tube: at least 4.0 s, has 2.0 s."
        assert tight in acts.screen()
        await acts.press("w")
        assert await find(acts, "Found so far")
        assert await find(acts, "> tightest: Leak, half-time of the U-tube: at least 4.0 s (between 2 and 8 s)")

    play(write(can().with_entry(replace(STUCK, readings=readings))), scene)


def test_every_row_that_scrolling_changes_is_painted(
    write: Callable[[Project], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands on the terminal is what was painted, not what would be drawn if all were painted anew."""
    painted: set[int] = set()
    refresh = LinesView.refresh

    def seen(self: LinesView, *regions: Region, **named: bool) -> LinesView:
        painted.update(region.y for region in regions)
        return refresh(self, *regions, **named)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        listing = pane(acts.app).listing
        before = [listing.render_line(y).text for y in range(listing.size.height)]
        monkeypatch.setattr(LinesView, "refresh", seen)
        await acts.press("pagedown")
        after = [listing.render_line(y).text for y in range(listing.size.height)]
        changed = {y for y, (old, new) in enumerate(zip(before, after, strict=True)) if old != new}
        assert changed
        assert changed <= painted

    play(write(stuck()), scene, size=(60, 20))


async def find(acts: Play, text: str) -> bool:
    """Page down a text to read until something is seen."""
    for _ in range(12):
        if text in acts.screen():
            return True
        await acts.press("pagedown")
    return False


class Slow:
    """Weighs causes when it is let."""

    def __init__(self) -> None:
        self.go = threading.Semaphore(0)
        self.asked: list[int] = []

    def __call__(self, project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
        progress(0.4)
        self.asked.append(len(project.readings_of(mark)))
        self.go.acquire()
        return stand_in_diagnosis(project, mark=mark)

    def runner(self, post: Callable[..., None]) -> Runner:
        return Runner(post, predict=stand_in, gaps=lambda *a, **n: (), diagnose=self, allowances=stand_in_allowances)


def test_progress_is_told_old_causes_are_called_old_and_late_ones_dropped(write: Callable[[Project], Path]) -> None:
    slow = Slow()

    async def scene(acts: Play) -> None:
        acts.send("enter")
        await acts.until(lambda: "computing 40 %" in acts.screen() and "are being weighed" in acts.screen())
        slow.go.release()
        await acts.until(lambda: "up to date" in acts.screen() and "60 in 100" in acts.screen())
        acts.send("a")
        await acts.until(lambda: isinstance(acts.app.screen, ChoiceDialog))
        acts.send("5")
        await acts.until(lambda: isinstance(acts.app.screen, ProjectScreen) and pane(acts.app).form.opened is not None)
        acts.send("space")
        await acts.until(lambda: len(acts.app.session.prototype.project.readings_of(2)) == 1)
        acts.send("escape")
        old = "old: something has changed, computing"
        await acts.until(lambda: old in acts.screen() and "60 in 100" in acts.screen())
        await acts.until(lambda: slow.asked == [0, 1])
        acts.send("ctrl+z")
        await acts.until(lambda: not acts.app.session.prototype.project.readings_of(2))
        slow.go.release()
        await acts.until(lambda: slow.asked == [0, 1, 0])
        assert "30 in 100 ###" in acts.screen()
        assert "60 in 100" in acts.screen()
        slow.go.release()
        await acts.until(lambda: "up to date" in acts.screen())
        assert "60 in 100" in acts.screen()

    try:
        play(write(stuck()), scene, runner=slow.runner)
    finally:
        slow.go.release(20)


def test_without_a_diagnosis_the_tests_of_builders_stand_there_and_can_be_written_down(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "down", "enter", "left")
        screen = acts.screen()
        assert "No diagnosis: There is no model for a layout without a crank on the displacer." in screen
        assert "Next test: Spin it the other way" in screen
        assert "1 of 8" in screen
        await acts.press("enter")
        assert "Tried" in acts.screen()
        assert "the other way round" in acts.screen()

    play(notebook, scene)


def test_a_failure_is_told_and_the_rest_goes_on(write: Callable[[Project], Path]) -> None:
    def broken(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
        raise ZeroDivisionError

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(post, predict=stand_in, diagnose=broken, allowances=stand_in_allowances)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert re.search(r"^! ", acts.screen(), re.MULTILINE)
        assert "none" in acts.screen()
        await acts.press("enter", "down", "tab", "s", "slash")
        assert isinstance(acts.app.screen, SymptomScreen)

    play(write(stuck()), scene, runner=runner)


def test_nothing_is_asked_while_the_pane_is_not_looked_at(notebook: Path) -> None:
    asked: list[int] = []

    def diagnose(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
        asked.append(mark)
        return stand_in_diagnosis(project, mark=mark)

    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "down", "down")
        await acts.write("9")
        await acts.press("enter", "right")
        assert asked == []
        await acts.press("left", "left")
        assert asked == [2]
        await acts.press("m", "down", "enter")  # the first mark has a brake reading: it was seen running
        assert asked == [2]

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(post, predict=stand_in, diagnose=diagnose, allowances=stand_in_allowances)

    play(notebook, scene, runner=runner)


# -- symptoms -----------------------------------------------------------------------------------------------------


def test_a_symptom_in_the_builders_own_words_shows_its_test_and_caution(write: Callable[[Project], Path]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter", "slash")
        await acts.write("stops at the top")
        screen = acts.screen()
        assert "> Always stops at the same angle" in screen
        assert "Points  to out of balance (usually), friction (often)" in screen
        assert "Test    Free turns, cold, and where it stops." in screen
        assert "(!)     Balance it with the chamber open." in screen
        assert NOT_COUNTED in " ".join(screen.split())
        await acts.press("enter")
        assert isinstance(acts.app.screen, ChoiceDialog)
        await acts.press("2")
        assert "It stops" in acts.screen()
        await acts.press("escape", "slash")
        await acts.write("zzzz")
        assert "Nothing is known of that." in acts.screen()
        await acts.press("escape")
        assert "Next test" in acts.screen()

    play(write(stuck()), scene)


def test_every_test_of_the_trade_is_written_down_as_a_kind_that_exists() -> None:
    from model.explain.diagnosis.bench_tests import BENCH_TESTS

    kinds = {choice.key for choice in KINDS}
    for test in BENCH_TESTS:
        assert set(readings_of(test.key)) <= kinds
        assert readings_of(test.key)
        for kind, texts in test.presets.items():
            assert kind in readings_of(test.key)
            assert parse_fields(ReadingValues, {"kind": kind, **texts})[1] == {}
            declared = kind_of(kind)
            assert declared is not None
            assert set(texts) <= set(declared.fields)


# -- the stopwatch ------------------------------------------------------------------------------------------------


def test_turns_and_time_are_from_the_first_tap_to_the_last() -> None:
    """100 turns in 31.2 s, tapped at 101 moments: worked by hand. The hand alone is 0.1 s, a line adds 0.2 s."""
    taps = [0.312 * n for n in range(101)]
    found = timed(taps, 99.0, mode=Mode.TURNS, delay=0.2)
    assert found is not None
    assert (found.turns, found.time) == ("100 +-0", "31.2 s +-0.3")
    values, problems = parse_fields(ReadingValues, {"kind": "speed", "turns": found.turns, "time": found.time})
    assert problems == {}
    assert values.turns is not None
    assert values.time is not None
    assert (values.turns.value, values.turns.spread) == (100, 0)
    assert (values.time.value, values.time.spread) == (31.2, 0.15), "a +- is twice the standard uncertainty"


def test_a_coast_lasts_until_it_stands_still_and_ends_somewhere_in_its_last_turn() -> None:
    found = timed([10.0, 10.8, 11.9], 13.4, mode=Mode.COAST)
    assert found is not None
    assert (found.turns, found.time, found.note) == ("2.5 +-0.5", "3.4 s +-0.1", "turn times 0.8, 1.1 s")


@pytest.mark.parametrize(
    ("taps", "mode"), [((), Mode.COAST), ((), Mode.SPAN), ((1.0,), Mode.TURNS), ((1.0, 1.01), Mode.TURNS)]
)
def test_too_little_tells_nothing(taps: tuple[float, ...], mode: Mode) -> None:
    assert timed(taps, 1.02, mode=mode) is None


def test_the_delay_of_a_line_is_told_by_the_environment() -> None:
    assert line_delay({"SSH_CONNECTION": ""}) == 0
    assert line_delay({"SSH_TTY": "/dev/pts/3"}) == line_delay({"SSH_CONNECTION": "a 1 b 2"}) == 0.2


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The moments at which keys come in; each is used once."""
    moments: list[float] = []
    plain = Stopwatch.__init__

    def init(self: Stopwatch, title: str, mode: Mode, *, colour: bool) -> None:
        def now(event: events.Key) -> float:
            return moments.pop(0)

        plain(self, title, mode, colour=colour, clock=now, delay=0.2)

    monkeypatch.setattr(Stopwatch, "__init__", init)
    return moments


def test_the_stopwatch_fills_a_reading_of_free_turns_in_when_it_is_confirmed(
    write: Callable[[Project], Path], clock: list[float]
) -> None:
    folder = write(stuck())

    async def scene(acts: Play) -> None:
        await acts.press("enter", "s")
        screen = acts.screen()
        assert "Stopwatch: Free turns after a flick" in screen
        assert "The spread is +-0.3 s: 0.1 s of the hand and 0.2 s of the line to this computer." in screen
        clock.extend([5.0, 5.9, 7.1, 9.0])
        await acts.press("space")
        before = acts.screen()
        await acts.quiet()
        assert acts.screen() == before, "nothing runs on the screen between taps"
        await acts.press("space", "space")
        assert "Turns: 2" in acts.screen()
        assert "The last took 1.2 s; 2.1 s in all." in acts.screen()
        await acts.press("enter")
        assert "Time   4.0 s +-0.3" in acts.screen()
        assert acts.app.session.prototype.project == stuck(), "nothing is written before it is confirmed"
        await acts.press("enter")
        assert "2.5 +-0.5" in acts.screen()
        (_, reading) = read_project(folder / "one.toml").project.readings_of(2)[-1]
        assert reading.texts == {
            "mark": "2", "warmth": "cold", "turns": "2.5 +-0.5", "time": "4.0 s +-0.3", "note": "turn times 0.9, 1.2 s",
        }  # fmt: skip
        await acts.press("ctrl+z")
        assert acts.app.session.prototype.project == stuck()

    play(folder, scene)


def test_a_speed_is_tapped_in_results_and_escape_never_loses_the_taps(notebook: Path, clock: list[float]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "right", "right", "right", "a", "1", "s", "5")
        clock.extend([1.0, 2.0, 3.0, 3.5, 9.0])
        await acts.press("space", "space", "space", "escape")
        assert "Turns  10 +-0" in acts.screen()
        await acts.press("space", "escape")
        assert not isinstance(acts.app.screen, Stopwatch)
        assert acts.app.session.prototype.project == can()

    play(notebook, scene)


def test_taps_that_came_together_are_doubted(notebook: Path, clock: list[float]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "right", "right", "right", "a", "1", "s")
        clock.extend([1.0, 2.0, 2.01, 3.0])
        await acts.press("space", "space", "space")
        assert "! Some taps came together" in acts.screen()

    play(notebook, scene)


def test_every_kind_of_reading_with_a_time_can_be_timed() -> None:
    assert {kind.key for kind in KINDS if "time" in kind.fields} == {kind.key for kind in KINDS if kind.timed}


@pytest.mark.parametrize(("size", "terminal"), SHAPES)
def test_pane_stopwatch_and_symptoms_fit_every_size(
    write: Callable[[Project], Path], size: tuple[int, int], terminal: Terminal
) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("enter")
        for keys, shown in (
            ((), "Mind"),
            (("s",), "The spread is"),
            (("escape", "escape", "slash"), "What does it do?"),
        ):
            await acts.press(*keys)
            screen = acts.screen()
            assert shown in screen
            assert max(len(line) for line in screen.splitlines()) <= size[0]
            assert not terminal.plain or screen.isascii()

    play(write(stuck()), scene, size=size, terminal=terminal)


def early_gaps(project: Project, *, mark: int | None, samples: int) -> tuple[Gap, ...]:
    """Answer as the gap would for a hot coast: 4 mJ of heat's work, 6 predicted."""
    return tuple(
        Gap(
            entry=entry.key, reading=reading.key, mark=mark, day=entry.day, quantity="work_of_heat",
            measured=figure("m", "Work that heat adds to a turn", Kind.ENERGY, "mJ", 0.004),
            predicted=figure("p", "Predicted", Kind.ENERGY, "mJ", 0.006),
            gap=figure("gap", "Gap", Kind.ENERGY, "mJ", -0.002, spread=False),
            also=(figure("w", "Indicated work of a hot turn", Kind.ENERGY, "mJ", 0.003),),
            note="Cold and closed the engine pumps heat.",
        )
        for entry, reading in project.readings_of(mark or 1)
        if reading.texts.get("warmth") == "hot"
    )  # fmt: skip


def test_the_work_of_heat_before_it_runs_is_a_gap_like_any_other_on_every_leaf(
    write: Callable[[Project], Path],
) -> None:
    coasts = {
        key: Reading(key=key, kind="free_turns", texts={"turns": "3", "time": "4 s", "warmth": warmth})
        for key, warmth in (("a", "cold"), ("b", "hot"))
    }
    folder = write(can().with_entry(replace(STUCK, readings=coasts)))

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(
            post, predict=stand_in, gaps=early_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances
        )

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        screen = acts.screen()
        assert "What it shows before it runs" in screen
        assert "Work that heat adds to a turn: 4.0 mJ; predicted 6.0 mJ; gap -2 mJ." in " ".join(screen.split())
        assert "Cold and closed the engine pumps heat." in screen
        await acts.press("left", "left")
        screen = acts.screen()
        assert re.search(r"> +.*Free.* 4.0 mJ +6(.0)? +-2", screen), screen
        assert re.search(r"Heat adds to a turn +4.0 mJ", screen)
        assert "Indicated work of a hot turn: 3.0 mJ" in " ".join(screen.split())
        await acts.press("up")
        assert "With a coast of the other kind" in acts.screen()
        await acts.press("down", "enter")
        assert "Work that heat adds to a turn: 4.0 mJ" in acts.screen()

    play(folder, scene, size=(120, 44), runner=runner)


# -- texts ----------------------------------------------------------------------------------------------------------


def nasty_diagnosis(project: Project, *, mark: int, progress: Callable[[float], None]) -> Diagnosis:
    test = Advice(
        key=NASTY, label=NASTY, how=NASTY, needs=NASTY, minutes=1, caution=NASTY, reading=NASTY, readings=(NASTY,),
        expected=NASTY, healthy=NASTY, branches=(Branch(when=NASTY, then=NASTY),), bits=0.1,
    )  # fmt: skip
    cause = RankedCause(key="x", label=NASTY, probability=0.9, remedy=NASTY, moved=((NASTY, 3.0), (NASTY, 0.2)))
    return Diagnosis(
        causes=(cause,), sure=True, next=test, others=(test,), observations=(NASTY,), contradictions=(NASTY,) * 2
    )


@pytest.mark.parametrize("plain", few_or([False], [False, True]))
@pytest.mark.parametrize("keys", [(), ("tab", "down"), ("w",), ("slash",), ("enter",), ("pagedown",)], ids=str)
def test_no_control_character_and_no_markup_is_drawn(
    write: Callable[[Project], Path], plain: bool, keys: tuple[str, ...]
) -> None:
    def no_allowances(project: Project, *, mark: int) -> tuple[Allowance, ...]:
        return ()

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(post, predict=stand_in, diagnose=nasty_diagnosis, allowances=no_allowances)

    async def scene(acts: Play) -> None:
        await acts.press("enter", *keys)
        if keys == ("slash",):
            await acts.write(NASTY.translate({27: "x"}))
        screen = acts.screen()
        assert not CONTROL.search(screen)
        assert screen.strip()
        assert not plain or screen.isascii()

    play(write(replace(stuck(), name=NASTY)), scene, terminal=Terminal(plain=plain), runner=runner)


def test_words_and_bars_for_chances() -> None:
    assert [chance_text(p) for p in (1.0, 0.7, 0.004, 0.0)] == [
        "over 99 in 100", "70 in 100", "under 1 in 100", "under 1 in 100",
    ]  # fmt: skip
    assert bar(-1.0, 3) == "..."
    cause = RankedCause(key="x", label="X", probability=0.5, remedy="", moved=(("A", 0.001), ("B", 5.2)))
    assert moved_text(cause) == "for it b (5 to 1); against it a (hundreds to 1)."


# -- what stands in the way of keys --------------------------------------------------------------------------------


def test_typing_on_a_field_that_is_not_known_starts_from_nothing(write: Callable[[Project], Path]) -> None:
    project = Project(name="x", marks={1: Mark(number=1, build={**CAN, "piston_bore": "?"})})
    folder = write(project)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        while acts.app.screen.panes.build.form.name_at != "piston_bore":  # type: ignore[attr-defined]
            await acts.press("down")
        await acts.press("enter", "escape")
        assert read_project(folder / "one.toml").project == project, "looking changes nothing"
        await acts.press("enter")
        await acts.write("3/8 in")
        await acts.press("enter")
        assert read_project(folder / "one.toml").project.latest.build["piston_bore"] == "3/8 in"

    play(folder, scene)


@pytest.mark.parametrize("turns", [(), ("right", "right", "right"), ("left",), ("left", "left")], ids=str)
def test_a_note_typed_in_one_burst_inside_a_prototype_is_whole(notebook: Path, turns: tuple[str, ...]) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", *turns)
        for key in ("n", *"3adw", "space", *"mtk", "enter"):
            acts.send(key)
        await acts.quiet()
        project = read_project(notebook / "paint-tin.toml").project
        assert list(project.entries.values())[-1].text == "3adw mtk"
        assert project.marks == can().marks

    play(notebook, scene)
