"""A simulated disk that loses power: what was synced stays, what was not is kept or dropped in any order.

The store's own code runs against a real folder while its system calls are recorded; the record is then played back on a
model of a disk, cut at a random call, and every change that no fsync had confirmed is kept or dropped by dice.

The model (fsync(2) and rename(2), Linux man-pages 6; POSIX.1-2017 ``fsync``): bytes written to a file are on the disk
for certain after fsync of that file, before it any part of them may be; a name made, renamed or removed is on the disk
for certain after fsync of its folder, before it the old or the new state of each name may be, in any order.

By hand: ``python -m tests.store.disk 20000`` plays so many histories.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from model.record import Entry, Project
from model.store import encode, read_project, save_project

PIECE = 512
"""Bytes that a disk writes at once: a sector."""


@dataclass(frozen=True)
class Call:
    """One system call that changes the disk."""

    name: str
    inode: int = 0
    folder: str = ""
    entry: str = ""
    other: str = ""
    offset: int = 0
    data: bytes = b""


@contextmanager
def recorded(calls: list[Call]) -> Iterator[None]:
    """Record the calls of the code inside the block."""
    real = {name: getattr(os, name) for name in ("open", "write", "fsync", "replace", "unlink", "link")}
    opened: dict[int, tuple[int, str]] = {}
    offsets: dict[int, int] = {}

    def place(path: Any) -> tuple[str, str]:
        return os.path.split(os.fspath(path))

    def open_(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        there = os.path.lexists(path)
        fd = int(real["open"](path, flags, *rest, **more))
        inode = os.fstat(fd).st_ino
        opened[fd] = (inode, os.fspath(path))
        offsets[fd] = 0
        if not there:
            calls.append(Call("create", inode, *place(path)))
        elif flags & os.O_TRUNC:
            calls.append(Call("truncate", inode))
        return fd

    def write(fd: int, data: bytes) -> int:
        size = int(real["write"](fd, data))
        calls.append(Call("write", opened[fd][0], offset=offsets[fd], data=bytes(data)[:size]))
        offsets[fd] += size
        return size

    def fsync(fd: int) -> None:
        real["fsync"](fd)
        inode, path = opened[fd]
        calls.append(Call("syncfolder", folder=path) if Path(path).is_dir() else Call("sync", inode))

    def replace_(old: Any, new: Any, **more: Any) -> None:
        real["replace"](old, new, **more)
        folder, entry = place(old)
        calls.append(Call("rename", folder=folder, entry=entry, other=place(new)[1]))

    def unlink(path: Any, **more: Any) -> None:
        real["unlink"](path, **more)
        calls.append(Call("remove", 0, *place(path)))

    wrapped = {"open": open_, "write": write, "fsync": fsync, "replace": replace_, "unlink": unlink}
    for name, function in wrapped.items():
        setattr(os, name, function)
    try:
        yield
    finally:
        for name in wrapped:
            setattr(os, name, real[name])


@dataclass
class Disk:
    """What is on the disk for certain, and what may be."""

    folder: str
    names: dict[str, int] = field(default_factory=dict)
    """Names as the running program sees them."""
    sure_names: dict[str, int] = field(default_factory=dict)
    """Names that outlast a loss of power."""
    bytes_: dict[int, bytes] = field(default_factory=dict)
    sure: dict[int, bytes] = field(default_factory=dict)
    steps: dict[str, list[int | None]] = field(default_factory=dict)
    """States that each name has gone through since the folder was synced."""

    def do(self, call: Call) -> None:
        """Carry out a call."""
        if call.folder not in ("", self.folder):
            return
        if call.name == "create":
            self._name(call.entry, call.inode)
            self.bytes_[call.inode] = b""
            self.sure.setdefault(call.inode, b"")
        elif call.name == "truncate":
            self.bytes_[call.inode] = b""
        elif call.name == "write":
            old = self.bytes_.get(call.inode, b"")
            self.bytes_[call.inode] = old[: call.offset] + call.data + old[call.offset + len(call.data) :]
        elif call.name == "sync":
            self.sure[call.inode] = self.bytes_.get(call.inode, b"")
        elif call.name == "syncfolder":
            self.sure_names = dict(self.names)
            self.steps.clear()
        elif call.name == "rename":
            self._name(call.other, self.names[call.entry])
            self._name(call.entry, None)
        elif call.name == "remove":
            self._name(call.entry, None)

    def _name(self, entry: str, inode: int | None) -> None:
        self.steps.setdefault(entry, []).append(inode)
        if inode is None:
            self.names.pop(entry, None)
        else:
            self.names[entry] = inode

    def lose_power(self, dice: random.Random) -> dict[str, bytes]:
        """Return the files that are there afterwards, in one of the ways that are possible."""
        names: dict[str, int | None] = dict(self.sure_names)
        for entry, states in self.steps.items():
            names[entry] = dice.choice([self.sure_names.get(entry), *states])
        return {entry: self._content(inode, dice) for entry, inode in names.items() if inode is not None}

    def _content(self, inode: int, dice: random.Random) -> bytes:
        """Return a file of which each sector, and its length, is of either state."""
        old, new = self.sure.get(inode, b""), self.bytes_.get(inode, b"")
        if old == new:
            return new
        size = dice.choice([len(old), len(new), dice.randint(0, max(len(old), len(new)))])
        pieces = []
        for at in range(0, size, PIECE):
            source = dice.choice([old, new, b""])
            pieces.append(source[at : at + PIECE].ljust(min(PIECE, size - at), b"\0"))
        return b"".join(pieces)


def state(number: int, dice: random.Random) -> Project:
    """Draw a project that differs from every other; some are larger than a sector."""
    text = "".join(dice.choices("abcdefgh \n", k=dice.choice([10, 600, 3000])))
    return Project(name="Cup", entries={f"e{number}": Entry(key=f"e{number}", text=text)})


@dataclass
class Trace:
    """Some saves of one file, as recorded."""

    folder: str
    calls: list[Call]
    states: list[bytes]
    """The bytes of the file after each save."""
    ends: list[int]
    """Number of calls that were made when each save returned."""


def trace(folder: Path, dice: random.Random, saves: int, save: Callable[..., str] = save_project) -> Trace:
    """Save a file so many times, and record it."""
    calls: list[Call] = []
    made = Trace(folder=str(folder), calls=calls, states=[], ends=[])
    path = folder / "cup.toml"
    revision = None
    with recorded(calls):
        for number in range(saves):
            project = state(number, dice)
            if number and dice.random() < 0.3:
                project = replace(read_project(path).project, about=f"about {number}")
            revision = save(path, project, revision=revision)
            made.states.append(encode(project))
            made.ends.append(len(calls))
    return made


def cut(made: Trace, dice: random.Random) -> str:
    """Cut the power at a random call; return what became of the file: "old", "new", "none yet" or what is wrong."""
    at = dice.randint(0, len(made.calls))
    disk = Disk(folder=made.folder)
    for call in made.calls[:at]:
        disk.do(call)
    saved = sum(end <= at for end in made.ends)
    found = disk.lose_power(dice).get("cup.toml")
    if found is None:
        return "none yet" if saved == 0 else "WRONG: the file is gone"
    if found not in made.states:
        return "WRONG: neither old nor new"
    which = made.states.index(found)
    if which < saved - 1:
        return "WRONG: what was called saved is gone"
    return "old" if which == saved - 1 else "new"


def run(folder: Path, number: int, seed: int, save: Callable[..., str] = save_project) -> Counter[str]:
    """Play so many histories; each record of some saves serves fifty of them."""
    dice = random.Random(seed)
    found: Counter[str] = Counter()
    for turn in range(-(-number // 50)):
        place = folder / f"t{turn}"
        place.mkdir()
        made = trace(place, dice, dice.randint(1, 4), save)
        found.update(cut(made, dice) for _ in range(min(50, number - 50 * turn)))
    return found


def main() -> int:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    with tempfile.TemporaryDirectory() as folder:
        found = run(Path(folder), number, seed=int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    print(f"{number} losses of power: {dict(found)}")
    return int(any(key.startswith("WRONG") for key in found))


if __name__ == "__main__":
    sys.exit(main())
