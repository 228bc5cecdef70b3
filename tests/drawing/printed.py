"""Sheets printed to PDF by a browser, as a builder prints them: the page's size, the bar, and a part's own size.

    python -m tests.drawing.printed

Needs Debian's chromium; the PDF is read by pypdf. A millimetre of PDF is 72/25.4 points (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import math
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from pypdf import PageObject, PdfReader

from tui.__main__ import main

DEMO = Path(__file__).resolve().parents[2] / "projects"
SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72
"""Millimetres in a point."""
BOXES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""ISO 216; ANSI/ASME Y14.1, size A."""
NEAR = 0.1
"""How true a printed length has to be, [mm]: what is read off a ruler with a good eye."""
PIXEL = 25.4 / 96
"""A browser's page has whole pixels (CSS Values 3, 5.2), [mm]."""
SHEETS = (
    ("cocoa-tin", ["--template", "displacer"], 66.675 - 2 * 3.0),
    ("mug", ["--template", "hot-end", "--paper", "letter"], 105 + 2 * 3.0),
    ("two-syringes", ["--paper", "letter"], None),
    ("mug", [], None),
)
"""Project, what is asked for, and the diameter that was typed for the largest circle."""


def printed(svg: Path) -> PageObject:
    """Print a file and return its only page."""
    pdf = svg.with_suffix(".pdf")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        subprocess.run(
            ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={home}",
             "--no-pdf-header-footer", f"--print-to-pdf={pdf}", svg.as_uri()],
            check=True, capture_output=True, timeout=300,
        )  # fmt: skip
    (page,) = PdfReader(pdf).pages
    return page


Place = tuple[float, float]


def strokes(page: PageObject) -> Iterator[list[Place]]:
    """Yield each path of a page as its places, [mm] from the lower left; of curves their ends."""
    paths: list[list[Place]] = [[]]

    def take(operator: bytes, operands: list[Any], matrix: list[float], _: list[float]) -> None:
        if operator == b"m":
            paths.append([])
        if operator in (b"m", b"l", b"c"):
            x, y = (float(value) for value in operands[-2:])
            a, b, c, d, e, f = matrix
            paths[-1].append(((a * x + c * y + e) * POINT, (b * x + d * y + f) * POINT))

    page.extract_text(visitor_operand_before=take)
    yield from (path for path in paths if len(path) > 1)


def bar_of(svg: Path) -> Place:
    """Return where the bar begins on its sheet, [mm] from the upper left."""
    root = ElementTree.parse(svg).getroot()
    (bar,) = (group for group in root.iter(f"{SVG}g") if group.get("data-part") == "bar")
    x, y = bar[0].get("points", "").split()[0].split(",")
    return float(x), float(y)


def check(project: str, asked: list[str], across: float | None, folder: Path) -> str:
    """Print one sheet; return what was measured, in a line."""
    svg = folder / f"{project}.svg"
    assert main(["draw", str(DEMO / f"{project}.toml"), *asked, "--to", str(svg), "--replace"]) == 0
    page = printed(svg)
    wide, high = BOXES["letter" if "letter" in asked else "a4"]
    box = float(page.mediabox.width) * POINT, float(page.mediabox.height) * POINT
    wanted = (wide, high) if across is not None else (high, wide)
    assert all(abs(got - want) <= PIXEL for got, want in zip(box, wanted, strict=True)), (box, wanted)
    x, y = bar_of(svg)
    paths = list(strokes(page))
    bars = [path for path in paths if len(path) == 2 and math.dist(path[0], (x, box[1] - y)) < 0.5]
    (length,) = {round(math.dist(*path), 3) for path in bars if math.dist(*path) > 50}
    assert abs(length - 100) <= NEAR, length
    told = f"{project} {' '.join(asked)}: page {box[0]:.2f} x {box[1]:.2f} mm, bar {length:.2f} mm"
    if across is not None:
        found = max(max(px for px, _ in path) - min(px for px, _ in path) for path in paths if len(path) > 4)
        assert abs(found - across) <= NEAR, (found, across)
        told += f", {across:.2f} mm across is {found:.2f}"
    return told


def run() -> int:
    """Print every sheet."""
    if shutil.which("chromium") is None:
        sys.stderr.write("printed: chromium is not installed: apt-get install chromium\n")
        return 1
    with tempfile.TemporaryDirectory() as folder:
        for project, asked, across in SHEETS:
            sys.stdout.write(check(project, list(asked), across, Path(folder)) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(run())
