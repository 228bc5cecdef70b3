"""The line of each key of a file, which an editor jumps to."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings

from model.record import Project
from model.store import encode, key_lines, line_of, read_project
from model.store.document import dotted
from model.store.lines import lines_in
from tests.examples import few_or
from tests.store.drawing import projects

PAGE = '''# a notebook
format = 1
name = "x" # name of it = "y"
"about" = 'mark.9 = 3'
[mark.1]
reason = """
phase = 90
"""
build.phase = "90 deg"
["mark" . '2']
build = { layout = "gamma", "piston_bore" = "9 mm" }
[entry.k]
ticks = ["a", "[b]",
  "c"]
day = 2026-01-01
[entry.k.reading.a]
kind = "speed"
'''


def test_each_key_has_the_line_on_which_it_stands() -> None:
    """Counted by eye on the page above."""
    assert lines_in(PAGE) == {
        "format": 2,
        "name": 3,
        "about": 4,
        "mark.1": 5,
        "mark.1.reason": 6,
        "mark.1.build.phase": 9,
        "mark.2": 10,
        "mark.2.build": 11,
        "mark.2.build.layout": 11,
        "mark.2.build.piston_bore": 11,
        "entry.k": 12,
        "entry.k.ticks": 13,
        "entry.k.day": 15,
        "entry.k.reading.a": 16,
        "entry.k.reading.a.kind": 17,
    }


def test_what_is_not_written_has_the_line_of_its_table() -> None:
    lines = lines_in(PAGE)
    assert line_of("entry.k.reading.a.turns", lines) == 16
    assert line_of("mark.7.build.phase", lines) is None
    assert line_of("", lines) is None


def test_a_file_that_was_changed_since_has_no_lines(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(b'\xef\xbb\xbfformat = 1\r\nname = "x"\r\n[mark.1]\r\n')
    stored = read_project(path)
    assert key_lines(stored) == {"format": 1, "name": 2, "mark.1": 3}
    path.write_bytes(b'name = "y"\nformat = 1\n')
    assert key_lines(stored) == {}
    path.unlink()
    assert key_lines(stored) == {}


def leaves(value: dict[str, Any], where: tuple[str, ...] = ()) -> Iterator[str]:
    """Yield the dotted key of each value that is no table."""
    for key, inner in value.items():
        if isinstance(inner, dict):
            yield from leaves(inner, (*where, key))
        else:
            yield dotted((*where, key))


@settings(max_examples=few_or(12, 60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(project=projects())
def test_what_stands_above_the_line_of_a_key_has_not_got_it_yet(project: Project) -> None:
    """The oracle is the standard library's parser, given the file as far as the line before."""
    text = encode(project).decode()
    lines, found = text.split("\n"), lines_in(text)
    for key in leaves(tomllib.loads(text)):
        above = "\n".join(lines[: found[key] - 1])
        assert key not in set(leaves(tomllib.loads(above)))
        assert lines[found[key] - 1].strip()
