"""The command between pipes: a reader that goes away, no terminal, odd locales."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from model.store import read_project
from tests.examples import few_or
from tests.shell.terminal import ROOT, installed_command
from tui.exits import Exit

MUG = ROOT / "projects" / "mug.toml"
ROCKER = 'format = 1\nname = "Rocker"\n[mark.1.build]\nlayout = "rocking"\n'
"""A prototype without a prediction: its sheet is there at once."""


def call(*argv: str, cwd: Path, **environ: str) -> subprocess.CompletedProcess[bytes]:
    """Run the command without a terminal."""
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": str(cwd), **environ}
    return subprocess.run(
        [*installed_command(), *argv],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        env=surroundings,
        cwd=cwd,
        check=False,
    )


def test_a_reader_that_goes_away_leaves_no_traceback(tmp_path: Path) -> None:
    (tmp_path / "rocker.toml").write_text(ROCKER)
    command = " ".join([*installed_command(), "report", "rocker.toml"])
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command} | true; echo ${{PIPESTATUS[0]}}"],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=True,
    )
    assert done.stderr == ""
    assert int(done.stdout) in (Exit.OK, Exit.PIPE_CLOSED)


def test_a_full_pipe_that_closes_ends_with_its_own_code(tmp_path: Path) -> None:
    """The reader has gone before the first byte is written."""
    (tmp_path / "rocker.toml").write_text(ROCKER)
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(
        [*installed_command(), "report", "rocker.toml"],
        stdout=write_end,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
    )
    os.close(write_end)
    assert done.returncode == Exit.PIPE_CLOSED
    assert done.stderr == b""


ENCODINGS = [{"LC_ALL": "C"}, {"PYTHONIOENCODING": "ascii"}, {"PYTHONIOENCODING": "latin-1"}]


@pytest.mark.parametrize("environ", few_or(ENCODINGS[:1], ENCODINGS))
def test_any_locale_prints_any_project(tmp_path: Path, environ: dict[str, str]) -> None:
    path = tmp_path / "größe.toml"
    path.write_text('format = 1\nname = "Größe μ 日本"\n[mark.1]\n', encoding="utf-8")
    for command in ("report", "predict", "check"):
        done = call(command, str(path), cwd=tmp_path, **environ)
        assert done.returncode == Exit.OK, done.stderr
        assert done.stderr == b""


def test_a_file_name_that_is_no_text_is_told_in_one_line(tmp_path: Path) -> None:
    done = subprocess.run(
        [*installed_command(), "predict", os.fsdecode(b"no-such-\xff\x1b[2J.toml")],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == Exit.CANNOT_READ
    assert done.stderr.count(b"\n") == 1
    assert b"\x1b" not in done.stderr
    assert b"Traceback" not in done.stderr


def test_the_screens_refuse_without_a_terminal(tmp_path: Path) -> None:
    done = call(str(ROOT / "projects"), cwd=tmp_path)
    assert done.returncode == Exit.NO_TERMINAL
    assert done.stderr.count(b"\n") == 1


def test_its_own_notebook_is_not_made_where_it_cannot_be_shown(tmp_path: Path) -> None:
    done = call(cwd=tmp_path)
    assert done.returncode == Exit.NO_TERMINAL
    assert not (tmp_path / "quarterturn").exists()


@pytest.mark.parametrize(("where", "code"), [(">&-", Exit.OK), ("> /dev/full", Exit.CANNOT_WRITE)])
def test_an_output_that_takes_nothing_is_told_in_one_line_at_most(tmp_path: Path, where: str, code: Exit) -> None:
    copy = shutil.copy(MUG, tmp_path)
    done = subprocess.run(
        ["bash", "-c", f"{' '.join(installed_command())} check {copy} {where}"],
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == code
    assert done.stderr.count(b"\n") == (0 if code is Exit.OK else 1)


@pytest.mark.parametrize("where", ["closed", "full", "gone"])
def test_a_note_that_is_in_the_file_is_no_failure_where_that_cannot_be_printed(tmp_path: Path, where: str) -> None:
    """A shell that tries again after a failure would write the note twice."""
    copy = shutil.copy(MUG, tmp_path)
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(
        ["bash", "-c", f"{' '.join(installed_command())} note {copy} hello{' >&-' if where == 'closed' else ''}"],
        stdout=write_end if where == "gone" else os.open("/dev/full", os.O_WRONLY) if where == "full" else None,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
    )
    os.close(write_end)
    assert done.returncode == Exit.OK
    lines = done.stderr.decode().splitlines()
    assert len(lines) == (0 if where == "closed" else 1)
    assert all("Added to" in line and "the output was not written" in line for line in lines)
    assert [entry.text for entry in read_project(Path(copy)).project.entries.values()].count("hello") == 1
