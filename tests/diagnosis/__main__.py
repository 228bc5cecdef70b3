"""``python -m tests.diagnosis [N]``: N hidden faults of every cause and build, in three orders; prints tables."""

from __future__ import annotations

import sys

from tests.diagnosis.bench import STRATEGIES, Case, cases
from tests.diagnosis.builds import BUILDS
from tests.diagnosis.report import by_cause, calibration, summary


def main() -> int:
    """Run and print."""
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    found: list[Case] = []
    for number, name in enumerate(BUILDS):
        found += cases(name, each=each, seed=1000 + 37 * number)
        print(f"{name}: {sum(c.build == name and c.strategy == 'ours' for c in found)} hidden faults", flush=True)
    for line in summary(found):
        print(line)
    for strategy in STRATEGIES[:1]:
        for line in (*calibration([c for c in found if c.strategy == strategy]), *by_cause(found, strategy)):
            print(line)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
