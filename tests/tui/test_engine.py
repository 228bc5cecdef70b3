"""The pane of the engine: turned by keys and by itself, from a field and back, whatever of the build is known."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import tui.panes.engine as engine_pane
from model.checks.problems import problems_of_mark
from model.drawing.planning import plan_of
from model.drawing.result import EngineView
from model.fields import parse_build
from model.record import Mark, Project
from model.store import save_project
from tests.drawing.engines import GAMMA
from tests.tui.stage import CAN, SHAPES, Play, play
from tui.host.terminal import Terminal
from tui.panes.engine import EnginePane
from tui.screens.project import ProjectScreen
from tui.textual_patches.writer import line_waits
from tui.view.lines import text_of
from tui.view.moment import below_lines

OPEN = ("down", "enter", "e")


def pane(acts: Play) -> EnginePane:
    screen = acts.app.screen
    assert isinstance(screen, ProjectScreen)
    assert isinstance(screen.pane, EnginePane)
    return screen.pane


def angle(acts: Play) -> int:
    found = re.search(r"Crank angle +(\d+) deg", acts.screen())
    assert found, acts.screen()
    return int(found[1])


@pytest.mark.parametrize(("size", "terminal"), SHAPES, ids=str)
def test_it_is_drawn_with_its_figures_at_every_size(notebook: Path, size: tuple[int, int], terminal: Terminal) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN)
        shown = acts.screen()
        assert "Hot air" in shown
        assert re.search(r"(driven by air|carried by wheel)", shown)
        assert "hot" in shown
        await acts.press("z", "up", "x", "pageup")
        assert all(len(line) <= size[0] for line in acts.screen().split("\n"))

    play(notebook, scene, size=size, terminal=terminal)


def test_keys_turn_it_by_five_degrees_by_quarters_and_to_nil(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN)
        seen = []
        for key in ("home", "up", "up", "down", "pageup", "pagedown", "pagedown"):
            await acts.press(key)
            seen.append(angle(acts))
        assert seen == [0, 5, 10, 5, 95, 5, 275]

    play(notebook, scene)


def test_the_same_key_leads_from_a_field_to_its_place_and_back(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "down", "down")
        assert "> " in acts.screen()
        before = next(line for line in acts.screen().split("\n") if line.startswith(">"))
        await acts.press("e")
        assert re.search(r"Piston bore: 9\.5\d mm, as written", acts.screen())
        await acts.press("e")
        assert before in acts.screen()
        await acts.press("right", "e")
        assert "Hot end" in acts.screen()
        await acts.press("e", "right")
        assert "[Heat source]" in acts.screen()

    play(notebook, scene)


@pytest.mark.parametrize("width", [60, 80, 130])
def test_left_and_right_turn_from_a_pane_with_a_key_as_the_line_of_panes_shows(notebook: Path, width: int) -> None:
    """Of a line that begins anew where it ends; from wherever one came."""

    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "right", "p")
        line = acts.screen().split("\n")[1]
        named = re.findall(r"\[?(Dimensions|Materials|Heat|Results|Diary|What|Engine|Curves)", line)
        at = named.index("Curves")
        for key, step in (("left", -1), ("right", 1)):
            await acts.press(key)
            assert f"[{named[(at + step) % len(named)]}" in acts.screen()
            await acts.press("p")

    play(notebook, scene, size=(width, 30))


def test_a_figure_follows_the_angle(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN, "home")
        first = re.search(r"Hot space +(\S+)", acts.screen())
        await acts.press("pageup", "pageup")
        second = re.search(r"Hot space +(\S+)", acts.screen())
        assert first is not None
        assert second is not None
        assert float(second[1]) > 3 * float(first[1])

    play(notebook, scene)


def test_it_turns_by_itself_and_stops_at_the_key(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN, "home", "space")
        shown = pane(acts)
        assert shown.turning
        shown.step()
        shown.step()
        assert shown.degree >= 10
        await acts.press("space")
        assert not shown.turning
        at = shown.degree
        await acts.press("w", "escape")
        assert shown.degree == at

    play(notebook, scene)


def test_a_step_comes_no_sooner_than_a_quarter_of_a_second() -> None:
    assert engine_pane.PAUSE >= 0.25


@pytest.mark.parametrize("why", ["a minute alone", "a slow line", "another screen", "another pane"])
def test_it_stops_by_itself(notebook: Path, monkeypatch: pytest.MonkeyPatch, why: str) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN, "space")
        shown = pane(acts)
        at = shown.degree
        if why == "a minute alone":
            late = engine_pane.time.monotonic() + engine_pane.ALONE + 1
            monkeypatch.setattr(engine_pane.time, "monotonic", lambda: late)
        elif why == "a slow line":
            monkeypatch.setattr(engine_pane, "line_waits", lambda app: True)
        elif why == "another screen":
            await acts.press("question_mark")
            at = shown.degree
        else:
            await acts.press("right")
            at = shown.degree
        shown.step()
        assert not shown.turning
        if why != "another pane":
            assert shown.degree == at

    play(notebook, scene)


def test_a_line_waits_while_something_is_queued_for_it() -> None:
    class Thing:
        def __init__(self, **parts: Any) -> None:
            vars(self).update(parts)

    for waiting in (0, 2):
        queue = Thing(qsize=lambda waiting=waiting: waiting)
        app = Thing(_driver=Thing(_writer_thread=Thing(_queue=queue)))
        assert line_waits(app) is (waiting > 0)
    assert not line_waits(Thing())
    assert not line_waits(Thing(_driver=Thing(_writer_thread=None)))


@pytest.mark.parametrize(
    ("build", "said"),
    [
        ({"layout": "gamma"}, "fill in: Piston bore"),
        ({"layout": "rocking", "piston_bore": "20 mm"}, "no field tells"),
        ({"layout": "gamma", "piston_bore": "20 mm", "piston_throw": "5 mm", "displacer_bore": "70 mm",
          "displacer_throw": "10 mm", "heat_source": "candle", "chamber_height": "60 mm", "displacer_length": "45 mm"},
         "touches"),
    ],
    ids=["empty", "free", "touching"],
)  # fmt: skip
def test_what_lacks_and_what_touches_is_said(tmp_path: Path, build: dict[str, str], said: str) -> None:
    save_project(tmp_path / "x.toml", Project(name="X", marks={1: Mark(number=1, build=build)}), revision=None)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectScreen)
        await acts.press("e")
        assert said in " ".join(acts.screen().split())
        if said == "touches":
            assert "Caution" in acts.screen()
            assert "!" in acts.screen()
            assert "No engine can" in acts.screen()
            assert "Cold space" not in acts.screen()  # it would be less than nothing

    play(tmp_path, scene)


def test_why_no_engine_can_be_built_so_is_said_in_the_words_of_the_check(tmp_path: Path) -> None:
    build = {**CAN, "side_clearance": "3 in"}
    project = Project(name="X", marks={1: Mark(number=1, build=build)})
    save_project(tmp_path / "x.toml", project, revision=None)
    problem = next(one for one in problems_of_mark(project, 1) if one.where.endswith("side_clearance"))

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        assert isinstance(acts.app.screen, ProjectScreen)
        while acts.app.screen.pane.field_at != "side_clearance":
            await acts.press("down")
        await acts.press("e")
        shown = " ".join(acts.screen().split())
        assert f"No engine can be built so: {problem.message} {problem.remedy}" in shown
        assert "Displacer side clearance: 32.4 mm, as far as it can be drawn" in shown  # it leaves a tenth of the bore

    play(tmp_path, scene)


@pytest.mark.parametrize(
    ("lacks", "said"),
    [
        ("", "Nothing touches, and nothing comes nearer than a millimetre."),
        ("piston_bore", "Nothing that is drawn touches, and nothing comes nearer than a millimetre."),
    ],
)
def test_where_nothing_touches_the_key_says_so(tmp_path: Path, lacks: str, said: str) -> None:
    build = {name: text for name, text in GAMMA.items() if name != lacks}
    save_project(tmp_path / "x.toml", Project(name="X", marks={1: Mark(number=1, build=build)}), revision=None)

    async def scene(acts: Play) -> None:
        await acts.press("enter")
        await acts.press("e", "home")
        before = acts.screen()
        await acts.press("x")
        assert said in " ".join(acts.screen().split())
        assert angle(acts) == 0
        await acts.press("e", "e")
        assert acts.screen() == before

    play(tmp_path, scene)


def test_a_flagged_text_leaves_the_picture_as_it_was(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press(*OPEN, "home")
        before = [line[:50] for line in acts.screen().split("\n")[2:18]]
        await acts.press("e", "down", "down", "enter")
        await acts.write("1,500")
        await acts.press("escape", "home", "e")
        assert [line[:50] for line in acts.screen().split("\n")[2:18]] == before

    play(notebook, scene)


def test_a_flagged_text_is_not_told_as_what_is_drawn(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "enter", "down", "down", "enter")
        await acts.write("900 in")
        await acts.press("enter", "e")
        shown = " ".join(acts.screen().split())
        assert re.search(r"Piston bore: flagged and not used; drawn with 9\.5\d mm, as before\.", shown)

    play(notebook, scene)


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("side_clearance", "Displacer side clearance: flagged and not used; drawn with 1.73 mm, assumed."),
        ("displacer_bore", "Displacer cylinder bore: flagged and not used; drawn with 72 mm, as before."),
        ("piston_kind", "Power piston is a: of the power piston; flagged and not used."),
    ],
)
def test_what_is_drawn_in_place_of_a_flagged_text_is_told(field: str, said: str) -> None:
    view = EngineView(plan=plan_of(parse_build(CAN).build), contacts=())
    told = " ".join(text_of(line) for line in below_lines(view, 30, field, 78, flagged=True))
    assert told.startswith(said)
