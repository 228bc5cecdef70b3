"""A program on a pseudo-terminal for measuring: when what appeared, how much memory it takes; held back if so wished.

A held-back program gets a tenth of a core: by a control group of the system where one can be made, else by stopping
and continuing it (90 ms of every 100 ms).
"""

from __future__ import annotations

import fcntl
import os
import pty
import queue
import re
import signal
import struct
import sys
import termios
import threading
import time
from collections.abc import Sequence
from pathlib import Path

import pyte

from tests.shell.terminal import KEYS, ROOT

PATIENCE = 240.0
SHARE = 0.1
"""Share of a core that a held-back program gets."""
_UNSPOKEN = re.compile(rb"\x1b\[[<>=?][0-9;]*[a-zA-Z$]+p?|\x1b\[\?[0-9;]*\$p|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)")


class Held:
    """A group of processes that gets a tenth of a core together."""

    def __init__(self) -> None:
        self.groups: list[Path] = []
        self.how = "stopped for 90 ms of every 100 ms"
        for group, quota in (
            (Path("/sys/fs/cgroup/cpu"), {"cpu.cfs_period_us": "20000", "cpu.cfs_quota_us": "2000"}),
            (Path("/sys/fs/cgroup"), {"cpu.max": "2000 20000"}),
        ):
            made = group / f"quarterturn-{os.getpid()}"
            try:
                made.mkdir()
                for name, value in quota.items():
                    (made / name).write_text(value)
            except OSError:
                if made.is_dir():
                    made.rmdir()
                continue
            self.groups.append(made)
            self.how = "a control group of 2 ms in 20 ms"
            break

    def take(self, pid: int) -> None:
        """Hold back a process that was just started."""
        if self.groups:
            (self.groups[0] / "cgroup.procs").write_text(str(pid))
        else:
            threading.Thread(target=_in_turns, args=(pid,), daemon=True).start()

    def close(self) -> None:
        """Take the group away."""
        for group in self.groups:
            group.rmdir()


def _in_turns(pid: int) -> None:
    try:
        while True:
            os.kill(pid, signal.SIGCONT)
            time.sleep(0.1 * SHARE)
            os.kill(pid, signal.SIGSTOP)
            time.sleep(0.1 * (1 - SHARE))
    except ProcessLookupError:
        return


class Watched:
    """A running program."""

    def __init__(self, command: Sequence[str], *, state: Path, held: Held | None = None) -> None:
        self.wrote = b""
        self.screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self.screen)
        self.began = self.came = time.monotonic()
        """When it was started, and when the last bytes came."""
        gate, opened = os.pipe()
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            os.read(gate, 1)
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
            strange = ("TEXTUAL", "NO_COLOR", "COLORTERM", "LC_")
            kept = {key: value for key, value in os.environ.items() if not key.startswith(strange)}
            own = {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT), "TEXTUAL_ANIMATIONS": "none"}
            os.chdir(state)
            os.execve(command[0], list(command), {**kept, **own, "XDG_STATE_HOME": str(state)})
        if held is not None:
            held.take(self.pid)
        self.began = time.monotonic()
        os.write(opened, b"x")
        os.close(opened)
        os.close(gate)
        self._arrived: queue.SimpleQueue[tuple[float, bytes]] = queue.SimpleQueue()
        # a thread of its own notes when bytes come: drawing what came before would hold them up by some milliseconds
        sys.setswitchinterval(1e-4)
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        data = b"x"
        while data:
            try:
                data = os.read(self._fd, 65536)
            except OSError:
                data = b""
            self._arrived.put((time.monotonic(), data))

    def read(self, seconds: float) -> bool:
        """Take what comes within so long; return whether anything came."""
        try:
            came, data = self._arrived.get(timeout=seconds)
        except queue.Empty:
            return False
        if not data:
            raise RuntimeError(f"the program ended:\n{self.text()}")
        self.came = came
        self.wrote += data
        self._stream.feed(_UNSPOKEN.sub(b"", data))
        return True

    def text(self) -> str:
        """Return the screen as text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def wait_for(self, pattern: str) -> float:
        """Read until the screen matches; return when the bytes came that made it match, from the start, [s]."""
        end = time.monotonic() + PATIENCE
        while not re.search(pattern, self.text(), re.MULTILINE):
            if time.monotonic() > end:
                raise RuntimeError(f"{pattern!r} did not appear:\n{self.text()}")
            self.read(1.0)
        return self.came - self.began

    def quiet(self, seconds: float = 0.8) -> None:
        """Read until nothing came for so long."""
        while self.read(seconds):
            pass

    def press(self, *keys: str) -> float:
        """Press keys; return the time."""
        now = time.monotonic()
        os.write(self._fd, "".join(KEYS.get(key, key) for key in keys).encode())
        return now

    def answer(self, key: str, pattern: str) -> float:
        """Press a key; return how long it takes until the screen matches, [s]."""
        start = self.press(key)
        self.wait_for(pattern)
        return self.came - start

    def processor(self) -> float:
        """Return the processor time that was used so far, [s]."""
        fields = Path(f"/proc/{self.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def rest(self) -> None:
        """Read until nothing is computed any more."""
        before = -1.0
        while self.processor() - before > 0.02:
            before = self.processor()
            self.quiet(1.0)

    def memory(self) -> float:
        """Return the memory that is resident when nothing is computed any more, [MB]."""
        self.rest()
        found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{self.pid}/status").read_text())
        return int(found[1]) / 1024 if found else 0.0

    def peak(self) -> float:
        """Return the most memory that was ever resident, [MB]."""
        found = re.search(r"VmHWM:\s+(\d+)", Path(f"/proc/{self.pid}/status").read_text())
        return int(found[1]) / 1024 if found else 0.0

    def close(self) -> None:
        """End the program."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self._fd)


def module(*words: str) -> list[str]:
    """Return a command that runs a module with this interpreter."""
    return [sys.executable, "-m", *words]
