"""How soon what is typed is in a draft, as one table: ``python -m tests.speed.drafts``, some minutes, by itself.

Notebooks of one project with more and more entries, each with a reading, in turn within one run; what is told is the
time from the key to the draft that holds it, and how often the time of the smallest that is. ``--held`` measures on a
tenth of a core, ``--quick`` takes fewer sizes. Nothing here passes or fails.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from model.record import Entry, Mark, Project, Reading
from model.store import Drafts, save_project
from tests.speed.screen_line import Held, Watched, module

SIZES = (1, 100, 300, 1000, 3000, 8000)
LOOK = 0.005
"""How often the folder of drafts is looked at, [s]."""


def project(entries: int) -> Project:
    """Return a project of many entries, all of an earlier mark; the latest has no readings."""
    texts = {"turns": "100", "time": "31.2 s +-0.3"}
    made = {
        f"e{n:05d}": Entry(
            key=f"e{n:05d}",
            day=f"2026-{1 + n // 28 % 12:02d}-{1 + n % 28:02d}",
            mark=1,
            text=f"Evening {n}: the flame a little lower.",
            readings={"a": Reading(key="a", kind="speed", texts=texts)},
        )
        for n in range(entries)
    }
    marks = {number: Mark(number=number, build={"layout": "rocking"}) for number in (1, 2)}
    return Project(name="Rocker", marks=marks, entries=made)


def drafted(watched: Watched, folder: Path, word: str) -> float:
    """Type a word; return when it was in a draft, [s] after its last key."""
    start = watched.press(word)
    sought = word.encode()
    while not any(sought in file.read_bytes() for file in folder.glob("*.draft")):
        watched.read(LOOK)
        if time.monotonic() > start + 120:
            raise RuntimeError(f"no draft:\n{watched.text()}")
    return time.monotonic() - start


def measure(entries: int, turns: int, held: Held | None) -> list[float]:
    """Return the times of some words in a notebook of so many entries, [s]."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "notebook"
        folder.mkdir()
        save_project(folder / "rocker.toml", project(entries), revision=None)
        watched = Watched(module("tui", str(folder)), state=Path(place), held=held)
        try:
            watched.wait_for("Rocker")
            watched.rest()
            watched.answer("enter", r"\[Dimensions")
            watched.rest()
            watched.press("down", "down")
            watched.rest()
            times = []
            for turn in range(turns):
                times.append(drafted(watched, folder / ".drafts", f"{turn}7w"))
                watched.quiet()
            return times
        finally:
            watched.close()


def write_alone(entries: int) -> float:
    """Return the least time of writing a draft of one changed field, without the screens, [s]."""
    base = project(entries)
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "rocker.toml"
        revision = save_project(path, base, revision=None)
        window = Drafts()
        times = []
        for turn in range(5):
            mark = Mark(number=2, build={"layout": "rocking", "piston_bore": f"{turn} mm"})
            typed = replace(base, marks={**base.marks, 2: mark})
            start = time.perf_counter()
            window.write(path, typed, {}, revision=revision, base=base)
            times.append(time.perf_counter() - start)
        window.close()
    return min(times)


def show(what: str, seconds: Mapping[int, float]) -> None:
    """Print a row of the table."""
    least = seconds[min(seconds)]
    print(f"| {what} | {' | '.join(f'{s:.2f} s ({s / least:.1f})' for s in seconds.values())} |", flush=True)


def main() -> int:
    """Print the table."""
    on_held = "--held" in sys.argv
    sizes = SIZES[::2] if "--quick" in sys.argv else SIZES
    sizes = sizes[:2] if on_held else sizes
    held = Held() if on_held else None
    print(f"| | {' | '.join(f'{n} entries' for n in sizes)} |\n|---|{'---|' * len(sizes)}", flush=True)
    try:
        if held is None:
            show("a draft, the screens left out", {n: write_alone(n) for n in sizes})
        show(
            f"a word, {held.how if held else 'free'}",
            {n: statistics.median(measure(n, 3 if held else 5, held)) for n in sizes},
        )
    finally:
        if held is not None:
            held.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
