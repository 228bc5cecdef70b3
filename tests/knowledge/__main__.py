"""``python -m tests.knowledge PART N [--write] [--kept FILE]``: recovery of N hidden engines, N histories, or measured.

PART is ``recovery``, ``histories`` or ``measured``, which takes no N. Written, its section alone is replaced. With a
file what is in it is not run again, and what is run is added to it.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from tests.knowledge.hidden import new_mark
from tests.knowledge.kept import Kept, Row
from tests.knowledge.real import real_lines
from tests.knowledge.recovery import recovery_lines
from tests.knowledge.stories import CAN, FLAT

RESULTS = Path(__file__).with_name("RESULTS.md")
HISTORIES = {
    "can": (CAN, {**CAN, "piston_throw": "4.5 mm +-0.1 measured"},
            {**CAN, "piston_throw": "4.5 mm +-0.1 measured", "displacer_throw": "14 mm +-0.2 measured"}),
    "flat": (FLAT, {**FLAT, "piston_throw": "4 mm"}, {**FLAT, "piston_throw": "4 mm", "displacer_throw": "4 mm"}),
}  # fmt: skip


def main() -> int:
    """Run, print, and write where that is asked for."""
    part, many = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 and sys.argv[2].isdigit() else 20
    at = sys.argv.index("--kept") + 1 if "--kept" in sys.argv else 0
    kept = Kept(Path(sys.argv[at]) if at else None)
    if part == "recovery":
        lines = recovery_lines(kept, many)
    else:
        lines = history_lines(kept, many) if part == "histories" else real_lines()
    print("\n".join(lines))
    if "--write" in sys.argv:
        write("\n".join(lines))
    return 0


def write(section: str) -> None:
    """Put a section in the place of the one that begins with the same word; all others are kept."""
    head, *others = RESULTS.read_text(encoding="utf-8").split("\n## ")
    first = section.removeprefix("## ").split()[0]
    made = [section.removeprefix("## ").strip() if old.startswith(first) else old.strip() for old in others]
    RESULTS.write_text("\n\n## ".join([head.strip(), *made]) + "\n", encoding="utf-8")


def history_lines(kept: Kept, many: int) -> list[str]:
    """Score first predictions of third marks."""
    lines = [f"## First prediction of a third mark, {many} histories of each kind, seeds from 500", ""]
    lines += ["Mean CRPS over the truth, without and with memory of two marks; wanted 20 % less, and no more than 5 % "
              "more where nothing persists. In brackets the 95 % bootstrap of the change.", ""]  # fmt: skip
    lines += [
        "| engine | persists | quantity | without | with | change | intervals hold |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name, builds in HISTORIES.items():
        for persists in (True, False):
            tried = [
                kept.row(f"history {name} {persists} {500 + n}", partial(_scored, builds, 500 + n, persists))
                for n in range(many)
            ]
            scored = [row for row in tried if row is not None]
            lines += [_row(name, persists, key, scored) for key in ("free_running_speed", "shaft_power")]
    return lines


def _scored(builds: Sequence[Mapping[str, str]], seed: int, persists: bool) -> Row | None:
    made = new_mark(builds, seed, persists=persists)
    if made is None:
        return None
    return {"without": dict(made.without), "with_memory": dict(made.with_memory), "held": dict(made.held)}


def _row(name: str, persists: bool, key: str, scored: list[Row]) -> str:
    without, known = (np.array([s[which][key] for s in scored]) for which in ("without", "with_memory"))
    chosen = np.random.default_rng(1).integers(0, len(scored), (1000, len(scored)))
    change = known[chosen].mean(axis=1) / without[chosen].mean(axis=1) - 1
    low, high = np.quantile(change, [0.025, 0.975])
    held = np.mean([s["held"][key] for s in scored])
    told = f"{100 * (known.mean() / without.mean() - 1):+.0f} % ({100 * low:+.0f} to {100 * high:+.0f})"
    return (
        f"| {name} | {'yes' if persists else 'no'} | {key} | {without.mean():.3f} | {known.mean():.3f} | "
        f"{told} | {100 * held:.0f} % |"
    )


if __name__ == "__main__":
    raise SystemExit(main())
