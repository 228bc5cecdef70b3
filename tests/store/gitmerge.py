"""Two machines work on the same notebooks and git merges them, with the merge driver and without.

By hand: ``python -m tests.store.gitmerge 400`` merges so many random histories and reports how often git alone manages.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from model.errors import StoreError
from model.record import Entry, Mark, Project, Reading
from model.store import decode, encode, merge
from model.store.document import to_document

ROOT = Path(__file__).resolve().parents[2]
WORDS = (
    "turned", "free", "at", "last", "the", "gland", "binds", "when", "hot", "less", "friction", "with", "graphite",
    "candle", "too", "low", "bounced", "twice",
)  # fmt: skip
FIELDS = {"piston_bore": "mm", "piston_throw": "mm", "displacer_bore": "mm", "displacer_throw": "mm", "phase": "deg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What two sides made of one project."""

    base: Project
    ours: Project
    theirs: Project


def history(dice: random.Random) -> History:
    """Draw a project of some weeks and an evening's work or two on it by either side."""
    base = Project(name="Tin", marks={1: Mark(number=1, build=_build(dice))})
    for _ in range(dice.randint(0, 6)):
        base = _add(base, dice)
    sides = []
    for _ in range(2):
        side = base
        for _ in range(dice.randint(0, 4)):
            side = _work(side, dice)
        sides.append(side)
    return History(base=base, ours=sides[0], theirs=sides[1])


def _key(dice: random.Random) -> str:
    return "k" + "".join(dice.choices("23456789abcdefghjkmnpqrstvwxyz", k=5))


def _build(dice: random.Random) -> dict[str, str]:
    return {name: f"{dice.randint(1, 99)} {unit}" for name, unit in FIELDS.items() if dice.random() < 0.8}


def _text(dice: random.Random) -> str:
    lines = (" ".join(dice.choices(WORDS, k=dice.randint(2, 7))) for _ in range(dice.randint(1, 3)))
    return "\n".join(lines) + "\n"


def _reading(dice: random.Random, key: str) -> Reading:
    return Reading(key=key, kind="speed", texts={"turns": "100", "time": f"{dice.randint(200, 900) / 10} s"})


def _add(project: Project, dice: random.Random) -> Project:
    key = _key(dice)
    readings = {k: _reading(dice, k) for k in "ab"[: dice.randint(0, 2)]}
    day = f"2026-11-{dice.randint(1, 25):02}"
    return project.with_entry(Entry(key=key, day=day, mark=max(project.marks), text=_text(dice), readings=readings))


def _work(project: Project, dice: random.Random) -> Project:
    """Do one thing: mostly add, now and then change, seldom delete."""
    keys = list(project.entries)
    what = dice.choices(["entry", "reading", "field", "text", "mark", "about", "delete"], [8, 4, 4, 2, 1, 1, 1])[0]
    mark = project.latest
    if what == "field":
        name = dice.choice(list(FIELDS))
        return project.with_mark(replace(mark, build={**mark.build, name: f"{dice.randint(1, 99)} mm measured"}))
    if what == "mark":
        return project.with_mark(Mark(number=mark.number + 1, reason=_text(dice).strip(), build=mark.build))
    if what == "about":
        return replace(project, about=_text(dice).split("\n")[0])
    if what == "entry" or not keys:
        return _add(project, dice)
    entry = project.entries[keys[-1] if dice.random() < 0.7 else dice.choice(keys)]
    if what == "reading":
        key = _key(dice)
        return project.with_entry(replace(entry, readings={**entry.readings, key: _reading(dice, key)}))
    if what == "text":
        return project.with_entry(replace(entry, text=entry.text + _text(dice)))
    return replace(project, entries={k: e for k, e in project.entries.items() if k != entry.key})


class Repository:
    """A git repository with one file for each history, and a branch for each side."""

    def __init__(self, folder: Path, histories: list[History], *, driver: bool) -> None:
        self.folder = folder
        folder.mkdir()
        self.git("init", "-q", "-b", "ours")
        (folder / ".gitattributes").write_text("*.toml merge=quarterturn\n" if driver else "")
        if driver:
            command = f"{sys.executable} -m tui merge %O %A %B"
            self.git("config", "merge.quarterturn.driver", command)
        self._commit([h.base for h in histories], "base")
        self.git("branch", "theirs")
        self._commit([h.ours for h in histories], "ours")
        self.git("checkout", "-q", "theirs")
        self._commit([h.theirs for h in histories], "theirs")
        self.git("checkout", "-q", "ours")

    def git(self, *argv: str) -> subprocess.CompletedProcess[str]:
        surroundings = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "GIT_CONFIG_GLOBAL": "/dev/null",
            "GIT_CONFIG_NOSYSTEM": "1",
        }
        for who in ("AUTHOR", "COMMITTER"):
            surroundings |= {f"GIT_{who}_NAME": "Builder", f"GIT_{who}_EMAIL": "builder@example.org"}
        return subprocess.run(
            ["git", *argv], cwd=self.folder, env=surroundings, capture_output=True, text=True, check=False
        )

    def _commit(self, projects: list[Project], message: str) -> None:
        for number, project in enumerate(projects):
            self.path(number).write_bytes(encode(project))
        self.git("add", "-A")
        self.git("commit", "-q", "--allow-empty", "-m", message)

    def path(self, number: int) -> Path:
        return self.folder / f"p{number:04}.toml"

    def merge(self) -> set[str]:
        """Merge the other side in and return the names of the files that git calls unmerged."""
        self.git("merge", "-q", "-m", "both", "theirs")
        return set(self.git("diff", "--name-only", "--diff-filter=U").stdout.split())


def leaves(table: Any, place: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield every text of a document with its place."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from leaves(value, (*place, key))
        else:
            yield (*place, key), str(value)


def lost(h: History, result: Project) -> list[str]:
    """Return the places where something that a side wrote is not in the result."""
    found = dict(leaves(to_document(result)))
    everything = "\n".join(found.values())
    start = dict(leaves(to_document(h.base)))
    sides = [dict(leaves(to_document(side))) for side in (h.ours, h.theirs)]
    missing = []
    for mine, other in (sides, sides[::-1]):
        for place, text in mine.items():
            new = start.get(place) != text
            deleted = place in start and not any(p[:2] == place[:2] for p in other)
            if place not in found and not (deleted and not new):
                missing.append(f"{place} is gone")
            elif new and text not in everything and found.get(place) != text:
                missing.append(f"{place}: {text!r} is gone")
    return missing


def judge(h: History, data: bytes, unmerged: bool) -> str:
    """Return what became of one history: merged, clash, or what is wrong."""
    try:
        result = decode(data, path="p").project
    except StoreError:
        return "conflict marks" if unmerged else "broken"
    if lost(h, result):
        return "lost"
    return "clash kept" if unmerged else "merged"


def run(folder: Path, number: int, seed: int) -> tuple[Counter[str], Counter[str], int]:
    """Merge so many histories by git with the driver and alone; return what became of each and how many truly clash."""
    dice = random.Random(seed)
    histories = [history(dice) for _ in range(number)]
    counts = []
    for driver in (True, False):
        repository = Repository(folder / f"driver-{driver}", histories, driver=driver)
        unmerged = repository.merge()
        counts.append(
            Counter(
                judge(h, repository.path(n).read_bytes(), repository.path(n).name in unmerged)
                for n, h in enumerate(histories)
            )
        )
    clashing = sum(bool(merge(h.base, h.ours, h.theirs).clashes) for h in histories)
    return counts[0], counts[1], clashing


def main() -> int:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as folder:
        ours, alone, clashing = run(Path(folder), number, seed)
    print(f"{number} histories, {clashing} of which truly clash")
    print(f"with the driver: {dict(ours)}")
    print(f"git alone:       {dict(alone)}")
    return 0 if ours["merged"] + ours["clash kept"] == number else 1


if __name__ == "__main__":
    sys.exit(main())
