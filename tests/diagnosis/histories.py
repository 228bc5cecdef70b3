"""``python -m tests.diagnosis.histories [N]``: hidden faults of a flat engine whose mark before was tested.

Grams on the rim and a half-time were read on Mk 1, with noise; Mk 2 has another wheel, was not opened and stands. How
likely its true cause is said to be by nothing, by the readings as they are, and had they been made on Mk 2.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import numpy as np

from model.explain.diagnosis.bench_tests import bench_test
from model.explain.diagnosis.causes import CAUSES
from model.knowledge.not_running import diagnose
from tests.diagnosis.bench import hidden, read
from tests.diagnosis.builds import BUILDS
from tests.knowledge.stories import FLAT, entry, project

LATER = {**FLAT, "wheel_mass": "31 g"}
HIDDEN = ("friction", "leak", "phase", "heat", "displacer")


def said(cause: str, mark: int | None, grams: float, half_time: float) -> tuple[float, int]:
    """Return how likely the cause is said to be on Mk 2, and its rank, with readings of a mark."""
    readings = (
        ("rim_weight", {"weight": f"{1e3 * grams:.4g} g +-{20 * grams:.2g}", "radius": "60 mm"}),
        ("leak_down", {"time": f"{half_time:.3g} s", "hose": "2 mm"}),
    )
    entries = () if mark is None else (entry("a", mark, *readings),)
    chances = {c.key: c.probability for c in diagnose(project(FLAT, LATER, entries=entries), mark=2).causes}
    return chances[cause], 1 + sum(chance > chances[cause] for chance in chances.values())


def cases(each: int, seed: int = 77) -> Iterator[tuple[str, list[tuple[float, int]]]]:
    """Yield hidden faults, with what is said of each by nothing, by Mk 1, by Mk 2."""
    BUILDS["flat, as a beginner types it"] = FLAT
    world = hidden("flat, as a beginner types it", seed=seed, turns=max(10, each), shafts=3)
    stands = world.outcomes["runs"] == 0
    generator = np.random.default_rng(3)
    keys = [cause.key for cause in CAUSES]
    for cause in HIDDEN:
        those = np.flatnonzero((world.cause == keys.index(cause)) & stands)
        for row in generator.choice(those, size=each, replace=False):
            grams, half_time = (
                read(bench_test(test), float(world.outcomes[test][row]), generator)
                for test in ("rim_weight", "leak_down")
            )
            yield cause, [said(cause, mark, grams, half_time) for mark in (None, 1, 2)]


def main() -> int:
    """Run and print."""
    found = list(cases(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
    for cause, told in found:
        print(f"{cause:<10} " + "   ".join(f"{chance:.3f} ({rank})" for chance, rank in told))
    table = np.array([told for _, told in found])
    print(
        "mean logarithm of the chance of the true cause", np.log(np.maximum(table[:, :, 0], 1e-3)).mean(axis=0).round(2)
    )
    print("in the top two", (table[:, :, 1] <= 2).mean(axis=0).round(2))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
