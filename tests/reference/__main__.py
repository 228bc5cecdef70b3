"""Print predicted against measured for every small engine that was found: ``python -m tests.reference``."""

from __future__ import annotations

import statistics
from collections import Counter

from model.quantities.units import from_si
from tests.reference.engines import QUANTITIES, Judged, judge, not_judged


def row(item: Judged) -> str:
    """One line of the table."""
    if item.measured is None:
        said = "ran" if item.ran else "did not run"
        right = (item.runs >= 0.5) == item.ran
        verdict = "right" if right else "WRONG"
        return f"{item.engine:21s} {item.quantity:20s} {said:>30s}   runs {item.runs:4.0%}  {verdict}"
    kind, unit = QUANTITIES[item.quantity]

    def text(value: float | None) -> str:
        return "-" if value is None else f"{from_si(value, kind, unit):.4g}"

    width = item.high / item.low if item.low and item.high and item.low > 0 else float("inf")
    return (
        f"{item.engine:21s} {item.quantity:20s} {text(item.measured.value):>9s} {text(item.value):>9s} {unit:4s}"
        f" ratio {item.ratio or 0:5.2f}  {text(item.low):>8s} to {text(item.high):>8s}  width {width:5.1f}"
        f"  {'inside' if item.inside else 'OUTSIDE':7s}  runs {item.runs:4.0%}  {item.trust}"
    )


def main() -> None:
    """Print the table and its summary."""
    found = judge()
    for item in found:
        print(row(item))
    for quantity in QUANTITIES:
        group = [i for i in found if i.quantity == quantity and i.ratio is not None]
        if not group:
            continue
        ratios = sorted(i.ratio for i in group if i.ratio is not None)
        widths = sorted(i.high / i.low if i.low and i.high and i.low > 0 else float("inf") for i in group)
        twice = sum(0.5 <= r <= 2 for r in ratios)
        held = sum(bool(i.inside) for i in group)
        print(
            f"{quantity:20s} {len(ratios):3d} points, median ratio {statistics.median(ratios):.2f}, "
            f"within a factor two {twice}, inside the 90 % interval {held}, "
            f"median width {statistics.median(widths):.1f}"
        )
    told = [i for i in found if i.quantity in ("runs", "free_running_speed", "shaft_power")]
    right = sum((i.runs >= 0.5) == i.ran for i in told)
    print(f"runs or does not: right {right} of {len(told)}")
    print("\nNo prediction:")
    for left, count in Counter(not_judged()).items():
        times = f" ({count} values)" if count > 1 else ""
        print(f"{left.engine:21s} {left.quantity:20s} because {left.reason}{times}")


if __name__ == "__main__":
    main()
