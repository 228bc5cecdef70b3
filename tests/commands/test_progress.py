"""What a command says on a terminal while it computes, and that it is gone when the output comes."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pyte
import pytest

from tests.shell.terminal import ROOT

CHILD = """
import sys
import model.changes.advice, model.changes.sweep
import model.explain.outlook, model.explain.gap, model.knowledge.learn, model.knowledge.not_running
from tui.__main__ import main

def waits(*args, **rest):
    sys.stdin.read(1)
    raise KeyboardInterrupt if sys.argv[1] == "stop" else ValueError("made for this test")

model.explain.outlook.outlook = model.explain.outlook.whole_outlook = model.explain.gap.gaps = waits
model.knowledge.learn.learn = model.knowledge.not_running.diagnose = waits
model.changes.advice.advice = model.changes.sweep.sweep = waits
sys.exit(main(sys.argv[2:]))
"""
COMMANDS = {
    "predict": ["predict", "projects/mug.toml"],
    "gap": ["gap", "projects/mug.toml"],
    "next": ["next", "projects/mug.toml"],
    "explain": ["explain", "projects/mug.toml:1"],
    "sweep": ["sweep", "projects/mug.toml", "wheel"],
    "report": ["report", "projects/mug.toml"],
    "compare": ["compare", "projects/mug.toml:1", "projects/mug.toml:2"],
    "list": ["projects", "--text"],
}


def start(argv: list[str], *, error: int, stops: bool, home: Path) -> subprocess.Popen[bytes]:
    """Start a command whose model computes until a byte comes on standard input, and then fails or is stopped."""
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, "stop" if stops else "fail", *argv],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=error,
        cwd=ROOT,
        env={**os.environ, "XDG_STATE_HOME": str(home)},
    )


def read_until(fd: int, end: bytes) -> bytes:
    """Return what comes until `end` has, or all of it where nobody writes any more."""
    seen = b""
    while end not in seen:
        try:
            seen += os.read(fd, 4096)
        except OSError:
            return seen
    return seen


@pytest.mark.parametrize(
    ("command", "stops"), [*((command, False) for command in COMMANDS), ("predict", True), ("list", True)]
)
def test_a_long_command_says_what_it_does_and_takes_it_back(command: str, stops: bool, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    process = start(COMMANDS[command], error=theirs, stops=stops, home=tmp_path)
    os.close(theirs)
    line = read_until(ours, b" ...")
    process.communicate(b"x")
    rest = read_until(ours, b"no such end")
    os.close(ours)
    screen = pyte.Screen(500, 10)
    pyte.Stream(screen).feed((line + rest).decode())
    assert b"\x1b" not in line + rest
    assert screen.display[0].startswith("quarterturn: "), "the line is gone when the next one comes"
    assert not any(text.strip() for text in screen.display[1:])


def test_a_pipe_or_a_file_gets_no_line(tmp_path: Path) -> None:
    process = start(COMMANDS["next"], error=subprocess.PIPE, stops=True, home=tmp_path)
    out, err = process.communicate(b"x")
    assert (out, err) == (b"", b"quarterturn: stopped.\n")
