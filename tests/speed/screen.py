"""How quick and light the screens are, as one table: ``python -m tests.speed.screen``, some ten minutes by itself.

What is compared runs in turn within one run: a minimal app of textual with one label, the demo notebook, and a notebook
of 500 projects with 100 readings each; times and keys once freely and once on a tenth of a core. ``--quick`` takes
fewer turns, ``--free`` leaves out the tenth of a core. Bytes are measured by the functions that
``tests/tui/test_bytes.py`` tests. A measure that fails says so in its row. Nothing here passes or fails.
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from model.record import Entry, Reading
from model.store import read_project, save_project
from tests.shell.terminal import ROOT
from tests.speed.screen_line import Held, Watched, module

LARGE, READINGS = 500, 100
FRESH = r"Model +(fresh|up to date)"
TYPED = r"As typed: \d"
"""What the panel says of a value while its field is still open."""


ROWS: dict[str, list[str]] = {}
"""Measure -> goal, found, found on a tenth of a core."""
COLUMN = {"free": 1, "held": 2}


def show(what: str, found: str, goal: str, *, held: bool = False) -> None:
    """Keep a row of the table, and say it at once on the other stream."""
    row = ROWS.setdefault(what, [goal, "", ""])
    row[COLUMN["held" if held else "free"]] = found
    print(f"{'a tenth of a core: ' if held else ''}{what}: {found}", file=sys.stderr, flush=True)


def table() -> str:
    """Return all rows."""
    head = f"| measure | goal | found {time.strftime('%Y-%m-%d')} | on a tenth of a core |\n|---|---|---|---|"
    return "\n".join([head, *(f"| {what} | {' | '.join(row)} |" for what, row in ROWS.items())])


def attempt(measure: Callable[[], None]) -> None:
    """Take a measure; one that fails does not take the others with it."""
    try:
        measure()
    except (RuntimeError, OSError, AssertionError) as error:
        show(f"not measured: {getattr(measure, '__name__', '')}", str(error).splitlines()[0], "")


def ms(times: Sequence[float]) -> str:
    """Return the median of times, [s], as milliseconds."""
    return f"{1e3 * statistics.median(times):.0f} ms"


def late(times: Sequence[float]) -> str:
    """Return the 95th percentile of times, [s], as milliseconds."""
    return f"{1e3 * sorted(times)[int(0.95 * (len(times) - 1) + 0.5)]:.0f} ms"


def large_notebook(folder: Path) -> Path:
    """Make a notebook of many projects with many readings."""
    folder.mkdir()
    base = read_project(ROOT / "projects" / "cocoa-tin.toml").project
    texts = {"turns": "100", "time": "31.2 s +-0.3"}
    entries = {
        f"e{n:05d}": Entry(
            key=f"e{n:05d}",
            day=f"2026-{1 + n // 28 % 12:02d}-{1 + n % 28:02d}",
            mark=1 + n % 3,
            text=f"Evening {n}: the flame a little lower, the bearing oiled again.",
            readings={"a": Reading(key="a", kind="speed", texts=texts)},
        )
        for n in range(READINGS)
    }
    save_project(folder / "engine-000.toml", replace(base, name="Engine 000", entries=entries), revision=None)
    text = (folder / "engine-000.toml").read_text()
    for n in range(1, LARGE):
        (folder / f"engine-{n:03d}.toml").write_text(text.replace('"Engine 000"', f'"Engine {n:03d}"', 1))
    return folder


class Bench:
    """One run."""

    def __init__(self, work: Path, *, turns: int, held: Held | None) -> None:
        self.work = work
        self.turns = turns
        self.held = held
        self.demo = Path(shutil.copytree(ROOT / "projects", work / "demo"))
        self.large = large_notebook(work / "large")
        self.bare = work / "bare"
        self.bare.mkdir()
        tin = read_project(self.demo / "cocoa-tin.toml").project
        save_project(self.bare / "cocoa-tin.toml", replace(tin, entries={}), revision=None)

    def show(self, what: str, found: str, goal: str) -> None:
        """Keep a row in the column of this bench."""
        show(what, found, goal, held=self.held is not None)

    def begin(self, *command: str) -> Watched:
        """Start a program."""
        return Watched(module(*command), state=self.work, held=self.held)

    def starts(self) -> None:
        """From the command to the first useful screen, taken in turn."""
        plans = {
            "minimal": (("tests.speed.screen_minimal",), "Ready"),
            "demo": (("tui", str(self.demo)), "Two syringes"),
            "large": (("tui", str(self.large)), "Engine 005"),
        }
        wall: dict[str, list[float]] = {name: [] for name in plans}
        spent: dict[str, list[float]] = {name: [] for name in plans}
        answered: list[float] = []
        complete: dict[str, list[float]] = {"demo": [], "large": []}
        for _ in range(self.turns):
            for name, (command, pattern) in plans.items():
                line = self.begin(*command)
                wall[name].append(line.wait_for(pattern))
                spent[name].append(line.processor())
                if name == "demo":
                    line.press("down")
                    answered.append(line.wait_for(r"^> .*Mug"))
                if name in complete:
                    complete[name].append(line.wait_for(r"Mk \d"))
                line.close()
        self.show(
            "start: minimal app with one label", f"{ms(wall['minimal'])}, {ms(spent['minimal'])} of processor", ""
        )
        for name, most in (("demo", 1.25), ("large", 1.5)):
            ratio = statistics.median(a / b for a, b in zip(wall[name], wall["minimal"], strict=True))
            work = statistics.median(spent[name]) / statistics.median(spent["minimal"])
            self.show(
                f"start: first screen, {'three demo projects' if name == 'demo' else f'{LARGE} projects'}",
                f"{ms(wall[name])}, {ratio:.2f} times (processor {work:.2f})",
                f"{most} times",
            )
        self.show("start: a key moves the cursor in the list, demo", ms(answered), "")
        self.show("start: what is in sight is read, demo", ms(complete["demo"]), "")
        self.show(f"start: what is in sight is read, {LARGE} projects", ms(complete["large"]), "")

    def keys(self) -> None:
        """Echo, new power, panes; the real model."""
        line = self.open_tin(self.bare)
        for _ in range(5):
            line.press("down")
        line.wait_for(r"^> +Piston throw")
        line.quiet()
        echo, power, whole = [], [], []
        for n in range(self.turns):
            digit = str(2 + n % 7)
            start = line.press(digit)
            for times, pattern in ((echo, rf"Piston throw +{digit}\b"), (power, TYPED), (whole, FRESH)):
                line.wait_for(pattern)
                times.append(line.came - start)
                if times is power:
                    line.press("enter")
            line.press("ctrl+z", "up")
            line.wait_for(r"^> +Piston throw +2\.5 mm")
            line.wait_for(FRESH)
            line.rest()
        self.show("a digit that opens a field is seen", f"{ms(echo)}, 95 % {late(echo)}", "")
        self.show("from the digit to the new power", ms(power), "50 ms")
        self.show("from the digit, left at once, to the new interval", ms(whole), "250 ms")
        line.press("4")
        line.wait_for(r"Piston throw +4\b")
        typed, text = [], "4"
        for n in range(3 * self.turns):
            key = "." if n == 0 else str(n % 10)
            text = (text + key)[:15]
            typed.append(line.answer(key, rf"Piston throw +{re.escape(text)}"))
            if len(text) == 15:
                line.press(*["backspace"] * 12)
                text = text[:3]
                line.wait_for(rf"Piston throw +{re.escape(text)}(?!\d)")
        self.show("a key is seen while the model computes", f"{ms(typed)}, 95 % {late(typed)}", "95 %: 20 ms")
        line.press("ctrl+z")
        line.wait_for(FRESH)
        for title in ("Materials", "Heat source", "Results", "Diary", "What next", "Dimensions"):
            line.answer("right", rf"\[{title}")
            line.quiet(0.3)
        turned = []
        for _ in range(max(2, self.turns // 3)):
            for title in ("Materials", "Heat source", "Results", "Diary", "What next", "Dimensions"):
                turned.append(line.answer("right", rf"\[{title}"))
                line.quiet(0.3)
        self.show("a change of pane, each mounted before", f"{ms(turned)}, 95 % {late(turned)}", "10 ms")
        line.close()

    def open_tin(self, folder: Path) -> Watched:
        """Open the cocoa tin."""
        line = self.begin("tui", str(folder))
        line.wait_for("Mk 3")
        line.press("enter")
        line.wait_for(FRESH)
        line.quiet()
        return line

    def memory(self, edits: int) -> None:
        """Against a minimal app that has imported numpy; growth; many projects."""
        least = self.begin("tests.speed.screen_minimal", "numpy")
        least.wait_for("Ready")
        least.quiet()
        base = least.memory()
        least.close()
        line = self.open_tin(self.demo)
        own = line.memory()
        self.show("memory: minimal app and numpy", f"{base:.0f} MB", "")
        self.show("memory: demo, a project open and predicted", f"{own:.0f} MB, {own / base:.2f} times", "1.3 times")
        self.show("memory: the peak until then", f"{line.peak():.0f} MB", "110 MB")
        line.close()
        line = self.open_tin(self.bare)
        line.press(*["down"] * 5)
        line.wait_for(r"^> +Piston throw")
        self.edit(line, 3 * edits // 10)  # until every cache has what it holds
        before = line.memory()
        self.edit(line, edits)
        grown = line.memory() - before
        self.show(f"memory: growth over {edits} edits and moves (from {before:.0f} MB)", f"{grown:+.1f} MB", "none")
        line.close()
        many = self.begin("tui", str(self.large))
        many.wait_for("predicted")
        many.quiet()
        first = many.memory()
        for n in range(5, LARGE, 5):
            many.press("pgdn")
            many.wait_for(rf"^>.*Engine {n:03d} .*Mk ")
        many.quiet()
        self.show(
            f"memory: {LARGE} projects, opened; all read by scrolling",
            f"{first:.0f} MB; {many.memory():.0f} MB",
            "150 MB",
        )
        many.close()

    def edit(self, line: Watched, keys: int) -> None:
        """Type, take back and move, so many keys in all, no faster than they are seen."""
        rounds = keys // 10
        for n in range(rounds):
            digit = str(3 + n % 7)
            line.press(digit, ".", digit, "ctrl+z")
            line.wait_for(r"Piston throw +2\.5 mm")
            line.press("up", "up", "up", "down", "down", "down")
            line.wait_for(r"^> +Piston throw")
        line.wait_for(FRESH)
        line.quiet()


def bytes_table(work: Path) -> None:
    """What is sent down the line; each row names its test in ``tests/tui/test_bytes.py``."""
    from tests.tui import test_bytes

    os.environ["XDG_STATE_HOME"] = str(work)
    folder = test_bytes.make(work / "bytes")
    walk, form, typed = test_bytes.walked(folder), test_bytes.formed(folder), test_bytes.predicted(folder)
    moves = [form[f"move {n}"] for n in range(1, test_bytes.FIELDS + 1)]
    digits = [form[f"digit {n}"] for n in range(2, 6)]
    show("bytes: the start (`test_a_step_costs_at_most`)", str(walk["start"]), "8,000")
    show("bytes: moving the focus (`test_moving_the_focus_costs_at_most_200`)", f"{min(moves)} to {max(moves)}", "200")
    show(
        "bytes: three moves, then the help (`test_a_run_through_three_fields_pays_for_one_help_alone`)",
        str(walk["three moves and the help"]),
        "",
    )
    show("bytes: a digit (`test_a_digit_costs_at_most_120`)", f"{min(digits)} to {max(digits)}", "120")
    show(
        "bytes: the digit that opens a field (`test_the_digit_that_opens_a_field_costs_at_most_200`)",
        str(form["opening digit"]),
        "",
    )
    show(
        "bytes: a digit with its new prediction (`test_a_digit_with_its_new_prediction_costs_at_most_700`)",
        str(max(typed.values())),
        "700",
    )
    show("bytes: a diary character (`test_a_step_costs_at_most`)", str(walk["diary character further down"]), "120")
    panes = [spent for step, spent in walk.items() if step.startswith("pane")]
    show("bytes: a change of pane (`test_a_step_costs_at_most`)", f"{min(panes)} to {max(panes)}", "3,000")
    show("bytes: help (`test_a_step_costs_at_most`)", str(walk["help"]), "4,000")
    show(
        "bytes: idle (`test_nothing_is_sent_while_nothing_happens`)",
        str(max(walk["idle"], walk["idle in the list"], walk["idle in the diary"])),
        "0",
    )


def main() -> None:
    """Print the table."""
    quick, free = "--quick" in sys.argv, "--free" in sys.argv
    turns = 3 if quick else 11
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        bench = Bench(work, turns=turns, held=None)
        attempt(bench.starts)
        attempt(bench.keys)
        attempt(lambda: bytes_table(work))
        attempt(lambda: bench.memory(1000 if quick else 10_000))
        if not free:
            bench.held, bench.turns = Held(), 3
            attempt(bench.starts)
            attempt(bench.keys)
            bench.held.close()
    how = "" if bench.held is None else f"; a tenth of a core: {bench.held.how}"
    print(f"Load of the machine {load:.1f} before, {os.getloadavg()[0]:.1f} after{how}.\n\n{table()}")


if __name__ == "__main__":
    main()
