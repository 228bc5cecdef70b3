"""Keys are declared once: what the help and the key lines name is bound, and what is bound can be done."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path
from typing import Any

from textual.binding import Binding

import tui.view.keys as keys
from tui.dialogs.base import ChoiceDialog, LineDialog, TextPage
from tui.dialogs.symptoms import SymptomScreen
from tui.notebook import NotebookApp
from tui.panes.build import BuildPane
from tui.panes.diary import DiaryPane
from tui.panes.next import NextPane
from tui.panes.pane import Pane
from tui.panes.readingform import ReadingForm
from tui.panes.results import ResultsPane
from tui.screens.project import ProjectScreen
from tui.screens.project_list import ProjectsScreen
from tui.screens.side_by_side import SideBySideScreen
from tui.view.help import help_lines
from tui.view.lines import text_of
from tui.view.panes import ALL_PANES

TUI = Path(keys.__file__).parents[1]
PLACES: tuple[tuple[keys.Keys, type[Any]], ...] = (
    (keys.APP, NotebookApp),
    (keys.LIST, ProjectsScreen),
    (keys.PROJECT, ProjectScreen),
    (keys.RESULTS, ResultsPane),
    (keys.READING, ReadingForm),
    (keys.DIARY, DiaryPane),
    (keys.NEXT, NextPane),
    (keys.BACK, DiaryPane),
    (keys.BACK, ResultsPane),
    (keys.PAGE, TextPage),
    (keys.SIDE_BY_SIDE, SideBySideScreen),
    (keys.CHOICE, ChoiceDialog),
    (keys.LINE, LineDialog),
    (keys.MATCHES, SymptomScreen),
)
NAMES = {
    "escape": "Esc", "enter": "Enter", "question_mark": "?", "slash": "/", "space": "Space", "up": "Up",
    "down": "Down", "left": "Left", "right": "Right", "tab": "Tab", "pagedown": "PageDown",
}  # fmt: skip
"""What keys are called on the screen where textual calls them otherwise."""


def test_every_key_has_something_that_it_does() -> None:
    missing = []
    for table, owner in PLACES:
        for key in table:
            assert bool(key.keys) == bool(key.action), key
            name = key.action.partition("(")[0]
            does = NotebookApp if name.startswith("app.") else owner
            if key.keys and not hasattr(does, f"action_{name.removeprefix('app.')}"):
                missing.append(f"{owner.__name__}: {key.action}")
    assert not missing


def test_a_key_is_called_what_it_is() -> None:
    """A wrong key in help or key line is one that is not bound to what is said of it."""
    wrong = []
    for table, owner in PLACES:
        for key in table:
            if not (key.keys and key.shown):
                continue
            bound = {NAMES.get(one, one) for one in key.keys.split(",")}
            if not set(re.split(r",? ", key.shown)) & bound:
                wrong.append(f"{owner.__name__}: {key.shown} is said of {key.keys}")
    assert not wrong


def test_no_key_of_a_place_does_two_things() -> None:
    """Enter in a prototype keeps what was brought back, and is looked at before it is bound: it alone stands twice."""
    for table, owner in PLACES:
        bound = [one for key in table for one in key.keys.split(",") if one]
        assert len(bound) == len(set(bound)), owner.__name__


def test_bindings_are_made_of_the_tables_alone() -> None:
    calls = []
    for path in TUI.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Binding":
                calls.append(f"{path.relative_to(TUI)}: {ast.unparse(node)[:40]}")
    assert [call.partition(":")[0] for call in calls] == ["widgets/screen.py"]


def test_what_acts_early_or_unseen_is_said_of_the_key_itself() -> None:
    """The first screen moves and ends before anything is read; an ``e`` that copies examples has to wait."""
    assert {"up", "down", "j", "k", "home", "end", "pageup", "pagedown", "q"} <= keys.BY_NAME
    assert not {"e", "enter", "space", "d", "question_mark"} & keys.BY_NAME
    assert {"ctrl+q", "ctrl+c", "ctrl+l"} == keys.UNSEEN
    named = re.findall(r'"(\w*(?:page|ctrl|home)[\w+]*)"', (TUI / "notebook.py").read_text(encoding="utf-8"))
    assert set(named) <= {"ctrl+q"}


def test_a_pane_is_declared_in_one_place() -> None:
    for pane in ALL_PANES:
        made = getattr(importlib.import_module(pane.module), pane.widget) if pane.module else BuildPane
        assert issubclass(made, Pane)
        assert not pane.keys or pane.help_title in {text_of(line) for line in help_lines(80, project=True)}
    keyed = {pane.key for pane in ALL_PANES if pane.module}
    for path in (TUI / "screens" / "project.py", TUI / "view" / "title.py", TUI / "view" / "help.py"):
        named = set(re.findall(r'"(\w+)"', path.read_text(encoding="utf-8"))) & keyed
        assert named <= {"next"}, path  # the one that is shown first of an engine that does not run


def test_the_tables_are_what_textual_binds() -> None:
    for table, owner in PLACES:
        bound = {b.key for b in owner.BINDINGS if isinstance(b, Binding)}
        declared = {key.keys for key in table if key.keys}
        assert not bound or declared <= bound or table in (keys.DIARY, keys.RESULTS, keys.NEXT), owner.__name__


def test_every_word_on_a_key_line_stands_in_the_help() -> None:
    text = "\n".join(text_of(line) for line in help_lines(200, project=True))
    lists = "\n".join(text_of(line) for line in help_lines(200, project=False))
    for table, page in ((keys.LIST, lists), (keys.PROJECT, text), (keys.DIARY, text), (keys.NEXT, text)):
        for key in table:
            for one in re.split(r", ", key.shown) if key.word and key.shown != "?" else ():
                assert re.search(rf"^  (.*, )?{re.escape(one)}\b|^  {re.escape(one)} ", page, re.MULTILINE), key
