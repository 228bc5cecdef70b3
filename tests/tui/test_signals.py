"""A signal that ends the program is taken whatever the main thread does."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.shell.terminal import PATIENCE, ROOT

PROGRAM = """
import select, signal, sys, threading, time
from pathlib import Path
from tui.host.signals import save_on_signals

saved = Path(sys.argv[1])
save_on_signals(lambda: saved.write_text("saved"), lambda code: None)
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
