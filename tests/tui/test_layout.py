"""Where the parts of a prototype's screen stand: the rule at six sizes, and the screen that reads it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from model.curves.chart import Curves
from model.record import Project
from tests.tui.stage import Play, play, stand_in, stand_in_allowances, stand_in_diagnosis, stand_in_gaps
from tests.tui.test_chart import EVERYTHING
from tui.runs.model_api import Answer, CurvesQuestion, Question
from tui.runs.runner import Runner
from tui.screens.project import ProjectScreen
from tui.view.layout import Box, Room, layout_of
from tui.view.lines import text_of

SIZES = ((60, 20), (80, 24), (100, 30), (120, 40), (160, 50), (200, 60))
EVERY = [(size, room) for size in SIZES for room in Room]


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share a cell."""
    across = one.x < other.x + other.width and other.x < one.x + one.width
    return across and one.y < other.y + other.height and other.y < one.y + one.height


@pytest.mark.parametrize(("size", "room"), EVERY)
def test_no_part_overlaps_another_or_leaves_the_screen(size: tuple[int, int], room: Room) -> None:
    parts = layout_of(*size, room).parts
    for one, other in combinations(parts, 2):
        assert not overlap(one, other), (one, other)
    for box in parts:
        assert min(box) >= 0
        assert box.width > 0
        assert box.height > 0
        assert box.x + box.width <= size[0]
        assert box.y + box.height <= size[1]


@pytest.mark.parametrize(("size", "room"), EVERY)
def test_no_column_is_under_its_least_width_or_wider_than_can_be_read(size: tuple[int, int], room: Room) -> None:
    layout = layout_of(*size, room)
    if layout.panel is not None:
        assert 32 <= layout.panel.width <= 44
        assert layout.pane.width >= 47
        assert layout.pane.width <= (72 if room is Room.BESIDE else 100)
    if layout.picture is not None:
        assert layout.picture.width >= 38
        assert layout.picture.height >= 10


@pytest.mark.parametrize("size", SIZES)
def test_no_gulf_is_left_between_columns(size: tuple[int, int]) -> None:
    """Three cells at most between a part and the next; the whole width is used, also at 200x60."""
    layout = layout_of(*size)
    columns = [box for box in (layout.pane, layout.panel, layout.picture) if box is not None]
    ends = [box.x + box.width for box in columns]
    for box in columns[1:]:
        assert min((box.x - end for end in ends if end <= box.x), default=0) <= 3
    assert size[0] - max(ends) <= 2


def test_what_stands_there_at_each_size() -> None:
    """One pane and the panel on a usual screen, a picture at 120x40 and more, three columns at 200x60."""
    assert layout_of(60, 20).panel is None
    assert layout_of(80, 24).panel is not None
    assert layout_of(100, 30).picture is None
    assert layout_of(120, 40).below
    large = layout_of(200, 60)
    assert large.panel is not None
    assert large.picture is not None
    assert large.pane.x < large.panel.x < large.picture.x
    assert layout_of(200, 60, Room.ALL).parts[1].width == 200


def test_the_same_part_stands_at_the_same_place_while_a_screen_grows() -> None:
    """Pane and panel never change sides, and the panel never moves to the left of where it was on a smaller screen."""
    for width in range(76, 221):
        layout = layout_of(width, 40)
        assert layout.panel is not None
        assert layout.pane.x == 0
        assert layout.panel.x >= layout.pane.width


@pytest.mark.parametrize("size", SIZES)
def test_the_screen_stands_as_the_rule_says(notebook: Path, size: tuple[int, int]) -> None:
    """Every part is where the rule puts it, and no text of the form is cut where there is room."""

    async def go(acts: Play) -> None:
        await acts.press("down", "enter")
        screen = acts.app.screen
        assert isinstance(screen, ProjectScreen)
        layout = layout_of(*size)
        shown = {screen.head: layout.head, screen.panes: layout.pane, screen.panel: layout.panel,
                 screen.picture: layout.picture, screen.advice: layout.help, screen.keys: layout.keys}  # fmt: skip
        for part, box in shown.items():
            if box is None:
                assert not part.display
            else:
                assert Box(*part.region) == box, part
        text = "3/8 in +-0.1 mm" if size[0] == 80 else "3/8 in +-0.1 mm measured"
        assert text in acts.screen()

    play(notebook, go, size=size)


def test_the_engine_beside_the_form_shows_the_field_under_the_cursor(notebook: Path) -> None:
    """At 120x40 the drawing stands below the panel; the length of the bore is written on it, and moves with the cursor.

    Nothing of it is drawn anew where nothing of it changed.
    """

    async def go(acts: Play) -> None:
        await acts.press("down", "enter", "down", "down")
        screen = acts.app.screen
        assert isinstance(screen, ProjectScreen)
        assert "9.53 mm" in written_on(screen)
        rows, draw = [], screen.picture.refresh
        screen.picture.refresh = lambda *regions, **named: (rows.extend(regions), draw(*regions, **named))[1]  # type: ignore[method-assign]
        screen.draw()
        assert rows == []
        await acts.press("down")
        assert "4 mm" in written_on(screen)
        assert 0 < len(rows) <= screen.picture.size.height

    play(notebook, go, size=(120, 40))


def written_on(screen: ProjectScreen) -> str:
    """Return the words of the picture."""
    return "\n".join(text_of(line) for line in screen.picture.lines)


def test_beside_results_stands_the_curve_and_beside_the_form_the_engine(notebook: Path) -> None:
    """Power over speed at once, the chart once that is worked out; it is asked for there alone."""
    asked: list[Question] = []
    charts = Curves(charts=(replace(EVERYTHING, key="power", title="Power and torque"),))

    def answers(project: Project, *, mark: int, question: Question, progress: object) -> Iterator[Answer]:
        asked.append(question)
        if isinstance(question, CurvesQuestion):
            yield charts

    def runner(post: Callable[..., None]) -> Runner:
        return Runner(
            post, predict=stand_in, gaps=stand_in_gaps, diagnose=stand_in_diagnosis,
            allowances=stand_in_allowances, changes=answers,
        )  # fmt: skip

    async def go(acts: Play) -> None:
        await acts.press("down", "enter")
        assert "Engine to scale" in acts.screen()
        assert not [each for each in asked if isinstance(each, CurvesQuestion)]
        await acts.press("right", "right")
        assert "Power over speed" in acts.screen()
        await acts.press("right")
        assert "Power and torque" in acts.screen()
        assert "Engine to scale" not in acts.screen()

    play(notebook, go, size=(200, 60), runner=runner)
