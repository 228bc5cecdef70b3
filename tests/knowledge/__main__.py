"""``python -m tests.knowledge N [--write]``: N hidden engines recovered, N/5 histories of each, measured engines."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from tests.knowledge.hidden import PLANS, Recovered, Scored, new_mark, recover
from tests.knowledge.real import real_lines
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
    lines = [*recovery_lines(each), "", *history_lines(max(each // 5, 4)), "", *real_lines()]
    print("\n".join(lines))
    if "--write" in sys.argv:
        old = RESULTS.read_text(encoding="utf-8") if RESULTS.exists() else ""
        notes = NOTES + old.partition(NOTES)[2] if NOTES in old else f"{NOTES}\n"
        made_by = "Made by `python -m tests.knowledge N --write`; the notes are kept."
        head = f"# What a mark has shown: hidden engines\n\n{made_by}"
        RESULTS.write_text("\n".join([head, "", *lines, "", notes.rstrip("\n"), ""]), encoding="utf-8")
    return 0


def recovery_lines(many: int) -> list[str]:
    """Recover hidden engines and tell how often intervals hold them."""
    found: list[tuple[str, Recovered]] = []
    for number in range(many):
        plan = PLANS[number // 2 % len(PLANS)]
        made = recover((FLAT, CAN)[number % 2], plan, 100 + number)
        if made is not None:
            found.append((", ".join(plan), made))
    lines = [f"## Recovery of {len(found)} hidden engines, seeds 100 to {99 + many}", ""]
    lines += ["Share of 90 % intervals that hold the truth, by quantity; wanted 87 to 93 %.", ""]
    lines += ["| quantity | held | of | % |", "| --- | --- | --- | --- |"]
    for key in dict.fromkeys(key for _, each in found for key in each.truth):
        held = [each.holds(key) for _, each in found if key in each.truth]
        lines.append(f"| {key} | {sum(held)} | {len(held)} | {100 * sum(held) / len(held):.0f} |")
    chance, ran = np.array([each.chance for _, each in found]), np.array([each.ran for _, each in found])
    lines += ["", f"Chance to run: told {100 * chance.mean():.1f} in 100, ran {100 * ran.mean():.1f} in 100; "
              f"Brier score {((chance - ran) ** 2).mean():.4f}. Fewest engines that carry a figure: "
              f"{min(each.effective for _, each in found):.0f}."]  # fmt: skip
    return lines


def history_lines(many: int) -> list[str]:
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
            scored = [s for n in range(many) if (s := new_mark(builds, 500 + n, persists=persists)) is not None]
            lines += [_row(name, persists, key, scored) for key in ("free_running_speed", "shaft_power")]
    return lines


def _row(name: str, persists: bool, key: str, scored: list[Scored]) -> str:
    without, known = (np.array([getattr(s, which)[key] for s in scored]) for which in ("without", "with_memory"))
    chosen = np.random.default_rng(1).integers(0, len(scored), (1000, len(scored)))
    change = known[chosen].mean(axis=1) / without[chosen].mean(axis=1) - 1
    low, high = np.quantile(change, [0.025, 0.975])
    held = np.mean([s.held[key] for s in scored])
    told = f"{100 * (known.mean() / without.mean() - 1):+.0f} % ({100 * low:+.0f} to {100 * high:+.0f})"
    return (
        f"| {name} | {'yes' if persists else 'no'} | {key} | {without.mean():.3f} | {known.mean():.3f} | "
        f"{told} | {100 * held:.0f} % |"
    )


if __name__ == "__main__":
    raise SystemExit(main())
