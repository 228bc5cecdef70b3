"""How long a frame of the turning engine takes to draw, by hand: ``python -m tests.speed.frames``.

Picture and figures as they stand at 80x24, 120x40 and 200x60, each angle of a turn once, in processor time; the goal is
33 ms at 120x40. Nothing here passes or fails.
"""

from __future__ import annotations

import statistics
import time

from model.drawing.engine import engine_stepwise
from model.fields import parse_build
from model.fields.starts import STARTS
from model.record import Mark, Project
from tui.view.engine import picture
from tui.view.moment import BESIDE, moment_lines

SIZES = {"80x24": (51, 18), "120x40": (91, 29), "200x60": (171, 49)}
"""Terminal -> cells of the picture."""


def main() -> None:
    """Print the table."""
    for start in STARTS:
        texts = dict(start.texts)
        project = Project(name="X", marks={1: Mark(number=1, build=texts)})
        began = time.process_time()
        *_, view = engine_stepwise(project, 1, build=parse_build(texts).build, speed=10.0)
        print(f"{start.label}: geometry and a turn of air {1e3 * (time.process_time() - began):.0f} ms")
        for name, (width, height) in SIZES.items():
            times = []
            for degree in range(0, 360, 5):
                began = time.process_time()
                picture(view.plan, view.contacts, degree, width=width, height=height, plain=False)
                moment_lines(view, degree, BESIDE, waiting=False, plain=False)
                times.append(1e3 * (time.process_time() - began))
            times.sort()
            print(f"    {name}: {statistics.median(times):.1f} ms, {times[-4]:.1f} ms at 95 %")


if __name__ == "__main__":
    main()
