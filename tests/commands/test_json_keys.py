"""The keys of the JSON that ``tui/commands/JSON.md`` names are those that are printed, no more and no fewer."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from model.fields.starts import STARTS
from tui.__main__ import main
from tui.commands import COMMANDS
from tui.commands.common import JSON_FORMAT

ROOT = Path(__file__).parents[2]
SECTION = (ROOT / "tui" / "commands" / "JSON.md").read_text(encoding="utf-8")
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
    """A copy of the demo whose syringes were flicked hot and cold with a watch; one key is misspelt."""
    folder = Path(shutil.copytree(ROOT / "projects", tmp_path_factory.mktemp("demo") / "projects"))
    path = folder / "two-syringes.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('turns = "2"\n', 'turns = "2"\ntime = "2 s"\n').replace(
        'turns = "3"\n', 'turns = "3"\ntime = "4 s"\nspeeed = "1"\n'), encoding="utf-8")  # fmt: skip
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


@pytest.mark.usefixtures("few_drawn")
def test_predict(printed: Run, coasted: Path) -> None:
    told = {name for cells in rows(2) for name in NAMES.findall(cells[0])}
    assert told == set(printed("predict", str(coasted)))


def ran_once(file: Path) -> Path:
    """A flat engine with one speed: the least of which everything can be told."""
    build = "\n".join(f'{name} = "{text}"' for name, text in STARTS[1].texts.items())
    read = '[entry.k2.reading.a]\nkind = "speed"\nturns = "150"\ntime = "60 s"'
    whole = f'format = 1\nname = "Flat"\n[mark.1.build]\n{build}\n[entry.k2]\nmark = 1\n{read}\n'
    path = file.parent.parent / "ran.toml"
    path.write_text(whole, encoding="utf-8")
    return path


ARGUMENTS: dict[str, Callable[[Path], list[str]]] = {
    "gap": lambda file: [str(file)],
    "next": lambda file: [str(file), "--symptom", "smokes"],
    "explain": lambda file: [str(ran_once(file)), "--aim", "1 W", "--if", "piston_throw=4 mm"],
    "sweep": lambda file: [str(ran_once(file)), "friction_torque"],
    "draw": lambda file: [str(file), "--template", "degree-wheel"],
    "check": lambda file: [str(file.parent)],
    "list": lambda file: [str(file.parent)],
    "report": lambda file: [str(file)],
    "compare": lambda file: [f"{file}:1", str(file)],
    "note": lambda file: [str(file), "hello"],
    "search": lambda file: [str(file.parent), "the"],
    "set": lambda file: [str(file), "piston_throw", "abc", "--correction"],
    "reading": lambda file: [str(file), "speed", "turns=abc"],
    "copy": lambda file: [str(file.parent), str(file.parent.parent / "copy")],
}


@pytest.mark.usefixtures("few_drawn")
@pytest.mark.parametrize("command", ARGUMENTS)
def test_the_keys_of_each_command_are_those_that_are_told(printed: Run, coasted: Path, command: str) -> None:
    printed_object = printed(command, *ARGUMENTS[command](coasted))
    assert printed_object["format"] == JSON_FORMAT
    lines = [(what, keys) for name, what, keys in rows(3) if name == f"`{command}`"]
    assert lines[0][0].startswith("the object")
    for what, keys in lines:
        wanted = set(NAMES.findall(re.sub(r"\([^)]*\)", "", keys)))
        whole = what.startswith("the object")
        for key in [""] if whole else NAMES.findall(what.partition(":")[0]):
            objects = [printed_object] if whole else list(places(printed_object, key))
            assert objects, (command, key)
            for each in objects:
                assert set(each) == wanted, (command, what, key)


def test_no_command_with_json_is_left_out_of_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    for command in COMMANDS:
        main([command.word, "--help"])
        has_json = "--json" in capsys.readouterr().out
        assert has_json == (command.word in {"predict", *ARGUMENTS}), command.word
