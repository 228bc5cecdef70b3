"""The program ended at random moments, and a line that stalls: what was typed is there afterwards."""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from model.store import left_drafts, read_project
from tests.kill import ENDS, FIELD, Series, Watched
from tests.shell.terminal import PATIENCE


@pytest.fixture
def series(tmp_path: Path) -> Series:
    made = Series(folder=tmp_path / "notebook", dice=random.Random(4), longest=0.7)
    made.begin()
    return made


@pytest.fixture
def typing(series: Series) -> Iterator[Watched]:
    """The program with the cursor on a field."""
    watched = Watched(series.folder)
    series.open(watched, expected=False)
    yield watched
    watched.let_go()


def until(true: Callable[[], bool], what: str) -> None:
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end, what
        time.sleep(0.02)


def in_file(series: Series) -> str:
    """Return what the file holds in the field."""
    return read_project(series.file).project.latest.build.get(FIELD, "")


def kept(series: Series) -> set[str]:
    """Return what the file and every draft hold in the field."""
    drafts = left_drafts(series.file, open_too=True)
    return {p.latest.build.get(FIELD, "") for p in (read_project(series.file).project, *(d.project for d in drafts))}


def test_twenty_kills_at_random_moments_lose_nothing(series: Series) -> None:
    """``python -m tests.kill 1000`` does more."""
    for _ in range(20):
        series.once("KILL")
    assert series.wrong == []
    assert series.counts["with something saved"] and series.counts["recovered"]


@pytest.mark.parametrize("how", [how for how in ENDS if how != "KILL"])
def test_an_end_that_is_told_saves_everything_that_was_on_the_screen(series: Series, how: str) -> None:
    """The line drops (HUP, CLOSE), the system ends the program (TERM), or somebody interrupts it (INT)."""
    series.once(how)
    assert series.wrong == []


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_line_that_stalls_loses_nothing_and_the_program_ends_when_told(
    series: Series, typing: Watched, number: int
) -> None:
    """Nobody reads the terminal, and the line is full; what is typed is kept all the same."""
    typing.press("7")
    typing.wait_until(r"^> .*7")
    typing.stall()
    typing.press("abc")
    until(lambda: "7abc" in kept(series), "typed on a stalled line and kept nowhere")
    os.kill(typing.pid, number)
    until(typing.has_ended, "it did not end")
    assert in_file(series) == "7abc"


def test_the_program_is_suspended_and_goes_on_where_it_was(series: Series, typing: Watched) -> None:
    typing.press("7")
    typing.wait_until(r"^> .*7")
    os.kill(typing.pid, signal.SIGTSTP)
    typing.listen(0.5)
    os.kill(typing.pid, signal.SIGCONT)
    typing.press("8")
    typing.wait_until(r"^> .*78")
    typing.press("enter")
    until(lambda: in_file(series) == "78", "it does not save after it was suspended")


@pytest.mark.parametrize(
    "data", [b"\xe9", b"\xff\xfe", b"\xc3", b"\x1b[200~\xff\x1b[201~", b"\x1b]11;rgb:\xff\xff\x07"]
)
def test_bytes_that_are_no_text_end_nothing(series: Series, typing: Watched, data: bytes) -> None:
    typing.send(data)
    typing.listen(0.2)
    typing.press("9", "7")
    typing.wait_until(r"^> .*97")
    typing.press("enter")
    until(lambda: "97" in in_file(series), "it does not save any more")
