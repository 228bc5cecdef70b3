"""The program at the end of a line: bytes counted, cells with their colours, signals, a line that drops."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path

import pexpect

from tests.shell.terminal import PATIENCE, Terminal

_UNSPOKEN = re.compile(rb"\x1b\[[<>=?][0-9;]*[a-zA-Z$]+p?|\x1b\[\?[0-9;]*\$p|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)")
"""Queries and modes that the emulator does not know and would draw."""


FOCUS = b"\x1b[I"
"""What a terminal says when it gets the focus: asks the program of `with_stand_in` to tell when it has come to rest."""
AT_REST = b"\x1b]777;at rest\x07"
"""What it tells then; it counts for nothing."""


class Line(Terminal):
    """A running notebook and everything that it wrote."""

    def __init__(
        self, folder: Path, *, environ: Mapping[str, str] | None = None, command: list[str] | None = None
    ) -> None:
        self.wrote = b""
        self._rests = 0
        self._part = b""
        """What may be the beginning of `AT_REST`."""
        state = {"XDG_STATE_HOME": str(folder.parent / "state"), **(environ or {})}
        usual = [sys.executable, "-m", "tests.tui.with_stand_in", str(folder)]
        super().__init__(command or usual, environ=state, cwd=folder.parent)

    def _read(self, longest: float = 0.1) -> None:
        try:
            data = self._child.read_nonblocking(size=65536, timeout=longest)
        except pexpect.TIMEOUT:
            return
        except pexpect.EOF:
            self._see_it_end()
            return
        data = self._part + data
        self._rests += data.count(AT_REST)
        data = data.replace(AT_REST, b"")
        begun = next((n for n in range(len(AT_REST) - 1, 0, -1) if data.endswith(AT_REST[:n])), 0)
        data, self._part = data[: len(data) - begun], data[len(data) - begun :]
        self.wrote += data
        self._stream.feed(_UNSPOKEN.sub(b"", data))

    def settle(self) -> None:
        """Read until the program says that all keys are carried out, all is computed, saved and drawn."""
        before = self._rests
        self.send_bytes(FOCUS)
        self.watch(lambda: self._rests > before)

    def quiet(self, seconds: float = 0.6) -> None:
        """Read until nothing came for so long: for what must not come."""
        end = time.monotonic() + PATIENCE
        last = len(self.wrote)
        still = time.monotonic()
        while time.monotonic() < end and time.monotonic() - still < seconds:
            self._read(min(0.1, seconds))
            if len(self.wrote) != last:
                last, still = len(self.wrote), time.monotonic()

    def rest(self) -> None:
        """Read until nothing comes and nothing is computed any more, for a program that does not tell (Linux)."""
        before, now = -1.0, 0.0
        end = time.monotonic() + PATIENCE
        while now - before > 0.03:
            assert time.monotonic() < end, f"it goes on computing:\n{self.screen()}"
            before = now
            self.quiet(0.8)
            now = self._processor()

    def _processor(self) -> float:
        try:
            fields = Path(f"/proc/{self._child.pid}/stat").read_text().rsplit(")", 1)[1].split()
        except OSError:
            return 0.0
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def spent(self, *keys: str) -> int:
        """Press keys and return the bytes of all that follows; without keys, of half a second."""
        before = len(self.wrote)
        self.press(*keys)
        self.settle() if keys else self.quiet(0.5)
        return len(self.wrote) - before

    def watch(self, true: Callable[[], bool]) -> None:
        """Read until something is true."""
        end = time.monotonic() + PATIENCE
        while not true():
            assert time.monotonic() < end, self.screen()
            self._read()

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size."""
        self._screen.resize(rows, columns)
        self._child.setwinsize(rows, columns)

    def send_bytes(self, data: bytes) -> None:
        """Send raw bytes."""
        os.write(self._child.child_fd, data)

    def kill(self, number: int = signal.SIGKILL) -> None:
        """Send a signal."""
        os.kill(self._child.pid, number)

    @property
    def running(self) -> bool:
        """Whether it has not ended."""
        return bool(self._child.isalive())

    @property
    def threads(self) -> int:
        """How many threads it has, where the system tells (Linux)."""
        return len(list(Path(f"/proc/{self._child.pid}/task").iterdir()))

    @property
    def pid(self) -> int:
        """Number of the process."""
        return int(self._child.pid)

    @property
    def memory(self) -> float:
        """What it holds in memory, [MB], where the system tells (Linux)."""
        status = Path(f"/proc/{self._child.pid}/status").read_text()
        return next(int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmRSS"))

    def drop(self) -> None:
        """Close the line from the other side."""
        self._child.ptyproc.fileobj.close()

    def cells(self) -> list[list[tuple[object, ...]]]:
        """Return every cell as it is seen: character, colours, bold, underline, reverse; a blank has no ink."""
        rows = self._screen.buffer
        return [
            [
                (c.data, "", c.bg, False, False, False)
                if c.data == " " and not (c.underscore or c.reverse)
                else (c.data, c.fg, c.bg, c.bold, c.underscore, c.reverse)
                for c in (rows[y][x] for x in range(self._screen.columns))
            ]
            for y in range(self._screen.lines)
        ]
