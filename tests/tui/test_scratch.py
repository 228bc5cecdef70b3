"""Scratch copies: both predictions side by side, kept as a mark or thrown away, in drafts and in no file before."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from model.changes.result import Comparison, Effect, Outcome
from model.quantities.ranges import Range
from model.record import Mark, Project
from model.store import left_drafts, read_project
from tests.tui.stage import Play, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tests.tui.test_pending import go_to_throw
from tui.dialogs.base import ChoiceDialog, LineDialog
from tui.runs.model_api import TRIED, Answer, CompareQuestion, Question
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.state.scratch import Scratch, as_held, free_name, from_held

FILE = "paint-tin.toml"
MARK = Mark(number=2, build={"piston_throw": "4 mm", "phase": "90"})
COPY = Scratch(key="abcdef", name="longer", number=2, texts={"piston_throw": "6 mm", "phase": ""})


async def begin(acts: Play, name: str = "") -> None:
    """Open the can at its second mark, the cursor on the throw, and begin a scratch copy."""
    await go_to_throw(acts, 2)
    await acts.press("i")
    assert isinstance(acts.app.screen, LineDialog)
    await acts.write(name)
    await acts.press("enter")


async def set_throw(acts: Play, digit: str) -> None:
    await acts.write(digit)
    await acts.press("enter")


def flat(acts: Play) -> str:
    return " ".join(acts.screen().split())


def test_a_copy_is_its_marks_texts_with_others_in_their_place() -> None:
    assert COPY.over(MARK).build == {"piston_throw": "6 mm"}
    assert COPY.with_text(MARK, "piston_throw", "4 mm").texts == {"phase": ""}


def test_a_copy_comes_back_from_the_draft_and_what_is_none_is_left_alone() -> None:
    held = as_held({COPY.key: COPY})
    assert from_held({**held, "note": "x", "scratch.bad": "{", "scratch.odd": '{"name": 3}'}) == {COPY.key: COPY}
    assert free_name({"a": COPY, "b": Scratch(key="b", name="try 1", number=1, texts={})}) == "try 2"


def test_both_predictions_stand_side_by_side_and_the_file_has_nothing_of_it(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        before = (notebook / FILE).read_bytes()
        await begin(acts, "longer throw")
        assert "scratch longer throw of Mk 2" in acts.screen().splitlines()[0]
        await set_throw(acts, "6")
        assert "Piston throw: 4 mm -> 6" in flat(acts)
        assert acts.app.session.prototype.own is not None
        assert "Mk 2 " in "".join(line[48:] for line in acts.screen().splitlines()[8:])
        assert acts.app.session.prototype.project.marks[2].build["piston_throw"] == "4 mm"
        assert acts.screen().splitlines()[0].endswith(" saved")
        await acts.press("m", "enter")
        assert "scratch" not in acts.screen().splitlines()[0]
        assert "4 mm" in flat(acts)
        assert (notebook / FILE).read_bytes() == before

    play(notebook, scene)


def test_a_copy_is_kept_as_the_next_mark_in_one_step(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await begin(acts)
        await set_throw(acts, "6")
        await acts.press("i")
        request = acts.app.screen
        assert isinstance(request, ChoiceDialog)
        assert request.options[0].key == "k"
        await acts.press("k", "enter")
        if isinstance(acts.app.screen, type(request)) or "touched" in acts.screen():
            await acts.press("escape")
        kept = read_project(notebook / FILE).project.marks[3]
        assert (kept.build["piston_throw"], kept.reason) == ("6", "Piston throw: 4 mm -> 6")
        assert not acts.app.session.prototype.scratches
        await acts.press("ctrl+z")
        assert 3 not in read_project(notebook / FILE).project.marks
        assert [each.name for each in acts.app.session.prototype.scratches.values()] == ["try 1"]

    play(notebook, scene)


def test_a_copy_thrown_away_comes_back_by_undo_and_so_does_each_text(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await begin(acts)
        await set_throw(acts, "6")
        await acts.press("i", "d")
        assert "ctrl+z brings it back" in flat(acts)
        assert not acts.app.session.prototype.scratches
        assert acts.app.session.texts["piston_throw"] == "4 mm"
        await acts.press("ctrl+z")
        (scratch,) = acts.app.session.prototype.scratches.values()
        assert scratch.texts == {"piston_throw": "6"}
        await acts.press("ctrl+z")
        (scratch,) = acts.app.session.prototype.scratches.values()
        assert scratch.texts == {}

    play(notebook, scene)


def test_a_copy_survives_the_end_of_its_window_and_is_told_to_the_next(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await begin(acts, "longer")
        await set_throw(acts, "6")
        assert left_drafts(notebook / FILE, open_too=True)[0].open_fields

    async def again(acts: Play) -> None:
        await acts.press("down", "enter")
        assert "Scratch copy: longer (i: what if)" in flat(acts)
        await acts.press("i", "enter")
        assert "scratch longer of Mk 2" in acts.screen().splitlines()[0]
        assert acts.app.session.texts["piston_throw"] == "6"
        assert not acts.app.persistence.draft_store.undecided

    play(notebook, scene)
    play(notebook, again)


def test_readings_belong_to_the_mark_and_a_wrong_text_stays_in_the_copy(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await begin(acts)
        await acts.write("6 mmm")
        await acts.press("enter")
        assert acts.app.session.texts["piston_throw"] == "6 mmm"
        assert "flagged" in flat(acts)
        assert acts.app.session.prototype.knowledge.failure == ""
        await acts.press("m", "enter")
        assert acts.app.session.texts["piston_throw"] == "4 mm"
        assert "flagged" not in flat(acts)

    play(notebook, scene)


def test_the_panel_says_the_gain_on_the_same_engines_or_what_is_in_the_way(notebook: Path) -> None:
    def tries(project: Project, *, mark: int, question: Question, progress: Any) -> Iterator[Answer]:
        if isinstance(question, CompareQuestion):
            gain = Range(middle=2e-3, low=1e-3, high=3e-3)
            effect = Effect(power=gain, best_speed=None, free_speed=None, least_difference=None, spare=gain, runs=0.1,
                            helps=0.9, sure=1e-3)  # fmt: skip
            hit = question.texts["piston_throw"] == "9"
            after, before = (Range(middle=x, low=0.5 * x, high=2 * x) for x in (13e-3, 11e-3))
            made = Outcome(
                solved=not hit, runs=0.93, power=None if hit else after, in_the_way=("It hits the end.",) if hit else ()
            )
            effects = {} if hit else {TRIED: effect}
            yield Comparison(mark=mark, now=Outcome(solved=True, runs=0.88, power=before),
                             others={TRIED: made}, effects=effects, learned=True)  # fmt: skip

    async def scene(acts: Play) -> None:
        await begin(acts)
        await set_throw(acts, "6")
        panel = " ".join(" ".join(line[48:].split()) for line in acts.screen().splitlines())
        assert "Gain, on the same engines: +2 mW (1.0 to 3.0)" in panel and "helps" not in panel
        # one kind of figure for the copy and for its mark, and which it is
        assert "From what Mk 2 has shown: Runs 93 in 100 Mk 2 88 in 100" in panel
        assert "Best shaft power 13 mW between 7 and 26 mW Mk 2 11 mW (6 to 22 mW)" in panel
        assert "6.0 mW" not in panel
        await acts.press("up")
        await set_throw(acts, "9")
        assert "! It hits the end." in acts.screen()
        await acts.press("up")
        await set_throw(acts, "7")
        await acts.press("i", "k", "enter")
        if not isinstance(acts.app.screen, ProjectScreen):
            await acts.press("escape")
        # changed by hand and changed again: what all of it promises is kept with the mark
        promise = read_project(notebook / "paint-tin.toml").project.marks[3].promise
        assert (promise["change"], promise["power"]) == ("Piston throw: 4 mm -> 7", "2 (1 to 3) mW")

    play(notebook, scene, size=(80, 30), runner=lambda post: Runner(
        post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis, allowances=stand_in_allowances,
        changes=tries,
    ))  # fmt: skip


def test_a_narrow_screen_names_the_copy(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await begin(acts, "a name that is longer than sixty characters would ever need to be")
        await set_throw(acts, "6")
        assert "scratch a name" in acts.screen()
        assert "6.0 mW as drawn; Mk 2 4.0 mW" in acts.screen()

    play(notebook, scene, size=(60, 20))
