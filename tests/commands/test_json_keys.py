"""The keys of the JSON that DEVELOPERS.md names are those that are printed, no more and no fewer."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tui.__main__ import main

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = TEXT[TEXT.index("## JSON of the commands") : TEXT.index("## Nomenclature")]
NAMES = re.compile(r"`([A-Za-z_]+)`")
Run = Callable[..., Any]


def rows(columns: int) -> Iterator[list[str]]:
    for line in SECTION.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("| `") and len(cells) == columns:
            yield cells


@pytest.fixture
def printed(capsys: pytest.CaptureFixture[str]) -> Run:
    def run(*argv: str) -> Any:
        main([*argv, "--json"])
        return json.loads(capsys.readouterr().out)

    return run


@pytest.fixture(scope="module")
def coasted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demo whose syringes were flicked hot and cold with a watch."""
    folder = Path(shutil.copytree(ROOT / "projects", tmp_path_factory.mktemp("demo") / "projects"))
    path = folder / "two-syringes.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('turns = "2"\n', 'turns = "2"\ntime = "2 s"\n').replace(
        'turns = "3"\n', 'turns = "3"\ntime = "4 s"\n'), encoding="utf-8")  # fmt: skip
    return path


def places(value: Any, key: str) -> Iterator[dict[str, Any]]:
    """Return every object that stands under a key, at any depth."""
    if isinstance(value, list):
        for item in value:
            yield from places(item, key)
    elif isinstance(value, dict):
        for name, inside in value.items():
            if name == key:
                yield from (item for item in (inside if isinstance(inside, list) else [inside]) if item)
            yield from places(inside, key)


def test_predict(printed: Run, coasted: Path) -> None:
    told = {name for cells in rows(2) for name in NAMES.findall(cells[0])}
    assert told == set(printed("predict", str(coasted)))


@pytest.mark.parametrize("command", ["gap", "next"])
def test_gap_and_next(printed: Run, coasted: Path, command: str) -> None:
    extra = ("--symptom", "smokes") if command == "next" else ()
    got = printed(command, str(coasted), *extra)
    assert got
    checked = 0
    for name, what, keys in rows(3):
        if name != f"`{command}`":
            continue
        wanted = set(NAMES.findall(re.sub(r"\([^)]*\)", "", keys)))
        objects = [got] if what == "the object" else got if what == "each of a list" else None
        for key in NAMES.findall(what) if objects is None else [""]:
            found = list(places(got, key)) if objects is None else objects
            assert found, (command, key)
            for item in found:
                assert set(item) == wanted, (command, what, key)
                checked += 1
    assert checked > 5


def test_check(printed: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("name = ", encoding="utf-8")
    ((_, _, keys),) = [cells for cells in rows(3) if cells[0] == "`check`"]
    (problem,) = printed("check", str(tmp_path))
    assert set(problem) == set(NAMES.findall(keys))
