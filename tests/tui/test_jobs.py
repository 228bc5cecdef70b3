"""Threads that work in the background go on whatever a job does."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from model.store import Item
from tui.host.logfile import log_path
from tui.storage.jobs import Jobs
from tui.storage.persistence import Persistence
from tui.storage.reader import Reader

WAIT = 240.0


def test_a_job_that_fails_is_written_down_and_the_next_is_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    done = threading.Event()

    def fail() -> None:
        raise ZeroDivisionError("no such job")

    line: list[Callable[[], None]] = [fail, done.set]
    jobs = Jobs()
    jobs.add("line", lambda: line.pop(0) if line else None)
    with jobs.bell:
        jobs.ring()
    assert done.wait(WAIT)
    jobs.end()
    assert "no such job" in log_path().read_text()


def test_a_file_whose_reading_fails_is_told_and_the_next_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    good = tmp_path / "good.toml"
    good.write_text('format = 1\nname = "Good"\n[mark.1]\n')
    items: list[Item] = []
    came = threading.Condition()

    def post(item: Item) -> None:
        with came:
            items.append(item)
            came.notify_all()

    persistence = Persistence(lambda news: None)
    read = persistence.read
    monkeypatch.setattr(persistence, "read", lambda path: read(path) if path == good else [].pop())
    Reader(persistence, post).want([tmp_path / "odd.toml", good])
    with came:
        assert came.wait_for(lambda: len(items) == 2, WAIT)
    persistence.close()
    assert "IndexError" in str(items[0].error)
    assert items[1].stored is not None
