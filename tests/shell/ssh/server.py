"""An SSH server on the loopback with a key, a port and a configuration of its own; gone with all it made afterwards."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.shell.terminal import PATIENCE, ROOT

MISSING = "an SSH server and client are needed: sudo apt-get install openssh-server openssh-client"


def find(name: str) -> str:
    """Return the absolute name of a program; sbin is looked into too."""
    found = shutil.which(name, path=os.environ.get("PATH", "") + ":/usr/sbin:/sbin")
    if found is None:
        raise SystemExit(f"{name} is not there; {MISSING}")
    return found


class Server:
    """A running server and how to reach it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        for key in ("host", "own"):
            command = [find("ssh-keygen"), "-q", "-t", "ed25519", "-N", "", "-f", str(folder / key)]
            subprocess.run(command, check=True)
        (folder / "authorized").write_bytes((folder / "own.pub").read_bytes())
        lines = (
            f"Port {self.port}", "ListenAddress 127.0.0.1", f"HostKey {folder / 'host'}", "StrictModes no",
            f"AuthorizedKeysFile {folder / 'authorized'}", "PidFile none", "UsePAM no", "PasswordAuthentication no",
            "KbdInteractiveAuthentication no", "PermitRootLogin prohibit-password", "Compression yes",
        )  # fmt: skip
        (folder / "config").write_text("\n".join(lines) + "\n")
        if os.geteuid() == 0:
            Path("/run/sshd").mkdir(mode=0o755, exist_ok=True)  # its name is fixed in Debian's server
        self._process = subprocess.Popen(
            [find("sshd"), "-D", "-f", str(folder / "config"), "-E", str(folder / "server.log")]
        )
        self._wait()

    def _wait(self) -> None:
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end and self._process.poll() is None:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=1):
                return
            time.sleep(0.05)
        raise SystemExit(f"the server did not start:\n{(self.folder / 'server.log').read_text()}")

    def client(self, notebook: Path, *, compress: bool, log: Path) -> list[str]:
        """Return the command that opens a notebook at the other end of the line."""
        options = {
            "IdentityFile": self.folder / "own", "IdentitiesOnly": "yes", "StrictHostKeyChecking": "accept-new",
            "UserKnownHostsFile": self.folder / "known", "Compression": "yes" if compress else "no",
            "LogLevel": "DEBUG1",
        }  # fmt: skip
        words = [word for name, value in options.items() for word in ("-o", f"{name}={value}")]
        there = f"LANG=C.UTF-8 PYTHONPATH={ROOT} XDG_STATE_HOME={self.folder} exec {sys.executable} -m tui {notebook}"
        place = ["-F", "none", "-E", str(log), "-p", str(self.port), "127.0.0.1"]
        return [find("ssh"), "-tt", *words, *place, f"cd {self.folder} && {there}"]

    def close(self) -> None:
        """End the server."""
        self._process.terminate()
        self._process.wait()


@contextlib.contextmanager
def serving() -> Iterator[Server]:
    """Run a server in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder))
        try:
            yield server
        finally:
            server.close()
