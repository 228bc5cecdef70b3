"""The name of a new prototype is kept while it is being typed, and offered again: nobody types it twice."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from model.store import read_project
from tests.examples import few_or
from tests.tui.line import Line
from tests.tui.stage import Play, play


async def begin(acts: Play, name: str) -> None:
    """Take the second start and type a name."""
    await acts.press("a", "down", "enter")
    await acts.write(name)


def test_a_name_that_was_being_typed_at_a_kill_is_offered_with_its_start(notebook: Path) -> None:
    async def killed(acts: Play) -> None:
        await begin(acts, "Bean c")
        acts.app.persistence.close()

    async def later(acts: Play) -> None:
        assert "begun for a new prototype: Bean c" in acts.screen()
        await acts.press("a")
        (chosen,) = [row for row in acts.screen().split("\n") if row.startswith(">")]
        await acts.press("enter")
        assert "Bean c" in acts.screen()
        await acts.write("an")
        await acts.press("enter")
        assert read_project(notebook / "bean-can.toml").project.name == "Bean can"
        await acts.press("escape", "a")
        assert [row for row in acts.screen().split("\n") if row.startswith(">")] != [chosen]
        await acts.press("enter")
        assert "Bean" not in acts.screen()

    play(notebook, killed)
    play(notebook, later)

    async def last(acts: Play) -> None:
        assert "begun" not in acts.screen()

    play(notebook, last)


def test_what_is_typed_over_the_starts_begins_the_name_and_takes_none_of_them(notebook: Path) -> None:
    async def scene(acts: Play) -> None:
        await acts.press("a", "space")
        await acts.write("Jack k my")
        assert "what is it like?" in acts.screen()
        assert "Its name: Jack k my" in acts.screen()
        await acts.press("backspace", "backspace", "down", "enter")
        await acts.write("can")
        await acts.press("enter")
        assert read_project(notebook / "jack-k-can.toml").project.name == "Jack k can"

    play(notebook, scene)


def test_a_name_that_was_left_is_there_the_next_time_and_one_that_was_emptied_is_not(notebook: Path) -> None:
    async def left(acts: Play) -> None:
        await begin(acts, "Bean c")
        await acts.press("escape", "ctrl+q")
        assert acts.app.last_words.startswith("Begun and not entered yet: a new prototype.")

    async def emptied(acts: Play) -> None:
        await acts.press("a", "enter")
        assert "Bean c" in acts.screen()
        await acts.press(*["backspace"] * 6, "escape", "ctrl+q")
        assert acts.app.last_words == ""

    play(notebook, left)
    play(notebook, emptied)


@pytest.mark.parametrize("number", few_or([signal.SIGKILL], [signal.SIGHUP, signal.SIGKILL]))
def test_a_name_that_was_being_typed_when_the_program_was_ended_is_offered(notebook: Path, number: int) -> None:
    line = Line(notebook)
    try:
        line.wait_for("Paint tin[\\s\\S]*Rocker")
        line.press("a")
        line.wait_for("what is it like")
        line.press("enter")
        line.wait_for("What do you call it")
        line.press("Bean c")
        line.wait_for("Bean c")
        drafts = notebook / ".drafts"
        if number == signal.SIGKILL:
            line.watch(lambda: any("Bean c" in file.read_text() for file in drafts.glob("*.draft")))
        line.kill(number)
        assert line.wait_for_end() == (128 + number if number != signal.SIGKILL else -number)
    finally:
        line.close()
    again = Line(notebook)
    try:
        again.wait_for("begun for a new prototype: Bean c")
        again.press("ctrl+q")
        assert again.wait_for_end() == 0
    finally:
        again.close()
