"""How long one frame of each curve takes at 120x40, by hand: ``python -m tests.speed.curves FILE``.

The least of several, in processor time of one core; braille, which has the most dots. Nothing here passes or fails; a
frame is to be drawn within 33 ms.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from model.curves.curves import curves_of
from model.store import read_project
from tui.view.chart import chart_lines
from tui.view.chart_look import first_look

WIDTH, HEIGHT, RUNS = 120, 40, 7


def main() -> None:
    """Print a line for each curve."""
    project = read_project(Path(sys.argv[1])).project
    start = time.process_time()
    charts = curves_of(project, project.latest.number).charts
    print(f"worked out in {time.process_time() - start:.1f} s of processor")
    for chart in charts:
        times = []
        for _ in range(RUNS):
            chart_lines.cache_clear()
            start = time.process_time()
            chart_lines(chart, width=WIDTH, height=HEIGHT, plain=False, look=first_look(chart))
            times.append(1e3 * (time.process_time() - start))
        print(f"{chart.title:40}{min(times):6.1f} ms")


if __name__ == "__main__":
    main()
