"""What never goes down the line on a walk through every screen (tests/slow): mouse modes; with NO_COLOR, colours."""

from __future__ import annotations

import os
import re
import signal
from pathlib import Path

from tests.tui.line import Line

MOUSE = {b"9", b"1000", b"1001", b"1002", b"1003", b"1005", b"1006", b"1015", b"1016"}
"""Private modes that make a terminal report its mouse (xterm control sequences, "Mouse Tracking")."""
PLAIN = {0, 1, 2, 3, 4, 7, 22, 23, 24, 27, 39, 49}
"""Attributes without a colour of their own: ECMA-48, 8.3.117 (39 and 49: the terminal's own colours)."""


def walked(notebook: Path, environ: dict[str, str]) -> bytes:
    """Walk through list, panes, forms, questions, help and why, suspended once; return everything that was written."""
    line = Line(notebook, environ=environ)
    line.wait_for("predicted")
    for keys, shown in (
        (("b",), "The bin is empty"),
        (("home", "d"), "Delete broken"),
        (("esc", "down", "enter"), r"\[Dimensions\]"),
        (("down", "down", "7"), r"^>.* 7"),
        (("esc", "right"), r"\[Materials"),
        (("right",), r"\[Heat source"),
        (("right",), r"\[Results"),
        (("a",), "What was measured"),
        (("1",), r"^>.*Turns counted"),
        (("esc", "right"), r"\[Diary"),
        (("a",), "What happened"),
        (("x", "esc", "esc", "right"), r"\[What next"),
        (("m",), "Marks of"),
        (("esc", "w"), "^Why"),
        (("esc", "?"), "^Keys"),
        (("esc", "n"), "^Note for"),
    ):
        for key in keys:
            line.press(key)
            line.settle()
        line.wait_for(shown)
    going = len(line.wrote)
    os.kill(line._child.pid, signal.SIGTSTP)
    line.watch(lambda: b"\x1b[?1049l" in line.wrote[going:])
    os.waitid(os.P_PID, line._child.pid, os.WSTOPPED)  # told to go on before it stands, it would stand for ever
    stopped = len(line.wrote)
    os.kill(line._child.pid, signal.SIGCONT)
    line.watch(lambda: b"\x1b[?1049h" in line.wrote[stopped:])  # a key before that goes to the shell's own line
    line.settle()
    line.press("esc")
    line.wait_for(r"\[What next")
    line.press("ctrl+q")
    assert line.wait_for_end() == 0
    return line.wrote


def leaves_the_mouse_alone(wrote: bytes) -> bool:
    """Whether no mouse mode was switched on."""
    found = {number for each in re.findall(rb"\x1b\[\?([0-9;]+)h", wrote) for number in each.split(b";")}
    assert found & {b"25", b"1049"}, "no private mode is seen: is this the program?"
    return not found & MOUSE


def sends_no_colour(notebook: Path, term: str) -> None:
    """no-color.org: "should not display color". The cursor has a sign of its own and is bold or reversed."""
    wrote = walked(notebook, {"TERM": term, "NO_COLOR": "1", "COLORTERM": "truecolor"})
    assert leaves_the_mouse_alone(wrote)
    given = re.findall(rb"\x1b\[([0-9;:]*)m", wrote)
    numbers = {int(number or 0) for each in given for number in re.split(rb"[;:]", each)}
    assert numbers & {1, 7}, "neither bold nor reverse: nothing shows where the keys go"
    assert numbers <= PLAIN
