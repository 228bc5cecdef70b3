"""``python -m tests.knowledge N [--write] [--kept FILE]``: N hidden engines recovered, N/5 histories, measured engines.

With a file what is in it is not run again, and what is run is added to it.
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
NOTES = "## Notes"
HISTORIES = {
    "can": (CAN, {**CAN, "piston_throw": "4.5 mm +-0.1 measured"},
            {**CAN, "piston_throw": "4.5 mm +-0.1 measured", "displacer_throw": "14 mm +-0.2 measured"}),
    "flat": (FLAT, {**FLAT, "piston_throw": "4 mm"}, {**FLAT, "piston_throw": "4 mm", "displacer_throw": "4 mm"}),
}  # fmt: skip


def main() -> int:
    """Run, print, and write where that is asked for."""
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    at = sys.argv.index("--kept") + 1 if "--kept" in sys.argv else 0
    kept = Kept(Path(sys.argv[at]) if at else None)
    lines = [*recovery_lines(kept, each), "", *history_lines(kept, max(each // 5, 4)), "", *real_lines()]
    print("\n".join(lines))
    if "--write" in sys.argv:
        old = RESULTS.read_text(encoding="utf-8") if RESULTS.exists() else ""
        notes = NOTES + old.partition(NOTES)[2] if NOTES in old else f"{NOTES}\n"
        made_by = "Made by `python -m tests.knowledge N --write`; the notes are kept."
        head = f"# What a mark has shown: hidden engines\n\n{made_by}"
        RESULTS.write_text("\n".join([head, "", *lines, "", notes.rstrip("\n"), ""]), encoding="utf-8")
    return 0


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
