"""Hidden engines recovered, as tables: how often intervals hold the truth, and how honest chances are."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from scipy.stats import binom

from tests.knowledge.hidden import PLANS, TRUTHS, recover
from tests.knowledge.kept import Kept, Row
from tests.knowledge.stories import CAN, FLAT

FIRST = 100
"""Seed of the first."""


def recovery_lines(kept: Kept, many: int) -> list[str]:
    """Recover hidden engines, a third as many with other truths than learning takes them for, and tell what held."""
    found = {truths: list(_rows(kept, many if truths == TRUTHS[0] else many // 3, truths)) for truths in TRUTHS}
    whole = found[TRUTHS[0]]
    lines = [f"## Recovery of {len(whole)} hidden engines, seeds {FIRST} to {FIRST + many - 1}", ""]
    shifted, heavy = (len(found[truths]) for truths in TRUTHS[1:])
    lines += [
        "Share of 90 % intervals that hold the truth, [%] of so many, and the 95 % binomial range of a share of 90 %; "
        "wanted 87 to 93 %. Beside: truths shifted by half a standard deviation each (an input's all to one side), "
        f"{shifted} engines, and with the tails of Student's t with 4 degrees of freedom, {heavy}; goal 80 %.",
        "",
    ]
    lines += ["| quantity | as drawn | range | shifted | heavy tails |", "| --- | --- | --- | --- | --- |"]
    for key in dict.fromkeys(key for row in whole for key in row["truth"]):
        cells = []
        for truths in TRUTHS:
            held = [_holds(row, key) for row in found[truths] if key in row["truth"]]
            cells.append(f"{100 * np.mean(held):.0f} of {len(held)}" if held else "")
            if truths == TRUTHS[0]:
                low, high = (binom.ppf(p, len(held), 0.9) / len(held) for p in (0.025, 0.975))
                cells.append(f"{100 * low:.0f} to {100 * high:.0f}")
        lines.append(f"| {key} | {' | '.join(cells)} |")
    return [*lines, "", *_chance_lines(whole)]


def _rows(kept: Kept, many: int, truths: str) -> Iterator[Row]:
    for number in range(many):
        name, build = (("flat", FLAT), ("can", CAN))[number % 2]
        plan, seed = PLANS[number // 2 % len(PLANS)], FIRST + number
        row = kept.row(f"recovery {truths} {name} {'+'.join(plan)} {seed}", partial(_row, build, plan, seed, truths))
        if row is not None:
            yield row


def _row(build: dict[str, str], plan: tuple[str, ...], seed: int, truths: str) -> Row | None:
    made = recover(build, plan, seed, truths)
    if made is None:
        return None
    return {
        "truth": dict(made.truth),
        "ends": {key: list(ends) for key, ends in made.ends.items()},
        "chance": made.chance,
        "ran": made.ran,
        "effective": made.effective,
    }


def _holds(row: Row, key: str) -> bool:
    low, high = row["ends"][key]
    return bool(low <= row["truth"][key] <= high)


def _chance_lines(whole: list[Row]) -> list[str]:
    """Tell chances to run by tenths beside how many ran, with the 95 % binomial range where there are ten or more."""
    chance, ran = np.array([row["chance"] for row in whole]), np.array([row["ran"] for row in whole])
    lines = [
        "| chance told | engines | told, mean % | ran, % | 95 % binomial range |",
        "| --- | --- | --- | --- | --- |",
    ]
    for tenth in range(10):
        own = np.minimum((10 * chance).astype(int), 9) == tenth
        if own.any():
            many, told = int(own.sum()), float(chance[own].mean())
            low, high = (100 * binom.ppf(p, many, told) / many for p in (0.025, 0.975))
            limits = f"{low:.0f} to {high:.0f}" if many >= 10 else ""
            cells = (f"{10 * tenth} to {10 * tenth + 10} %", many, f"{100 * told:.0f}", f"{100 * ran[own].mean():.0f}")
            lines.append(f"| {' | '.join(map(str, cells))} | {limits} |")
    score = ((chance - ran) ** 2).mean()
    lines += ["", f"Chance to run: told {100 * chance.mean():.1f} in 100, ran {100 * ran.mean():.1f} in 100; Brier "]
    lines[-1] += f"score {score:.4f}. Fewest engines that carry a figure: {min(row['effective'] for row in whole):.0f}."
    return lines


__all__ = ["recovery_lines"]
