"""The program ended at random moments while a builder makes, changes, keeps and throws away scratch copies.

By hand: ``python -m tests.kill_scratch 200`` (KILL; or HUP, TERM, INT, CLOSE behind it), always in the same notebook.

The judge is the screen: a copy that stood there with its text a second before the end is in a draft with that text or a
later one, unless it was kept or thrown away; what was kept and called saved is a mark of the file; and no text of a
copy is in the file that nobody kept.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from model.record import Mark, Project
from model.store import left_drafts, read_project, save_project
from tests.kill import ALLOWED, FIELD, ROW, Watched
from tui.state.scratch import from_held

_LOOKED_AT = re.compile(r"scratch (\w+) of Mk \d+")
_LETTERS = "abcdefghkmnpqrstuvwxyz"


class Copies(Watched):
    """A terminal that remembers which copy stood there with which text, and which mark was called saved."""

    def __init__(self, folder: Path) -> None:
        self.seen: list[tuple[float, str, str]] = []
        """When a copy was first seen with a text of the field: moment, name, text."""
        super().__init__(folder)

    def _look(self) -> None:
        text = self.screen()
        found, looked_at = ROW.search(text), _LOOKED_AT.search(text.split("\n", 1)[0])
        if found and looked_at:
            now = (looked_at[1], found[1].strip("?"))
            if not self.seen or self.seen[-1][1:] != now:
                self.seen.append((time.monotonic(), *now))


class _Over(Exception):
    """The time of typing is over."""


@dataclass
class ScratchSeries:
    """Many ends of the program in one notebook."""

    folder: Path
    dice: random.Random
    wrong: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    number: int = 0
    longest: float = 9.0
    """Longest time of typing before an end, [s]."""
    typed: dict[str, list[str]] = field(default_factory=dict)
    """What was typed into each copy, the newest last, up to the end."""
    sure: dict[str, str] = field(default_factory=dict)
    """What each copy must have at least: the text that was seen long enough before an end."""
    gone: set[str] = field(default_factory=set)
    """Copies that were told to be kept or thrown away."""
    kept: set[str] = field(default_factory=set)
    """Those of them that were told to be kept: they are there, or a mark is."""

    @property
    def file(self) -> Path:
        """The one project of the notebook."""
        return self.folder / "rocker.toml"

    def begin(self) -> None:
        """Make the notebook: a layout without a prediction, so that the time goes into typing."""
        self.folder.mkdir()
        mark = Mark(number=1, build={"layout": "rocking"})
        save_project(self.file, Project(name="Rocker", marks={1: mark}), revision=None)

    def once(self, how: str = "KILL") -> None:
        """Start, work with copies, end, and look at what is on the disk."""
        self.number += 1
        watched = Copies(self.folder)
        try:
            watched.wait_until("Rocker")
            watched.press("enter")
            watched.wait_until(r"\[Dimensions")
            end = time.monotonic() + self.dice.uniform(0.1, self.longest)
            try:
                self._work(watched, end)
            except _Over:
                self.counts["ended amid the work"] += 1
            moment = time.monotonic()
            watched.end(how)
            self.counts[how] += 1
            self._judge(watched, moment - (ALLOWED if how == "KILL" else 0.0))
        finally:
            watched.let_go()

    def _work(self, watched: Copies, end: float) -> None:
        def wait(pattern: str) -> None:
            while not re.search(pattern, watched.screen(), re.MULTILINE):
                if time.monotonic() > end or not watched.listen(0.05):
                    raise _Over

        def press(*keys: str) -> None:
            for key in keys:
                if time.monotonic() > end:
                    raise _Over
                watched.press(key)
                watched.listen(self.dice.choice((0.0, 0.02, 0.1)))

        for _ in range(40):
            if ROW.search(watched.screen()):
                break
            before = watched.cursor()
            press("down")
            watched.wait_for_move(before)
        for turn in range(20):
            name = f"c{self.number}n{turn}"
            press("i")
            wait("What if")
            if "What if: a scratch copy of" not in watched.screen():
                press("n")
                wait("What if: a scratch copy of|Its name:")
            self.typed[name] = []
            press(name, "enter")
            wait(f"scratch {name} of")
            self.counts["begun"] += 1
            for _ in range(self.dice.randint(0, 2)):
                token = f"{self.dice.randint(1, 9)}x{''.join(self.dice.choices(_LETTERS, k=4))}"
                self.typed[name].append(token)
                press(*token, "enter")  # what cannot be read is flagged, and the cursor stays with it
                watched.listen(self.dice.choice((0.0, 0.3, 1.2)))
            self._settle(watched, name, press, wait)

    def _settle(self, watched: Copies, name: str, press, wait) -> None:  # type: ignore[no-untyped-def]
        """Keep the copy, throw it away, or leave it as it is."""
        what = self.dice.choice("kdm")
        if what == "m" or (what == "k" and not self.typed[name]):
            press("i")
            wait("Throw it away")
            press("m")
            wait("(?!.*scratch)Mk")
            return
        press("i")
        wait("Throw it away")
        self.gone.add(name)
        if what == "d":
            press("d")
            wait("thrown away")
            self.counts["thrown away"] += 1
            return
        self.kept.add(name)
        press("k")
        wait("^Why Mk")
        press("enter")
        wait("Rocker")
        self.counts["kept"] += 1
        watched.listen(0.3)

    def _judge(self, watched: Copies, until: float) -> None:
        copies: dict[str, str] = {}
        everywhere = [read_project(self.file).project]
        for draft in left_drafts(self.file):
            everywhere.append(draft.project)
            marks_there = {**everywhere[0].marks, **draft.project.marks}
            for each in from_held(draft.open_fields).values():
                copies[each.name] = each.over(marks_there[each.number]).build.get(FIELD, "")
        each_with = [[mark.build.get(FIELD, "") for mark in project.marks.values()] for project in everywhere]
        marks, anywhere = each_with[0], {text for texts in each_with for text in texts}
        self.counts["copies found"] += len(copies)
        for moment, name, text in watched.seen:
            if moment <= until:
                self.sure[name] = text
        for name, text in self.sure.items():
            if name in self.gone - self.kept:
                continue
            found = {copies[name]} if name in copies else set()
            found |= anywhere if name in self.kept else set()
            if not any(self._not_older(name, text, each) for each in found):
                self.wrong.append(
                    f"round {self.number}: {name} had {text!r}; drafts have {copies}, marks {marks}, {self.typed[name]}"
                )
                self.sure[name] = ""  # told once
        for text in filter(None, marks):
            if not any(token.startswith(text) for name in self.kept for token in self.typed[name]):
                self.wrong.append(f"round {self.number}: {text!r} was entered and nobody kept it")

    def _not_older(self, name: str, seen: str, text: str) -> bool:
        """Whether a text that was found is the one that was seen, or a later one."""
        if text == seen or not seen:
            return True
        typed = self.typed[name]
        at = max((number for number, token in enumerate(typed) if token.startswith(seen)), default=0)
        return any(token.startswith(text) for token in typed[at + 1 :]) or (
            bool(text) and typed[at].startswith(text) and len(text) > len(seen)
        )


def main() -> int:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    how = sys.argv[2] if len(sys.argv) > 2 else "KILL"
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    with tempfile.TemporaryDirectory() as folder:
        series = ScratchSeries(folder=Path(folder) / "notebook", dice=random.Random(seed))
        series.begin()
        for _ in range(number):
            try:
                series.once(how)
            except AssertionError as error:
                series.wrong.append(f"round {series.number}: {error}")
        for each in series.wrong:
            print(each, flush=True)
        print(f"{number} ends by {how}: {dict(series.counts)}; {len(series.wrong)} wrong")
    return 1 if series.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
