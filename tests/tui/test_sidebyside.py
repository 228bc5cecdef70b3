"""Prototypes side by side: which are shown, what counts as a difference, and that all of it fits."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.record import Mark, Project
from model.store import save_project
from tests.tui.stage import CAN, Play, can, play, predicted, stand_in_gaps
from tui.host.terminal import Terminal
from tui.screens.project_list import ProjectsScreen
from tui.screens.side_by_side import SideBySideScreen, table_lines
from tui.state.prototype import Outlook, Prototype, parsed_build
from tui.view.comparison import table_rows
from tui.view.lines import text_of, width_of


def prototype(project: Project) -> Prototype:
    mark = project.latest
    build = parsed_build(mark).build
    prediction = predicted(build, spread=True)
    gaps = stand_in_gaps(project, mark=mark.number, samples=9)
    return Prototype(
        path=Path("x.toml"), project=project, outlook=Outlook(build=build, prediction=prediction, gaps=gaps)
    )


def one(name: str, **changes: str) -> Prototype:
    return prototype(Project(name=name, marks={1: Mark(number=1, build={**CAN, **changes})}))


def labels(*prototypes: Prototype) -> list[str]:
    return [row.label for row in table_rows(prototypes)]


def cells(label: str, *prototypes: Prototype) -> tuple[str, ...]:
    return next(row.cells for row in table_rows(prototypes) if row.label == label)


def test_only_fields_whose_values_differ_are_shown_in_one_unit() -> None:
    """One inch is 25.4 mm exactly (NIST SP 811, appendix B.8)."""
    left, right = one("a", displacer_throw="1 in"), one("b", displacer_throw="25.4 mm", piston_throw="3/8 in")
    assert "Displacer throw" not in " ".join(labels(left, right))
    shown = [row for row in table_rows((left, right)) if row.label == "Piston throw"]
    assert [row.cells for row in shown] == [("5 mm +-0.4", "9.52 mm +-0.4")]


@pytest.mark.parametrize(("other", "differs"), [("5.0001 mm", True), ("5.02 mm", True), ("0.5 cm", False)])
def test_what_differs_by_little_is_a_difference_and_another_unit_is_none(other: str, differs: bool) -> None:
    """A builder who types a figure more means it: of 5 mm, 0.0001 mm is one part in 50,000."""
    assert ("Piston throw" in labels(one("a", piston_throw="5 mm"), one("b", piston_throw=other))) is differs


def test_a_spread_alone_is_no_difference_and_the_same_builds_say_so() -> None:
    left, right = one("a"), one("b", displacer_bore="72 mm +-1 measured")
    assert "Nothing differs in the build" in labels(left, right)


def test_not_known_against_known_is_a_difference_and_shows_what_is_assumed() -> None:
    left, right = one("a", side_clearance="2 mm"), one("b")
    assert cells("Displacer side clearance", left, right)[1] == "? 1 to 3 mm"


def test_a_flagged_text_is_shown_as_typed_and_flagged() -> None:
    left, right = one("a", piston_bore="abc"), one("b")
    assert cells("Piston bore", left, right)[0] == "! abc"


def test_predicted_and_measured_stand_with_their_intervals_and_the_gap() -> None:
    """The stand-in: power in watts is the throw in metres; intervals from half to twice the value."""
    build = {**CAN, "piston_throw": "5 mm"}
    measured = prototype(Project(name="a", marks={1: Mark(number=1, build=build)}, entries=can().entries))
    other = one("b", piston_throw="4 mm")
    assert cells("Best shaft power", measured, other) == ("5.0 mW\nbetween 3 and 10 mW", "4.0 mW\nbetween 2 and 8 mW")
    assert cells("  predicted", measured, other) == ("5.0 mW\nbetween 3 and 10 mW", "-")
    assert cells("  gap", measured, other)[1] == "-"
    assert cells("  gap", measured, other)[0].startswith("-2.0 mW")


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("width", [60, 80, 120])
def test_every_line_fits_and_no_cell_loses_a_word(count: int, width: int) -> None:
    made = [
        one(f"p{n}", piston_throw=f"{n + 3} mm", heat_source=heat) for n, heat in enumerate(("candle", "water", "sun"))
    ]
    rows = table_rows(made[:count])
    lines = table_lines(rows, count, width)
    assert max(width_of(line) for line in lines) <= width
    drawn = " ".join(text_of(line) for line in lines)
    for row in rows:
        for cell in row.cells:
            assert all(word in drawn for word in cell.split()), cell


def test_two_ticked_prototypes_are_shown_and_the_list_keeps_its_ticks(notebook: Path) -> None:
    second = Project(name="Soup tin", marks={1: Mark(number=1, build={**CAN, "piston_throw": "7 mm"})})
    save_project(notebook / "soup.toml", second, revision=None)

    async def scene(acts: Play) -> None:
        assert isinstance(acts.app.screen, ProjectsScreen)
        await acts.press("s")
        assert "2" not in acts.screen().splitlines()[0] or isinstance(acts.app.screen, SideBySideScreen)
        await acts.press("escape", "down", "space", "s")
        assert "Tick two or three prototypes" in acts.screen()
        await acts.press("end", "space", "s")
        assert isinstance(acts.app.screen, SideBySideScreen)
        head = acts.screen().splitlines()[0]
        assert "Paint tin" in head
        assert "Soup tin" in head
        assert "Rocker" not in head
        await acts.press("end", "escape")
        assert isinstance(acts.app.screen, ProjectsScreen)
        assert "x  Soup tin" in acts.screen()

    play(notebook, scene)


def test_a_file_in_trouble_cannot_be_ticked(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("home", "space")
        assert isinstance(acts.app.screen, ProjectsScreen)
        assert acts.app.screen.selection.ticked == []

    play(notebook, scene)


def test_one_without_a_prediction_says_why_and_plain_characters_are_plain(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("down", "space", "down", "space", "s")
        screen = acts.screen()
        assert "no prediction" in screen
        assert "No crank moves the displacer." in " ".join(screen.split())
        assert screen.isascii()

    play(notebook, scene, terminal=Terminal(colour=False, plain=True))
