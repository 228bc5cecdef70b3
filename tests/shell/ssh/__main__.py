"""Edit over a real SSH line, cut it in the middle of a word, connect again and find everything; count the wire's bytes.

Needs Debian's openssh-server and openssh-client; run by ``.ci/run``, not by the tests of the README, which need Python
alone. Ends in one plain line; anything that is not as it should be ends it with an error.
"""

from __future__ import annotations

import contextlib
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path

from model.store import read_project
from tests.shell.ssh.server import Server, serving
from tests.shell.terminal import PATIENCE, ROOT, Terminal

UP_TO_DATE = r"Model +(fresh|up to date)"
THROW = r"^> +Piston throw +"


class Cut(Terminal):
    """A client whose line can be cut."""

    def cut(self) -> None:
        """End the client without a word to the other side, as a phone that lost its network."""
        self._child.kill(9)


def opened(server: Server, notebook: Path, *, compress: bool = False, log: str = "client.log") -> Cut:
    """Open the cocoa tin over the line, the cursor on the throw of its piston."""
    line = Cut(server.client(notebook, compress=compress, log=server.folder / log), cwd=server.folder)
    line.wait_for("Two syringes")
    line.press("enter")
    line.wait_for(UP_TO_DATE)
    line.press(*["down"] * 5)
    line.wait_for(THROW)
    return line


def until(true: Callable[[], bool], what: str) -> None:
    """Wait for something."""
    end = time.monotonic() + PATIENCE
    while not true():
        if time.monotonic() > end:
            raise SystemExit(f"over SSH: {what}")
        time.sleep(0.05)


def running(notebook: Path) -> bool:
    """Whether a process has this notebook open."""
    for found in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):  # it ended meanwhile
            words = found.read_bytes().split(b"\0")
            if words[1:3] == [b"-m", b"tui"] and str(notebook).encode() in words:
                return True
    return False


def edits_survive_a_cut_line(server: Server) -> None:
    """A note that was finished, a field in the middle of typing: both are there after the line was cut."""
    notebook = Path(shutil.copytree(ROOT / "projects", server.folder / "cut"))
    file = notebook / "two-syringes.toml"
    line = Cut(server.client(notebook, compress=False, log=server.folder / "cut.log"), cwd=server.folder)
    line.wait_for("Two syringes")
    line.press("end", "n")
    line.wait_for("Note for Two syringes")
    line.press("over the line", "enter")
    until(lambda: "over the line" in file.read_text(), "the note did not reach the file")
    line.press("home", "enter")
    line.wait_for(UP_TO_DATE)
    line.press(*["down"] * 5)
    line.wait_for(THROW)
    line.press("3.7")
    line.wait_for(r"Piston throw +3\.7")
    line.cut()
    line.wait_for_end()
    until(lambda: not running(notebook), "the notebook goes on after its line was cut")
    again = opened(server, notebook)
    again.wait_for(THROW + r"3\.7")
    again.press("ctrl+q")
    if again.wait_for_end() != 0:
        raise SystemExit("over SSH: it did not end well")
    if [e.text for e in read_project(file).project.entries.values()][-1] != "over the line":
        raise SystemExit("over SSH: the note is not there")


def wire(server: Server, *, compress: bool) -> tuple[int, int]:
    """Return the bytes sent and received by the client over an ordinary session."""
    name = "compressed" if compress else "plain"
    notebook = Path(shutil.copytree(ROOT / "projects", server.folder / name))
    line = opened(server, notebook, compress=compress, log=f"{name}.log")
    for n in range(6):
        line.press("down" if n < 3 else "up")
    line.wait_for(THROW)
    line.press("3", ".", "5")
    line.wait_for(r"Piston throw +3\.5")
    line.press("ctrl+z")
    line.wait_for(THROW + r"2\.5 mm")
    for title in ("Materials", "Heat source", "Results", "Diary"):
        line.press("right")
        line.wait_for(rf"\[{title}\]")
    line.press("?")
    line.wait_for("^Keys")
    line.press("esc")
    line.wait_for(r"\[Diary\]")
    line.press("ctrl+q")
    line.wait_for_end()
    log = (server.folder / f"{name}.log").read_text()
    found = re.search(r"Transferred: sent (\d+), received (\d+) bytes", log)
    if found is None:
        raise SystemExit(f"the client did not say what it transferred:\n{log[-1000:]}")
    return int(found[1]), int(found[2])


def main() -> None:
    """Run both."""
    with serving() as server:
        edits_survive_a_cut_line(server)
        for compress in (False, True):
            sent, received = wire(server, compress=compress)
            how = "ssh -C" if compress else "plain"
            print(f"over SSH, {how}: {sent} bytes to the notebook, {received} back")
    print("over SSH: edited, cut, connected again, all there")


if __name__ == "__main__":
    main()
