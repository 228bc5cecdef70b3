"""The program ended at random moments while a builder types and saves; what must hold then is looked up on the disk.

By hand: ``python -m tests.kill 1000`` kills it so many times with SIGKILL, always in the same notebook, so that each
start has to cope with what the kill before left. ``python -m tests.kill 50 HUP`` (TERM, INT, CLOSE) ends it otherwise.

The judge is the screen: what it called saved must be in the file; what it echoed a second before the end must be in the
file or in a draft; the next start says that it brought something back where a draft holds more than the file, and is
silent where none does.
"""

from __future__ import annotations

import fcntl
import os
import random
import re
import select
import signal
import sys
import tempfile
import termios
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import pexpect

from model.errors import StoreError
from model.record import Mark, Project
from model.store import Draft, left_drafts, read_project, save_project
from tests.shell.terminal import PATIENCE, Terminal

ENDS = {"KILL": signal.SIGKILL, "HUP": signal.SIGHUP, "TERM": signal.SIGTERM, "INT": signal.SIGINT, "CLOSE": None}
FIELD = "piston_bore"
LABEL = "Piston bore"
ROW = re.compile(rf"^> .. ?{LABEL} +(\S*)", re.MULTILINE)
ALLOWED = 1.0
"""Seconds of typing that a kill may cost."""


class Watched(Terminal):
    """A terminal that remembers what its screen said, and when."""

    def __init__(self, folder: Path) -> None:
        self.wrote = b""
        self.echoed: list[tuple[float, str]] = []
        """When the field was first seen with a text."""
        self.typed: list[str] = []
        """Every text that was sent, whole or up to the end."""
        self.saved = ""
        """The last text that was on the screen while it said that it is saved, after it had said that it is not."""
        self._unsaved: str | None = None
        super().__init__(
            [sys.executable, "-m", "tui", str(folder)],
            environ={"XDG_STATE_HOME": str(folder.parent / "state")},
            cwd=folder.parent,
        )

    def listen(self, seconds: float) -> bool:
        """Read for so long; return whether the program still writes or waits."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            ready, _, _ = select.select([self._child.child_fd], [], [], left)
            if ready and not self._take():
                return False
        return True

    def drain(self) -> None:
        """Read what was written before the end."""
        while select.select([self._child.child_fd], [], [], 0)[0] and self._take():
            continue

    def _take(self) -> bool:
        try:
            data = os.read(self._child.child_fd, 65536)
        except OSError:
            return False
        if not data:
            return False
        self.wrote += data
        self._stream.feed(data)
        self._look()
        return True

    def _look(self) -> None:
        text = self.screen()
        found = ROW.search(text)
        if found is None:
            return
        if not self.echoed or self.echoed[-1][1] != found[1]:
            self.echoed.append((time.monotonic(), found[1]))
        title = text.split("\n", 1)[0]
        if title.endswith(("not saved yet", "saving")):
            self._unsaved = found[1]
        elif title.endswith(" saved") and self._unsaved == found[1]:
            self.saved = found[1]

    def wait_until(self, pattern: str) -> str:
        """Read until the screen matches."""
        end = time.monotonic() + PATIENCE
        while not re.search(pattern, self.screen(), re.MULTILINE):
            if time.monotonic() > end or not self.listen(0.05):
                raise AssertionError(f"{pattern!r} did not appear:\n{self.screen()}")
        return self.screen()

    def cursor(self) -> str:
        """Return the label that the cursor is on, without the sign before it: that may come and go by itself."""
        return next((row[4:29].strip() for row in self.screen().split("\n") if row.startswith(">")), "")

    def wait_for_move(self, before: str) -> None:
        """Read until the cursor is on another row."""
        end = time.monotonic() + PATIENCE
        while self.cursor() in ("", before):
            if time.monotonic() > end or not self.listen(0.05):
                raise AssertionError(f"the cursor does not move:\n{self.screen()}")

    @property
    def pid(self) -> int:
        """The number of the process."""
        return int(self._child.pid)

    def end(self, how: str) -> None:
        """End the program in one of the ways of `ENDS` and wait until it is gone."""
        number = ENDS[how]
        if number is None:
            self.drain()
            os.close(self._child.child_fd)
        else:
            os.kill(self.pid, number)
        end = time.monotonic() + PATIENCE
        while self._child.isalive():
            if time.monotonic() > end:
                raise AssertionError("it did not end")
            if number is None:
                time.sleep(0.02)
            else:
                self.listen(0.02)
        if number is not None:
            self.drain()

    def send(self, data: bytes) -> None:
        """Send bytes as they are."""
        os.write(self._child.child_fd, data)

    def stall(self) -> None:
        """Fill the line: nothing that the program writes is read from now on, and no more fits."""
        waiting = -1
        while waiting != (waiting := self._waiting()) or waiting == 0:
            self.send(b"\x0c" * 4)
            time.sleep(0.5)
        # More whole screens than textual lets wait by itself; it draws those that come at once as one.
        for _ in range(90):
            self.send(b"\x0c")
            time.sleep(0.04)

    def _waiting(self) -> int:
        size = fcntl.ioctl(self._child.child_fd, termios.FIONREAD, b"\0" * 4)
        return int.from_bytes(size, sys.byteorder)

    def has_ended(self) -> bool:
        """Whether the program is gone."""
        return not self._child.isalive()

    def let_go(self) -> None:
        """Forget the terminal."""
        if self._child.isalive():
            os.kill(self.pid, signal.SIGKILL)
        try:
            self._child.close(force=True)
        except (OSError, pexpect.ExceptionPexpect) as error:
            self.wrote += str(error).encode()


def _in_draft(draft: Draft) -> str:
    """Return the text of the field in a draft; one that awaits an answer stands among its open texts."""
    build = draft.project.latest.build
    return draft.open_fields.get(f"mark.{draft.project.latest.number}.build.{FIELD}", build.get(FIELD, ""))


@dataclass
class Series:
    """Many ends of the program in one notebook."""

    folder: Path
    dice: random.Random
    wrong: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    number: int = 0
    longest: float = 2.5
    """Longest time of typing before an end, [s]."""

    @property
    def file(self) -> Path:
        """The one project of the notebook."""
        return self.folder / "rocker.toml"

    def begin(self) -> None:
        """Make the notebook: a layout without a prediction, so that the time goes into typing and saving."""
        self.folder.mkdir()
        mark = Mark(number=1, build={"layout": "rocking"})
        save_project(self.file, Project(name="Rocker", marks={1: mark}), revision=None)

    def once(self, how: str = "KILL") -> None:
        """Start, type, end, and look at what is on the disk."""
        self.number += 1
        expected = self._recoverable()
        stood = self._in_file()
        watched = Watched(self.folder)
        try:
            if self.dice.random() < 0.1:
                watched.listen(self.dice.uniform(0.0, 1.5))
                self.counts["ended while it started"] += 1
                early = True
            else:
                early = False
                self.open(watched, expected)
                self._type(watched)
            moment = time.monotonic()
            watched.end(how)
            self._judge(watched, moment, how, stood, early)
        finally:
            watched.let_go()

    def open(self, watched: Watched, expected: bool) -> None:
        """Open the project and put the cursor on the field."""
        watched.wait_until("Rocker")
        watched.press("enter")
        screen = watched.wait_until(r"\[Dimensions[\s\S]*Brought back" if expected else r"\[Dimensions")
        if not expected:
            watched.listen(0.1)
            screen = watched.screen()
        if ("Brought back" in screen) != expected:
            self.wrong.append(f"round {self.number}: recovery {'not ' if expected else ''}offered:\n{screen}")
        self.counts["recovered" if expected else "nothing to recover"] += 1
        for _ in range(40):
            watched.listen(0.05)  # a row may have come in part
            if ROW.search(watched.screen()):
                return
            before = watched.cursor()
            watched.press("down")
            watched.wait_for_move(before)
        raise AssertionError(f"no field to type in:\n{watched.screen()}")

    def _type(self, watched: Watched) -> None:
        """Type tokens and confirm most of them, for a random time."""
        end = time.monotonic() + self.dice.uniform(0.05, self.longest)
        turn = 0
        while time.monotonic() < end:
            turn += 1
            # The first sign differs from turn to turn, so that no text is taken for the beginning of another.
            letters = "".join(self.dice.choices("abcdefghkmnpqrstuvwxyz", k=self.dice.randint(2, 10)))
            # An x behind it makes it no length: flagged, and Enter stays with it.
            token = f"{(self.number + turn) % 10}x{letters}"
            watched.typed.append(token)
            for key in token:
                watched.press(key)
                watched.listen(self.dice.choice((0.0, 0.02, 0.05, 0.12)))
                if time.monotonic() > end:
                    return
            if self.dice.random() < 0.8:
                watched.press("enter")
                watched.listen(self.dice.choice((0.0, 0.05, 0.2, 0.6)))
            else:
                watched.listen(self.dice.uniform(0.0, 1.2))
                watched.press("esc")
                # Escape with a sign close behind it is alt and that sign.
                watched.listen(0.5)

    def _in_file(self) -> str:
        return read_project(self.file).project.latest.build.get(FIELD, "")

    def _in_drafts(self) -> list[str]:
        return [_in_draft(draft) for draft in left_drafts(self.file)]

    def _recoverable(self) -> bool:
        project = read_project(self.file).project
        return any(_in_draft(draft) != project.latest.build.get(FIELD, "") for draft in left_drafts(self.file))

    def _judge(self, watched: Watched, moment: float, how: str, stood: str, early: bool) -> None:
        try:
            in_file, drafts = self._in_file(), self._in_drafts()
        except StoreError as error:
            self.wrong.append(f"round {self.number}: {error}")
            return
        for found in self.folder.glob("*.toml"):
            read_project(found)
        self.counts[how] += 1
        history = [text for _, text in watched.echoed]
        if watched.saved:
            self.counts["with something saved"] += 1
            if not self._not_older(watched, watched.saved, in_file):
                self.wrong.append(f"round {self.number}: {watched.saved!r} was called saved, the file has {in_file!r}")
        elif not early and not history and in_file != stood:
            self.wrong.append(f"round {self.number}: the file changed to {in_file!r} by itself")
        allowed = ALLOWED if how == "KILL" else 0.0
        old = [text for when, text in watched.echoed if when <= moment - allowed]
        kept = {in_file, *drafts}
        if old and not any(self._not_older(watched, old[-1], text) for text in kept):
            times = [(round(moment - when, 2), text) for when, text in watched.echoed]
            self.wrong.append(f"round {self.number}: {old[-1]!r} was echoed, kept are {kept}; seconds before: {times}")
        # what an earlier end left stays in the draft until somebody says whether it is kept
        if how != "KILL" and watched.typed and any(text != in_file for text in drafts):
            self.wrong.append(f"round {self.number}: ended by {how} with a draft {drafts}, the file has {in_file!r}")
        self.counts["with a draft left"] += any(text != in_file for text in drafts)

    def _not_older(self, watched: Watched, seen: str, text: str) -> bool:
        """Whether a text that was kept is the one that was seen, or a later one, seen or not."""
        history = [each for _, each in watched.echoed]
        if text in history[history.index(seen) :]:
            return True
        begun = [number for number, token in enumerate(watched.typed) if seen and token.startswith(seen)]
        later = watched.typed[begun[-1] :] if begun else watched.typed
        return (
            bool(text)
            and any(token.startswith(text) for token in later)
            and not (begun and watched.typed[begun[-1]].startswith(text) and len(text) < len(seen))
        )


def main() -> int:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    how = sys.argv[2] if len(sys.argv) > 2 else "KILL"
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    with tempfile.TemporaryDirectory() as folder:
        series = Series(folder=Path(folder) / "notebook", dice=random.Random(seed))
        series.begin()
        for done in range(number):
            before = len(series.wrong)
            try:
                series.once(how)
            except AssertionError as error:
                series.wrong.append(f"round {series.number}: {error}")
            for each in series.wrong[before:]:
                print(each, flush=True)
            if done % 50 == 49:
                print(done + 1, dict(series.counts), len(series.wrong), "wrong", flush=True)
        print(f"{number} ends by {how}: {dict(series.counts)}; {len(series.wrong)} wrong")
    return 1 if series.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
