"""A program on a pseudo-terminal of 80x24, with its screen as text. It waits for what must appear, but not for ever."""

from __future__ import annotations

import os
import re
import select
import signal
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

import pexpect
import pyte

KEYS = {
    "enter": "\r", "esc": "\x1b", "tab": "\t", "space": " ", "backspace": "\x7f", "up": "\x1b[A", "down": "\x1b[B",
    "right": "\x1b[C", "left": "\x1b[D", "end": "\x1b[F", "home": "\x1b[H", "del": "\x1b[3~", "pgdn": "\x1b[6~",
    "pgup": "\x1b[5~", "ctrl+q": "\x11", "ctrl+s": "\x13", "ctrl+z": "\x1a", "ctrl+c": "\x03",
}  # fmt: skip
"""Named keys and what a terminal sends for them."""
PATIENCE = 240.0
"""How long a screen may take on a busy machine before the test gives up, [s]; each wait ends with what it waits for."""
ROOT = Path(__file__).resolve().parents[2]


def installed_command() -> list[str]:
    """Return the command that was installed beside this interpreter, else the module."""
    script = Path(sys.executable).with_name("quarterturn")
    return [str(script)] if script.exists() else [sys.executable, "-m", "tui"]


class Terminal:
    """A running program."""

    def __init__(
        self, command: Sequence[str], *, environ: Mapping[str, str] | None = None, cwd: Path | None = None
    ) -> None:
        strange = ("TEXTUAL", "NO_COLOR", "COLORTERM", "COLUMNS", "LINES")
        kept = {key: value for key, value in os.environ.items() if not key.startswith(strange)}
        own = {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT)}
        folder = str(cwd or Path.cwd())
        surroundings = {**kept, **own, "XDG_STATE_HOME": folder, "XDG_DATA_HOME": folder, **(environ or {})}
        self._over = False
        """Whether all that the program wrote was read and it has ended."""
        self._screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._screen)
        self._child = pexpect.spawn(
            command[0],
            list(command[1:]),
            dimensions=(24, 80),
            env=surroundings,  # type: ignore[arg-type]
            cwd=None if cwd is None else str(cwd),
            timeout=PATIENCE,
        )
        self._child.delayafterclose = self._child.delayafterterminate = 1.0  # a busy machine is slow to end anything

    def screen(self) -> str:
        """Return the screen as text, without spaces at the ends of lines."""
        return "\n".join(line.rstrip() for line in self._screen.display)

    def press(self, *keys: str) -> None:
        """Press named keys or type texts."""
        for key in keys:
            self._child.send(KEYS.get(key, key))

    def wait_for(self, pattern: str) -> str:
        """Read until the screen matches a pattern; return the screen."""
        end = time.monotonic() + PATIENCE
        while not re.search(pattern, self.screen(), re.MULTILINE):
            if time.monotonic() > end:
                raise AssertionError(f"{pattern!r} did not appear:\n{self.screen()}")
            self._read()
        return self.screen()

    def wait_for_end(self) -> int:
        """Read all that the program writes until it has ended; return its exit code."""
        end = time.monotonic() + PATIENCE
        while not self._over:
            if time.monotonic() > end:
                raise AssertionError(f"it did not end:\n{self.screen()}")
            self._read()
        self._child.close()
        return self._child.exitstatus if self._child.exitstatus is not None else -(self._child.signalstatus or 0)

    def close(self) -> None:
        """End the program if it still runs."""
        self._child.close(force=True)

    def _read(self) -> None:
        try:
            self._stream.feed(self._child.read_nonblocking(size=65536, timeout=0.2))
        except pexpect.TIMEOUT:
            return
        except pexpect.EOF:
            self._see_it_end()

    def _see_it_end(self) -> None:
        """Wait for a program whose line has ended, but not for ever, as pexpect would, and then end it."""
        try:
            process = os.pidfd_open(self._child.pid)
        except ProcessLookupError:
            self._over = True
            return
        try:
            ended, _, _ = select.select([process], [], [], PATIENCE)
        finally:
            os.close(process)
        if not ended:
            os.kill(self._child.pid, signal.SIGKILL)
        self._child.wait()
        self._over = True
        if not ended:
            raise AssertionError(f"its line has ended, and it goes on:\n{self.screen()}")

    def _has_ended(self) -> bool:
        """Whether the process is gone; its exit code is left for pexpect."""
        try:
            return os.waitid(os.P_PID, self._child.pid, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None
        except ChildProcessError:
            return True
