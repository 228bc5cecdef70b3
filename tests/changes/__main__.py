"""``python -m tests.changes N [--write]``: N hidden engines advised on; prints how good the first advice is."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from tests.changes.hidden import Judged, hidden_engines

RESULTS = Path(__file__).with_name("RESULTS.md")


def lines_of(found: list[Judged]) -> list[str]:
    """Return the results as lines."""
    first, ordered = (np.array([getattr(each, name) for each in found]) for name in ("first", "by_order"))
    told = [pair for each in found for pair in each.told]
    inside = [one for each in found for one in each.inside]
    lines = [
        f"{len(found)} hidden engines that ran, flat ones and cans in turn, one free-running speed read on each.",
        "",
        f"- True gain of the change advised first, over that of the best one: median {np.median(first):.2f}, "
        f"in {np.mean(first >= 0.8):.0%} of the engines at least 0.8.",
        f"- The same of the first of the builders' fixed order: median {np.median(ordered):.2f}; the advice is better "
        f"in {np.mean(first > ordered):.0%}.",
        f"- True gain within the 90 % interval told: {np.mean(inside):.0%} of the {len(inside)} changes told to help.",
        "",
        "| chance to help told | changes | helped |",
        "| --- | --- | --- |",
    ]
    for low in np.arange(0, 1, 0.1):
        within = [did for chance, did in told if low <= chance < low + 0.1 or (low > 0.85 and chance >= low + 0.1)]
        if within:
            lines.append(f"| {low:.0%} to {low + 0.1:.0%} | {len(within)} | {np.mean(within):.0%} |")
    return lines


def main() -> int:
    """Run, print, and write where that is asked for."""
    lines = lines_of(hidden_engines(int(sys.argv[1]) if len(sys.argv) > 1 else 10))
    print("\n".join(lines))
    if "--write" in sys.argv:
        head = ["# What to change next: hidden engines", "", "Made by `python -m tests.changes N --write`.", ""]
        RESULTS.write_text("\n".join([*head, *lines, ""]), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
