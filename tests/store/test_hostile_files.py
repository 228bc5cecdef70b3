"""Hostile files in a short run, and what longer runs found, kept as cases."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from model.errors import ProjectFormatError
from model.store import decode, open_notebook
from tests.examples import few_or
from tests.shell.terminal import ROOT
from tests.store.fuzz import CONTROL, run
from tui.__main__ import main
from tui.exits import Exit


def test_hostile_files_give_a_project_or_a_sentence(tmp_path: Path) -> None:
    """``python -m tests.store.fuzz 100000`` does more."""
    observations = run(300, seed=8, commands=100, model=300, screens=300)
    assert observations.wrong == []
    assert observations.counts["read"] > 80 and observations.counts["refused"] > 80


HUGE = {
    "fifty megabytes": b'format = 1\nname = "x"\n# ' + b"x" * 50_000_000,
    "deep lists": b'format = 1\nname = "x"\na = ' + b"[" * 100_000,
    "deep tables": b'format = 1\nname = "x"\n' + b"".join(b"[" + b".".join([b"a"] * n) + b"]\n" for n in range(1, 900)),
    "a number of five thousand digits": b'format = 1\nname = "x"\na = ' + b"9" * 5000,
    "a long dotted key": b'format = 1\nname = "x"\n' + b"a." * 60_000 + b"a = 1",
    "dates out of range": b'format = 1\nname = "x"\na = 2026-02-30',
    "many tables": b'format = 1\nname = "x"\n' + b"".join(b"[t%d]\n" % n for n in range(200_000)),
}


@pytest.mark.parametrize("page", HUGE.values(), ids=HUGE.keys())
def test_a_file_that_would_hang_or_break_the_parser_is_refused(tmp_path: Path, page: bytes) -> None:
    with pytest.raises(ProjectFormatError) as caught:
        decode(page, path="x.toml")
    assert str(caught.value).isprintable() and caught.value.hint
    (tmp_path / "x.toml").write_bytes(page)
    assert len([item.error for item in open_notebook(tmp_path).items if item.error]) == 1


NAMES = [
    b"\x1b[2J\x07.toml",
    b"\xff\xfe.toml",
    "\u202e\u2066x.toml".encode(),
    b"n" * 250 + b".toml",
    b"-rf.toml",
    b"[red].toml",
]


@pytest.mark.parametrize("name", NAMES)
def test_no_file_name_steers_the_terminal(tmp_path: Path, name: bytes, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / os.fsdecode(name)
    path.write_bytes(b'format = 1\nname = "x"\n[mark.1]\n')
    for argv in (["check", str(tmp_path)], ["note", str(path), "hello"], ["copy", str(tmp_path), str(tmp_path / "in")]):
        assert main(argv) in (Exit.OK, Exit.CANNOT_WRITE)
        captured = capsys.readouterr()
        assert not CONTROL.search(captured.out + captured.err)


@pytest.fixture
def thousands(tmp_path: Path) -> Path:
    """The demo's tin with a reading whose mark is written with five thousand digits."""
    path = Path(shutil.copytree(ROOT / "projects", tmp_path / "notebook")) / "cocoa-tin.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('kind = "speed"\n', f'kind = "speed"\nmark = "{"1" * 5000}"\n', 1), encoding="utf-8")
    return path


@pytest.mark.usefixtures("few_drawn", "unlearned")
@pytest.mark.parametrize(
    "command",
    few_or(["check", "report", "next"], ["predict", "gap", "next", "report", "check", "compare", "note", "--text"]),
)
def test_a_mark_of_five_thousand_digits_is_a_plain_problem(
    thousands: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    more = {"compare": [str(thousands.with_name("mug.toml"))], "note": ["hello"]}.get(command, [])
    argv = [str(thousands.parent), command] if command == "--text" else [command, str(thousands), *more]
    code = main(argv)
    captured = capsys.readouterr()
    assert code == (Exit.PROBLEMS if command == "check" else Exit.OK), captured.err
    assert captured.err == ""
    if command in ("check", "report", "--text"):
        assert "There is no such mark. Marks here: 1, 2, 3." in " ".join(captured.out.split())
        assert "1" * 1000 not in captured.out
