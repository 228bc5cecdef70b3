"""Looking for words: what is found, in what order, and what cannot be read."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from model.record import Entry, Mark, Project, Reading
from model.record.search import search, words_of
from tui.__main__ import main
from tui.exits import Exit
from tui.text.search import excerpt, search_labels

PROJECT = Project(
    name="Can",
    about="of peaches",
    marks={
        1: Mark(number=1, build={"piston_bore": "12 mm"}),
        2: Mark(number=2, reason="Gland packed with felt", build={"piston_bore": "14 mm"}),
    },
    entries={
        "k1": Entry(key="k1", day="2026-11-01", mark=1, text="It hisses at the Größe (gland).", ticks=("binds",)),
        "k2": Entry(
            key="k2", day="2026-11-02", mark=2, text="Ran!", next_idea="grease the gland",
            readings={"a": Reading(key="a", kind="speed", texts={"turns": "50", "time": "20 s"})},
        ),
    },
)  # fmt: skip


def places(text: str) -> list[str]:
    return [hit.place for hit in search(PROJECT, words_of(text), search_labels())]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("gland", ["entry.k2", "entry.k1", "mark.2"]),
        ("GLA", ["entry.k2", "entry.k1", "mark.2"]),
        ("land", []),
        ("grosse", ["entry.k1"]),
        ("GRÖSS", ["entry.k1"]),
        ("gland felt", ["mark.2"]),
        ("felt grease", []),
        ("peach", [""]),
        ("speed 50", ["entry.k2.reading.a"]),
        ("turns counted", ["entry.k2.reading.a"]),
        ("binds", ["entry.k1"]),
        ("(gla", ["entry.k1"]),
        ("bore 14", ["mark.2"]),
        ("", []),
        (".*", []),
    ],
)
def test_beginnings_of_words_are_found_without_case_or_accents_all_in_one_place_the_latest_first(
    text: str, found: list[str]
) -> None:
    assert places(text) == found


@pytest.mark.parametrize("width", [24, 40, 60, 200])
def test_an_excerpt_shows_the_word_and_keeps_its_width(width: int) -> None:
    text = "the hose came off and then the bung came off and then the flame went out and nothing at all was left"
    shown = excerpt(text, ("bung",), width)
    assert len(shown) <= width
    assert "bung" in shown


def test_a_file_that_cannot_be_read_is_told_and_does_not_hide_the_rest(
    notebook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (notebook / "broken.toml").write_text("= nothing", encoding="utf-8")
    assert main(["search", str(notebook), "gland", "--json"]) == Exit.PROBLEMS
    said = json.loads(capsys.readouterr().out)
    assert [Path(path).name for path in said["unread"]] == ["broken.toml"]
    assert {Path(hit["file"]).name for hit in said["hits"]} == {"cocoa-tin.toml", "mug.toml"}


def test_nothing_to_look_for_is_refused_in_one_line(notebook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["search", str(notebook), "  "]) == Exit.USAGE
    assert capsys.readouterr().err.count("\n") == 1


def test_a_search_loads_neither_numpy_nor_textual(notebook: Path) -> None:
    code = (
        "import sys; from tui.__main__ import main; main(['search', sys.argv[1], 'gland']);"
        "sys.exit(any(name in sys.modules for name in ('numpy', 'textual', 'rich')))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(notebook)], capture_output=True, check=False)
    assert done.returncode == 0
