"""The program killed or told to end, and a line that stalls: what was typed is there afterwards.

``test_kills`` kills it at random moments, ``python -m tests.kill 1000`` most often.
"""

from __future__ import annotations

import os
import random
import re
import signal
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from model.record import Entry
from model.store import Draft, left_drafts, read_project
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


@pytest.mark.parametrize("how", [how for how in ENDS if how != "KILL"])
def test_an_end_that_is_told_saves_everything_that_was_on_the_screen(series: Series, how: str) -> None:
    """The line drops (HUP, CLOSE), the system ends the program (TERM), or somebody interrupts it (INT)."""
    series.once(how)
    assert series.wrong == []


def test_a_line_that_stalls_loses_nothing_and_the_program_ends_when_told(series: Series, typing: Watched) -> None:
    """Nobody reads the terminal, and the line is full; what is typed is kept all the same."""
    typing.press("7")
    typing.wait_until(r"^> .*7")
    typing.stall()
    typing.press("abc")
    until(lambda: "7abc" in kept(series), "typed on a stalled line and kept nowhere")
    os.kill(typing.pid, signal.SIGTERM)
    until(typing.has_ended, "it did not end")
    assert in_file(series) == "7abc"


def test_the_program_is_suspended_and_goes_on_where_it_was(series: Series, typing: Watched) -> None:
    typing.press("7")
    typing.wait_until(r"^> .*7")
    os.kill(typing.pid, signal.SIGTSTP)
    os.waitid(os.P_PID, typing.pid, os.WSTOPPED)  # told to go on before it stands, it would stand for ever
    os.kill(typing.pid, signal.SIGCONT)
    typing.press("8")
    typing.wait_until(r"^> .*78")
    typing.press("enter")
    until(lambda: in_file(series) == "78", "it does not save after it was suspended")


def is_saved(series: Series, text: str) -> bool:
    """Whether a text stands in any field of the file."""
    return any(text in value for value in read_project(series.file).project.latest.build.values())


STRAY = (b"\xe9", b"\xff\xfe", b"\x80", b"\xc3", b"\x1b[200~\xff\x1b[201~", b"\x1b]11;rgb:\xff\xff\x07")


def test_bytes_that_are_no_text_end_nothing(series: Series, typing: Watched) -> None:
    """What is left of them may be keys, such as one that turns the pane: the next text is saved wherever it stands."""
    for number, data in enumerate(STRAY, 970):
        typing.send(data)
        typing.listen(0.2)
        typing.press(str(number))
        typing.wait_until(rf"^> .*{number}")
        typing.press("enter")
        until(partial(is_saved, series, str(number)), f"it does not save after {data!r}")
    typing.press("ctrl+q")
    until(lambda: not typing.listen(0.05), "it did not end")


def begin_reading(typing: Watched) -> None:
    """Type the first digits of a reading."""
    typing.press("right", "right", "right")
    typing.wait_until(r"\[Results")
    typing.press("a")
    typing.wait_until("What was measured")
    typing.press("1")
    typing.wait_until(r"^>.*Turns counted")
    typing.press("12")
    typing.wait_until(r"Turns counted +12")


def begin_text(typing: Watched) -> None:
    """Type a diary text."""
    typing.press("right", "right", "right", "right")
    typing.wait_until(r"\[Diary")
    typing.press("a")
    typing.wait_until("What happened, in your words")
    typing.press("Gland squeaks")
    typing.wait_until("Gland squeaks")


def begin_note(typing: Watched) -> None:
    """Type a line for the diary."""
    typing.press("n")
    typing.wait_until("Note for Rocker")
    typing.press("Gland squeaks")
    typing.wait_until("Gland squeaks")


def is_whole(entry: Entry) -> bool:
    """Whether all that was typed stands in it."""
    return entry.text == "Gland squeaks" or [r.texts.get("turns") for r in entry.readings.values()] == ["12"]


def holds_it(draft: Draft) -> bool:
    """Whether a draft holds all that was typed."""
    return draft.project is not None and any(map(is_whole, draft.project.entries.values()))


def noted(series: Series) -> set[str]:
    """Return the open texts of all drafts."""
    return {text for draft in left_drafts(series.file, open_too=True) for text in draft.open_fields.values()}


@pytest.mark.parametrize(
    ("begin", "offered"),
    [(begin_reading, r"Brought back: speed reading of [-\d]+ \(12 turns\), not saved\. Enter keeps it"),
     (begin_text, r"Brought back: diary text of [-\d]+ 'Gland squeaks', not saved\. Enter keeps it")],
)  # fmt: skip
def test_a_reading_or_a_text_that_is_half_typed_is_offered_after_a_kill_and_not_entered_by_itself(
    series: Series, typing: Watched, begin: Callable[[Watched], None], offered: str
) -> None:
    begin(typing)
    before = series.file.read_bytes()
    until(lambda: any(map(holds_it, left_drafts(series.file, open_too=True))), "no draft of it")
    typing.end("KILL")
    assert series.file.read_bytes() == before
    again = Watched(series.folder)
    try:
        again.wait_until("Rocker")
        again.press("enter")
        again.wait_until(r"\[Dimensions")
        until(lambda: again.listen(0.05) and re.search(offered, " ".join(again.screen().split())), "not offered")
        assert series.file.read_bytes() == before
        again.press("enter")
        again.wait_until(r"\A.* saved\n")
        (entry,) = read_project(series.file).project.entries.values()
        assert is_whole(entry)
    finally:
        again.let_go()


def test_a_note_that_is_half_typed_is_offered_after_a_kill_where_it_was_written(
    series: Series, typing: Watched
) -> None:
    begin_note(typing)
    until(lambda: "Gland squeaks" in noted(series), "no draft of it")
    typing.end("KILL")
    again = Watched(series.folder)
    try:
        again.wait_until("Rocker")
        again.press("n")
        again.wait_until(r"Begun before and not used yet[\s\S]*Gland squeaks")
        assert not read_project(series.file).project.entries
    finally:
        again.let_go()


def test_quitting_with_a_field_open_saves_what_stands_in_it(series: Series, typing: Watched) -> None:
    """The mark has no readings, so that nothing has to be asked; quitting discards nothing."""
    typing.press("7")
    typing.wait_until(r"^> .*7")
    typing.press("ctrl+q")
    until(lambda: not typing.listen(0.05), "it did not end")
    assert in_file(series) == "7"
    assert left_drafts(series.file) == ()
