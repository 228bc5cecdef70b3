"""A signal that ends the program is taken whatever the main thread does; one that wakes it changes nothing else."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from model.store import read_project
from tests.shell.terminal import PATIENCE, ROOT
from tests.tui.line import Line

PROGRAM = """
import select, signal, sys, threading, time
from pathlib import Path
from tui.host.signals import save_on_signals

saved = Path(sys.argv[1])
save_on_signals(lambda: saved.write_text("saved"), lambda code: None, lambda: None)
numbers = [int(number) for number in sys.argv[2].split(",")]

def send():
    # As a signal that comes between the last look at signals and the sleep: nothing wakes the main thread.
    time.sleep(0.2)
    for number in numbers:
        signal.pthread_kill(threading.get_ident(), number)
        time.sleep(0.05)

threading.Thread(target=send, daemon=True).start()
select.epoll().poll()
"""


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize("before", [(), (signal.SIGWINCH, signal.SIGCONT)])
def test_it_is_taken_while_the_main_thread_sleeps_and_nothing_wakes_it(
    tmp_path: Path, number: signal.Signals, before: tuple[signal.Signals, ...]
) -> None:
    """Signals that end nothing go before it."""
    saved = tmp_path / "saved"
    numbers = ",".join(str(int(each)) for each in (*before, number))
    done = subprocess.run([sys.executable, "-c", PROGRAM, str(saved), numbers], cwd=ROOT, timeout=PATIENCE, check=False)
    assert saved.read_text() == "saved"
    assert done.returncode == 128 + number


SLEEPER = """
import asyncio, signal, sys, threading, time
from tui.host.signals import save_on_signals

async def main():
    loop, taken = asyncio.get_running_loop(), asyncio.Event()
    signal.signal(signal.SIGWINCH, lambda *_: loop.call_soon_threadsafe(taken.set))
    save_on_signals(lambda: None, lambda code: None, lambda: loop.call_soon_threadsafe(bool))

    def send():
        # As a signal that comes between the last look at signals and the sleep: nothing else wakes the loop.
        time.sleep(0.2)
        signal.pthread_kill(threading.get_ident(), signal.SIGWINCH)

    threading.Thread(target=send, daemon=True).start()
    await taken.wait()

asyncio.run(main())
"""


def test_a_resized_window_is_seen_though_the_loop_sleeps() -> None:
    done = subprocess.run([sys.executable, "-c", SLEEPER], cwd=ROOT, timeout=PATIENCE, check=False)
    assert done.returncode == 0


def test_a_program_that_is_woken_while_it_ends_says_nothing(notebook: Path) -> None:
    line = Line(notebook)
    line.wait_for("Paint tin +gamma")
    line.press("ctrl+q")
    with contextlib.suppress(ProcessLookupError):
        while line.running:
            line.kill(signal.SIGCONT)
            line.quiet(0.005)
    assert line.wait_for_end() == 0
    assert b"Traceback" not in line.wrote


def test_a_program_that_was_stopped_reads_the_keyboard_once(notebook: Path) -> None:
    """Keys are read by one thread: two would share out what is typed."""
    line = Line(notebook)
    line.wait_for("Paint tin +gamma")
    line.press("down", "enter")
    line.wait_for(r"\[Dimensions")
    line.settle()
    before = line.threads
    for _ in range(5):
        line.kill(signal.SIGSTOP)
        line.kill(signal.SIGCONT)
        line.quiet(0.1)
    assert line.threads <= before
    line.press("down", "down", "12.25 mm", "enter", "ctrl+q")
    assert line.wait_for_end() == 0
    assert read_project(notebook / "paint-tin.toml").project.latest.build["piston_bore"] == "12.25 mm"


def test_a_terminal_that_is_closed_with_nothing_read_ends_with_the_code_of_a_line_hung_up(notebook: Path) -> None:
    ours, its = os.openpty()
    surroundings = {**os.environ, "TERM": "xterm", "PYTHONPATH": str(ROOT), "XDG_STATE_HOME": str(notebook.parent)}
    command = [sys.executable, "-m", "tui", str(notebook)]
    running = subprocess.Popen(command, stdin=its, stdout=its, stderr=its, env=surroundings)
    os.close(its)
    wrote = b""
    while b"Paint tin" not in wrote:
        wrote += os.read(ours, 1024)
    os.close(ours)
    assert running.wait(PATIENCE) == 128 + signal.SIGHUP
