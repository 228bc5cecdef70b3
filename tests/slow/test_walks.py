"""Walks through the screens on every terminal, with and without colours, and random keys for longer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.modes import leaves_the_mouse_alone, sends_no_colour, walked
from tests.tui.test_line import shows_the_same
from tests.tui.test_terminals import edits
from tests.typing.monkey import run


@pytest.mark.parametrize("environ", [{}, {"NO_COLOR": "1"}, {"TERM": "linux"}], ids=["", "no colour", "console"])
def test_sending_only_changed_cells_shows_the_same_as_sending_everything(
    notebook: Path, environ: dict[str, str]
) -> None:
    shows_the_same(notebook, environ)


def test_the_mouse_is_left_to_the_terminal(notebook: Path) -> None:
    """So that text can be marked and copied as in any other program of the shell."""
    assert leaves_the_mouse_alone(walked(notebook, {}))


@pytest.mark.parametrize("term", ["linux", "xterm-256color"])
def test_with_no_color_no_colour_is_sent_and_the_cursor_is_seen(notebook: Path, term: str) -> None:
    sends_no_colour(notebook, term)


@pytest.mark.parametrize("term", ["screen", "vt100", "xterm-256color", "screen-256color", "tmux-256color"])
def test_a_builder_edits_on_any_terminal(notebook: Path, term: str) -> None:
    edits(notebook, term)


def test_random_keys_end_nothing_and_leave_files_that_can_be_read(tmp_path: Path) -> None:
    """``python -m tests.typing monkey`` presses thousands."""
    assert run(tmp_path, seed=17, count=300, longest=0.05) == []
