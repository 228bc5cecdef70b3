"""Keys go first: a thread that computes waits while the screen's loop has something to do, but not for ever."""

from __future__ import annotations

import asyncio
import sys
import threading
import time
from collections.abc import Iterator

import pytest

from tui.runs.ui_idle import LONGEST, UiIdle

BUSY = 0.03


@pytest.fixture(autouse=True)
def switch() -> Iterator[None]:
    before = sys.getswitchinterval()
    yield
    sys.setswitchinterval(before)


def waited(ui_idle: UiIdle) -> float:
    start = time.monotonic()
    ui_idle.wait()
    return time.monotonic() - start


def test_without_a_loop_nobody_waits() -> None:
    ui_idle = UiIdle()
    assert ui_idle.quiet
    ui_idle.wait()


def test_a_queue_waits_while_the_loop_works_and_goes_on_when_it_sleeps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.runs.ui_idle.LONGEST", 600.0)  # on no machine is drawing taken for standing still
    ui_idle = UiIdle()
    told: list[str] = []

    def queue() -> None:
        ui_idle.wait()
        told.append("queue")

    async def screen() -> None:
        assert not ui_idle.quiet
        thread = threading.Thread(target=queue)
        thread.start()
        time.sleep(BUSY)  # drawing; the loop does not come to its sleep
        told.append("drawn")
        while thread.is_alive():
            await asyncio.sleep(0.001)

    with asyncio.Runner(loop_factory=ui_idle.loop) as loop:
        loop.run(screen())
    assert told == ["drawn", "queue"]


def test_a_screen_that_never_rests_holds_a_step_up_for_so_long_and_no_longer() -> None:
    ui_idle = UiIdle()
    found: list[float] = []

    async def screen() -> None:
        thread = threading.Thread(target=lambda: found.append(waited(ui_idle)))
        thread.start()
        thread.join()  # the loop stands still

    with asyncio.Runner(loop_factory=ui_idle.loop) as loop:
        loop.run(screen())
    assert found[0] >= 0.9 * LONGEST
